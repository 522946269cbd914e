package check_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/check"
	"slatewright/cutting/slab/search"
)

// anySlab draws a slab with flaws, zones, thin places and limits.
func anySlab(t *rapid.T) *slab.Slab {
	size := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
	w, h := 60+size("w", 0, 240), 50+size("h", 0, 200) // small numbers are drawn most often: the slab must hold some pieces even so
	near := func(x, y float64) slab.Point {
		return slab.Point{X: x + size("dx", -80, 80)/8, Y: y + size("dy", -80, 80)/8}
	}
	s := &slab.Slab{Outline: []slab.Point{near(0, 0), near(w/2, 3), near(w, 0), near(w, h), near(w/2, h-5), near(0, h)}, Kerf: size("kerf", 0, 14) / 2}
	if rapid.Bool().Draw(t, "plain") {
		s.Outline = []slab.Point{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}
	}
	s.Angles = rapid.SliceOfN(rapid.SampledFrom([]float64{0, 0, 3, -2.5, 90, 45}), 1, 2).Draw(t, "angles")
	for range rapid.IntRange(0, 5).Draw(t, "flaws") {
		x, y := size("x", 0, int(w)), size("y", 0, int(h))
		f := slab.Flaw{Points: []slab.Point{{X: x, Y: y}, near(x+12, y), near(x+6, y+15)}, Clearance: size("clearance", 0, 9) / 2,
			Face: rapid.SampledFrom([]slab.Face{slab.Through, slab.Top, slab.Bottom}).Draw(t, "face"), Playing: rapid.Bool().Draw(t, "playing")}
		switch rapid.IntRange(0, 2).Draw(t, "shape") {
		case 0:
			f.Points = f.Points[:rapid.IntRange(1, 3).Draw(t, "points")]
		case 1:
			f.Area, f.Points = true, []slab.Point{{X: x, Y: y}, {X: x + 14, Y: y + 2}, {X: x + 9, Y: y + 17}}
		}
		s.Flaws = append(s.Flaws, f)
	}
	grain := size("grain", 0, 180)
	s.Grain = &grain
	if rapid.Bool().Draw(t, "thick") {
		s.Thickness = &slab.Thickness{X: []float64{0, w / 3, w}, Y: []float64{10, h}, T: [][]float64{{35, 33, 34}, {size("t", 28, 36), 34, 36}}}
	}
	for range rapid.IntRange(1, 4).Draw(t, "types") {
		l, b := size("l", 8, 70), size("b", 8, 60)
		k := slab.Type{Length: l, Width: b, Allowance: size("allowance", 0, 6) / 4, Value: int64(size("value", 0, 50)) * slab.Unit, Most: rapid.IntRange(-1, 4).Draw(t, "most"),
			Shown: rapid.SampledFrom([]slab.Shown{slab.PlaysTop, slab.PlaysBottom, slab.PlaysEither, slab.PlaysNone}).Draw(t, "shown"),
			Grain: rapid.SampledFrom([]slab.Grain{slab.AnyGrain, slab.AlongGrain, slab.AcrossGrain}).Draw(t, "lies"), GrainWithin: 50}
		for q := range 4 {
			k.Quarters[q] = rapid.Bool().Draw(t, "quarter")
		}
		if k.Quarters == [4]bool{} {
			k.Quarters[0] = true
		}
		if s.Thickness != nil {
			k.Thickness = size("thickness", 0, 36)
		}
		if rapid.Bool().Draw(t, "zones") {
			k.Zones = []slab.Zone{{Centre: slab.Point{X: l / 3, Y: b / 2}, Radius: b / 2.5}, {Corners: []slab.Point{{X: l / 2, Y: 0}, {X: l, Y: 0}, {X: l, Y: b / 1.5}}}}
		}
		s.Types = append(s.Types, k)
	}
	return s
}

// holds cuts any slab with at most so much work and holds the plan against the check; it tells how many pieces there are.
func holds(t *rapid.T, most int) int {
	s := anySlab(t)
	if s.Check() != nil {
		t.Skip("a slab that the check refuses is not cut")
	}
	p, err := search.Solve(s, search.Limits{Work: int64(rapid.IntRange(1, most).Draw(t, "work"))})
	if err != nil {
		t.Fatal(err)
	}
	if faults := check.Plan(s, p); len(faults) > 0 {
		t.Fatal(strings.Join(faults, "\n"))
	}
	return len(p.Pieces)
}

// Every plan holds, whether the search came to its end or not.
func TestPlansHold(t *testing.T) {
	pieces := 0
	rapid.Check(t, func(t *rapid.T) { pieces += holds(t, 3_000_000) })
	if pieces == 0 {
		t.Fatal("no slab gave a piece")
	}
}

// FuzzPlansHold is TestPlansHold on slabs that bytes make.
func FuzzPlansHold(f *testing.F) {
	f.Fuzz(rapid.MakeFuzz(func(t *rapid.T) { holds(t, 30_000) }))
}

