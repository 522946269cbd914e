package search_test

import (
	"reflect"
	"testing"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/check"
	"slatewright/cutting/slab/search"
	"slatewright/internal/truth"
)

var anyWay = [4]bool{true, true, true, true}

func solved(t *testing.T, s *slab.Slab, l search.Limits) *slab.Plan {
	t.Helper()
	p, err := search.Solve(s, l)
	if err != nil {
		t.Fatal(err)
	}
	if faults := check.Plan(s, p); len(faults) > 0 {
		t.Fatal(faults)
	}
	return p
}

func rectangle(w, h float64) []slab.Point { return []slab.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}} }

// The published instances come out of the general search as well: a flaw far outside keeps them from the exact engine.
func TestPublishedOptimaByLines(t *testing.T) {
	n := 0
	for _, c := range truth.CuttingInstances() {
		if c.Length > 127 {
			continue
		}
		n++
		s := &slab.Slab{Outline: rectangle(float64(c.Length), float64(c.Width)), Angles: []float64{0},
			Flaws: []slab.Flaw{{Points: []slab.Point{{X: 1000, Y: 1000}}}}}
		for _, it := range c.Items {
			s.Types = append(s.Types, slab.Type{Length: float64(it.Length), Width: float64(it.Width), Most: it.Most, Value: int64(it.Value) * slab.Unit, Quarters: [4]bool{true}})
		}
		p := solved(t, s, search.Limits{Work: 200_000_000})
		if p.Value != int64(c.Optimum)*slab.Unit || !p.Proven {
			t.Errorf("%s: %d of at most %d, published %d", c.Name, p.Value/slab.Unit, p.Bound/slab.Unit, c.Optimum)
		}
	}
	if n < 8 {
		t.Fatalf("%d instances", n)
	}
}

// realSlab is a slab of 3.1 x 1.8 m with ten flaws and six kinds of pieces.
func realSlab() *slab.Slab {
	s := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 20}, {X: 1500, Y: 0}, {X: 3050, Y: 60}, {X: 3100, Y: 900}, {X: 3000, Y: 1780}, {X: 1400, Y: 1820}, {X: 60, Y: 1750}, {X: -20, Y: 800}},
		Kerf: 5, Angles: []float64{0, 1}}
	for i := range 10 {
		x, y := 200+float64(i*277%2700), 150+float64(i*613%1500)
		f := slab.Flaw{Points: []slab.Point{{X: x, Y: y}, {X: x + 120, Y: y + 60}, {X: x + 200, Y: y + 20}}, Clearance: 15}
		if i%3 == 1 {
			f = slab.Flaw{Area: true, Points: []slab.Point{{X: x, Y: y}, {X: x + 60, Y: y + 10}, {X: x + 50, Y: y + 70}, {X: x - 10, Y: y + 40}}, Playing: true, Face: slab.Top}
		}
		s.Flaws = append(s.Flaws, f)
	}
	for _, d := range [][2]float64{{600, 400}, {450, 300}, {900, 500}, {350, 350}, {500, 250}, {700, 600}} {
		s.Types = append(s.Types, slab.Type{Length: d[0], Width: d[1], Allowance: 5, Value: int64(d[0]*d[1]/1000) * slab.Unit, Most: -1, Quarters: anyWay, Shown: slab.PlaysEither})
	}
	return s
}

// More work is never worse, the same work gives the same plan, and what is told on the way runs one way.
func TestWorkPays(t *testing.T) {
	var last *slab.Plan
	works := []int64{2_000_000, 20_000_000, 60_000_000}
	if testing.Short() {
		works = works[:2]
	}
	for _, work := range works {
		var value, bound int64
		l := search.Limits{Work: work, Seen: func(v, b int64) {
			if v < value || bound > 0 && b > bound {
				t.Errorf("after %d of %d comes %d of %d", value, bound, v, b)
			}
			value, bound = v, b
		}}
		p := solved(t, realSlab(), l)
		if again := solved(t, realSlab(), search.Limits{Work: work}); !reflect.DeepEqual(p, again) {
			t.Errorf("the same work of %d gives another plan", work)
		}
		if last != nil && (p.Value < last.Value || p.Bound > last.Bound) {
			t.Errorf("more work gives %d of %d after %d of %d", p.Value, p.Bound, last.Value, last.Bound)
		}
		last = p
	}
	if last.Gap() > 0.25 || len(last.Pieces) < 10 {
		t.Errorf("gap %g, %d pieces", last.Gap(), len(last.Pieces))
	}
}

