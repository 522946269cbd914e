package seasoning

import (
	"math"
	"slices"

	"slatewright/seasoning/relax"
)

// point is one pair of τ that the profile allows: the best coefficients there (final value unless the start is known, slower term, faster term, change
// of the faster τ) and their joint spread.
type point struct {
	form      relax.Form
	tau       [2]float64
	fast      float64 // amplitude that the change of the faster τ is taken with
	two, zero bool
	k         int
	beta      [4]float64
	r         [4][4]float64
	rise      float64
}

// profile collects the points of one account; they hold until the next one is asked. worse is how far it lies behind the best one.
func (p *problem) profile(a *account, sc scale, worse float64) (_ []point, bounded bool) {
	if a.two {
		return p.profileTwo(a, sc, worse)
	}
	s, list := &p.work, p.points[:0]
	for _, u := range p.places(a, sc) {
		a.rows.solve(s, a.rows.columns([2]float64{u}, false)...)
		if s.short {
			continue
		}
		pt := point{form: a.form, tau: [2]float64{math.Exp(u)}, zero: p.start != nil}
		pt.take(s)
		pt.rise = worse + (s.rss-a.rss)/sc.variance + p.against(u)
		if a.skin > 0 {
			pt.two, pt.tau[1] = true, math.Exp(u-relax.Pace*float64(a.skin))
			if !pt.settled(sc) {
				continue
			}
		}
		list = append(list, pt)
	}
	if p.points = list; a.skin > 0 && len(list) == 0 {
		return nil, true
	}
	last := len(a.course) - 1
	end := worse + (a.course[last]-a.rss)/sc.variance + p.against(relax.Pace*float64(p.High))
	return list, a.skin > 0 || end > sc.gate()+least(list)
}

// settled tells whether the share of a free skin is known well, and one that a skin has. Elsewhere the forms with given shares stand for it.
func (pt *point) settled(sc scale) bool {
	slow, fast := pt.beta[pt.k-2], pt.beta[pt.k-1]
	whole := slow + fast
	share := fast / whole
	var at [4]float64
	at[pt.k-2], at[pt.k-1] = -share/whole, (1-share)/whole
	return share > 0 && share < mostSkin && math.Sqrt(sc.variance*pt.spread(&at)) < knownSkin
}

// The largest share of a skin, and how well it must be known (standard deviation) for its own value to count. Chosen with the forms.
const (
	mostSkin  = 0.45
	knownSkin = 0.07
)

func (pt *point) take(s *solved) {
	pt.k = s.k
	for i := range s.k {
		pt.beta[i] = s.beta[i]
		copy(pt.r[i][:], s.r[i][:4])
	}
}

// spread is the variance of Σ ahead·beta, for readings of variance 1.
func (pt *point) spread(ahead *[4]float64) (v float64) {
	var z [4]float64
	for i := range pt.k {
		x := ahead[i]
		for j := range i {
			x -= pt.r[j][i] * z[j]
		}
		z[i] = x / pt.r[i][i]
		v += z[i] * z[i]
	}
	return v
}

func least(list []point) float64 {
	low := math.Inf(1)
	for i := range list {
		low = min(low, list[i].rise)
	}
	return low
}

// against is how much the layer's prior speaks against a τ.
func (p *problem) against(u float64) float64 {
	if p.prior == nil || p.prior.SD == 0 {
		return 0
	}
	z := (u - p.prior.LogTau) / p.prior.SD
	return z * z
}

// gate is the rise at a straight line from which on τ counts as bounded: at 99 %, because among the pieces whose τ can hardly be told those that
// seem to tell it would be the wrong ones.
func (sc scale) gate() float64 { return clash / usual * sc.q }

// usual is the rise that 95 % one-sided allows where the noise is known.
const usual = 2.7055

// places are the points of the lattice that the readings allow and, where it is too coarse, a finer row about the best τ.
func (p *problem) places(a *account, sc scale) []float64 {
	list := p.list[:0]
	for i, rss := range a.course {
		u := relax.Pace * float64(p.Low+i)
		if (rss-a.rss)/sc.variance+p.against(u)-p.against(a.u[0]) < sc.q+4 {
			list = append(list, u)
		}
	}
	s := &p.work
	plain := a.tangent(s)
	width := 0.0
	if !s.short {
		var ahead [most]float64
		ahead[plain] = 1
		width = math.Sqrt(sc.variance * spread(s.k, &s.r, &ahead))
	}
	around := func(centre, width float64) {
		for i := -9; i <= 9; i++ {
			if u := centre + width*float64(i)/3; u >= relax.Pace*float64(p.Low) && u <= relax.Pace*float64(p.High) {
				list = append(list, u)
			}
		}
	}
	if list = append(list, a.u[0]); width > 0 && width < 3*relax.Pace {
		around(a.u[0], width)
	}
	if p.prior != nil && p.prior.SD > 0 && p.prior.SD < 3*relax.Pace {
		around(p.prior.LogTau, p.prior.SD)
	}
	slices.Sort(list)
	p.list = list
	return list
}

