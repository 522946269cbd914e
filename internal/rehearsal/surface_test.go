package rehearsal

import (
	"math"
	"testing"

	"slatewright/chance"
)

// The second-order shape is the design's: crown 1 in the middle and 0 at the edges, the twist's corners ± a quarter, so
// that the fourth corner of a piece lies the twist above the plane of the other three.
func TestSecondOrderShape(t *testing.T) {
	if z := (second{along: 1}).at(0, SizeY/2); z != 1 {
		t.Errorf("crown along at the middle of a y edge: %v", z)
	}
	if z := (second{along: 1, across: 2}).at(-SizeX/2, SizeY/2); z != 0 {
		t.Errorf("crown at a corner: %v", z)
	}
	twist := second{twist: 1}
	corner := func(x, y float64) float64 { return twist.at(x*SizeX/2, y*SizeY/2) }
	if corner(1, 1) <= 0 || corner(-1, -1) <= 0 || corner(1, -1) >= 0 {
		t.Error("a positive twist does not lift the (+,+) and (−,−) corners")
	}
	plane := corner(1, -1) + corner(-1, 1) - corner(-1, -1) // of the other three, at the fourth
	if gap := corner(1, 1) - plane; gap != 1 {
		t.Errorf("the gap under the fourth corner is %v, want the twist, 1", gap)
	}
}

func TestTracksHaveMeanZeroAndTheirDepth(t *testing.T) {
	tr := tracks{pitch: 100, phase: 0.25, hollow: 0.006}
	sum, low, high := 0.0, math.Inf(1), math.Inf(-1)
	const n = 10000
	for i := range n {
		z := tr.at((float64(i) + 0.5) * 100 / n)
		sum, low, high = sum+z, math.Min(low, z), math.Max(high, z)
	}
	if math.Abs(sum/n) > 1e-9 || math.Abs(high-low-0.006) > 1e-5 {
		t.Errorf("mean %v, from %v to %v", sum/n, low, high)
	}
	tr.hollow, tr.ramp = 0, 0.004
	if before, after := tr.at(75-1e-6), tr.at(75+1e-6); math.Abs(before-after-0.004) > 1e-7 {
		t.Errorf("between two tracks the face goes from %v to %v", before, after)
	}
}

func TestEdgesRollOffInTheLastTwentyMillimetres(t *testing.T) {
	e := edges{0.01, 0.02, 0.03, 0.04}
	for _, c := range []struct{ x, y, want float64 }{
		{0, 0, 0},
		{-SizeX/2 + rollWidth, SizeY/2 - rollWidth, 0},
		{-SizeX / 2, 0, 0.01},
		{SizeX / 2, 0, 0.02},
		{0, -SizeY / 2, 0.03},
		{0, SizeY / 2, 0.04},
		{SizeX/2 - 10, 0, 0.005},         // half the width in: a quarter of the drop
		{SizeX / 2, SizeY / 2, 0.06},     // both edges meet
		{-SizeX/2 + 5, 0, 0.01 * 9 / 16}, // three quarters of the way out
	} {
		if got := e.at(c.x, c.y); math.Abs(got-c.want) > 1e-15 {
			t.Errorf("drop at %v, %v: %v, want %v", c.x, c.y, got, c.want)
		}
	}
}

func TestBlemishStaysInItsEllipse(t *testing.T) {
	b := blemish{x: 10, y: -20, halfX: 5, halfY: 50, height: -0.1}
	for _, c := range []struct{ x, y, want float64 }{
		{10, -20, -0.1}, {15, -20, 0}, {10, 30, 0}, {14, 20, 0}, {10, 5, -0.1 * 0.75 * 0.75}, {400, 400, 0},
	} {
		if got := b.at(c.x, c.y); math.Abs(got-c.want) > 1e-15 {
			t.Errorf("at %v, %v: %v, want %v", c.x, c.y, got, c.want)
		}
	}
}

// A cubic B-spline's weights add up to one everywhere, are never negative, and run smoothly from cell to cell.
func TestLatticeWeights(t *testing.T) {
	l := lattice{pitch: 60}
	for place := 0.0; place <= SizeY; place += 0.7 {
		_, w := l.weights(place)
		sum := 0.0
		for _, v := range w {
			if v < 0 {
				t.Fatalf("weights %v at %v", w, place)
			}
			sum += v
		}
		if math.Abs(sum-1) > 1e-15 {
			t.Fatalf("weights at %v add up to %v", place, sum)
		}
	}
	first, end := l.weights(60 - 1e-9)
	next, start := l.weights(60)
	if first+1 != next || math.Abs(end[1]-start[0]) > 1e-9 || math.Abs(end[2]-start[1]) > 1e-9 || math.Abs(end[3]-start[2]) > 1e-9 {
		t.Errorf("the weights jump between cells: %v, %v", end, start)
	}
}

// The stated sigma is what many surfaces show over the whole face, edges included; the noise is smooth over a tenth of a
// pitch and forgets itself within four pitches.
func TestLatticeNoise(t *testing.T) {
	const pitch, sigma, surfaces = 60.0, 0.004, 60
	root := chance.NewStream(7)
	var n, sum, squares, near, far, edge, edges float64
	for k := range surfaces {
		l := newLattice(root.Split(string(rune('a'+k))), pitch, sigma)
		for x := -SizeX / 2; x+4*pitch <= SizeX/2; x += 33.7 {
			for y := -SizeY / 2; y <= SizeY/2; y += 33.7 {
				z := l.at(x, y)
				n, sum, squares = n+1, sum+z, squares+z*z
				near += math.Pow(z-l.at(x+pitch/10, y), 2)
				far += z * l.at(x+4*pitch, y)
			}
		}
		for x := -SizeX / 2; x <= SizeX/2; x += 33.7 {
			z := l.at(x, SizeY/2)
			edges, edge = edges+1, edge+z*z
		}
	}
	sd := math.Sqrt(squares / n)
	if math.Abs(sd/sigma-1) > 0.03 || math.Abs(sum/n) > sigma/20 {
		t.Errorf("sigma %v, mean %v; want %v and 0", sd, sum/n, sigma)
	}
	if ratio := math.Sqrt(edge/edges) / sigma; math.Abs(ratio-1) > 0.12 {
		t.Errorf("at the edge the noise is %v of its sigma", ratio)
	}
	if step := math.Sqrt(near / n); step > 0.15*sigma {
		t.Errorf("over a tenth of a pitch the noise changes by %v, sigma is %v", step, sigma)
	}
	if correlation := far / n / (sigma * sigma); math.Abs(correlation) > 0.03 {
		t.Errorf("over four pitches the correlation is still %v", correlation)
	}
}

// Pitches that divide the piece exactly need one node more than others.
func TestLatticeReachesEveryCorner(t *testing.T) {
	for _, pitch := range []float64{457, 491, 1473, 60, 240, 10000, SizeX / 7} {
		l := newLattice(chance.NewStream(1), pitch, 1)
		for _, x := range []float64{-SizeX / 2, SizeX / 2} {
			for _, y := range []float64{-SizeY / 2, SizeY / 2} {
				if z := l.at(x, y); math.IsNaN(z) {
					t.Errorf("pitch %v at %v, %v: %v", pitch, x, y, z)
				}
			}
		}
	}
}
