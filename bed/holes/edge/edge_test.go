package edge_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed/holes/edge"
	"slatewright/chance"
	"slatewright/trouble"
)

func made(t *testing.T, name string, f func(y float64) (top, bottom float64)) *edge.Edge {
	t.Helper()
	var list []edge.Reading
	for k := range 15 {
		y := float64(k-7) * 100
		top, bottom := f(y)
		list = append(list, edge.Reading{At: y, Top: top, Bottom: bottom, HasBottom: true, U: 0.01})
	}
	e, err := edge.New(name, list)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-8 {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// A hollow of a parabola 0.2 deep: straightness 0.2 whatever the straightedge's tilt; against a straight edge 0.2 stays open in the middle, whether the push is there or not.
func TestHollowEdge(t *testing.T) {
	hollow := func(y float64) (float64, float64) {
		v := 0.003*y + 0.2*(y/700)*(y/700)
		return v, v
	}
	flat := func(y float64) (float64, float64) { return -0.003 * y, -0.003 * y }
	a, b := made(t, "a", hollow), made(t, "b", flat)
	s, err := a.Straightness()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "straightness", s.Value, 0.2)
	near(t, "its doubt", s.U, 0.01*math.Sqrt(1+0.25+0.25))
	g, err := edge.Closed(a, b)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "gap", g.Top.Value, 0.2)
	near(t, "where", g.Top.At, 0)
	near(t, "least", g.Least.Value, 0.2)
	near(t, "below", g.Bottom.Value, 0.2)
	if len(g.Touch) != 2 || math.Abs(g.Touch[0]) != 700 || g.Touch[0] != -g.Touch[1] {
		t.Errorf("touches at %v", g.Touch)
	}
	// Both edges with the same doubt, interpolated half-way between the ends: √(2·(1 + ¼ + ¼)).
	near(t, "doubt of the gap", g.Top.U, 0.01*math.Sqrt(2*1.5))
}

// Both round: they touch in the middle, and the ends stand open by both rises; turned, one end closes further and the other opens.
func TestRoundEdgesRock(t *testing.T) {
	round := func(y float64) (float64, float64) { v := -0.1 * (y / 700) * (y / 700); return v, v }
	g, err := edge.Closed(made(t, "a", round), made(t, "b", round))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "gap", g.Top.Value, 0.2)
	near(t, "least", g.Least.Value, 0.2)
	near(t, "at an end", math.Abs(g.Top.At), 700)
}

// An edge that leans so that its lower arris stands out keeps the joint open at the face by as much.
func TestLeaningEdge(t *testing.T) {
	a := made(t, "a", func(float64) (float64, float64) { return 0, 0.15 })
	b := made(t, "b", func(float64) (float64, float64) { return 0, 0 })
	v, ok := a.Squareness()
	if !ok {
		t.Fatal("no squareness")
	}
	near(t, "squareness", v.Value, -0.15)
	near(t, "its doubt", v.U, 0.01*math.Sqrt2)
	g, err := edge.Closed(a, b)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "gap at the face", g.Top.Value, 0.15)
	near(t, "gap below", g.Bottom.Value, 0)
	for _, below := range g.Below {
		if !below {
			t.Error("they touch at the face")
		}
	}
	for i := range a.Readings {
		a.Readings[i].HasBottom = false
	}
	if _, ok := a.Squareness(); ok {
		t.Error("squareness without the lower arris")
	}
	if g, err = edge.Closed(a, b); err != nil || g.Bottom != nil || g.Top.Value > 1e-12 {
		t.Errorf("%+v, %v", g, err)
	}
}

func TestChips(t *testing.T) {
	a := made(t, "a", func(float64) (float64, float64) { return 0, 0 })
	if _, ok := a.Chip(); ok {
		t.Error("a chip in a whole edge")
	}
	a.Readings[4].Chip, a.Readings[9].Chip = 1.5, 0.5
	if v, ok := a.Chip(); !ok || v.Value != 1.5 || v.At != -300 {
		t.Errorf("%+v", v)
	}
}

func TestEdgesThatSayNothing(t *testing.T) {
	var told *trouble.Trouble
	if _, err := edge.New("a", []edge.Reading{{At: 1}, {At: 2}}); !errors.As(err, &told) || told.Code != "too-few-points" {
		t.Error(err)
	}
	if _, err := edge.New("a", []edge.Reading{{At: 1}, {At: 2}, {At: 1}}); !errors.As(err, &told) || told.Code != "twice" {
		t.Error(err)
	}
	one, _ := edge.New("a", []edge.Reading{{At: 1}, {At: 2}, {At: 3}})
	other, _ := edge.New("b", []edge.Reading{{At: 4}, {At: 5}, {At: 6}})
	if _, err := edge.Closed(one, other); !errors.As(err, &told) || told.Code != "no-common-stretch" {
		t.Error(err)
	}
}

