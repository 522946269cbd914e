package seating_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
)

// thick adds stone and lined thicknesses over the supports of the default specification, and at the middle of the ends.
func thick(f *face.Face, t func(x, y float64) float64) *face.Face {
	for _, at := range bed.NineFoot().Supports[0] {
		f.Thickness = append(f.Thickness, face.Thickness{X: at[0], Y: at[1], T: t(at[0], at[1])})
		f.Lined = append(f.Lined, face.Thickness{X: at[0], Y: at[1], T: t(at[0], at[1]) + 19})
	}
	return f
}

// TestShimsCarryTheDifferenceOfThickness: flat pieces of even thickness 26.0, 25.5 and 25.8 mm ask for packs that make up
// for it, under every support the same.
func TestShimsCarryTheDifferenceOfThickness(t *testing.T) {
	q := question(nil, nil, nil, 0.127)
	for k, stone := range []float64{26.0, 25.5, 25.8} {
		q.Faces[k] = thick(made("piece", 6, 9, plain), func(x, y float64) float64 { return stone })
	}
	r := seat(t, q)
	if r.NoShims != "" || len(r.Shims) != 18 {
		t.Fatalf("%d shims, %q", len(r.Shims), r.NoShims)
	}
	want := [3]float64{0, 0.5, 0.2}
	for _, s := range r.Shims {
		near(t, "height", s.Height, want[s.Place], 1e-8)
		near(t, "pack", s.Pack.Height, want[s.Place], 1e-12)
	}
	near(t, "zone after rounding", r.Rounded.Zone, 0, 1e-8)
	if warned(r, "can rock") {
		t.Errorf("a piece on six even packs does not rock: %q", r.Warnings)
	}
}

// TestRoundedPacks: a height that no pack has is rounded, and the bed lies as the packs let it.
func TestRoundedPacks(t *testing.T) {
	q := question(nil, nil, nil, 0.127)
	q.Spec.Shims, q.Spec.ShimsPerPack = []float64{0.25}, 4
	for k, stone := range []float64{26.0, 25.6, 25.6} { // asks for 0, 0.4 and 0.4; 0.5 exists
		q.Faces[k] = thick(made("piece", 6, 9, plain), func(x, y float64) float64 { return stone })
	}
	r := seat(t, q)
	near(t, "step at the first joint", r.Rounded.Steps[0], 0.1, 1e-8)
	near(t, "step at the second joint", r.Rounded.Steps[1], 0, 1e-8)
	// The first piece lies 0.1 mm low. Closest parallel planes of the three level pieces, readings to 20 mm from the edges: the
	// tilted strip through (−437, 0.1), (1351, 0.1) above … a line program of the test's own.
	near(t, "zone", r.Rounded.Zone, stepZone(0.1), 1e-8)
}

// stepZone is the zone of a bed whose head piece lies h low, by its section along x.
func stepZone(h float64) float64 {
	return narrowest([][2]float64{{-1351, -h}, {-477, -h}, {-437, 0}, {1351, 0}})
}

// narrowest is the minimum zone of a profile: the strip along the line through any two of its points.
func narrowest(points [][2]float64) float64 {
	best := math.Inf(1)
	for i := range points {
		for j := range i {
			slope := (points[i][1] - points[j][1]) / (points[i][0] - points[j][0])
			low, high := math.Inf(1), math.Inf(-1)
			for _, p := range points {
				e := p[1] - slope*p[0]
				low, high = min(low, e), max(high, e)
			}
			best = min(best, (high-low)/math.Hypot(1, slope))
		}
	}
	return best
}

func TestNoShimsSaysWhy(t *testing.T) {
	build := func(change func(q *seating.Question)) seating.Result {
		q := question(nil, nil, nil, 0.127)
		for k := range q.Faces {
			q.Faces[k] = thick(made("piece.csv", 6, 9, plain), func(x, y float64) float64 { return 25.5 })
		}
		change(&q)
		return seat(t, q)
	}
	cases := []struct {
		word   string
		change func(q *seating.Question)
	}{
		{"supports", func(q *seating.Question) { q.Spec.Supports[1] = nil }},
		{"of stone and lining", func(q *seating.Question) { q.Faces[2].Lined = nil }},
		{"of the stone", func(q *seating.Question) { q.Spec.Lining = 0; q.Faces[2].Thickness = q.Faces[2].Thickness[1:] }},
	}
	for _, c := range cases {
		r := build(c.change)
		if r.Shims != nil || r.Rounded != nil || !strings.Contains(r.NoShims, c.word) {
			t.Errorf("%s: %d shims, %q", c.word, len(r.Shims), r.NoShims)
		}
	}
	if r := build(func(q *seating.Question) { q.Spec.Shims = nil }); len(r.Shims) == 0 || r.Rounded != nil {
		t.Error("without shims that exist, heights are still given, unrounded")
	}
}

