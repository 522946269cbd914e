package cleanup_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/surfacing/cleanup"
	"slatewright/trouble"
)

// shape is a slab of a piece of 914 x 1473 mm, its faces as functions of u = 2x/914 and v = 2y/1473.
type shape struct{ top, bottom func(u, v float64) float64 }

const (
	halfX, halfY = 457, 736.5
	thick        = 30
)

// grid reads the faces at nx by ny places, the edges among them.
func (s shape) grid(nx, ny int) cleanup.Slab {
	read := func(f func(u, v float64) float64) (p cleanup.Points) {
		for j := range ny {
			for i := range nx {
				u, v := 2*float64(i)/float64(nx-1)-1, 2*float64(j)/float64(ny-1)-1
				p.X, p.Y, p.Z = append(p.X, halfX*u), append(p.Y, halfY*v), append(p.Z, f(u, v))
			}
		}
		return p
	}
	return cleanup.Slab{Top: read(s.top), Bottom: read(s.bottom)}
}

func flat(z float64) func(u, v float64) float64 { return func(_, _ float64) float64 { return z } }

func thickest(t *testing.T, s cleanup.Slab) *cleanup.Planes {
	t.Helper()
	p, err := cleanup.Thickest(s)
	if err != nil {
		t.Fatal(err)
	}
	if !p.Proven || !(p.Low <= p.Thickness && p.Thickness <= p.High) {
		t.Fatalf("not proven: %+v", p)
	}
	return p
}

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: %.12g, not %.12g", what, got, want)
	}
}

// TestClosedForms holds slabs whose thickest planes can be told by hand.
func TestClosedForms(t *testing.T) {
	sq := func(a float64) float64 { return a * a }
	cases := map[string]struct {
		shape
		thickness, above, below float64 // thickness, and the most that comes off either face
	}{
		"parallel": {shape{flat(thick), flat(0)}, thick, 0, 0},
		// A tilted slab of parallel faces: 30 mm along z is less across it.
		"leaning": {shape{func(u, v float64) float64 { return thick + 3*u - 2*v }, func(u, v float64) float64 { return 3*u - 2*v }},
			thick / math.Sqrt(1+sq(3/float64(halfX))+sq(2/float64(halfY))), 0, 0},
		// A crown of 0.4 on top, the edges rest on the plane.
		"crown": {shape{func(u, v float64) float64 { return thick + 0.4*(1-u*u) }, flat(0)}, thick, 0.4, 0},
		// A dish of 0.4: the middle holds the plane.
		"dish": {shape{func(u, v float64) float64 { return thick - 0.4*(1-u*u) - 0.2*(1-v*v) }, flat(0)}, thick - 0.6, 0.6, 0},
		// A bent slab of even thickness: dish on top, crown below, the sum is lost once: middle of the top against the edges of the bottom.
		"bent": {shape{func(u, v float64) float64 { return thick + 0.3*u*u }, func(u, v float64) float64 { return 0.3 * u * u }}, thick - 0.3, 0.3, 0.3},
		// Twist of even thickness, 4T = 0.8: two opposite corners of each face hold, the planes lie level.
		"twist": {shape{func(u, v float64) float64 { return thick + 0.2*u*v }, func(u, v float64) float64 { return 0.2 * u * v }}, thick - 0.4, 0.4, 0.4},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			p := thickest(t, c.grid(11, 15))
			near(t, "thickness", p.Thickness, c.thickness, 1e-10)
			near(t, "off the top", p.Above.Max, c.above, 1e-9)
			near(t, "off the bottom", p.Below.Max, c.below, 1e-9)
			if p.Above.Min > 1e-10 || p.Below.Min > 1e-10 || len(p.Governing) < 2 {
				t.Errorf("nothing touches: %+v", p)
			}
		})
	}
	// A wedge: the planes lie so that neither face is cut deeper than it must; the thin end decides.
	wedge := shape{func(u, v float64) float64 { return thick + u }, flat(0)}.grid(11, 15)
	p := thickest(t, wedge)
	// Hulls of two planes that meet at a slope of 1/457 over 914 mm: the nearest points are the thin end's, and the planes stand normal to them.
	if !(p.Thickness >= thick-1 && p.Thickness < thick-1+1e-2) {
		t.Errorf("a wedge from %g to %g mm gives %.6f", thick-1.0, thick+1.0, p.Thickness)
	}
}

