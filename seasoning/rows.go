package seasoning

import (
	"math"
	"slices"

	"slatewright/seasoning/relax"
)

// problem is a series made ready: readings by day, each row divided by its standard deviation.
type problem struct {
	*relax.Lattice
	values, weight []float64
	from           []int // places in Readings
	known          bool
	moved          []float64
	start          *float64
	prior          *Prior
	floor          float64 // least variance that scatter can show: readings are rounded

	work   solved // room to work in
	points []point
	list   []float64
	terms  [2]struct {
		form                relax.Form
		tau                 float64
		share, change, fast []float64
	}
}

func (s Series) problem(known bool, prior *Prior, laid *relax.Lattice) *problem {
	list, from := s.sorted()
	p := &problem{from: from, known: known, moved: slices.Clone(s.Moved), start: s.Start}
	slices.Sort(p.moved)
	n := len(list)
	flat := make([]float64, 9*n)
	days := flat[:n:n]
	p.values, p.weight = flat[n:2*n:2*n], flat[2*n:3*n:3*n]
	for i := range p.terms {
		room := flat[3*(i+1)*n:]
		p.terms[i].share, p.terms[i].change, p.terms[i].fast = room[:n], room[n:2*n], room[2*n:3*n]
	}
	for i, r := range list {
		days[i], p.values[i], p.weight[i] = r.Day, r.Value, 1
		if known {
			p.weight[i] = 1 / r.SD
		}
	}
	small, large := slices.Min(p.values), slices.Max(p.values)
	least := 1e-6*(large-small) + 1e-9*max(math.Abs(small), math.Abs(large))
	p.floor = least * least
	p.Lattice = relax.Reach(days, s.Start != nil)
	if prior != nil {
		p.Widen(prior.LogTau-5*prior.SD, prior.LogTau+5*prior.SD)
	}
	p.Lattice = p.Lay(laid)
	return p
}

// term gives the course of a term and its change with ln τ on all days; slot 0 and 1 each remember the last one.
func (p *problem) term(slot int, f relax.Form, tau float64) (share, change []float64) {
	t := &p.terms[slot]
	if t.tau == tau && t.form == f {
		return t.share, t.change
	}
	t.form, t.tau = f, tau
	f.Course(tau, p.Days, t.share, t.change, t.fast)
	return t.share, t.change
}

// most is the largest number of columns: three moves, a jump, the final value, two terms and the changes of their τ.
const most = 9

// hypothesis is one account of the readings.
type hypothesis struct {
	out  []int      // readings that are wrong, ascending
	form relax.Form // of the relaxation
	two  bool       // two plain terms, each with its own τ
	skin int        // two plain terms, the faster one so many steps of the lattice below: the share of the skin is free
	jump int        // everything before this reading is shifted; 0: nothing is
}

func (h hypothesis) without(i int) hypothesis {
	h.out = slices.Sorted(slices.Values(append(slices.Clone(h.out), i)))
	return h
}

// rows are the readings that count under a hypothesis, weighted, less the columns that no forecast needs (moves and the jump).
type rows struct {
	*problem
	form    relax.Form
	skin    int
	keep    []int
	hidden  [][]float64 // orthonormal
	y       []float64
	ones    []float64
	buffer  [4][]float64
	visible [3][]float64
	pledge  float64 // weight of what the layer says of the amplitude, as one row more; 0: none
	short   bool    // a hidden column is empty or a copy of another
}

func (p *problem) rows(h hypothesis) *rows {
	r := &rows{problem: p, form: h.form, skin: h.skin, keep: make([]int, 0, len(p.Days))}
	for i := range p.Days {
		if _, gone := slices.BinarySearch(h.out, i); !gone {
			r.keep = append(r.keep, i)
		}
	}
	n := len(r.keep)
	if p.prior != nil && p.prior.AmplitudeSD > 0 {
		r.pledge = 1 / p.prior.AmplitudeSD
		n++
	}
	flat := make([]float64, n*(len(r.buffer)+2))
	take := func() (piece []float64) {
		piece, flat = flat[:n:n], flat[n:]
		return piece
	}
	for i := range r.buffer {
		r.buffer[i] = take()
	}
	r.y, r.ones = take(), take()
	edges := slices.Clone(p.moved)
	if h.jump > 0 {
		edges = append(edges, p.Days[h.jump])
	}
	for _, edge := range edges {
		column := make([]float64, n)
		for j, i := range r.keep {
			if p.Days[i] < edge {
				column[j] = p.weight[i]
			}
		}
		if !r.hide(column) {
			r.short = true
		}
	}
	for j, i := range r.keep {
		r.ones[j] = p.weight[i]
		r.y[j] = p.values[i] * p.weight[i]
		if p.start != nil {
			r.y[j] -= *p.start * p.weight[i]
		}
	}
	if r.pledge > 0 {
		r.y[n-1] = r.pledge * p.prior.Amplitude
	}
	r.clear(r.ones)
	r.clear(r.y)
	return r
}