// TestLevelReadsTheSlope: on a parabola the slope between two feet is that at their middle, exactly.
func TestLevelReadsTheSlope(t *testing.T) {
	crown := func(x, y float64) float64 { return 0.25 * (1 - 4*y*y/sizeY/sizeY) }
	q := fixed(question(made("h", 6, 61, crown), made("c", 6, 61, crown), made("f", 6, 61, crown), 0.127))
	r := seat(t, q)
	if len(r.Levels) != 18 {
		t.Fatalf("%d level readings", len(r.Levels))
	}
	for _, l := range r.Levels {
		want := 0.0
		if !l.Along {
			want = -2 * l.Y / sizeY * 4 * 0.25 / sizeY
		}
		near(t, "slope", l.Slope, want, 2e-6) // bilinear between stations 24 mm apart
	}
	// A crown of 0.25 mm reads about 16 divisions of 0.0005 in/ft near the edge of 1473 mm (slope 4·0.25/1473 at the edge; closed form).
	edge := bed.Level{Rise: 0.0127, Over: 304.8}.Divisions(4 * 0.25 / sizeY)
	near(t, "divisions at the edge", edge, 16.3, 0.05)
}

func TestResampleWithoutNoiseIsTheResult(t *testing.T) {
	for seed := range uint64(10) {
		q := random(seed, 6, 9)
		q.MaxStep = 0.127
		r := seat(t, q)
		s, err := seating.NewResampler(q, r)
		if err != nil {
			t.Fatal(err)
		}
		var dz [3][]float64
		for k, n := range s.Readings() {
			dz[k] = make([]float64, n)
		}
		f, same, err := s.Resample(dz)
		if err != nil {
			t.Fatal(err)
		}
		if f != same {
			t.Errorf("the same readings, laid by their own moves, measure otherwise: %+v %+v", f, same)
		}
		near(t, "zone", f.Zone, r.Zone, 1e-12)
		near(t, "step 1", f.Steps[0], r.Joints[0].Largest, 1e-12)
		near(t, "step 2", f.Steps[1], r.Joints[1].Largest, 1e-12)
		near(t, "lengthwise", f.Lengthwise, r.Lengthwise.Value, 1e-12)
		near(t, "across", f.Across, r.Across.Value, 1e-12)
	}
}

// TestResampleSeesNoise: one reading raised by 1 mm in the middle of a flat bed must show as a zone of about 1 mm, and as a step
// when it belongs to a joint row.
func TestResampleSeesNoise(t *testing.T) {
	q := fixed(question(made("h", 6, 9, plain), made("c", 6, 9, plain), made("f", 6, 9, plain), 0.127))
	s, err := seating.NewResampler(q, seat(t, q))
	if err != nil {
		t.Fatal(err)
	}
	var dz [3][]float64
	for k, n := range s.Readings() {
		dz[k] = make([]float64, n)
	}
	dz[1][22] = 1 // inside the centre piece
	f, laid, err := s.Resample(dz)
	if err != nil {
		t.Fatal(err)
	}
	if !(f.Zone > 0.9 && f.Zone <= 1+1e-9) {
		t.Errorf("zone %v", f.Zone)
	}
	if !(laid.Zone < 0.5) {
		t.Errorf("flat pieces laid by wrong readings have a zone of %v", laid.Zone)
	}
}

// TestResampleAtTheLimit: where the step limit is used up, every re-seating keeps it again by its own readings, and only the bed as laid
// shows what the errors did.
func TestResampleAtTheLimit(t *testing.T) {
	beds, over, within := 0, 0, 0
	for seed := range uint64(60) {
		q := fixed(random(seed, 6, 9))
		q.MaxStep = 0.08
		r := seat(t, q)
		if larger := max(r.Joints[0].Largest, r.Joints[1].Largest); !r.Feasible || larger < q.MaxStep-1e-6 {
			continue
		}
		beds++
		s, err := seating.NewResampler(q, r)
		if err != nil {
			t.Fatal(err)
		}
		noise := rand.New(rand.NewPCG(seed, 1))
		for range 10 {
			var dz [3][]float64
			for k, n := range s.Readings() {
				for range n {
					dz[k] = append(dz[k], 0.003*noise.NormFloat64())
				}
			}
			read, laid, err := s.Resample(dz)
			if err != nil {
				t.Fatal(err)
			}
			if max(read.Steps[0], read.Steps[1]) <= q.MaxStep+1e-6 {
				within++
			}
			if max(laid.Steps[0], laid.Steps[1]) > q.MaxStep+1e-4 {
				over++
			}
		}
	}
	if beds < 3 || within < 7*beds || over < 5*beds {
		t.Errorf("%d beds at their limit: %d re-seatings keep it by their own readings, %d exceed it as laid", beds, within, over)
	}
}