// The uncertainties that are said are those that many readings of the same edges show, where it is clear which places hold.
func TestDoubtIsTrue(t *testing.T) {
	s := chance.NewStream(3)
	const trials, u = 3000, 0.01
	shape := func(e, k int) (top, bottom float64) {
		y := float64(k-4) / 4
		if e == 0 { // hollow to a point
			return 0.6*math.Abs(y) + 0.5*y, -1 - 0.2*math.Abs(y-0.5)
		}
		return 0.2 * y, -1
	}
	draw := func(noise float64) (list [2]*edge.Edge) {
		for e := range 2 {
			var readings []edge.Reading
			for k := range 9 {
				top, bottom := shape(e, k)
				readings = append(readings, edge.Reading{At: float64(k-4) * 150, Top: top + noise*s.Normal(), Bottom: bottom + noise*s.Normal(), HasBottom: true, U: u})
			}
			made, err := edge.New("a", readings)
			if err != nil {
				t.Fatal(err)
			}
			list[e] = made
		}
		return list
	}
	look := func(e [2]*edge.Edge) [4]edge.Value {
		one, err := e[0].Straightness()
		if err != nil {
			t.Fatal(err)
		}
		square, _ := e[0].Squareness()
		g, err := edge.Closed(e[0], e[1])
		if err != nil {
			t.Fatal(err)
		}
		return [4]edge.Value{one, square, g.Top, g.Least}
	}
	truth := look(draw(0))
	var sum, squares [4]float64
	for range trials {
		for i, v := range look(draw(u)) {
			d := v.Value - truth[i].Value
			sum[i] += d
			squares[i] += d * d
		}
	}
	for i, v := range truth {
		mean := sum[i] / trials
		if spread := math.Sqrt(squares[i]/trials - mean*mean); math.Abs(spread/v.U-1) > 0.06 || math.Abs(mean) > 0.2*v.U {
			t.Errorf("%d: %+v spreads by %.5f about %.5f", i, v, spread, mean)
		}
	}
}

// Whatever is read: pushed together nothing overlaps, and no other line that keeps the stone apart is nearer in the middle, or has a smaller largest opening than Least.
func TestClosedHoldsForEveryLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) *edge.Edge {
			var list []edge.Reading
			for k := range rapid.IntRange(3, 9).Draw(t, name) {
				list = append(list, edge.Reading{At: float64(k) * 90, Top: float64(rapid.IntRange(-40, 40).Draw(t, "top")) / 100, Bottom: float64(rapid.IntRange(-40, 40).Draw(t, "bottom")) / 100,
					HasBottom: rapid.Bool().Draw(t, "read below"), U: 0.01})
			}
			e, err := edge.New(name, list)
			if err != nil {
				t.Fatal(err)
			}
			return e
		}
		a, b := draw("a"), draw("b")
		g, err := edge.Closed(a, b)
		if err != nil {
			t.Fatal(err)
		}
		stretch := min(a.Readings[len(a.Readings)-1].At, b.Readings[len(b.Readings)-1].At)
		tilt := rapid.Float64Range(-0.01, 0.01).Draw(t, "tilt")
		need, largest := math.Inf(-1), 0.
		for y := 0.; y <= stretch; y += 90 {
			p, q := a.Readings[int(y/90)], b.Readings[int(y/90)]
			need = max(need, p.Top+q.Top-tilt*(y-stretch/2))
			if p.HasBottom && q.HasBottom {
				need = max(need, p.Bottom+q.Bottom-tilt*(y-stretch/2))
			}
		}
		for y := 0.; y <= stretch; y += 90 {
			largest = max(largest, need+tilt*(y-stretch/2)-a.Readings[int(y/90)].Top-b.Readings[int(y/90)].Top)
		}
		if largest < g.Least.Value-1e-9 {
			t.Fatalf("a line with the largest opening %g; least is %g", largest, g.Least.Value)
		}
		if g.Top.Value < g.Least.Value-1e-9 {
			t.Fatalf("pushed together %g, least %g", g.Top.Value, g.Least.Value)
		}
	})
}