// bumpy is a slab with rough faces.
func bumpy(r *chance.Stream, n int, rough float64) cleanup.Slab {
	read := func(z float64) (p cleanup.Points) {
		a, b, c := 0.3*r.Normal(), 0.3*r.Normal(), 0.2*r.Normal()
		du, dv := 0.5*r.Normal(), 0.5*r.Normal()
		for range n {
			u, v := 2*r.Float64()-1, 2*r.Float64()-1
			p.X, p.Y = append(p.X, halfX*u), append(p.Y, halfY*v)
			p.Z = append(p.Z, z+du*u+dv*v+a*u*u+b*v*v+c*u*v+rough*r.Normal())
		}
		return p
	}
	return cleanup.Slab{Top: read(thick), Bottom: read(0)}
}

// TestAgainstSimplex compares with another library's simplex method, which solves the dual of the program along z: heights that two tilts and two
// planes are held by. Orthogonal thickness differs from it by the lean.
func TestAgainstSimplex(t *testing.T) {
	r := chance.NewStream(7)
	for range 40 {
		s := bumpy(r, 3+r.IntN(40), 0.05)
		p, err := cleanup.Thickest(s)
		var told *trouble.Trouble
		if errors.As(err, &told) && told.Code == "loose-planes" {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		vertical := simplex(t, s)
		lean := math.Sqrt(1 + p.Along()*p.Along() + p.Across()*p.Across())
		if p.Thickness > vertical+1e-9 || p.Thickness < vertical/lean-1e-9 {
			t.Errorf("thickness %.10f, along z %.10f, lean %.3g", p.Thickness, vertical, lean-1)
		}
	}
}

// simplex is the least of Σλz(top) − Σμz(bottom) where λ and μ each add to 1 and have the same middle.
func simplex(t *testing.T, s cleanup.Slab) float64 {
	t.Helper()
	n, m := s.Top.Len(), s.Bottom.Len()
	a := mat.NewDense(4, n+m, nil)
	cost := make([]float64, n+m)
	for i := range n {
		a.Set(0, i, 1)
		a.Set(2, i, s.Top.X[i]/halfX)
		a.Set(3, i, s.Top.Y[i]/halfY)
		cost[i] = s.Top.Z[i]
	}
	for i := range m {
		a.Set(1, n+i, 1)
		a.Set(2, n+i, -s.Bottom.X[i]/halfX)
		a.Set(3, n+i, -s.Bottom.Y[i]/halfY)
		cost[n+i] = -s.Bottom.Z[i]
	}
	value, _, err := lp.Simplex(cost, a, []float64{1, 1, 0, 0}, 1e-12, nil)
	if err != nil {
		t.Fatal(err)
	}
	return value
}

// TestAgainstBruteForce tries every set of contacts: planes normal to n through three readings of a face, or along two readings of each.
func TestAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := chance.NewStream(rapid.Uint64().Draw(rt, "seed"))
		s := bumpy(r, rapid.IntRange(4, 9).Draw(rt, "readings"), 0.1)
		if rapid.Bool().Draw(rt, "smooth, on one grid") { // corner lies over corner, and fewer than four readings hold
			s = smooth(r).grid(4, 4)
		}
		p, err := cleanup.Thickest(s)
		want := brute(s)
		var told *trouble.Trouble
		if errors.As(err, &told) && (told.Code == "loose-planes" || told.Code == "faces-cross") {
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		if math.Abs(p.Thickness-want) > 1e-9 || !p.Proven {
			rt.Fatalf("thickness %.12f, by every set of contacts %.12f", p.Thickness, want)
		}
	})
}

type vec = [3]float64