// hide takes a column in among the hidden ones.
func (r *rows) hide(column []float64) bool {
	before := math.Sqrt(dot(column, column))
	r.clear(column)
	size := math.Sqrt(dot(column, column))
	if !(size > 1e-9*before) {
		return false
	}
	for i := range column {
		column[i] /= size
	}
	r.hidden = append(r.hidden, column)
	return true
}

// clear takes the hidden columns out of one.
func (r *rows) clear(column []float64) {
	for _, h := range r.hidden {
		away(column, h, dot(column, h))
	}
}

func dot(a, b []float64) (sum float64) {
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

func away(a, b []float64, times float64) {
	for i := range a {
		a[i] -= times * b[i]
	}
}

// wave fills buffer 0 or 1 with the column of a term of amplitude 1.
func (r *rows) wave(into int, tau float64) []float64 {
	column := r.buffer[into]
	share, _ := r.term(into, r.form, tau)
	for j, i := range r.keep {
		column[j] = r.weight[i] * r.less(share[i])
	}
	return r.whole(column)
}

// less is the course of a term: it ends at 0, or begins at 0 where the start is known.
func (p *problem) less(e float64) float64 {
	if p.start != nil {
		return e - 1
	}
	return e
}

// at is the same on the lattice.
func (r *rows) at(into, lattice int) []float64 {
	column := r.buffer[into]
	part, steps := r.form.Skin()
	wave := r.Wave(lattice)
	if r.form == relax.Slab {
		wave = r.Slab(lattice)
	}
	if part == 0 {
		for j, i := range r.keep {
			column[j] = r.weight[i] * r.less(wave[i])
		}
		return r.whole(column)
	}
	fast := r.Wave(lattice - steps)
	for j, i := range r.keep {
		column[j] = r.weight[i] * r.less((1-part)*wave[i]+part*fast[i])
	}
	return r.whole(column)
}

// whole adds to the column of a term what it is in the row of the pledge.
func (r *rows) whole(column []float64) []float64 {
	if r.pledge > 0 {
		column[len(r.keep)] = r.pledge
	}
	r.clear(column)
	return column
}

// change fills buffer 2 or 3, for the slower and the faster term.
func (r *rows) change(into int, tau, amplitude float64) []float64 {
	column := r.buffer[into]
	_, by := r.term(into-2, r.form, tau)
	for j, i := range r.keep {
		column[j] = amplitude * r.weight[i] * by[i]
	}
	if r.pledge > 0 {
		column[len(r.keep)] = 0
	}
	r.clear(column)
	return column
}

// solved is a least-squares fit: upper triangle, coefficients, residual sum of squares.
type solved struct {
	k     int
	r     [most][most]float64
	beta  [most]float64
	along [most]float64 // of the readings, each orthonormal column
	rss   float64
	rest  []float64   // residuals
	turn  [][]float64 // orthonormal columns
	short bool        // the columns do not tell the coefficients apart
}

// solve fits columns to the readings by modified Gram–Schmidt. Its columns are copied.
func (r *rows) solve(s *solved, columns ...[]float64) {
	s.k, s.short, s.rest = 0, r.short, append(s.rest[:0], r.y...)
	r.add(s, columns...)
}

// add fits further columns beside those that a fit has.
func (r *rows) add(s *solved, columns ...[]float64) {
	for _, c := range columns {
		i := s.k
		s.k++
		if i == len(s.turn) {
			s.turn = append(s.turn, nil)
		}
		q := append(s.turn[i][:0], c...)
		s.turn[i] = q
		whole := dot(q, q)
		for j := range i {
			s.r[j][i] = dot(s.turn[j], q)
			away(q, s.turn[j], s.r[j][i])
		}
		size := math.Sqrt(dot(q, q))
		s.r[i][i] = size
		if !(size > 1e-8*math.Sqrt(whole)) || size == 0 {
			s.short = true
			s.r[i][i], s.along[i] = math.Inf(1), 0
			clear(q)
			continue
		}
		for j := range q {
			q[j] /= size
		}
		s.along[i] = dot(q, s.rest)
		away(s.rest, q, s.along[i])
	}
	s.short = s.short || len(r.y) < s.k+len(r.hidden)
	s.rss = dot(s.rest, s.rest)
	for i := s.k - 1; i >= 0; i-- {
		b := s.along[i]
		for j := i + 1; j < s.k; j++ {
			b -= s.r[i][j] * s.beta[j]
		}
		s.beta[i] = b / s.r[i][i]
	}
}

// spread is the variance of Σ ahead·beta, for readings of variance 1.
func spread(k int, r *[most][most]float64, ahead *[most]float64) (v float64) {
	var z [most]float64
	for i := range k {
		x := ahead[i]
		for j := range i {
			x -= r[j][i] * z[j]
		}
		z[i] = x / r[i][i]
		v += z[i] * z[i]
	}
	return v
}