// Each thing that can be wrong with a plan is seen.
func TestWrongPlansAreSeen(t *testing.T) {
	grain := 0.0
	fresh := func() (*slab.Slab, *slab.Plan) {
		s := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 0}, {X: 200, Y: 0}, {X: 210, Y: 100}, {X: 0, Y: 100}}, Kerf: 4, Angles: []float64{0, 5}, Grain: &grain,
			Flaws:     []slab.Flaw{{Points: []slab.Point{{X: 102, Y: 0}, {X: 102, Y: 100}}, Clearance: 1}},
			Thickness: &slab.Thickness{X: []float64{0, 200}, Y: []float64{0, 100}, T: [][]float64{{30, 30}, {30, 30}}},
			Types: []slab.Type{{Length: 90, Width: 80, Value: 5 * slab.Unit, Most: 2, Quarters: [4]bool{true}, Grain: slab.AlongGrain, GrainWithin: 1, Thickness: 30,
				Zones: []slab.Zone{{Centre: slab.Point{X: 45, Y: 40}, Radius: 10}}}}}
		p, err := search.Solve(s, search.Limits{})
		if err != nil || len(p.Pieces) != 2 || len(check.Plan(s, p)) > 0 {
			t.Fatalf("%+v, %v: %v", p, err, check.Plan(s, p))
		}
		return s, p
	}
	place := func(p *slab.Plan) slab.Point { // the middle of the first piece
		return slab.Point{X: p.Pieces[0].At.X + 45, Y: p.Pieces[0].At.Y + 40}
	}
	wrong := map[string]func(*slab.Slab, *slab.Plan){
		"value":     func(s *slab.Slab, p *slab.Plan) { p.Value, p.Bound = 11*slab.Unit, 11*slab.Unit },
		"bound":     func(s *slab.Slab, p *slab.Plan) { p.Bound-- },
		"proven":    func(s *slab.Slab, p *slab.Plan) { p.Bound++ },
		"limit":     func(s *slab.Slab, p *slab.Plan) { s.Types[0].Most = 1 },
		"angle":     func(s *slab.Slab, p *slab.Plan) { p.Angle = 5 },
		"no angle":  func(s *slab.Slab, p *slab.Plan) { s.Angles = []float64{5} },
		"kerf":      func(s *slab.Slab, p *slab.Plan) { s.Kerf = 5 },
		"wide kerf": func(s *slab.Slab, p *slab.Plan) { p.Kerf = 40 },
		"no cut":    func(s *slab.Slab, p *slab.Plan) { p.Cuts = p.Cuts[1:] },
		"order":     func(s *slab.Slab, p *slab.Plan) { p.Cuts[0], p.Cuts[len(p.Cuts)-1] = p.Cuts[len(p.Cuts)-1], p.Cuts[0] },
		"place":     func(s *slab.Slab, p *slab.Plan) { p.Pieces[0].At.X += 0.01 },
		"size":      func(s *slab.Slab, p *slab.Plan) { s.Types[0].Width = 81 },
		"turn":      func(s *slab.Slab, p *slab.Plan) { s.Types[0].Quarters = [4]bool{false, true} },
		"face":      func(s *slab.Slab, p *slab.Plan) { s.Types[0].Shown = slab.PlaysBottom },
		"grain":     func(s *slab.Slab, p *slab.Plan) { s.Types[0].Grain = slab.AcrossGrain },
		"outline":   func(s *slab.Slab, p *slab.Plan) { s.Outline[3].X = 40; s.Outline[0].X = 40 },
		"crack": func(s *slab.Slab, p *slab.Plan) {
			s.Flaws = append(s.Flaws, slab.Flaw{Points: []slab.Point{place(p), {X: place(p).X, Y: 500}}})
		},
		"stain": func(s *slab.Slab, p *slab.Plan) {
			m := place(p)
			s.Flaws = append(s.Flaws, slab.Flaw{Area: true, Playing: true, Points: []slab.Point{m, {X: m.X + 11, Y: m.Y}, {X: m.X, Y: m.Y + 1}}})
		},
		"near": func(s *slab.Slab, p *slab.Plan) { s.Flaws[0].Clearance = 12 },
		"thin": func(s *slab.Slab, p *slab.Plan) { s.Thickness.T[0][0] = 29 },
	}
	for name, spoil := range wrong {
		s, p := fresh()
		spoil(s, p)
		if len(check.Plan(s, p)) == 0 {
			t.Errorf("%s: not seen", name)
		}
	}
	s, p := fresh() // what is hidden is no fault
	m := place(p)
	s.Flaws = append(s.Flaws, slab.Flaw{Points: []slab.Point{{X: m.X - 3, Y: m.Y}, {X: m.X + 3, Y: m.Y}}, Clearance: 6})
	if f := check.Plan(s, p); len(f) > 0 {
		t.Error(f)
	}
	s.Flaws[1].Clearance = math.Nextafter(7.001, 8)
	if len(check.Plan(s, p)) == 0 {
		t.Error("a flaw that is not wholly hidden is not seen")
	}
}