// profileTwo walks from the best pair both ways along the slower τ, with the faster one at its best each time.
func (p *problem) profileTwo(a *account, sc scale, worse float64) (list []point, bounded bool) {
	if a.u[0] < a.u[1] {
		a.u[0], a.u[1] = a.u[1], a.u[0]
	}
	width := relax.Pace
	s := &p.work
	if plain := a.tangent(s); !s.short {
		var ahead [most]float64
		ahead[plain] = 1
		width = min(width, math.Sqrt(sc.variance*spread(s.k, &s.r, &ahead))/4)
	}
	width = max(width, relax.Pace/50)
	bounded = true
	for _, way := range []float64{-1, 1} {
		fast, step := a.u[1], width
		for u := a.u[0]; ; u += way * step {
			if u > relax.Pace*float64(p.High) || u < relax.Pace*float64(p.Low) {
				bounded = bounded && way < 0
				break
			}
			pt, ok := p.pair(a, s, u, &fast, sc, worse)
			if ok {
				list = append(list, pt)
				if pt.rise-worse > sc.gate()+3 {
					break
				}
			}
			step = min(step*1.1, relax.Pace)
		}
	}
	return list, bounded
}

// pair is the point at a slower τ, with the faster one followed to its best.
func (p *problem) pair(a *account, s *solved, slow float64, fast *float64, sc scale, worse float64) (pt point, ok bool) {
	r := a.rows
	low, high := relax.Pace*float64(p.Low), slow-0.05
	*fast = min(*fast, high)
	var rss float64
	for i := range 12 {
		r.solve(s, r.columns([2]float64{slow, *fast}, true)...)
		rss = s.rss
		pt = point{tau: [2]float64{math.Exp(slow), math.Exp(*fast)}, fast: s.beta[s.k-1], two: true, zero: p.start != nil}
		r.add(s, r.change(3, pt.tau[1], pt.fast))
		step := s.beta[s.k-1]
		if s.short || math.Abs(step) < 1e-4 || i == 11 {
			break
		}
		*fast = min(max(*fast+min(max(step, -0.5), 0.5), low), high)
	}
	pt.take(s)
	pt.beta[s.k-1] = 0
	pt.rise = worse + (rss-a.rss)/sc.variance + p.against(slow)
	return pt, !math.IsNaN(rss)
}

// course gives a quantity for one term of amplitude 1, and its change with ln τ.
type course func(of relax.Form, tau float64) (value, change float64)

// ahead is the expected value of a quantity at the best fit, and the largest size that the profile allows.
func (f *Fit) ahead(course course) (expected, limit float64, ok bool) {
	if len(f.points) == 0 {
		return math.NaN(), math.NaN(), false
	}
	for _, t := range f.terms {
		if t.amplitude != 0 {
			v, _ := course(f.form, t.tau)
			expected += t.amplitude * v
		}
	}
	if !f.bounded {
		return expected, math.NaN(), false
	}
	limit = math.Abs(expected)
	f.each(course, 0, func(value, wide float64) { limit = max(limit, math.Abs(value)+wide) })
	return expected, limit, true
}

// each gives, for every point that is allowed, the quantity there and by how much it may still be off.
func (f *Fit) each(course course, final float64, take func(value, wide float64)) {
	for i := range f.points {
		pt := &f.points[i]
		if pt.rise > f.q {
			continue
		}
		var at [4]float64
		k := 0
		if !pt.zero {
			at[0], k = final, 1
		}
		at[k], _ = course(pt.form, pt.tau[0])
		if pt.two {
			var change float64
			at[k+1], change = course(relax.Plain, pt.tau[1])
			at[k+2] = change * pt.fast
		}
		value := 0.0
		for j := range pt.k {
			value += at[j] * pt.beta[j]
		}
		take(value, math.Sqrt((f.q-pt.rise)*f.variance()*pt.spread(&at)))
	}
}

// band is the lowest and the highest value of a day that the profile allows.
func (f *Fit) band(day, expected float64) (low, high float64) {
	low, high = expected, expected
	shift := 0.0
	if f.zero {
		shift = f.begin
	}
	f.each(func(of relax.Form, tau float64) (float64, float64) {
		share, change := of.At(day / tau)
		if f.zero {
			share--
		}
		return share, change
	}, 1, func(value, wide float64) {
		low, high = min(low, shift+value-wide), max(high, shift+value+wide)
	})
	return low, high
}
