package float

import (
	"math"

	"slatewright/bed/holes/fit"
)

// sides is how many tangents each circle of a float has. The corners between them lie outside by 1.2 millionths of the float.
const sides = 2048

// directions are the tangents' unit vectors.
var directions = func() (all [sides]fit.Vector) {
	for k := range all {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / sides)
		all[k] = fit.Vector{X: cos, Y: sin}
	}
	return all
}()

func direction(k int) fit.Vector { return directions[k] }

// tangents are the rows of the linear programme. Unknowns: for each part its shift along x and y and its turn times a lever, and last t, the float that is missing at the tightest
// bolt. Rows: for passage i the tangents i·sides … (n·(hole − bolt) − t ≤ float), after the passages two for each closure, then two for the reach of each
// unknown but t, and one that keeps t above what every bolt has.
type tangents struct {
	q     Question
	lever []float64 // of each part
	least float64   // t is never below it
}

func newTangents(q Question) *tangents {
	t := &tangents{q: q, lever: make([]float64, len(q.Parts))}
	for i := range t.lever {
		t.lever[i] = 1
	}
	see := func(part int, at fit.Vector) {
		if part != Ground {
			m := q.Parts[part].Middle
			t.lever[part] = max(t.lever[part], math.Hypot(at.X-m.X, at.Y-m.Y))
		}
	}
	for i, p := range q.Passages {
		see(p.Hole, p.At)
		see(p.Bolt, p.To)
		if i == 0 || -p.Float > t.least {
			t.least = -p.Float
		}
	}
	t.least--
	return t
}

// Dim is the number of unknowns.
func (t *tangents) Dim() int { return 3*len(t.q.Parts) + 1 }

// reach is how far each unknown may go from 0; of t far more than can matter.
func (t *tangents) reach() []float64 {
	r := make([]float64, 0, t.Dim())
	for i, p := range t.q.Parts {
		r = append(r, p.Shift, p.Shift, p.Turn*t.lever[i])
	}
	return append(r, 1e4)
}

// put adds f·n·(move of part at a place) to a row.
func (t *tangents) put(a []float64, part int, at, n fit.Vector, f float64) {
	if part == Ground {
		return
	}
	m := t.q.Parts[part].Middle
	a[3*part] += f * n.X
	a[3*part+1] += f * n.Y
	a[3*part+2] += f * (n.Y*(at.X-m.X) - n.X*(at.Y-m.Y)) / t.lever[part]
}

// Row writes one row.
func (t *tangents) Row(id int, a []float64) float64 {
	clear(a)
	if i := id / sides; i < len(t.q.Passages) {
		p, n := t.q.Passages[i], direction(id%sides)
		t.put(a, p.Hole, p.At, n, 1)
		t.put(a, p.Bolt, p.To, n, -1)
		a[len(a)-1] = -1
		return p.Float - n.X*(p.At.X-p.To.X) - n.Y*(p.At.Y-p.To.Y)
	}
	id -= sides * len(t.q.Passages)
	if id < 2*len(t.q.Closures) {
		c := t.q.Closures[id/2]
		f, b := 1., c.High
		if id%2 == 1 {
			f, b = -1, -c.Low
		}
		t.put(a, c.B, c.At, c.N, f)
		t.put(a, c.A, c.At, c.N, -f)
		return b
	}
	id -= 2 * len(t.q.Closures)
	if j := id / 2; j < t.Dim()-1 {
		a[j] = 1 - 2*float64(id%2)
		p := t.q.Parts[j/3]
		if j%3 == 2 {
			return p.Turn * t.lever[j/3]
		}
		return p.Shift
	}
	a[len(a)-1] = -1
	return -t.least
}

// Worst reports the worst tangent of each passage and every other row that is broken.
func (t *tangents) Worst(v []float64, ray bool, yield func(int, float64)) {
	missing := v[len(v)-1]
	for i, p := range t.q.Passages {
		apart := fit.Vector{}
		float := 0.
		if !ray {
			apart, float = fit.Vector{X: p.At.X - p.To.X, Y: p.At.Y - p.To.Y}, p.Float
		}
		h, b := t.move(v, p.Hole, p.At), t.move(v, p.Bolt, p.To)
		apart.X, apart.Y = apart.X+h.X-b.X, apart.Y+h.Y-b.Y
		k := int(math.Round(math.Atan2(apart.Y, apart.X)*sides/(2*math.Pi))+sides) % sides
		n := direction(k)
		if excess := n.X*apart.X + n.Y*apart.Y - float - missing; excess > 0 {
			yield(i*sides+k, excess)
		}
	}
	a := make([]float64, len(v))
	for id := sides * len(t.q.Passages); id < t.rows(); id++ {
		b := t.Row(id, a)
		if ray {
			b = 0
		}
		for j, x := range a {
			b -= x * v[j]
		}
		if b < 0 {
			yield(id, -b)
		}
	}
}

func (t *tangents) rows() int {
	return sides*len(t.q.Passages) + 2*len(t.q.Closures) + 2*(t.Dim()-1) + 1
}

// move is how a part moves a place, turns taken as linear.
func (t *tangents) move(v []float64, part int, at fit.Vector) fit.Vector {
	if part == Ground {
		return fit.Vector{}
	}
	m, turn := t.q.Parts[part].Middle, v[3*part+2]/t.lever[part]
	return fit.Vector{X: v[3*part] - turn*(at.Y-m.Y), Y: v[3*part+1] + turn*(at.X-m.X)}
}

// warm are rows to begin with: some tangents of each circle, all closures and the reach of every unknown.
func (t *tangents) warm() []int {
	var list []int
	for id := sides * len(t.q.Passages); id < t.rows(); id++ {
		list = append(list, id)
	}
	for i := range t.q.Passages {
		for k := range 8 {
			list = append(list, i*sides+k*sides/8)
		}
	}
	return list
}
