package ground_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/check"
	"slatewright/cutting/slab/ground"
)

var anyWay = [4]bool{true, true, true, true}

func rectangle(w, h float64) []slab.Point { return []slab.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}} }

// one gives the only stance of a slab's first type.
func one(t *testing.T, s *slab.Slab) *ground.Stance {
	t.Helper()
	list := ground.New(s, 0).Stances(0, 0)
	if len(list) != 1 {
		t.Fatalf("%d stances", len(list))
	}
	return list[0]
}

// Places worked out by hand: a plain rectangle, a crack across it, one that lies in what is cut away, a thin end.
func TestPlacesByHand(t *testing.T) {
	s := &slab.Slab{Outline: rectangle(100, 60), Types: []slab.Type{{Length: 20, Width: 10, Quarters: [4]bool{true}}}}
	every := func(what string, s *slab.Slab, want []ground.Span) {
		t.Helper()
		st := one(t, s)
		if st.W != 20 || st.H != 10 || st.Y0 != 0 || len(st.Rows) != 51 {
			t.Fatalf("%s: %d x %d, %d rows from %d", what, st.W, st.H, len(st.Rows), st.Y0)
		}
		for y, row := range st.Rows {
			if !reflect.DeepEqual(row, want) {
				t.Fatalf("%s: row %d is %v, want %v", what, y, row, want)
			}
		}
	}
	every("plain", s, []ground.Span{{From: 0, To: 80}})
	s.Flaws = []slab.Flaw{{Points: []slab.Point{{X: 50, Y: -1}, {X: 50, Y: 61}}, Clearance: 3.05}}
	every("a crack", s, []ground.Span{{From: 0, To: 26}, {From: 54, To: 80}})
	s.Flaws[0].Playing, s.Flaws[0].Face = true, slab.Bottom
	every("on the other face", s, []ground.Span{{From: 0, To: 80}})
	s.Thickness = &slab.Thickness{X: []float64{0, 70, 100}, Y: []float64{0}, T: [][]float64{{30, 30, 29}}}
	s.Types[0].Thickness = 30
	every("thin on the right", s, []ground.Span{{From: 0, To: 50}})

	s = &slab.Slab{Outline: rectangle(20, 10), Types: s.Types, Flaws: []slab.Flaw{{Points: []slab.Point{{X: 18, Y: 8}}, Clearance: 1}}}
	if st := one(t, s); len(st.Rows[0]) != 0 || st.Next(0, 0) != ground.None {
		t.Error("a point lies in the piece, and it stands")
	}
	s.Types[0].Zones = []slab.Zone{{Corners: []slab.Point{{X: 15, Y: 5}, {X: 20, Y: 5}, {X: 20, Y: 10}, {X: 15, Y: 10}}}}
	if st := one(t, s); st.Next(0, 0) != 0 || st.Next(1, 0) != ground.None || st.Next(0, 1) != ground.None || st.Next(0, -1) != ground.None {
		t.Error("a point in what is cut away keeps the piece off")
	}
	s.Types[0].Length = 21
	if list := ground.New(s, 0).Stances(0, 0); len(list) != 0 {
		t.Error("a piece that is longer than the slab stands")
	}
}

// Ways that come to the same place are listed once; those that do not are listed each.
func TestWaysRound(t *testing.T) {
	grain := 0.0
	k := slab.Type{Length: 20, Width: 10, Quarters: anyWay}
	for _, c := range []struct {
		what   string
		change func(*slab.Type)
		want   int
	}{
		{"either way round looks alike", func(*slab.Type) {}, 2},
		{"a square", func(k *slab.Type) { k.Width = 20 }, 1},
		{"turned over looks alike", func(k *slab.Type) { k.Shown = slab.PlaysEither }, 2},
		{"something is cut away in a corner", func(k *slab.Type) { k.Zones = []slab.Zone{{Centre: slab.Point{X: 3, Y: 4}, Radius: 2}} }, 4},
		{"and it is turned over", func(k *slab.Type) {
			k.Zones, k.Shown = []slab.Zone{{Centre: slab.Point{X: 3, Y: 4}, Radius: 2}}, slab.PlaysEither
		}, 8},
		{"along the grain", func(k *slab.Type) { k.Grain, k.GrainWithin = slab.AlongGrain, 5 }, 1},
		{"far off the grain", func(k *slab.Type) { k.Grain, k.GrainWithin, k.Quarters = slab.AlongGrain, 5, [4]bool{false, true} }, 0},
	} {
		kind := k
		c.change(&kind)
		s := &slab.Slab{Outline: rectangle(100, 60), Types: []slab.Type{kind}, Grain: &grain}
		if list := ground.New(s, 0).Stances(0, 0); len(list) != c.want {
			t.Errorf("%s: %d ways, want %d", c.what, len(list), c.want)
		}
	}
}

