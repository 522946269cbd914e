package shape

import (
	"errors"
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"slatewright/trouble"
)

func close(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// stadium is a slot of length l between the centres of its ends of radius r.
func stadium(l, r float64) Contour {
	return Contour{{-l / 2, -r, 0}, {l / 2, -r, 1}, {l / 2, r, 0}, {-l / 2, r, 1}}
}

// Closed forms of any table of plane figures.
func TestClosedForms(t *testing.T) {
	half := Contour{{3, 0, 1}, {-3, 0, 0}}                            // half a disc of radius 3 above the axis
	bite := Contour{{-5, -5, 0}, {5, -5, 0}, {5, 5, 0}, {-5, 5, 0.5}} // a square with its left side pushed out by a quarter of a chord
	bite[3].Bulge = -math.Tan(math.Pi / 8)                            // or in: a quarter circle, a chord of 10
	r := 10 / math.Sqrt2
	segment := r * r * (math.Pi/2 - 1) / 2
	for name, c := range map[string]struct {
		contour            Contour
		area, x, y, length float64
	}{
		"rectangle": {Rectangle(Point{3, 4}, Point{-1, 1}), 12, 1, 2.5, 14},
		"circle":    {Circle(Point{7, -2}, 5), 25 * math.Pi, 7, -2, 10 * math.Pi},
		"stadium":   {stadium(10, 2), 40 + 4*math.Pi, 0, 0, 20 + 4*math.Pi},
		"half disc": {half, 4.5 * math.Pi, 0, 4 * 3 / (3 * math.Pi), 6 + 3*math.Pi},
		"bite": {bite, 100 - segment, -segment * (-5 - r*math.Cos(math.Pi/4) + 4*r*math.Pow(math.Sin(math.Pi/4), 3)/(3*(math.Pi/2-1))) / (100 - segment), 0,
			30 + r*math.Pi/2},
	} {
		close(t, name+", area", c.contour.Area(), c.area, 1e-12*c.area)
		at := c.contour.Centroid()
		close(t, name+", x", at.X, c.x, 1e-12)
		close(t, name+", y", at.Y, c.y, 1e-12)
		close(t, name+", length", c.contour.Length(), c.length, 1e-12*c.length)
		close(t, name+" run backward", c.contour.Reversed().Area(), -c.area, 1e-12*c.area)
		if err := c.contour.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for _, m := range [][2]bool{{true, false}, {false, true}, {true, true}} {
			mirrored := c.contour.Mirrored(m[0], m[1])
			close(t, name+" in a mirror", mirrored.Area(), c.area, 1e-12*c.area)
			if at := mirrored.Centroid(); m[0] {
				close(t, name+" in a mirror, x", at.X, -c.x, 1e-12)
			}
		}
	}
}

func TestDistances(t *testing.T) {
	slot, disc := stadium(10, 2), Circle(Point{0, 0}, 1)
	for _, c := range []struct {
		p    Point
		want float64
		in   bool
	}{{Point{0, 0}, 2, true}, {Point{0, 5}, 3, false}, {Point{9, 0}, 2, false}, {Point{8, 4}, 3, false}, {Point{6.5, 0}, 0.5, true}} {
		_, d := slot.Nearest(c.p)
		close(t, "distance", d, c.want, 1e-12)
		if slot.Inside(c.p) != c.in {
			t.Errorf("%v inside: %v", c.p, !c.in)
		}
	}
	for _, c := range []struct {
		a, b Contour
		want float64
	}{
		{slot, disc, 1},                   // one within the other
		{disc, Circle(Point{3, 4}, 2), 2}, // along the line of the centres
		{disc, Circle(Point{1, 0}, 3), 1}, // inside, to one side
		{disc, Circle(Point{0, 0}, 3), 2}, // about the same centre
		{slot, slot.Moved(0, 3, 0), 0},    // across one another
		{slot, slot.Moved(math.Pi/2, 0, 20), 20 - 7 - 2},
		{Rectangle(Point{0, 0}, Point{1, 1}), Rectangle(Point{4, 5}, Point{6, 6}), 5},
	} {
		d, p, q := Between(c.a, c.b)
		close(t, "between", d, c.want, 1e-9)
		close(t, "between its points", between(p, q), c.want, 1e-9)
		e, _, _ := Between(c.b, c.a)
		close(t, "the other way", e, c.want, 1e-9)
	}
}

// A side of no length is a place: it meets a side that it lies on, there, and no other.
func TestPlacesMeet(t *testing.T) {
	place := func(x, y float64) Segment { return NewSegment(Point{X: x, Y: y}, Point{X: x, Y: y}, 0) }
	line := NewSegment(Point{X: -5}, Point{X: 5}, 0)
	half := NewSegment(Point{X: 5}, Point{X: -5}, 1) // by way of (0, 5)
	for _, c := range []struct {
		at   Segment
		side Segment
		on   bool
	}{
		{place(2, 0), line, true}, {place(2, 1), line, false}, {place(6, 0), line, false},
		{place(3, 4), half, true}, {place(3, 3), half, false}, {place(0, 0), half, false}, {place(3, -4), half, false},
		{place(1, 1), place(1, 1), true}, {place(1, 1), place(1, 2), false},
	} {
		for _, pair := range [][2]Segment{{c.at, c.side}, {c.side, c.at}} {
			points, along := pair[0].Meet(pair[1])
			if along || c.on != (len(points) == 1) || len(points) > 1 {
				t.Errorf("%v and %v: %v, along %v", pair[0].From, pair[1], points, along)
			} else if c.on && between(points[0], c.at.From) > near {
				t.Errorf("%v meets at %v", c.at.From, points[0])
			}
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	for name, c := range map[string]Contour{
		"nothing":           {},
		"one corner":        {{0, 0, 1}},
		"turning right":     stadium(10, 2).Reversed(),
		"a figure of eight": {{0, 0, 0}, {2, 2, 0}, {2, 0, 0}, {0, 2, 0}},
		"no length":         {{0, 0, 0}, {2, 0, 0}, {2, 0, 0}, {0, 2, 0}},
		"long arc":          {{0, 0, 1.5}, {2, 0, 0}, {0, 2, 0}},
		"no number":         {{0, 0, 0}, {math.NaN(), 0, 0}, {0, 2, 0}},
		"back on itself":    {{0, 0, 0}, {4, 0, 0}, {4, 1, 0}, {4, -1, 0}},
		"arc over a side":   {{0, 0, 0}, {4, 0, 0}, {4, 1, -1}, {0, 1, 0}},
		"corner on a side":  {{0, 0, 0}, {4, 0, 0}, {4, 3, 0}, {2, 0, 0}, {0, 3, 0}},
	} {
		var bad *trouble.Trouble
		if err := c.Check(); !errors.As(err, &bad) || bad.Code != "bad-contour" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Sides along one another leave what hangs on rounding, so they are refused.
func TestSubtractRefusesSidesAlong(t *testing.T) {
	square := Rectangle(Point{0, 0}, Point{10, 10})
	var bad *trouble.Trouble
	if _, _, err := Subtract(square, Rectangle(Point{2, 0}, Point{4, 5})); !errors.As(err, &bad) || bad.Code != "sides-along" {
		t.Error(err)
	}
	for name, c := range map[string]struct {
		cut          Contour
		outer, holes int
		area         float64
	}{
		"beside":               {Rectangle(Point{20, 0}, Point{24, 5}), 1, 0, 100},
		"touching":             {Circle(Point{12, 5}, 2), 1, 0, 100},
		"within":               {Circle(Point{5, 5}, 2), 1, 1, 100},
		"all of it":            {Circle(Point{5, 5}, 9), 0, 0, 0},
		"over the edge":        {Rectangle(Point{-1, 2}, Point{4, 5}), 1, 0, 88},
		"over the corner":      {Rectangle(Point{-1, -1}, Point{4, 5}), 1, 0, 80},
		"through":              {Rectangle(Point{-1, 4}, Point{11, 5}), 2, 0, 90},
		"through corners":      {Contour{{-1, -1, 0}, {11, 11, 0}, {0, 11, 0}}, 1, 0, 50},
		"a disc in the corner": {Circle(Point{0, 0}, 4), 1, 0, 100 - 4*math.Pi},
	} {
		outer, holes, err := Subtract(square, c.cut)
		if err != nil || len(outer) != c.outer || len(holes) != c.holes {
			t.Errorf("%s: %d outer and %d holes, %v", name, len(outer), len(holes), err)
			continue
		}
		area := 0.0
		for _, o := range outer {
			area += o.Area()
			if err := o.Check(); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		close(t, name, area, c.area, 1e-9)
	}
}

// anyCut draws something like a pocket: a drop with two flanks.
func anyCut(t *rapid.T) Contour {
	number := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	c := drop(number("r", 20, 80), number("l", 30, 300), number("flare", 0, 0.5))
	return c.Moved(number("turn", 0, 2*math.Pi), number("x", -120, 120), number("y", -120, 120))
}

// drop is an arc of radius r about the origin with two flanks of length l that turn flare away from the x axis.
func drop(r, l, flare float64) Contour {
	// From the far end down one flank, around the drop and back.
	sin, cos := math.Sincos(flare)
	a := Point{r * -sin, r * cos} // where the flank leaves the drop: tangent
	b := Point{a.X + l*cos, a.Y + l*sin}
	sweep := math.Pi - 2*flare
	return Contour{{b.X, b.Y, 0}, {a.X, a.Y, math.Tan(sweep / 4)}, {a.X, -a.Y, 0}, {b.X, -b.Y, 0}}
}

// What is left of a cut in any place is a contour again, and the cut's parts inside and the rest make the whole.
func TestWhatIsLeftIsAContour(t *testing.T) {
	piece := Rectangle(Point{-100, -150}, Point{100, 150})
	bitten := 0
	for i := range 500 {
		share := func(k float64) float64 { return math.Mod(float64(i+1)*k, 1) } // spreads evenly, hits nothing round
		cut := drop(20+60*share(0.618034), 30+270*share(0.754878), 0.5*share(0.569840)).Moved(2*math.Pi*share(0.819173), 260*share(0.671044)-130, 260*share(0.549700)-130)
		outer, holes, err := Subtract(piece, cut)
		if err != nil {
			t.Fatal(err)
		}
		area := 0.0
		for _, c := range outer {
			area += c.Area()
		}
		for _, c := range holes {
			area -= c.Area()
		}
		for _, c := range append(outer, holes...) {
			if err := c.Check(); err != nil {
				t.Fatalf("%d: %v", i, err)
			}
		}
		beyond, _, err := Subtract(cut, piece)
		if err != nil {
			t.Fatal(err)
		}
		rest := 0.0
		for _, c := range beyond {
			rest += c.Area()
		}
		// what is taken from the piece is what of the cut lies in it
		close(t, "the parts", piece.Area()-area, cut.Area()-rest, 1e-6)
		if area < piece.Area()-1 {
			bitten++
		}
	}
	if bitten < 400 {
		t.Errorf("only %d cuts took something", bitten)
	}
}

func library(t *rapid.T, c Contour, chord float64) geom.Geometry {
	t.Helper()
	list := c.Polygon(chord)
	flat := make([]float64, 0, 2*len(list)+2)
	for _, p := range append(list, list[0]) {
		flat = append(flat, p.X, p.Y)
	}
	g := geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(flat, geom.DimXY))}).AsGeometry()
	if err := g.Validate(); err != nil {
		t.Fatalf("the library finds the polygon invalid: %v", err)
	}
	return g
}

// Areas, centroids, distances, insides and what is left of a cut agree with a general polygon library on polygons with a
// stated chord error.
func TestAgainstPolygonLibrary(t *testing.T) {
	piece := Rectangle(Point{-100, -150}, Point{100, 150})
	rapid.Check(t, func(t *rapid.T) {
		const chord = 1e-4
		cut := anyCut(t)
		if err := cut.Check(); err != nil {
			t.Fatal(err)
		}
		within := chord*cut.Length() + 1e-6
		theirs := library(t, cut, chord)
		if math.Abs(cut.Area()-theirs.Area()) > within {
			t.Fatalf("area %v, the library has %v", cut.Area(), theirs.Area())
		}
		p := Point{rapid.Float64Range(-400, 400).Draw(t, "px"), rapid.Float64Range(-400, 400).Draw(t, "py")}
		point := geom.NewPoint(geom.Coordinates{XY: geom.XY{X: p.X, Y: p.Y}, Type: geom.DimXY}).AsGeometry()
		edge, ok := geom.Distance(point, theirs.Boundary())
		_, d := cut.Nearest(p)
		if !ok || math.Abs(edge-d) > 2*chord {
			t.Fatalf("%v is %v from the contour, the library has %v", p, d, edge)
		}
		if inside, _ := geom.Contains(theirs, point); edge > 2*chord && inside != cut.Inside(p) {
			t.Fatalf("%v inside: %v", p, !inside)
		}
		outer, holes, err := Subtract(piece, cut)
		var along *trouble.Trouble
		if errors.As(err, &along) && along.Code == "sides-along" {
			return // refused on purpose, where a flank is drawn on the piece's side
		}
		if err != nil {
			t.Fatal(err)
		}
		left, err := geom.Difference(library(t, piece, chord), theirs)
		if err != nil {
			return // the library's own limit: "pathological cases of numerical degeneracy"
		}
		area := 0.0
		for _, o := range outer {
			area += o.Area()
		}
		for _, h := range holes {
			area -= h.Area()
		}
		if math.Abs(area-left.Area()) > within {
			t.Fatalf("%v is left, the library leaves %v", area, left.Area())
		}
	})
}

// A polygon's points lie on the contour, and no part of the contour is further from the polygon than asked.
func TestPolygonKeepsItsChord(t *testing.T) {
	for _, chord := range []float64{5, 0.5, 0.01, 0.0001} {
		c := stadium(100, 60)
		list := c.Polygon(chord)
		polygon := make(Contour, len(list))
		for i, p := range list {
			polygon[i] = Vertex{p.X, p.Y, 0}
			if _, d := c.Nearest(p); d > 1e-9 {
				t.Fatalf("%v is %v off", p, d)
			}
		}
		worst := 0.0
		for _, s := range c.Segments() {
			for i := range 5000 {
				_, d := polygon.Nearest(s.Along((float64(i) + 0.5) / 5000))
				worst = math.Max(worst, d)
			}
		}
		if worst > chord*(1+1e-9) || worst < chord/4 {
			t.Errorf("chord %v: %v off, with %d points", chord, worst, len(list))
		}
	}
}

func TestBounds(t *testing.T) {
	low, high := stadium(10, 2).Moved(math.Pi/2, 1, 1).Bounds()
	close(t, "x", low.X, -1, 1e-12)
	close(t, "X", high.X, 3, 1e-12)
	close(t, "y", low.Y, -6, 1e-12)
	close(t, "Y", high.Y, 8, 1e-12)
}

// Two discs of radius 5 and 3, the centres 6 apart, have a lens in common (closed form): R² acos((d²+R²−r²)/2dR) + r² acos((d²+r²−R²)/2dr)
// less half the root of the four sums.
func TestLensOfTwoDiscs(t *testing.T) {
	const big, small, d = 5.0, 3.0, 6.0
	lens := big*big*math.Acos((d*d+big*big-small*small)/(2*d*big)) + small*small*math.Acos((d*d+small*small-big*big)/(2*d*small)) -
		math.Sqrt((-d+big+small)*(d+big-small)*(d-big+small)*(d+big+small))/2
	for i := range 36 {
		angle := float64(i) * math.Pi / 18
		a, b := Circle(Point{}, big), Circle(Point{d, 0}, small).Moved(angle, 0, 0)
		for _, c := range []struct{ from, out Contour }{{a, b}, {b, a}} {
			outer, holes, err := Subtract(c.from, c.out)
			if err != nil || len(outer) != 1 || len(holes) != 0 {
				t.Fatalf("%v: %d parts, %d holes, %v", angle, len(outer), len(holes), err)
			}
			close(t, "what is left of a disc", outer[0].Area(), c.from.Area()-lens, 1e-9)
		}
	}
}

// The middle of a disc lies on the chords of its two arcs, whichever way they lie.
func TestInsideOnAChord(t *testing.T) {
	for i := range 8 {
		disc := Circle(Point{}, 5).Moved(float64(i)*math.Pi/4, 0, 0)
		if i%2 == 0 { // at quarter turns the chord is made exact
			v := [4]Point{{5, 0}, {0, 5}, {-5, 0}, {0, -5}}[i/2]
			disc = Contour{{v.X, v.Y, 1}, {-v.X, -v.Y, 1}}
		}
		for _, p := range []Point{{0, 0}, {2, 0}, {-2, 0}, {0, 2}, {0, -2}} {
			if !disc.Inside(p) || !disc.Reversed().Inside(p) {
				t.Errorf("%d: %v is not inside", i, p)
			}
		}
	}
}
