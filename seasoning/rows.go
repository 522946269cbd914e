package seasoning

import (
	"math"
	"slices"
)

// The lattice of τ that all series share: τ = exp(u), u a whole multiple of pace.
const pace = 0.1

// problem is a series made ready: readings by day, each row divided by its standard deviation.
type problem struct {
	days, values, weight []float64
	from                 []int // places in Readings
	known                bool
	moved                []float64
	start                *float64
	prior                *Prior
	floor                float64     // least variance that scatter can show: readings are rounded
	low, high            int         // ends of the lattice
	waves                [][]float64 // exp(−day/τ) along the lattice, from low − deepest on, not weighted
}

func (s Series) problem(known bool, prior *Prior) *problem {
	list, from := s.sorted()
	p := &problem{from: from, known: known, moved: slices.Clone(s.Moved), start: s.Start}
	slices.Sort(p.moved)
	for _, r := range list {
		w := 1.0
		if known {
			w = 1 / r.SD
		}
		p.days, p.values, p.weight = append(p.days, r.Day), append(p.values, r.Value), append(p.weight, w)
	}
	small, large := slices.Min(p.values), slices.Max(p.values)
	least := 1e-6*(large-small) + 1e-9*max(math.Abs(small), math.Abs(large))
	p.floor = least * least
	p.reach(prior)
	return p
}

// reach lays the lattice: from a tenth of the closest two days to a hundred times the whole span, beyond which a relaxation is a straight line.
func (p *problem) reach(prior *Prior) {
	first, last := p.days[0], p.days[len(p.days)-1]
	if p.start != nil {
		first = min(first, 0)
	}
	span, least := last-first, math.Inf(1)
	for i := 1; i < len(p.days); i++ {
		if gap := p.days[i] - p.days[i-1]; gap > 0 {
			least = min(least, gap)
		}
	}
	if span <= 0 {
		span, least = 1, 1
	}
	p.low, p.high = int(math.Floor(math.Log(max(least/10, span/1000))/pace)), int(math.Ceil(math.Log(100*span)/pace))
	if prior != nil {
		p.low = min(p.low, int(math.Floor((prior.LogTau-5*prior.SD)/pace)))
		p.high = max(p.high, int(math.Ceil((prior.LogTau+5*prior.SD)/pace)))
	}
	flat := make([]float64, (p.high-p.low+1+deepest)*len(p.days))
	for g := p.low - deepest; g <= p.high; g++ {
		wave := flat[:len(p.days):len(p.days)]
		flat = flat[len(p.days):]
		rate := math.Exp(-pace * float64(g))
		for i, d := range p.days {
			wave[i] = math.Exp(-d * rate)
		}
		p.waves = append(p.waves, wave)
	}
}

// most is the largest number of columns: three moves, a jump, the final value, two terms and the changes of their τ.
const most = 9

// hypothesis is one account of the readings.
type hypothesis struct {
	out  []int // readings that are wrong, ascending
	form form  // of the relaxation
	two  bool  // two plain terms, each with its own τ
	skin int   // two plain terms, the faster one so many steps of the lattice below: the share of the skin is free
	jump int   // everything before this reading is shifted; 0: nothing is
}

func (h hypothesis) without(i int) hypothesis {
	h.out = slices.Sorted(slices.Values(append(slices.Clone(h.out), i)))
	return h
}

// rows are the readings that count under a hypothesis, weighted, less the columns that no forecast needs (moves and the jump).
type rows struct {
	*problem
	form   form
	skin   int
	keep   []int
	hidden [][]float64 // orthonormal
	y      []float64
	ones   []float64
	buffer [5][]float64
	pledge float64 // weight of what the layer says of the amplitude, as one row more; 0: none
	short  bool    // a hidden column is empty or a copy of another
}

func (p *problem) rows(h hypothesis) *rows {
	r := &rows{problem: p, form: h.form, skin: h.skin}
	for i := range p.days {
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
		edges = append(edges, p.days[h.jump])
	}
	for _, edge := range edges {
		column := make([]float64, n)
		for j, i := range r.keep {
			if p.days[i] < edge {
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

// wave fills a buffer with the column of a term, and change with that of its change with ln τ, both for amplitude 1.
func (r *rows) wave(into int, tau float64) []float64 {
	column := r.buffer[into]
	for j, i := range r.keep {
		share, _ := r.form.at(r.days[i] / tau)
		column[j] = r.weight[i] * r.less(share)
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
	place := lattice - r.low + deepest
	part, steps := r.form.skin()
	rate := math.Exp(-pace * float64(lattice))
	for j, i := range r.keep {
		share := r.waves[place][i]
		switch {
		case r.form == slab:
			share, _ = slabShare(r.days[i] * rate)
		case part > 0:
			share = (1-part)*share + part*r.waves[place-steps][i]
		}
		column[j] = r.weight[i] * r.less(share)
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

func (r *rows) change(into int, tau, amplitude float64) []float64 {
	column := r.buffer[into]
	for j, i := range r.keep {
		_, by := r.form.at(r.days[i] / tau)
		column[j] = amplitude * r.weight[i] * by
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
	rss   float64
	rest  []float64   // residuals
	turn  [][]float64 // orthonormal columns
	short bool        // the columns do not tell the coefficients apart
}

// solve fits columns to the readings by modified Gram–Schmidt. Its columns are copied.
func (r *rows) solve(s *solved, columns ...[]float64) {
	n := len(r.y)
	s.k, s.short = len(columns), r.short || n < len(columns)+len(r.hidden)
	for len(s.turn) < len(columns)+1 {
		s.turn = append(s.turn, nil)
	}
	for i := range s.turn {
		if cap(s.turn[i]) < n {
			s.turn[i] = make([]float64, n)
		}
		s.turn[i] = s.turn[i][:n]
	}
	s.rest = s.turn[len(columns)]
	copy(s.rest, r.y)
	var along [most]float64
	for i, c := range columns {
		q := s.turn[i]
		copy(q, c)
		whole := dot(q, q)
		for j := range i {
			s.r[j][i] = dot(s.turn[j], q)
			away(q, s.turn[j], s.r[j][i])
		}
		size := math.Sqrt(dot(q, q))
		s.r[i][i] = size
		if !(size > 1e-8*math.Sqrt(whole)) || size == 0 {
			s.short = true
			s.r[i][i], along[i] = math.Inf(1), 0
			clear(q)
			continue
		}
		for j := range q {
			q[j] /= size
		}
		along[i] = dot(q, s.rest)
		away(s.rest, q, along[i])
	}
	s.rss = dot(s.rest, s.rest)
	for i := s.k - 1; i >= 0; i-- {
		b := along[i]
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
