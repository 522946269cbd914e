package seasoning

import (
	"math"
	"slices"

	"slatewright/seasoning/relax"
)

// account is a hypothesis at its best τ.
type account struct {
	hypothesis
	rows    *rows
	u       [2]float64 // ln τ of the slower and the faster term
	rss     float64
	freedom int
	course  []float64 // the same along the lattice, with one term
	without []float64 // residual sum of squares without each reading that counts, at most
	ok      bool
}

// columns are the visible ones at given τ: the final value (unless the start is known), the slower and the faster term. They hold until it is asked again.
func (r *rows) columns(u [2]float64, two bool) [][]float64 {
	list := r.visible[:0]
	if r.start == nil {
		list = append(list, r.ones)
	}
	g := math.Round(u[0] / relax.Pace)
	lies := !two && u[0] == relax.Pace*g && g >= float64(r.Low) && g <= float64(r.High)
	switch {
	case lies && r.skin == 0:
		return append(list, r.at(0, int(g)))
	case lies:
		return append(list, r.at(0, int(g)), r.at(1, int(g)-r.skin))
	}
	list = append(list, r.wave(0, math.Exp(u[0])))
	switch {
	case two:
		list = append(list, r.wave(1, math.Exp(u[1])))
	case r.skin > 0:
		list = append(list, r.wave(1, math.Exp(u[0]-relax.Pace*float64(r.skin))))
	}
	return list
}

// weigh finds the best τ of a hypothesis. lone asks also what leaving out one more reading would give.
func (p *problem) weigh(h hypothesis, lone bool) account {
	a := account{hypothesis: h, rows: p.rows(h)}
	fitted := len(a.rows.hidden) + 2
	if p.start == nil {
		fitted++
	}
	if h.two {
		fitted += 2
	}
	if h.skin > 0 {
		fitted++
	}
	if a.freedom = len(a.rows.keep) - fitted; a.freedom < 0 || a.rows.short {
		return a
	}
	s := &p.work
	if h.two {
		a.u, a.ok = a.rows.pairs()
	} else {
		a.u[0], a.ok = a.scan(lone)
	}
	if a.ok {
		a.polish(s, rough)
		if lone {
			a.leave(s)
		}
	}
	return a
}

// scan goes along the lattice with one term.
func (a *account) scan(lone bool) (u float64, ok bool) {
	r := a.rows
	a.course = make([]float64, r.High-r.Low+1)
	if lone {
		a.without = endless(len(r.keep))
	}
	level, y := r.level()
	whole, best := dot(y, y), math.Inf(1)
	for g := r.Low; g <= r.High; g++ {
		column := r.at(0, g)
		before := dot(column, column)
		if level != nil {
			away(column, level, dot(column, level))
		}
		size := dot(column, column)
		if !(size > 1e-16*before) || size == 0 {
			a.course[g-r.Low] = math.Inf(1)
			continue
		}
		along := dot(column, y)
		rss := max(0, whole-along*along/size)
		if r.skin > 0 {
			rss = max(0, rss-r.second(column, size, level, y, g))
		}
		if a.course[g-r.Low] = rss; rss < best {
			best, u, ok = rss, relax.Pace*float64(g), true
		}
		if lone {
			for j := range a.without {
				held, rest := column[j]*column[j]/size, y[j]-column[j]*along/size
				if level != nil {
					held += level[j] * level[j]
				}
				a.lone(j, held, rest, rss)
			}
		}
	}
	return u, ok
}

// second is by how much the term of the skin lowers the sum of squares beside the column of the slower one.
func (r *rows) second(column []float64, size float64, level, y []float64, g int) float64 {
	skin, wave := r.buffer[1], r.Wave(g-r.skin)
	for j, i := range r.keep {
		skin[j] = r.weight[i] * r.less(wave[i])
	}
	r.whole(skin)
	before := dot(skin, skin)
	if level != nil {
		away(skin, level, dot(skin, level))
	}
	away(skin, column, dot(skin, column)/size)
	left := dot(skin, skin)
	if !(left > 1e-14*before) || left == 0 {
		return 0
	}
	along := dot(skin, y)
	return along * along / left
}

// level is the column of the final value at length 1, nil where the start is known, and the readings less it.
func (r *rows) level() (level, y []float64) {
	if r.start != nil {
		return nil, r.y
	}
	level, y = slices.Clone(r.ones), slices.Clone(r.y)
	size := math.Sqrt(dot(level, level))
	for i := range level {
		level[i] /= size
	}
	away(y, level, dot(y, level))
	return level, y
}

func endless(n int) []float64 {
	list := make([]float64, n)
	for j := range list {
		list[j] = math.Inf(1)
	}
	return list
}

