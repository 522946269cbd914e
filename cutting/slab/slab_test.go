package slab_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/slab"
	"slatewright/polygon"
	"slatewright/trouble"
)

// sound is a slab with one of everything, which is accepted.
func sound() *slab.Slab {
	grain := 90.0
	return &slab.Slab{Outline: []slab.Point{{}, {X: 900}, {X: 910, Y: 600}, {Y: 590}}, Kerf: 4, Angles: []float64{0, 3}, Grain: &grain,
		Flaws:     []slab.Flaw{{Points: []slab.Point{{X: 10, Y: 10}, {X: 90, Y: 30}}, Clearance: 5}, {Area: true, Points: []slab.Point{{X: 300, Y: 300}, {X: 320, Y: 300}, {X: 310, Y: 330}}}},
		Thickness: &slab.Thickness{X: []float64{0, 900}, Y: []float64{0, 300, 600}, T: [][]float64{{30, 31}, {32, 33}, {30, 30}}},
		Types: []slab.Type{{Length: 300, Width: 200, Allowance: 5, Thickness: 30, Value: 7, Most: -1, Quarters: [4]bool{true}, Grain: slab.AlongGrain, GrainWithin: 10,
			Zones: []slab.Zone{{Centre: slab.Point{X: 50, Y: 50}, Radius: 20}, {Corners: []slab.Point{{}, {X: 40}, {Y: 40}}}}}}}
}