func minus(a, b vec) vec { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func dot(a, b vec) float64 {
	return a[0]*b[0] + a[1]*b[1] + a[2]*b[2]
}
func cross(a, b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// brute is the distance of the two hulls: the best of the normals that any contacts give.
func brute(s cleanup.Slab) float64 {
	points := func(p cleanup.Points) (list []vec) {
		for i := range p.Z {
			list = append(list, vec{p.X[i], p.Y[i], p.Z[i]})
		}
		return list
	}
	faces := [2][]vec{points(s.Top), points(s.Bottom)}
	best := math.Inf(-1)
	try := func(n vec) {
		l := math.Sqrt(dot(n, n))
		if l < 1e-9 {
			return
		}
		if n[2] < 0 {
			l = -l
		}
		n = vec{n[0] / l, n[1] / l, n[2] / l}
		upper, lower := math.Inf(1), math.Inf(-1)
		for _, q := range faces[0] {
			upper = min(upper, dot(n, q))
		}
		for _, q := range faces[1] {
			lower = max(lower, dot(n, q))
		}
		best = max(best, upper-lower)
	}
	for _, f := range faces {
		for i := range f {
			for j := range i {
				for k := range j {
					try(cross(minus(f[j], f[i]), minus(f[k], f[i])))
				}
			}
		}
	}
	for i, a := range faces[0] {
		for k, c := range faces[1] {
			try(minus(a, c))
			for _, b := range faces[0][:i] {
				along := minus(b, a)
				from := minus(c, a)
				try(cross(cross(along, from), along))
				for _, d := range faces[1][:k] {
					try(cross(along, minus(d, c)))
				}
			}
			for _, d := range faces[1][:k] {
				along := minus(d, c)
				try(cross(cross(along, minus(a, c)), along))
			}
		}
	}
	return best
}

// TestLargeMaps counts the passes over 2 × 10⁵ readings and finds a planted low place.
func TestLargeMaps(t *testing.T) {
	s := shape{func(u, v float64) float64 { return thick + 0.3*u*u - 0.2*v*v + 0.01*math.Sin(40*u)*math.Cos(31*v) },
		func(u, v float64) float64 { return 0.2*u*v + 0.01*math.Cos(37*u+3)*math.Sin(29*v) }}.grid(400, 250)
	r := chance.NewStream(3)
	for i := range s.Top.Z {
		s.Top.Z[i] += 0.004 * r.Normal()
		s.Bottom.Z[i] += 0.004 * r.Normal()
	}
	p := thickest(t, s)
	if p.Passes > 4 {
		t.Errorf("%d passes", p.Passes)
	}
	t.Logf("%d passes, %.6f mm", p.Passes, p.Thickness)
	before := p.Thickness
	const at = 77777
	s.Top.Z[at] -= 2
	p = thickest(t, s)
	if p.Thickness > before-1.5 || p.Passes > 5 {
		t.Errorf("a hole of 2 mm costs %.6f mm, in %d passes", before-p.Thickness, p.Passes)
	}
	found := false
	for _, c := range p.Governing {
		found = found || c.Top && c.Reading == at
		if wrong := c.Top && c.Reading == at; wrong != (c.Costs > 1) || wrong && math.Abs(c.Costs-(before-p.Thickness)) > 1e-3 {
			t.Errorf("%+v costs %.6f, and the hole %.6f", c, c.Costs, before-p.Thickness)
		}
	}
	if !found {
		t.Errorf("the hole does not govern: %+v", p.Governing)
	}
	s.Bottom.Z[123] = math.NaN()
	if _, err := cleanup.Thickest(s); code(err) != "not-finite" {
		t.Errorf("a reading that is not a number: %v", err)
	}
}

func code(err error) string {
	var told *trouble.Trouble
	if errors.As(err, &told) {
		return told.Code
	}
	return ""
}

func TestRefused(t *testing.T) {
	good := shape{flat(thick), flat(0)}.grid(4, 4)
	for want, change := range map[string]func(s *cleanup.Slab){
		"few-readings": func(s *cleanup.Slab) { s.Top = cleanup.Points{X: []float64{0}, Y: []float64{0}, Z: []float64{1}} },
		"faces-cross":  func(s *cleanup.Slab) { s.Top, s.Bottom = s.Bottom, s.Top },
		"loose-planes": func(s *cleanup.Slab) {
			s.Bottom.X = append([]float64{}, s.Bottom.X...)
			for i := range s.Bottom.X {
				s.Bottom.X[i] += 2000
			}
		},
	} {
		s := good
		change(&s)
		if p, err := cleanup.Thickest(s); code(err) != want {
			t.Errorf("%s: %+v, %v", want, p, err)
		}
	}
}