// one is a slab of a single kind of piece.
func one(outline []slab.Point, l, w float64) *slab.Slab {
	return &slab.Slab{Outline: outline, Angles: []float64{0}, Types: []slab.Type{{Length: l, Width: w, Value: slab.Unit, Most: -1, Quarters: anyWay}}}
}

func wants(t *testing.T, what string, s *slab.Slab, pieces int) {
	t.Helper()
	if p := solved(t, s, search.Limits{Work: 50_000_000}); len(p.Pieces) != pieces || !p.Proven {
		t.Errorf("%s: %d pieces, proven %v; want %d", what, len(p.Pieces), p.Proven, pieces)
	}
}

// A slab that is turned by 3 degrees gives its pieces when the frame turns with it.
func TestTurnedFrame(t *testing.T) {
	f := slab.NewFrame(3)
	s := one(nil, 400, 300)
	for _, p := range rectangle(806, 604) {
		s.Outline = append(s.Outline, f.Out(p))
	}
	s.Kerf = 4
	wants(t, "upright", s, 2)
	s.Angles = []float64{0, 3}
	wants(t, "turned", s, 4)
}

// What a flaw forbids, and what hides it.
func TestFlaws(t *testing.T) {
	crack := slab.Flaw{Points: []slab.Point{{X: 380, Y: 5}, {X: 390, Y: 20}}, Clearance: 2}
	s := one(rectangle(405, 305), 400, 300)
	s.Flaws = []slab.Flaw{crack}
	wants(t, "crack", s, 0)
	s.Types[0].Zones = []slab.Zone{{Corners: []slab.Point{{X: 360, Y: 0}, {X: 400, Y: 0}, {X: 400, Y: 40}, {X: 360, Y: 40}}}}
	wants(t, "hidden in a corner", s, 1)
	s.Types[0].Quarters = [4]bool{false, false, true}
	wants(t, "another corner", s, 0)
	s.Types[0].Zones[0] = slab.Zone{Centre: slab.Point{X: 15, Y: 290}, Radius: 18}
	wants(t, "a hole turned there", s, 1)
	s.Flaws[0].Clearance = 12
	wants(t, "too wide for the hole", s, 0)

	s = one(rectangle(405, 305), 400, 300)
	s.Flaws = []slab.Flaw{{Area: true, Points: []slab.Point{{X: 100, Y: 100}, {X: 120, Y: 100}, {X: 120, Y: 130}}, Face: slab.Top, Playing: true}}
	wants(t, "stain on top", s, 0)
	s.Types[0].Shown = slab.PlaysEither
	wants(t, "turned over", s, 1)
	s.Flaws[0].Face = slab.Through
	wants(t, "through", s, 0)
	s.Types[0].Shown = slab.PlaysNone
	wants(t, "no playing face", s, 1)
}

// Thickness, grain and kerf.
func TestLimitsOfThePiece(t *testing.T) {
	s := one(rectangle(805, 300), 400, 300)
	s.Thickness = &slab.Thickness{X: []float64{0, 400, 805}, Y: []float64{0, 300}, T: [][]float64{{30, 33, 36}, {31, 34, 36}}}
	s.Types[0].Thickness = 33
	wants(t, "thin on one side", s, 1)
	s.Types[0].Thickness = 30
	wants(t, "thick enough", s, 2)
	s.Kerf = 6
	wants(t, "kerf", s, 1)
	s.Kerf = 5
	wants(t, "kerf that just fits", s, 2)
	grain := 88.0
	s.Grain = &grain
	s.Types[0].Grain, s.Types[0].GrainWithin = slab.AcrossGrain, 3
	wants(t, "across the grain", s, 2)
	s.Types[0].Grain = slab.AlongGrain
	wants(t, "along the grain", s, 0)
	s.Types[0].Grain = slab.AnyGrain
	s.Types[0].Most = 1
	wants(t, "one is enough", s, 1)
	s.Types[0].Value = 0
	wants(t, "worth nothing", s, 0)
}

// Pieces far smaller than the slab: more lines than there is room for, and still a plan and a bound.
func TestSmallPieces(t *testing.T) {
	s := one([]slab.Point{{X: 0, Y: 6}, {X: 700, Y: 0}, {X: 706, Y: 500}, {X: 0, Y: 490}}, 5, 5)
	s.Kerf = 1
	p := solved(t, s, search.Limits{Work: 400_000_000})
	if len(p.Pieces) < 8500 || p.Gap() > 0.15 {
		t.Errorf("%d pieces, gap %g", len(p.Pieces), p.Gap())
	}
}