// Everything that cannot be worked with is refused with its place; what stands just within a limit is not.
func TestEveryRefusal(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ring := func(n int) (c []slab.Point) {
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			c = append(c, slab.Point{X: 5000 + 4000*cos, Y: 5000 + 4000*sin})
		}
		return c
	}
	many := func(n int) []slab.Type {
		var list []slab.Type
		for range n {
			list = append(list, sound().Types[0])
		}
		return list
	}
	refused := map[string]func(*slab.Slab){
		"outline: no corner":                 func(s *slab.Slab) { s.Outline = nil },
		"outline: two corners":               func(s *slab.Slab) { s.Outline = s.Outline[:2] },
		"outline: too many corners":          func(s *slab.Slab) { s.Outline = ring(2001) },
		"outline: on a line":                 func(s *slab.Slab) { s.Outline = []slab.Point{{}, {X: 500}, {X: 900}} },
		"outline: a bow tie":                 func(s *slab.Slab) { s.Outline[1], s.Outline[2] = s.Outline[2], s.Outline[1] },
		"outline: no number":                 func(s *slab.Slab) { s.Outline[2].X = nan },
		"outline: endless":                   func(s *slab.Slab) { s.Outline[2].Y = inf },
		"outline: too large":                 func(s *slab.Slab) { s.Outline[1].X, s.Outline[2].X = 20001, 20001 },
		"kerf_mm: negative":                  func(s *slab.Slab) { s.Kerf = -0.1 },
		"kerf_mm: too wide":                  func(s *slab.Slab) { s.Kerf = 100.1 },
		"kerf_mm: no number":                 func(s *slab.Slab) { s.Kerf = nan },
		"flaws: too many":                    func(s *slab.Slab) { s.Flaws = make([]slab.Flaw, 401) },
		"angles_deg: none":                   func(s *slab.Slab) { s.Angles = nil },
		"angles_deg: too many":               func(s *slab.Slab) { s.Angles = make([]float64, 61) },
		"angles_deg: none of a circle":       func(s *slab.Slab) { s.Angles[1] = 361 },
		"angles_deg: no number":              func(s *slab.Slab) { s.Angles[1] = nan },
		"grain_deg: no angle":                func(s *slab.Slab) { *s.Grain = nan },
		"flaws[0]: no point":                 func(s *slab.Slab) { s.Flaws[0].Points = nil },
		"flaws[0]: far away":                 func(s *slab.Slab) { s.Flaws[0].Points[1].X = 2e6 },
		"flaws[0]: negative clearance":       func(s *slab.Slab) { s.Flaws[0].Clearance = -1 },
		"flaws[0]: no clearance":             func(s *slab.Slab) { s.Flaws[0].Clearance = nan },
		"flaws[0]: too many points":          func(s *slab.Slab) { s.Flaws[0].Points = make([]slab.Point, 2001) },
		"flaws[1]: an area of two corners":   func(s *slab.Slab) { s.Flaws[1].Points = s.Flaws[1].Points[:2] },
		"thickness: falling":                 func(s *slab.Slab) { s.Thickness.X = []float64{900, 0} },
		"thickness: a row too few":           func(s *slab.Slab) { s.Thickness.T = s.Thickness.T[:2] },
		"thickness: a reading too few":       func(s *slab.Slab) { s.Thickness.T[1] = []float64{30} },
		"thickness: no number":               func(s *slab.Slab) { s.Thickness.T[1][0] = nan },
		"thickness: negative":                func(s *slab.Slab) { s.Thickness.T[1][0] = -1 },
		"thickness: empty":                   func(s *slab.Slab) { s.Thickness = &slab.Thickness{} },
		"pieces: none":                       func(s *slab.Slab) { s.Types = nil },
		"pieces: too many kinds":             func(s *slab.Slab) { s.Types = many(61) },
		"pieces[0]: no length":               func(s *slab.Slab) { s.Types[0].Length = 0 },
		"pieces[0]: width is no number":      func(s *slab.Slab) { s.Types[0].Width = nan },
		"pieces[0]: too long":                func(s *slab.Slab) { s.Types[0].Length = 20001 },
		"pieces[0]: negative allowance":      func(s *slab.Slab) { s.Types[0].Allowance = -1 },
		"pieces[0]: thickness is no number":  func(s *slab.Slab) { s.Types[0].Thickness = nan },
		"pieces[0]: negative value":          func(s *slab.Slab) { s.Types[0].Value = -1 },
		"pieces[0]: too dear":                func(s *slab.Slab) { s.Types[0].Value = slab.MostValue + 1 },
		"pieces[0]: no way round":            func(s *slab.Slab) { s.Types[0].Quarters = [4]bool{} },
		"pieces[0]: grain of a slab without": func(s *slab.Slab) { s.Grain = nil },
		"pieces[0]: strays too far":          func(s *slab.Slab) { s.Types[0].GrainWithin = 91 },
		"pieces[0]: too many may fit":        func(s *slab.Slab) { s.Types[0].Length, s.Types[0].Width = 1, 1 },
		"pieces[0].cut_away[0]: negative":    func(s *slab.Slab) { s.Types[0].Zones[0].Radius = -1 },
		"pieces[0].cut_away[0]: no radius":   func(s *slab.Slab) { s.Types[0].Zones[0].Radius = nan },
		"pieces[0].cut_away[0]: too large":   func(s *slab.Slab) { s.Types[0].Zones[0].Radius = 20001 },
		"pieces[0].cut_away[0]: far away":    func(s *slab.Slab) { s.Types[0].Zones[0].Centre.X = nan },
		"pieces[0].cut_away[1]: two corners": func(s *slab.Slab) { s.Types[0].Zones[1].Corners = s.Types[0].Zones[1].Corners[:2] },
		"pieces[0].cut_away[1]: hollow": func(s *slab.Slab) {
			s.Types[0].Zones[1].Corners = []slab.Point{{}, {X: 40}, {X: 10, Y: 10}, {Y: 40}}
		},
	}
	for name, spoil := range refused {
		s := sound()
		spoil(s)
		where, _, _ := strings.Cut(name, ": ")
		var told *trouble.Trouble
		if err := s.Check(); !errors.As(err, &told) || told.Kind != trouble.KindData || told.Code != "no-slab" || told.Where != where || told.What == "" || told.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	accepted := map[string]func(*slab.Slab){
		"as it is":             func(*slab.Slab) {},
		"clockwise":            func(s *slab.Slab) { s.Outline[1], s.Outline[3] = s.Outline[3], s.Outline[1] },
		"as large as may be":   func(s *slab.Slab) { s.Outline[1].X, s.Outline[2].X = 20000, 20000 },
		"as many as may be":    func(s *slab.Slab) { s.Outline, s.Types = ring(2000), many(60) },
		"small, but limited":   func(s *slab.Slab) { s.Types[0].Length, s.Types[0].Width, s.Types[0].Most = 1, 1, 5 },
		"a crack far outside":  func(s *slab.Slab) { s.Flaws[0].Points[0] = slab.Point{X: -1e6, Y: 1e6} },
		"no flaw and no map":   func(s *slab.Slab) { s.Flaws, s.Thickness = nil, nil },
		"a piece that is huge": func(s *slab.Slab) { s.Types[0].Length = 20000 },
		"no kerf":              func(s *slab.Slab) { s.Kerf = 0 },
	}
	for name, change := range accepted {
		s := sound()
		change(s)
		if err := s.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A frame turns places there and back, keeps distances, and is exact for quarter turns; a piece's corners enclose its size.
func TestFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-20000, 20000)
		p, q, degrees := slab.Point{X: x.Draw(t, "x"), Y: x.Draw(t, "y")}, slab.Point{X: x.Draw(t, "u"), Y: x.Draw(t, "v")}, rapid.Float64Range(-360, 360).Draw(t, "degrees")
		f := slab.NewFrame(degrees)
		if r := f.Out(f.In(p)); math.Hypot(r.X-p.X, r.Y-p.Y) > 1e-9 {
			t.Fatalf("%v comes back as %v", p, r)
		}
		a, b := f.In(p), f.In(q)
		if d, e := math.Hypot(a.X-b.X, a.Y-b.Y), math.Hypot(p.X-q.X, p.Y-q.Y); math.Abs(d-e) > 1e-9 {
			t.Fatalf("%g becomes %g", e, d)
		}
		n := rapid.IntRange(-4, 4).Draw(t, "quarters")
		r := slab.NewFrame(90 * float64(n)).Out(slab.Point{X: 3, Y: 1})
		if want := [4]slab.Point{{X: 3, Y: 1}, {X: -1, Y: 3}, {X: -3, Y: -1}, {X: 1, Y: -3}}[(n+4)%4]; r != want {
			t.Fatalf("%d quarters turn 3, 1 to %v", n, r)
		}
		piece := slab.Piece{At: p, Along: rapid.Float64Range(1, 3000).Draw(t, "along"), Across: rapid.Float64Range(1, 3000).Draw(t, "across")}
		k := piece.Corners(degrees)
		if got, want := polygon.Area(k[:]), piece.Along*piece.Across; math.Abs(got-want) > 1e-6*want || k[0] != p {
			t.Fatalf("corners enclose %g, the piece is %g", got, want)
		}
	})
}

