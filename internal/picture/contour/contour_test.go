package contour

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// grid reads f at nx by ny places over [-a, a] × [-b, b].
func grid(nx, ny int, a, b float64, f func(x, y float64) float64) Points {
	var p Points
	for i := range nx {
		for j := range ny {
			x, y := -a+2*a*float64(i)/float64(nx-1), -b+2*b*float64(j)/float64(ny-1)
			p.X, p.Y, p.Z = append(p.X, x), append(p.Y, y), append(p.Z, f(x, y))
		}
	}
	return p
}

func mesh(t *testing.T, p Points, spacing float64) Mesh {
	t.Helper()
	m, err := Interpolate(p, spacing)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// dome is a paraboloid: its level set at height z is the circle of radius R·√(1−z), in closed form.
const domeR = 400.0

func dome(x, y float64) float64 { return 1 - (x*x+y*y)/(domeR*domeR) }

// onCircle complains about the first point that is not within tol of the circle about the origin.
func onCircle(l Line, radius, tol float64) error {
	if len(l.P) < 8 {
		return fmt.Errorf("only %d points", len(l.P))
	}
	for _, p := range l.P {
		if r := math.Hypot(p.X, p.Y); math.Abs(r-radius) > tol {
			return fmt.Errorf("the point %v lies at radius %g, not %g", p, r, radius)
		}
	}
	return nil
}

func TestLevelSetsOfADomeAreCircles(t *testing.T) {
	const pitch = 7.5
	m := mesh(t, grid(121, 121, 450, 450, dome), pitch)
	checked := 0
	for _, z := range []float64{0.2, 0.35, 0.5, 0.75, 0.9} {
		lines := m.Lines(z)
		if len(lines) != 1 || !lines[0].Closed {
			t.Fatalf("level %g: %d lines, want one closed", z, len(lines))
		}
		radius := domeR * math.Sqrt(1-z)
		// Linear between nodes h apart: the height is wrong by at most h²/8·|f″| = h²/(4R²), so the radius by that over the
		// slope 2r/R², which is h²/(8r).
		tol := pitch*pitch/(8*radius) + 1e-9
		if err := onCircle(lines[0], radius, tol); err != nil {
			t.Errorf("level %g: %v", z, err)
		}
		if err := onCircle(lines[0], radius*1.01, tol); err == nil {
			t.Errorf("level %g: a radius 1 %% too large was not noticed", z)
		}
		if a := area(lines[0].P); a <= 0 {
			t.Errorf("level %g: the top of the dome is not on the left", z)
		}
		checked++
	}
	if checked == 0 {
		t.Fatal("no level was checked")
	}
}

func TestRegionsOfADomeHaveTheArea(t *testing.T) {
	m := mesh(t, grid(121, 121, 450, 450, dome), 10)
	for _, z := range []float64{0.2, 0.5, 0.9} {
		want := math.Pi * domeR * domeR * (1 - z)
		if got := netArea(m.Region(z)); math.Abs(got-want) > 0.005*want {
			t.Errorf("the region above %g has %g mm², want %g", z, got, want)
		}
	}
	if got := netArea(m.Region(math.Inf(-1))); math.Abs(got-900*900) > 1e-6 {
		t.Errorf("the read area has %g mm², want %d", got, 900*900)
	}
	if got := m.Region(2); len(got) != 0 {
		t.Errorf("%d regions above the highest point", len(got))
	}
}

func netArea(rings []Line) float64 {
	var sum float64
	for _, r := range rings {
		if !r.Closed {
			return math.NaN()
		}
		sum += area(r.P)
	}
	return sum
}

func TestLinesEndWhereTheReadAreaEnds(t *testing.T) {
	m := mesh(t, grid(11, 11, 100, 100, func(x, _ float64) float64 { return x }), 10)
	lines := m.Lines(33)
	if len(lines) != 1 || lines[0].Closed {
		t.Fatalf("%d lines", len(lines))
	}
	for _, p := range lines[0].P {
		if math.Abs(p.X-33) > 1e-9 || math.Abs(p.Y) > 100+1e-9 {
			t.Errorf("the line of x = 33 passes %v", p)
		}
	}
	if l := lines[0].Length(); math.Abs(l-200) > 1e-9 {
		t.Errorf("it is %g long, want 200", l)
	}
	first, last := lines[0].P[0], lines[0].P[len(lines[0].P)-1]
	if last.Y < first.Y == (33 > 0) { // the high side, +x, is on the left when y falls
		return
	}
	t.Error("the high side is not on the left")
}

func TestSaddleBranchesNeverCross(t *testing.T) {
	m := mesh(t, grid(4, 4, 90, 90, func(x, y float64) float64 { return x * y }), 200)
	for _, z := range []float64{-500, 500} {
		lines := m.Lines(z)
		if len(lines) != 2 {
			t.Fatalf("level %g: %d branches, want 2", z, len(lines))
		}
		for _, l := range lines {
			s := math.Signbit(l.P[0].X)
			for _, p := range l.P {
				if math.Signbit(p.X) != s {
					t.Errorf("level %g: a branch runs from one side to the other", z)
				}
			}
		}
	}
}

func TestHolesAreLeftOut(t *testing.T) {
	const cell = 10.0
	var p Points
	for i := range 200 {
		for j := range 200 {
			x, y := float64(i)-99.5, float64(j)-99.5
			if math.Abs(x) > 30 || math.Abs(y) > 30 {
				p.X, p.Y, p.Z = append(p.X, x), append(p.Y, y), append(p.Z, 0.001*x)
			}
		}
	}
	m := mesh(t, p, cell)
	if m.Method != MethodCells {
		t.Fatalf("method %q", m.Method)
	}
	rings := m.Region(math.Inf(-1))
	if len(rings) != 2 || area(rings[0].P)*area(rings[1].P) >= 0 {
		t.Fatalf("%d rings; want the border and a hole the other way round", len(rings))
	}
	for _, l := range m.Lines(0.00031) {
		for _, q := range l.P {
			if math.Abs(q.X) < 30-cell && math.Abs(q.Y) < 30-cell || math.Abs(q.X-0.31) > 1e-6 {
				t.Errorf("the line of x = 0.31 passes %v", q)
			}
		}
	}
}

func TestSimplifyStaysWithinTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "n")
		l := Line{Closed: rapid.Bool().Draw(t, "closed")}
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			r := 10 + rapid.Float64Range(-1, 1).Draw(t, "r")
			l.P = append(l.P, Point{r * math.Cos(a), r * math.Sin(a)})
		}
		tol := rapid.Float64Range(0.01, 2).Draw(t, "tol")
		s := l.Simplify(tol)
		if len(s.P) > len(l.P) || s.P[0] != l.P[0] || s.Closed != l.Closed {
			t.Fatalf("%d points became %d", len(l.P), len(s.P))
		}
		for _, q := range l.P {
			best := math.Inf(1)
			for k := range s.sides() {
				a, b := s.side(k)
				best = math.Min(best, fromSide(q, a, b))
			}
			if best > tol+1e-12 {
				t.Fatalf("%v is %g away, tolerance %g", q, best, tol)
			}
		}
	})
}

func TestSimplifyMakesAStraightLineTwoPoints(t *testing.T) {
	var l Line
	for i := range 50 {
		l.P = append(l.P, Point{float64(i), 2 * float64(i)})
	}
	if got := l.Simplify(1e-9); len(got.P) != 2 {
		t.Errorf("%d points", len(got.P))
	}
}
