package wholeface

import (
	"math"

	"slatewright/trouble"
)

// Add takes one more reading in; the parameters stay as they are. Its height counts from the same zero as those before. Errors
// are *trouble.Trouble.
//
// Each face is corrected by how far its own reading there, noise and all, lies from the one taken: the rule by which it was
// drawn, one reading at a time.
func (a *Live) Add(r Reading) error {
	q := a.q
	q.Readings = append(q.Readings[:len(q.Readings):len(q.Readings)], r)
	if err := q.check(); err != nil {
		return err
	}
	s := a.scene
	z := r.Z
	t := s.l.trend(r.X, r.Y)
	for k := range 3 {
		z -= a.level[k] * t[k]
	}
	if s.add(r.X, r.Y, z) > 0.5 {
		a.far++
	}
	a.q = q
	steps := make(map[*seat]*step, len(a.places))
	for _, at := range a.places {
		f, ok := s.grow(at.f, at.setting, s.ground(at.length))
		if !ok {
			return trouble.Own("repeated", "wholeface", "a reading with noise of its own cannot be told from the others", "")
		}
		at.f = f
		steps[at] = s.step(at)
	}
	last := len(s.z) - 1
	for d, f := range a.faces {
		st := steps[f.at]
		own := math.Sqrt(s.own + f.at.tau*f.at.tau)
		by := (s.z[last] - f.says(s, last) - own*f.noise.Normal()) / st.variance
		for k := range terms {
			f.trend[k] += by * st.trend[k]
			f.bench[k] += by * st.bench[k]
		}
		add(f.rest, by, st.rest)
		a.measure(d)
	}
	return nil
}

// step is how a face moves by a new reading: covariance of all its parts with that reading, given the readings before, and the
// reading's variance.
type step struct {
	trend, bench [terms]float64
	rest         []float64
	variance     float64
}

// step works out that of the last reading.
func (s *scene) step(at *seat) *step {
	n := len(s.z) - 1
	row := at.f[n]
	st := &step{variance: row[n] * row[n], rest: make([]float64, s.l.nodes())}
	// w: weights of the older readings in the prediction of the new one; the covariance given them is c(·, new) − Σ wᵢ c(·, i).
	w := append([]float64(nil), row[:n]...)
	at.f[:n].backward(w)
	w = append(w, -1)
	g, v := s.ground(at.length), at.sigma*at.sigma
	for i, wi := range w {
		for k := range terms {
			st.trend[k] -= wi * s.variance[k] * s.basis[i][k]
			st.bench[k] -= wi * s.bench[k] * s.basis[i][k]
		}
		add(st.rest, -wi*v, g.columns[i])
	}
	return st
}
