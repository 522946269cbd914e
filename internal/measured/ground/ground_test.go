package ground_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/internal/measured/ground"
	"slatewright/internal/picture/contour"
)

// sheet is a mesh of nx by ny nodes from (−400, −700) to (400, 700) mm with heights by z.
func sheet(nx, ny int, z func(x, y float64) float64) contour.Mesh {
	m := contour.Mesh{NX: nx, NY: ny}
	for i := range nx {
		for j := range ny {
			x, y := -400+800*float64(i)/float64(nx-1), -700+1400*float64(j)/float64(ny-1)
			m.X, m.Y, m.Z = append(m.X, x), append(m.Y, y), append(m.Z, z(x, y))
		}
	}
	return m
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// On a plane every way of asking gives the plane.
func TestAPlane(t *testing.T) {
	plane := func(x, y float64) float64 { return 0.2 + 3e-4*x - 2e-4*y }
	m := sheet(9, 15, plane)
	for _, p := range [][2]float64{{0, 0}, {-400, -700}, {400, 700}, {123.4, -56.7}, {50, 0}, {-399.9, 699.9}} {
		near(t, "at", ground.HeightAt(m, p[0], p[1]), plane(p[0], p[1]), 1e-12)
	}
	if z := ground.HeightAt(m, 400.1, 0); !math.IsNaN(z) {
		t.Errorf("outside it is %v", z)
	}
	g := ground.Grid{Box: ground.Box{MinX: -457, MaxX: 457, MinY: -736.5, MaxY: 736.5}, NX: 40, NY: 60}
	read := 0
	for k, z := range g.Sampled(m) {
		x, y := g.Middle(k/g.NY, k%g.NY)
		if g.Number(x, y) != k {
			t.Fatalf("cell %d is number %d", k, g.Number(x, y))
		}
		if inside := math.Abs(x) <= 400 && math.Abs(y) <= 700; inside == math.IsNaN(z) {
			t.Errorf("(%g, %g): %v", x, y, z)
		} else if inside {
			read++
			near(t, "cell", z, plane(x, y), 1e-12)
		}
	}
	if read == 0 {
		t.Error("no cell was read")
	}
	if g.Number(-457.1, 0) != -1 || g.Number(0, 737) != -1 || g.Number(457, 736.5) != g.NX*g.NY-1 {
		t.Error("the edges of the grid")
	}
}

// Lines along the nodes, across them, askew, and beyond what was read.
func TestALineOverAPlane(t *testing.T) {
	plane := func(x, y float64) float64 { return 0.2 + 3e-4*x - 2e-4*y }
	m := sheet(9, 15, plane)
	for _, c := range []struct {
		name       string
		from, to   [2]float64
		begin, end float64 // what is read of it
	}{
		{"along a column of nodes", [2]float64{0, -700}, [2]float64{0, 700}, 0, 1400},
		{"along a row of nodes, from outside to outside", [2]float64{-450, 0}, [2]float64{450, 0}, 50, 850},
		{"along the edge", [2]float64{-400, -700}, [2]float64{-400, 700}, 0, 1400},
		{"through the corners", [2]float64{-400, -700}, [2]float64{400, 700}, 0, math.Hypot(800, 1400)},
		{"askew", [2]float64{-300, 123}, [2]float64{311, -77}, 0, math.Hypot(611, 200)},
		{"within one cell", [2]float64{3, 4}, [2]float64{33, 44}, 0, 50},
	} {
		l := ground.NewLine(c.from, c.to)
		runs := l.Over(m)
		if len(runs) != 1 {
			t.Fatalf("%s: %d runs", c.name, len(runs))
		}
		near(t, c.name+", begin", runs[0][0].S, c.begin, 1e-9)
		near(t, c.name+", end", runs[0][len(runs[0])-1].S, c.end, 1e-9)
		for k := range 101 {
			s := c.begin + (c.end-c.begin)*float64(k)/100
			at := l.At(s)
			near(t, c.name, ground.HeightOn(runs, s), plane(at[0], at[1]), 1e-12)
		}
		e := ground.Lay(runs[0])
		near(t, c.name+", gap", e.Gap, 0, 1e-12)
	}
	if runs := ground.NewLine([2]float64{-450, -800}, [2]float64{450, -710}).Over(m); len(runs) != 0 {
		t.Errorf("a line beside the mesh has %d runs", len(runs))
	}
}

// The line cut through the triangles agrees with looking the heights up one by one, on any sheet.
func TestTwoWaysToReadALine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := func(name string) [2]float64 {
			return [2]float64{rapid.Float64Range(-430, 430).Draw(t, name+" x"), rapid.Float64Range(-730, 730).Draw(t, name+" y")}
		}
		m := sheet(rapid.IntRange(2, 9).Draw(t, "nx"), rapid.IntRange(2, 9).Draw(t, "ny"), func(x, y float64) float64 { return 0 })
		for k := range m.Z {
			m.Z[k] = rapid.Float64Range(-0.5, 0.5).Draw(t, "z")
			if rapid.IntRange(0, 9).Draw(t, "unread") == 0 {
				m.Z[k] = math.NaN()
			}
		}
		from, to := place("from"), place("to")
		l := ground.NewLine(from, to)
		if !(l.Length > 1) {
			t.Skip("too short")
		}
		runs := l.Over(m)
		for k := range 60 {
			s := l.Length * (float64(k) + 0.5) / 60
			at := l.At(s)
			want, got := ground.HeightAt(m, at[0], at[1]), ground.HeightOn(runs, s)
			if math.IsNaN(want) != math.IsNaN(got) {
				beside := func(dx, dy float64) bool {
					return math.IsNaN(ground.HeightAt(m, at[0]+dx, at[1]+dy)) != math.IsNaN(want)
				}
				const d = 1e-4
				if !beside(d, 0) && !beside(-d, 0) && !beside(0, d) && !beside(0, -d) { // not at the rim
					t.Fatalf("at %g of %g: %v and %v", s, l.Length, got, want)
				}
			} else if math.Abs(got-want) > 1e-7 {
				t.Fatalf("at %g of %g: %v and %v", s, l.Length, got, want)
			}
		}
	})
}