// anySlab draws a slab with flaws and one type; zones only when they are asked for.
func anySlab(t *rapid.T, zones bool) *slab.Slab {
	size := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
	w, h := size("w", 40, 120), size("h", 30, 90)
	s := &slab.Slab{Outline: []slab.Point{{X: size("a", 0, 40) / 8, Y: 0}, {X: w / 2, Y: size("b", 0, 9)}, {X: w, Y: size("c", 0, 40) / 8}, {X: w - size("d", 0, 9), Y: h}, {X: 0, Y: h - 2}}}
	for range rapid.IntRange(0, 4).Draw(t, "flaws") {
		x, y := size("x", 0, 120), size("y", 0, 90)
		f := slab.Flaw{Points: []slab.Point{{X: x, Y: y}, {X: x + size("dx", -64, 64)/4, Y: y + size("dy", -64, 64)/4}}, Clearance: size("clearance", 0, 12) / 4,
			Face: rapid.SampledFrom([]slab.Face{slab.Through, slab.Top, slab.Bottom}).Draw(t, "face"), Playing: rapid.Bool().Draw(t, "playing")}
		if rapid.Bool().Draw(t, "area") {
			f.Area, f.Points = true, []slab.Point{{X: x, Y: y}, {X: x + 11, Y: y + 2}, {X: x + 7, Y: y + 13}}
		}
		s.Flaws = append(s.Flaws, f)
	}
	l, b := size("l", 6, 30), size("b", 6, 25)
	k := slab.Type{Length: l, Width: b, Allowance: size("allowance", 0, 4) / 2, Quarters: anyWay,
		Shown: rapid.SampledFrom([]slab.Shown{slab.PlaysTop, slab.PlaysBottom, slab.PlaysEither, slab.PlaysNone}).Draw(t, "shown")}
	if rapid.Bool().Draw(t, "thick") {
		s.Thickness = &slab.Thickness{X: []float64{0, w / 2, w}, Y: []float64{5, h}, T: [][]float64{{30, 31, 32}, {size("t", 28, 32), 31, 30}}}
		k.Thickness = size("thickness", 28, 31)
	}
	if zones {
		k.Zones = []slab.Zone{{Centre: slab.Point{X: l / 3, Y: b / 2}, Radius: b / 2.5}, {Corners: []slab.Point{{X: l / 2}, {X: l}, {X: l, Y: b / 1.5}}}}
	}
	s.Types = []slab.Type{k}
	return s
}

// grown is how much a piece grows that must then meet what kept it off: more than any rounding, mm.
const grown = 1e-3

// Every place agrees with a way of measuring that shares nothing with it: where a piece may stand nothing is in it; where it may not, something comes into a
// piece that is a thousandth larger on every side. (What is hidden in a zone is only looked at from the first side: a larger piece has no larger zones.)
func TestPlacesAgreeWithMeasuring(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		zones := rapid.Bool().Draw(t, "zones")
		s := anySlab(t, zones)
		degrees := rapid.SampledFrom([]float64{0, 0, 3, -20, 45, 90}).Draw(t, "degrees")
		g := ground.New(s, degrees)
		for _, st := range g.Stances(0, degrees) {
			for range 8 {
				y := rapid.IntRange(g.Y0-2, g.Y1).Draw(t, "at y")
				for _, x := range ends(st, y, rapid.IntRange(g.X0-2, g.X1).Draw(t, "at x")) {
					piece := func(more float64) slab.Piece {
						return slab.Piece{At: g.Frame.Out(slab.Point{X: float64(x) - more, Y: float64(y) - more}), Along: float64(st.W) + 2*more, Across: float64(st.H) + 2*more,
							Quarter: st.Quarter, Over: st.Over}
					}
					stands := st.Next(x, y) == x
					if faults := check.Piece(s, degrees, piece(0)); stands && len(faults) > 0 {
						t.Fatalf("%d, %d: stands, and %v", x, y, faults)
					}
					if faults := check.Piece(s, degrees, piece(grown)); !stands && !zones && len(faults) == 0 {
						t.Fatalf("%d, %d: may not stand, and nothing is there", x, y)
					}
				}
			}
		}
	})
}

// ends are the places where a row's runs begin and end, with those beside them, and one more.
func ends(s *ground.Stance, y, more int) []int {
	list := []int{more}
	if r := y - s.Y0; r >= 0 && r < len(s.Rows) {
		for _, run := range s.Rows[r] {
			list = append(list, int(run.From)-1, int(run.From), int(run.To), int(run.To)+1)
		}
	}
	return list
}

// A piece of any kind is sound where the ground is clean, whatever it hides and however it lies.
func TestCleanGround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySlab(t, false)
		clean := ground.New(s, 0).Clean()
		s.Types[0].Length, s.Types[0].Width, s.Types[0].Allowance = 2, 2, 0
		inside := *s
		inside.Outline = []slab.Point{{X: -500, Y: -500}, {X: 500, Y: -500}, {X: 500, Y: 500}, {X: -500, Y: 500}} // the outline is not looked at here
		for range 60 {
			x, y := rapid.IntRange(-2, 120).Draw(t, "at x"), rapid.IntRange(0, 90).Draw(t, "at y")
			if clean.Next(x, y) != x {
				continue
			}
			for _, over := range []bool{false, true} {
				q := slab.Piece{At: slab.Point{X: float64(x), Y: float64(y)}, Along: 2, Across: 2, Over: over}
				inside.Types[0].Shown = slab.PlaysEither
				if faults := check.Piece(&inside, 0, q); len(faults) > 0 {
					t.Fatalf("%d, %d: clean, and %v", x, y, faults)
				}
			}
		}
	})
}
