// Package raster sorts the readings of a face by the lines along which they were taken, takes off what is the piece's own (plane, bow, twist), and tells the
// mean profile across the tracks, without listening to chips.
//
// It knows no machine and finds no marks. s is the place along the feed, t across it, mm.
package raster

import (
	"math"
	"slices"
)

// Raster is a face on the lines along which it was read: Z[i·len(T)+j] at S[i], T[j]; NaN where there is no reading.
type Raster struct {
	S, T []float64
	Z    []float64
}

// lineWidth is how far readings of one line may lie apart, mm.
const lineWidth = 1.0

// Of sorts readings at the places (s, t) by lines, rising; there is at least one. Readings that lie on no lines are gathered in cells.
func Of(s, t, z []float64) *Raster {
	ls, si, lt, ti := linesOf(s, t)
	r := &Raster{S: ls, T: lt, Z: make([]float64, len(ls)*len(lt))}
	n := make([]float64, len(r.Z))
	for i, z := range z {
		at := si[i]*len(lt) + ti[i]
		r.Z[at] += z
		n[at]++
	}
	for i := range r.Z {
		r.Z[i] /= n[i] // NaN where n is 0
	}
	return r
}

// linesOf finds the lines: groups no wider than 1 mm in both directions; or in one of them, with fine steps along those lines; or even steps in
// both; or else cells that hold one reading each, on the average.
func linesOf(ms, mt []float64) (s []float64, si []int, t []float64, ti []int) {
	n := len(ms)
	s, si = clusters(ms)
	t, ti = clusters(mt)
	fine := func(v []float64, lines int) ([]float64, []int) {
		if d, at := distinct(v); len(d)*lines <= 2*n {
			return d, at
		}
		return nil, nil
	}
	switch {
	case s == nil && t != nil:
		s, si = fine(ms, len(t))
	case t == nil && s != nil:
		t, ti = fine(mt, len(s))
	case s == nil && t == nil:
		ds, ai := distinct(ms)
		if dt, bi := distinct(mt); len(ds)*len(dt) <= 2*n {
			return ds, ai, dt, bi
		}
	}
	if s != nil && t != nil && len(s)*len(t) <= 4*n {
		return s, si, t, ti
	}
	a := (slices.Max(ms) - slices.Min(ms)) * (slices.Max(mt) - slices.Min(mt))
	cell := max(1, math.Sqrt(a/float64(n)))
	s, si = binned(ms, cell)
	t, ti = binned(mt, cell)
	return s, si, t, ti
}

// clusters parts v at gaps of more than a millimetre; nil if a part is wider than that.
func clusters(v []float64) ([]float64, []int) {
	order := Order(v)
	at := make([]int, len(v))
	var means []float64
	for i := 0; i < len(order); {
		j, sum := i, 0.0
		for ; j < len(order) && (j == i || v[order[j]]-v[order[j-1]] <= lineWidth); j++ {
			sum += v[order[j]]
			at[order[j]] = len(means)
		}
		if v[order[j-1]]-v[order[i]] > lineWidth {
			return nil, nil
		}
		means = append(means, sum/float64(j-i))
		i = j
	}
	return means, at
}

// distinct are the values, to a hundredth of a millimetre.
func distinct(v []float64) ([]float64, []int) {
	order := Order(v)
	at := make([]int, len(v))
	var list []float64
	for _, i := range order {
		if n := len(list); n == 0 || v[i]-list[n-1] > 0.01 {
			list = append(list, v[i])
		}
		at[i] = len(list) - 1
	}
	return list, at
}

// binned gathers values in cells of equal width; a cell stands for its middle.
func binned(v []float64, width float64) ([]float64, []int) {
	low := slices.Min(v)
	at := make([]int, len(v))
	for i, x := range v {
		at[i] = int((x - low) / width)
	}
	list := make([]float64, slices.Max(at)+1)
	for i := range list {
		list[i] = low + (float64(i)+0.5)*width
	}
	return list, at
}

// Order is the order in which values rise.
func Order(v []float64) []int {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case v[a] < v[b]:
			return -1
		case v[a] > v[b]:
			return 1
		}
		return 0
	})
	return order
}