// lone notes what is left of a sum of squares without one reading, by its residual and by how far the fit hangs on it.
func (a *account) lone(j int, held, rest, rss float64) {
	for _, q := range a.rows.hidden {
		held += q[j] * q[j]
	}
	if held < 1-1e-9 {
		a.without[j] = min(a.without[j], max(0, rss-rest*rest/(1-held)))
	}
}

// leave does so at the best τ, with the change of τ as a column.
func (a *account) leave(s *solved) {
	if a.without == nil {
		a.without = endless(len(a.rows.keep))
	}
	if a.tangent(s); s.short {
		return
	}
	for j := range a.without {
		held := 0.0
		for _, q := range s.turn[:s.k] {
			held += q[j] * q[j]
		}
		a.lone(j, held, s.rest[j], s.rss)
	}
}

// tangent is the fit at the account's τ with the changes of τ as further columns, after the plain ones.
func (a *account) tangent(s *solved) (plain int) {
	a.rows.solve(s, a.rows.columns(a.u, a.two)...)
	return a.lengthen(s)
}

// lengthen adds the changes of τ to the plain fit at the account's τ.
func (a *account) lengthen(s *solved) (plain int) {
	r := a.rows
	plain = s.k
	first := plain - 1
	if a.two || a.skin > 0 {
		first--
	}
	by := s.beta
	slow := r.change(2, math.Exp(a.u[0]), by[first])
	switch {
	case a.skin > 0:
		away(slow, r.change(3, math.Exp(a.u[0]-relax.Pace*float64(a.skin)), by[first+1]), -1)
		r.add(s, slow)
	case a.two:
		r.add(s, slow, r.change(3, math.Exp(a.u[1]), by[first+1]))
	default:
		r.add(s, slow)
	}
	return plain
}

// How near polish comes to the best ln τ: near enough to tell accounts apart, and as near as floats let it.
const (
	rough = 1e-3
	close = 1e-11
)

// polish goes from a start to the least sum of squares by Gauss–Newton with halving (L. Kaufman, BIT 15, 1975).
func (a *account) polish(s *solved, near float64) {
	r := a.rows
	r.solve(s, r.columns(a.u, a.two)...)
	a.rss = s.rss
	for range 50 {
		plain := a.lengthen(s)
		if s.short {
			return
		}
		var step [2]float64
		largest := 0.0
		for k := range s.k - plain {
			step[k] = s.beta[plain+k]
			largest = max(largest, math.Abs(step[k]))
		}
		if largest > 0.7 {
			step[0], step[1] = step[0]*0.7/largest, step[1]*0.7/largest
		}
		if !a.try(s, step) || largest < near {
			return
		}
	}
}

// try takes a step, halved until the sum of squares does not rise by more than rounding.
func (a *account) try(s *solved, step [2]float64) bool {
	low, high := relax.Pace*float64(a.rows.Low), relax.Pace*float64(a.rows.High)
	for range 12 {
		u := [2]float64{min(max(a.u[0]+step[0], low), high), min(max(a.u[1]+step[1], low), high)}
		if !a.two {
			u[1] = 0
		}
		a.rows.solve(s, a.rows.columns(u, a.two)...)
		if !s.short && s.rss <= a.rss*(1+1e-12) {
			moved := u != a.u
			a.u, a.rss = u, s.rss
			return moved
		}
		step[0], step[1] = step[0]/2, step[1]/2
	}
	return false
}

// pairs finds the best two τ on every third point of the lattice, by the products of their columns.
func (r *rows) pairs() (u [2]float64, ok bool) {
	const stride = 3
	var flat []float64
	var columns [][]float64
	n := len(r.y)
	level, y := r.level()
	for g := r.Low; g <= r.High; g += stride {
		if len(flat) < n {
			flat = make([]float64, n*16)
		}
		column := flat[:n:n]
		flat = flat[n:]
		copy(column, r.at(0, g))
		if level != nil {
			away(column, level, dot(column, level))
		}
		if size := math.Sqrt(dot(column, column)); size > 0 {
			for i := range column {
				column[i] /= size
			}
		}
		columns = append(columns, column)
	}
	gain := 0.0
	along := make([]float64, len(columns))
	for i, c := range columns {
		along[i] = dot(c, y)
	}
	for i := range columns {
		for j := range i {
			c := dot(columns[i], columns[j])
			rest := 1 - c*c
			if rest < 1e-7 {
				continue
			}
			if g := (along[i]*along[i] + along[j]*along[j] - 2*c*along[i]*along[j]) / rest; g > gain {
				gain, ok = g, true
				u = [2]float64{relax.Pace * float64(r.Low+stride*i), relax.Pace * float64(r.Low+stride*j)}
			}
		}
	}
	return u, ok
}