// A hole in what was read parts the line in two.
func TestUnread(t *testing.T) {
	m := sheet(9, 15, func(x, y float64) float64 { return 0 })
	for k := range m.Z {
		if math.Abs(m.X[k]) < 60 {
			m.Z[k] = math.NaN()
		}
	}
	l := ground.NewLine([2]float64{-400, 10}, [2]float64{400, 10})
	runs := l.Over(m)
	if len(runs) != 2 {
		t.Fatalf("%d runs", len(runs))
	}
	near(t, "first ends", runs[0][len(runs[0])-1].S, 300, 1e-9)
	near(t, "second begins", runs[1][0].S, 500, 1e-9)
	if z := ground.HeightOn(runs, 400); !math.IsNaN(z) {
		t.Errorf("in the hole it is %v", z)
	}
}

// A straightedge over a cylinder of bow A: in a dish it rests on both ends and the gap is the sagitta A; on a crown it rocks on the
// middle and the gap is A at the ends.
func TestSagitta(t *testing.T) {
	const a, lean = 0.3, 2e-4
	knots := func(sign float64, n int) (list []ground.Knot) {
		for k := range n {
			s := 1400 * float64(k) / float64(n-1)
			u := 2*s/1400 - 1
			list = append(list, ground.Knot{S: s, Z: sign*a*(1-u*u) + lean*s})
		}
		return list
	}
	const level = 1e-6 // the gap is read at right angles to the leaning edge: lean²/2 of it is lost
	dish := ground.Lay(knots(-1, 141))
	near(t, "dish", dish.Gap, a, level)
	near(t, "dish, place", dish.GapAt.S, 700, 1e-9)
	if dish.Rocks || len(dish.Rests) != 2 || dish.Rests[0].S != 0 || dish.Rests[1].S != 1400 {
		t.Errorf("%+v", dish)
	}
	for _, n := range []int{141, 140} { // with a place in the very middle, and without
		crown := ground.Lay(knots(1, n))
		near(t, "crown", crown.Gap, a, a/float64(n-1)/float64(n-1)+level)
		if !crown.Rocks || crown.GapAt.S != 0 && crown.GapAt.S != 1400 {
			t.Errorf("%+v", crown)
		}
	}
}

// Whatever the stone, the straightedge lies on it: above all of it, touching, and no line above the stone is lower in the middle, which
// is where its weight draws it.
func TestAStraightedgeLies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var knots []ground.Knot
		s := 0.0
		for range rapid.IntRange(2, 30).Draw(t, "n") {
			knots = append(knots, ground.Knot{S: s, Z: rapid.Float64Range(-0.5, 0.5).Draw(t, "z")})
			s += rapid.Float64Range(1, 50).Draw(t, "ds")
		}
		e := ground.Lay(knots)
		first, last := knots[0].S, knots[len(knots)-1].S
		slope := (e.Ends[1].Z - e.Ends[0].Z) / (last - first)
		height := func(s float64) float64 { return e.Ends[0].Z + slope*(s-first) }
		gap := 0.0
		for _, k := range knots {
			if k.Z > height(k.S)+1e-9 {
				t.Fatalf("the stone at %g stands above it: %+v", k.S, e)
			}
			gap = max(gap, height(k.S)-k.Z)
		}
		if gap /= math.Sqrt(1 + slope*slope); math.Abs(gap-e.Gap) > 1e-9 {
			t.Fatalf("gap %v, found %v", e.Gap, gap)
		}
		for _, r := range e.Rests {
			if !slices.Contains(knots, r) || math.Abs(height(r.S)-r.Z) > 1e-9 {
				t.Fatalf("it does not touch at %+v", r)
			}
		}
		middle := (first + last) / 2
		lowest := math.Inf(-1) // what holds it up in the middle: the highest chord there
		for i, a := range knots {
			for _, b := range knots[i+1:] {
				if a.S <= middle && b.S >= middle {
					lowest = max(lowest, a.Z+(b.Z-a.Z)*(middle-a.S)/(b.S-a.S))
				}
			}
		}
		if math.Abs(height(middle)-lowest) > 1e-9 {
			t.Fatalf("in the middle it is at %v and the stone holds it at %v", height(middle), lowest)
		}
	})
}