// Gap is the usual distance between neighbouring lines: the median; +Inf for fewer than two.
func Gap(v []float64) float64 {
	if len(v) < 2 {
		return math.Inf(1)
	}
	d := make([]float64, len(v)-1)
	for i := range d {
		d[i] = v[i+1] - v[i]
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// Flatten takes the least-squares surface of the second order off, not listening to chips, and returns how much single readings scatter.
func (r *Raster) Flatten() float64 {
	cols := func(i, j int) [6]float64 {
		u, v := r.S[i]/500, r.T[j]/500
		return [6]float64{1, u, v, u * u, v * v, u * v}
	}
	res := slices.Clone(r.Z)
	scale := math.Inf(1)
	ns, nt := len(r.S), len(r.T)
	for range 6 {
		var a [6][7]float64
		for i := range ns {
			for j := range nt {
				e := res[i*nt+j]
				if math.IsNaN(e) {
					continue
				}
				w := biweight(e, scale)
				c := cols(i, j)
				for p := range c {
					for q := p; q < 6; q++ {
						a[p][q] += w * c[p] * c[q]
					}
					a[p][6] += w * c[p] * r.Z[i*nt+j]
				}
			}
		}
		x := solve6(a, ns, nt)
		var size []float64
		for i := range ns {
			for j := range nt {
				c := cols(i, j)
				e := r.Z[i*nt+j]
				for p := range c {
					e -= x[p] * c[p]
				}
				res[i*nt+j] = e
				if !math.IsNaN(e) {
					size = append(size, math.Abs(e))
				}
			}
		}
		scale = 1.4826 * median(size)
	}
	r.Z = res
	return scale
}

// biweight is Tukey's weight of a residual: 0 beyond six scales.
func biweight(e, scale float64) float64 {
	if math.IsInf(scale, 1) || scale == 0 {
		return 1
	}
	u := e / (6 * scale)
	return max(0, 1-u*u) * max(0, 1-u*u)
}

// solve6 solves the normal equations; a term that the lines cannot tell (two lines know no curvature) is left out.
func solve6(a [6][7]float64, ns, nt int) (x [6]float64) {
	keep := [6]bool{true, ns > 1, nt > 1, ns > 2, nt > 2, ns > 1 && nt > 1}
	for p := range 6 {
		for q := range p {
			a[p][q] = a[q][p]
		}
	}
	for p := range 6 {
		if !keep[p] || a[p][p] <= 1e-12*a[0][0] {
			keep[p] = false
			for q := range 6 {
				a[p][q], a[q][p] = 0, 0
			}
			a[p][p], a[p][6] = 1, 0
		}
	}
	for p := range 6 {
		best := p
		for q := p + 1; q < 6; q++ {
			if math.Abs(a[q][p]) > math.Abs(a[best][p]) {
				best = q
			}
		}
		a[p], a[best] = a[best], a[p]
		if a[p][p] == 0 {
			continue
		}
		for q := range 6 {
			if q != p {
				f := a[q][p] / a[p][p]
				for c := p; c < 7; c++ {
					a[q][c] -= f * a[p][c]
				}
			}
		}
	}
	for p := range 6 {
		if a[p][p] != 0 {
			x[p] = a[p][6] / a[p][p]
		}
	}
	return x
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	v = slices.Clone(v)
	slices.Sort(v)
	return v[len(v)/2]
}

// Across is the mean profile across the tracks, and the rise along the feed from one end of the readings to the other, at each line that holds
// at least half as many readings as the fullest. Chips are not listened to.
func (r *Raster) Across(scale float64) (t, mean, rise []float64) {
	nt := len(r.T)
	count := make([]int, nt)
	most := 0
	for j := range nt {
		for i := range r.S {
			if !math.IsNaN(r.Z[i*nt+j]) {
				count[j]++
			}
		}
		most = max(most, count[j])
	}
	for j := range nt {
		if 2*count[j] < most || count[j] == 0 {
			continue
		}
		m, slope := r.line(j, scale)
		t, mean, rise = append(t, r.T[j]), append(mean, m), append(rise, slope*(r.S[len(r.S)-1]-r.S[0]))
	}
	return t, mean, rise
}

// line fits a straight line along the feed to the readings of line j: its height at s = 0, and its slope. It begins from their median, since a whole
// line may stand far off the others.
func (r *Raster) line(j int, scale float64) (mean, slope float64) {
	nt := len(r.T)
	var all []float64
	for i := range r.S {
		if e := r.Z[i*nt+j]; !math.IsNaN(e) {
			all = append(all, e)
		}
	}
	mean = median(all)
	for range 4 {
		var w0, w1, w2, y0, y1 float64
		for i, s := range r.S {
			e := r.Z[i*nt+j]
			if math.IsNaN(e) {
				continue
			}
			w := biweight(e-mean-slope*s, scale*0.75)
			w0, w1, w2, y0, y1 = w0+w, w1+w*s, w2+w*s*s, y0+w*e, y1+w*e*s
		}
		if d := w0*w2 - w1*w1; len(r.S) > 2 && d > 1e-9*w0*w2 {
			mean, slope = (w2*y0-w1*y1)/d, (w0*y1-w1*y0)/d
		} else if w0 > 0 {
			mean, slope = y0/w0, 0
		}
	}
	return mean, slope
}

// Near is the flattened face about a place: the median of the readings within 25 mm, or within two lines of it; 0 where there are none.
func (r *Raster) Near(s, t float64) float64 {
	ds, dt := max(25, 0.6*Gap(r.S)), max(25, 0.6*Gap(r.T))
	var list []float64
	for i, a := range r.S {
		if math.Abs(a-s) > ds {
			continue
		}
		for j, b := range r.T {
			if e := r.Z[i*len(r.T)+j]; math.Abs(b-t) <= dt && !math.IsNaN(e) {
				list = append(list, e)
			}
		}
	}
	return median(list)
}
