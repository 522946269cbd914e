package lining

import (
	"math"
	"testing"

	"slatewright/plate"
)

var usual = stiff{stone: 25.4, eStone: 48000, board: 12, eBoard: 3000, shear: math.Inf(1)}

// Plate elements over a full board give Timoshenko's cup within 0.1 %.
func TestPlatesAgainstTimoshenko(t *testing.T) {
	for _, board := range []float64{3, 12, 25} {
		p := usual
		p.board = board
		want := full(914, 1473, p)
		got, err := plates(914, 1473, Layout{Kind: Full}.Patches(914, 1473), p, cells)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "along", got.along, want.along, 1e-3*want.along)
		near(t, "across", got.across, want.across, 1e-3*want.across)
		near(t, "peak to valley", got.peak, want.peak, 1e-3*want.peak)
	}
}

// The mesh is fine enough: twice as fine, a bow differs by less than half a percent.
func TestPlatesConverge(t *testing.T) {
	for _, l := range []Layout{{Kind: Strips, Width: 60}, {Kind: Strips, Width: 60, Length: 150, Gap: 20}, {Kind: Pads, Width: 80, Length: 80, Along: 3, Across: 5}} {
		coarse, err := plates(914, 1473, l.Patches(914, 1473), usual, cells)
		fine, also := plates(914, 1473, l.Patches(914, 1473), usual, 2*cells)
		if err != nil || also != nil {
			t.Fatal(err, also)
		}
		near(t, l.String(), coarse.peak, fine.peak, 0.005*fine.peak)
		near(t, l.String(), coarse.across, fine.across, 0.005*fine.peak)
	}
}

// Bands of board over the whole width of a piece whose layers do not care for the other direction bend it as a beam does, by an integration of its own:
// between the bands it is straight. Poisson's ratio couples the two directions, so a tenth is allowed, and the beams' way must not be far off either for
// what it is used for: how an answer changes with the stiffness.
func TestBandsAgainstABeam(t *testing.T) {
	var bands []Patch
	for i := range 6 {
		at := -700 + 240*float64(i)
		bands = append(bands, Patch{-457, 457, at, at + 160})
	}
	got, err := plates(914, 1473, bands, usual, cells)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bow", got.across, beam(1473, 914, []Patch{{-700, -540, -457, 457}, {-460, -300, -457, 457}, {-220, -60, -457, 457}, {20, 180, -457, 457}, {260, 420, -457, 457}, {500, 660, -457, 457}}, usual), 0.15*got.across)
	for _, l := range []Layout{{Kind: Strips, Width: 60, Length: 150, Gap: 20}, {Kind: Pads, Width: 80, Length: 80, Along: 3, Across: 5}} {
		patches := l.Patches(914, 1473)
		soft, stiffer := usual, usual
		soft.shear, stiffer.shear, stiffer.eBoard, stiffer.stone = 100, 400, 4000, 25
		a, err := plates(914, 1473, patches, soft, cells)
		b, also := plates(914, 1473, patches, stiffer, cells)
		if err != nil || also != nil {
			t.Fatal(err, also)
		}
		want := b.peak / a.peak
		near(t, l.String()+": how it changes", sections(914, 1473, patches, stiffer).peak/sections(914, 1473, patches, soft).peak, want, beamsMiss*want)
	}
}

// The closed form of a beam with one band in its middle: the curvature κ over a length b bends a span L by κ·b·(2L−b)/8.
func TestBeamWithOneBand(t *testing.T) {
	p := usual
	k := plate.TwoLayer(p.stone, p.eStone, p.board, p.eBoard, 1)
	near(t, "bow", beam(1000, 100, []Patch{{-150, 150, -50, 50}}, p), k*300*(2000-300)/8, 1e-9*k*1e6)
	near(t, "a full beam", beam(1000, 100, []Patch{{-500, 500, -50, 50}}, p), plate.Rise(k, 1000), 1e-9*k*1e6)
}
