package seasoning

import (
	"fmt"
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/gauge/tables"
	"slatewright/seasoning/relax"
	"slatewright/trouble"
)

// confidence of every one-sided limit.
const confidence = 0.95

// stage is what a series says without its layer.
type stage struct {
	*problem
	best     account
	beside   []other
	scale    scale
	warnings []string
}

// Of fits one series by itself, or with what its layer says of it. Errors are *trouble.Trouble with code bad-series.
func Of(s Series, prior *Prior) (*Fit, error) {
	st, err := s.stage(prior, nil)
	if err != nil {
		return nil, err
	}
	return st.fit(s, prior), nil
}

// stage takes a lattice that was laid before where it fits.
func (s Series) stage(prior *Prior, laid *relax.Lattice) (*stage, error) {
	known, err := s.check()
	if err != nil {
		return nil, err
	}
	var f Fit
	st := &stage{problem: s.problem(known, prior, laid)}
	st.best, st.beside, st.scale = f.choose(st.problem)
	st.warnings = f.Warnings
	return st, nil
}

// fit makes the answer; a stage serves for one without a prior and then for one with a prior that its lattice reaches.
func (st *stage) fit(s Series, prior *Prior) *Fit {
	p, best, beside, sc := st.problem, st.best, slices.Clone(st.beside), st.scale
	f := &Fit{Name: s.Name, Readings: len(s.Readings), Model: None, Tau: math.NaN(), TauSD: math.NaN(), TauLow: math.NaN(), TauHigh: math.NaN(), TauFast: math.NaN(), Final: math.NaN(),
		FinalSD: math.NaN(), Amplitude: math.NaN(), Jump: math.NaN(), Noise: math.NaN(), zero: s.Start != nil, Last: p.Days[len(p.Days)-1], Warnings: slices.Clone(st.warnings)}
	if prior != nil && prior.SD > 0 {
		f.borrow(p, s, prior, &best, &beside, &sc)
	}
	if !best.ok {
		f.few(p, prior)
		return f
	}
	f.settle(p, s, best, sc)
	if best.jump > 0 {
		f.Model, f.Jump = Unsettled, p.Days[best.jump]
		f.warn(fmt.Sprintf("all readings before day %s lie off by one amount against the later ones: was the instrument moved (say so by '# moved: %s'), or did the piece get wet?", number(f.Jump), number(f.Jump)))
		return f
	}
	f.allow(p, &best, beside, sc)
	return f
}

// reaches tells whether the lattice holds all that a prior allows.
func (p *problem) reaches(prior *Prior) bool {
	return p.Holds(prior.LogTau-5*prior.SD, prior.LogTau+5*prior.SD)
}

func (f *Fit) warn(text string) { f.Warnings = append(f.Warnings, text) }

// number prints a day.
func number(day float64) string { return fmt.Sprintf("%.4g", day) }

func (f *Fit) few(p *problem, prior *Prior) {
	need := fewest
	if !p.known {
		need = fewestLoose
	}
	if prior != nil {
		need = 1
	}
	f.warn(fmt.Sprintf("%s: at least %d on different days are needed", trouble.Count(f.Readings, "reading", "readings"), need))
}

// choose settles the account without the layer, and how much noise there is.
func (f *Fit) choose(p *problem) (best account, beside []other, sc scale) {
	z := chance.Quantile(confidence)
	sc = scale{known: p.known, variance: 1, q: z * z}
	if len(p.Days) < fewest || !p.known && len(p.Days) < fewestLoose {
		return account{}, nil, sc
	}
	best, beside = p.choose(sc.q)
	if !best.ok || best.jump > 0 {
		return best, beside, sc
	}
	if p.known && best.freedom > 0 && best.rss > tables.ChiSquaredPoint(0.995, float64(best.freedom)) {
		f.warn(fmt.Sprintf("the readings scatter %.1f times as much as their noise: the doubt is taken from the scatter", math.Sqrt(best.rss/float64(best.freedom))))
		p.known = false
		if best, beside = p.choose(sc.q); best.freedom < 2 {
			return account{}, nil, sc
		}
	}
	if sc.known = p.known; !sc.known {
		if best.freedom < 2 {
			return account{}, nil, sc
		}
		sc.variance = p.scatter(best.rss, best.freedom)
		t := tables.StudentPoint(confidence, float64(best.freedom))
		sc.q = t * t
		if best.jump == 0 {
			_, beside = p.choose(sc.q)
		}
		for i, o := range beside {
			if o.two == best.two && o.jump == best.jump && len(o.out) == len(best.out) {
				beside[i].worse /= sc.variance
			}
		}
	}
	return best, beside, sc
}

