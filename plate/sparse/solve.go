package sparse

// together is how many right sides are carried through the factor at once: each number of the factor is then fetched from
// memory once for all of them.
const together = 8

// Solve returns x with A·x = b. b is not changed.
func (f *Factor) Solve(b []float64) []float64 {
	y := make([]float64, f.n)
	for a, z := range b {
		if f.live[a] {
			y[a] = z
		}
	}
	for i := range f.fronts {
		w := &f.fronts[i]
		own := w.gather(y)
		for r, u := range w.rows {
			row := w.l[r*w.own : (r+1)*w.own]
			if r < w.own {
				own[r] = (own[r] - dot(row[:r], own)) / row[r]
			} else {
				y[u] -= dot(row, own)
			}
		}
		w.scatter(own, y)
	}
	for i := len(f.fronts) - 1; i >= 0; i-- {
		w := &f.fronts[i]
		own := w.gather(y)
		for r := len(w.rows) - 1; r >= 0; r-- {
			row := w.l[r*w.own : (r+1)*w.own]
			s := 0.0
			if r < w.own {
				own[r] /= row[r]
				s, row = own[r], row[:r]
			} else {
				s = y[w.rows[r]]
			}
			for k, v := range row {
				own[k] -= v * s
			}
		}
		w.scatter(own, y)
	}
	return y
}

// gather copies the front's own unknowns out of y, and scatter back into it.
func (w *front) gather(y []float64) []float64 {
	own := make([]float64, w.own)
	for k := range own {
		own[k] = y[w.rows[k]]
	}
	return own
}

func (w *front) scatter(own, y []float64) {
	for k, v := range own {
		y[w.rows[k]] = v
	}
}

// SolveAll solves for several right sides, each as long as the matrix.
func (f *Factor) SolveAll(b [][]float64) [][]float64 {
	x := make([][]float64, 0, len(b))
	for from := 0; from < len(b); from += together {
		group := b[from:min(from+together, len(b))]
		y := make([]float64, f.n*together)
		for k, v := range group {
			for a, z := range v {
				if f.live[a] {
					y[a*together+k] = z
				}
			}
		}
		f.forward(y)
		f.backward(y)
		for k := range group {
			v := make([]float64, f.n)
			for a := range v {
				v[a] = y[a*together+k]
			}
			x = append(x, v)
		}
	}
	return x
}

type lanes = [together]float64

func at(y []float64, a int) *lanes { return (*lanes)(y[a*together:]) }

// forward solves L·y = b in place.
func (f *Factor) forward(y []float64) {
	for i := range f.fronts {
		w := &f.fronts[i]
		if w.untouched(y) {
			continue
		}
		for r, u := range w.rows {
			row := w.l[r*w.own : (r+1)*w.own]
			s := *at(y, u)
			for k, v := range row[:min(r, w.own)] {
				z := at(y, w.rows[k])
				for t := range s {
					s[t] -= v * z[t]
				}
			}
			if r < w.own {
				d := 1 / row[r]
				for t := range s {
					s[t] *= d
				}
			}
			*at(y, u) = s
		}
	}
}

// untouched tells whether nothing stands on the right side of the front's own unknowns, as below most of a plate when one
// place is pushed: their part of the solution of L·y = b is then 0.
func (w *front) untouched(y []float64) bool {
	for _, u := range w.rows[:w.own] {
		if *at(y, u) != (lanes{}) {
			return false
		}
	}
	return true
}

// backward solves Lᵀ·x = y in place.
func (f *Factor) backward(y []float64) {
	for i := len(f.fronts) - 1; i >= 0; i-- {
		w := &f.fronts[i]
		for r := len(w.rows) - 1; r >= 0; r-- {
			row := w.l[r*w.own : (r+1)*w.own]
			p := at(y, w.rows[r])
			if r < w.own {
				d := 1 / row[r]
				for t := range p {
					p[t] *= d
				}
			}
			s := *p
			for k, v := range row[:min(r, w.own)] {
				z := at(y, w.rows[k])
				for t := range s {
					z[t] -= v * s[t]
				}
			}
		}
	}
}