// A piece lies by the grain as well the other way round, and across it where it is a quarter off; its rough size is the least whole one.
func TestLies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grain := float64(rapid.IntRange(-360, 360).Draw(t, "grain"))
		s := &slab.Slab{Grain: &grain}
		degrees, within := float64(rapid.IntRange(-720, 720).Draw(t, "degrees")), float64(rapid.IntRange(0, 90).Draw(t, "within"))
		along, across := slab.Type{Grain: slab.AlongGrain, GrainWithin: within}, slab.Type{Grain: slab.AcrossGrain, GrainWithin: within}
		off := math.Abs(math.Remainder(degrees-grain, 180))
		if got := s.Lies(along, degrees); got != (off <= within) || got != s.Lies(along, degrees+180) || got != s.Lies(across, degrees+90) {
			t.Fatalf("%g off a grain of %g, within %g: %v", degrees, grain, within, got)
		}
		if !s.Lies(slab.Type{}, degrees) {
			t.Fatal("a piece without a grain does not lie")
		}
		k := slab.Type{Length: rapid.Float64Range(1, 3000).Draw(t, "length"), Width: 7, Allowance: rapid.Float64Range(0, 50).Draw(t, "allowance")}
		l, _ := k.Rough()
		if need := k.Length + 2*k.Allowance; float64(l) < need-2*slab.Touch || float64(l) >= need+1 {
			t.Fatalf("%g becomes %d", need, l)
		}
	})
}

// The gap is a share of the bound.
func TestGap(t *testing.T) {
	for _, c := range []struct {
		value, bound int64
		want         float64
	}{{0, 0, 0}, {5, 5, 0}, {3, 4, 0.25}, {0, 4, 1}} {
		if got := (&slab.Plan{Value: c.value, Bound: c.bound}).Gap(); got != c.want {
			t.Errorf("%d of %d: %g", c.value, c.bound, got)
		}
	}
}