// settle writes down the best fit.
func (f *Fit) settle(p *problem, s Series, best account, sc scale) {
	f.terms = [2]term{}
	if best.two && best.u[0] < best.u[1] {
		best.u[0], best.u[1] = best.u[1], best.u[0]
	}
	var fit solved
	if p.prior == nil {
		best.polish(&fit, close)
	}
	best.rows.solve(&fit, best.rows.columns(best.u, best.two)...)
	k := 0
	if p.start == nil {
		k, f.Final = 1, fit.beta[0]
	}
	f.Model, f.Tau, f.form = Exponential, math.Exp(best.u[0]), best.form
	if part, steps := f.form.Skin(); part > 0 {
		f.Model, f.TauFast = TwoTerm, math.Exp(best.u[0]-relax.Pace*float64(steps))
	} else if f.form == relax.Slab {
		f.Model = Slab
	}
	f.terms[0] = term{fit.beta[k], f.Tau}
	if best.two {
		f.Model, f.TauFast = TwoTerm, math.Exp(best.u[1])
		f.terms[1] = term{fit.beta[k+1], f.TauFast}
	}
	f.Amplitude = f.terms[0].amplitude + f.terms[1].amplitude
	var of [most]float64
	if p.start != nil {
		f.Final, f.begin = *p.start-f.Amplitude, *p.start
		of[0], of[1] = -1, -1
		if !best.two {
			of[1] = 0
		}
	} else {
		of[0] = 1
	}
	if plain := best.lengthen(&fit); !fit.short {
		f.FinalSD = math.Sqrt(sc.variance * spread(fit.k, &fit.r, &of))
		var tau [most]float64
		tau[plain] = 1
		f.TauSD = f.Tau * math.Sqrt(sc.variance*spread(fit.k, &fit.r, &tau))
	}
	f.Chi, f.Freedom, f.unit = best.rss, best.freedom, sc.variance
	f.Noise = math.Sqrt(sc.variance) / meanWeight(p)
	f.Wrong = nil
	for _, i := range best.out {
		f.Wrong = append(f.Wrong, p.from[i])
		f.warn(fmt.Sprintf("the reading of day %s (%.6g) does not fit the others and was left out", number(p.Days[i]), s.Readings[p.from[i]].Value))
	}
}

func meanWeight(p *problem) float64 {
	sum := 0.0
	for _, w := range p.weight {
		sum += w
	}
	return sum / float64(len(p.weight))
}

func (f *Fit) variance() float64 { return f.unit }

// allow collects what the profile allows, over all accounts that cannot be ruled out.
func (f *Fit) allow(p *problem, best *account, beside []other, sc scale) {
	first, bounded := p.profile(best, sc, 0)
	f.curve(p, best, sc)
	floor := least(first)
	points := slices.Clone(first)
	for i := range beside {
		if p.prior == nil && beside[i].worse > sc.gate() {
			continue // ruled out before any look at its profile
		}
		more, hold := p.profile(&beside[i].account, sc, beside[i].worse)
		low := least(more)
		if low-floor <= sc.gate() {
			bounded = bounded && hold
		}
		if low-floor > sc.q {
			continue
		}
		floor = min(floor, low)
		for k := range more {
			if more[k].rise-floor <= sc.q {
				points = append(points, more[k])
			}
		}
	}
	f.TauLow, f.TauHigh = math.Inf(1), 0
	f.points = points[:0]
	for i := range points {
		points[i].rise -= floor
		if points[i].rise <= sc.q {
			f.points = append(f.points, points[i])
			f.TauLow, f.TauHigh = min(f.TauLow, points[i].tau[0]), max(f.TauHigh, points[i].tau[0])
		}
	}
	if f.q, f.bounded = sc.q, bounded; !bounded {
		f.TauHigh = math.Inf(1)
		f.warn("the readings do not bound how long the movement goes on: what remains cannot be told yet")
	}
}

// curve keeps the rise of the best account's profile along the lattice, for the layer.
func (f *Fit) curve(p *problem, best *account, sc scale) {
	if best.two || best.course == nil {
		return
	}
	f.low, f.shape = p.Low, make([]float64, len(best.course))
	floor := slices.Min(best.course)
	for i, rss := range best.course {
		f.shape[i] = (rss - floor) / sc.variance
	}
}

// clash is the rise at which a piece and its layer contradict each other: chi squared with one degree of freedom is above it once in 100.
const clash = 6.6349

// clash is the same for what the prior says: of τ alone, or of the change too.
func (p *problem) clash() float64 {
	if p.prior.AmplitudeSD > 0 {
		return 9.2103
	}
	return clash
}

// borrow takes the prior in: accounts that the piece's own readings allow are weighed anew with it.
func (f *Fit) borrow(p *problem, s Series, prior *Prior, best *account, beside *[]other, sc *scale) {
	with := *prior
	if with.Relative {
		first := p.values[0]
		with.Amplitude, with.AmplitudeSD = with.Amplitude*math.Abs(first), with.AmplitudeSD*math.Abs(first)
	}
	if !p.known && len(p.Days) < fewestLoose || best.jump > 0 {
		return // without noise a short series cannot be weighed against a prior
	}
	if !sc.known {
		with.AmplitudeSD /= math.Sqrt(sc.variance)
	}
	p.prior = &with
	alone := *best
	h := hypothesis{}
	if alone.ok {
		h = alone.hypothesis
	}
	a := p.lean(h, sc)
	if !a.ok {
		p.prior = nil
		return
	}
	if alone.ok {
		if cost := (a.rss-alone.rss)/sc.variance + p.against(a.u[0]); cost > p.clash() {
			p.prior = nil
			f.warn("the piece does not move as its layer does: the layer was left aside")
			return
		}
	}
	*best, f.Borrowed = a, true
	for i, o := range *beside {
		if b := p.lean(o.hypothesis, sc); b.ok {
			(*beside)[i].account = b
		}
	}
}

// nearest is how near lean comes to the best ln τ: far nearer than it is known.
const nearest = 5e-4

// lean finds the best τ of a hypothesis under the prior, on the lattice and about the prior's centre.
func (p *problem) lean(h hypothesis, sc *scale) account {
	a := account{hypothesis: h, rows: p.rows(h)}
	a.freedom = len(a.rows.y) - 2
	if h.two {
		return a // two terms stand on the piece's own readings
	}
	s, best := &p.work, math.Inf(1)
	ask := func(u float64) {
		if a.rows.solve(s, a.rows.columns([2]float64{u}, false)...); s.short {
			return
		}
		if cost := s.rss/sc.variance + p.against(u); cost < best {
			best, a.u[0], a.rss, a.ok = cost, u, s.rss, true
		}
	}
	a.scan(false)
	for i, rss := range a.course {
		u := relax.Pace * float64(p.Low+i)
		if cost := rss/sc.variance + p.against(u); cost < best {
			best, a.u[0], a.rss, a.ok = cost, u, rss, true
		}
	}
	for width := relax.Pace / 2; a.ok && width > nearest; width /= 2 {
		centre := a.u[0]
		ask(centre - width)
		ask(centre + width)
	}
	return a
}
