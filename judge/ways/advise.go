package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// least is how likely a new reading must be to change what is done before it is advised where no price decides: one in twenty, the
// risk that the default rule of ISO 14253-1 accepts.
const least = 0.05

// Advise weighs the ways. The same case gives the same answer. Errors, all *trouble.Trouble: too few draws, a limit on something unknown, an
// impossible rule, price, reading or cut.
//
// By cost, each way's expected cost is what it loses against selling one that conforms: shipping loses a complaint where the piece is bad;
// re-grinding its own work, and the piece where the face fails or the stone is then too thin; a lower class the difference in value,
// and a complaint where the piece is bad there too; scrap the piece. Measuring again costs the readings, and what the best decision
// after them loses, on average over what may be read (preposterior analysis: Raiffa and Schlaifer, Applied Statistical Decision Theory,
// 1961).
//
// By risk, the way with the least probability of a wrong end comes first (see [Outcome]), but no stone is taken from what may be
// shipped, and measuring again comes first only where it changes what is done with a probability of 0.05 or more.
func Advise(c Case) (Advice, error) {
	if err := c.check(); err != nil {
		return Advice{}, err
	}
	m := newModel(&c)
	o := m.offer(&c)
	r := m.rivals(o)
	best, missing := r.cheapest()
	a := Advice{Basis: ByCost, Missing: missing, Chances: m.chances(o)}
	if best < 0 || len(missing) > 0 {
		a.Basis = ByRisk
		if best < 0 {
			for i, some := range r.missing {
				if r.may[i] {
					a.Missing = union(a.Missing, some)
				}
			}
		}
	}
	b := &bench{model: m, offer: o, rivals: r, by: a.Basis}
	order, aside := b.order()
	for _, i := range order {
		a.Ways = append(a.Ways, b.outcome(i))
	}
	b.compare(&a, order, aside[order[1]])
	a.Turns = append(m.likely(a.Basis), m.turns()...)
	a.warn(m)
	a.Words = a.say(&c)
	return a, nil
}

// bench holds what an answer is made from.
type bench struct {
	*model
	offer
	rivals
	by      Basis
	results map[outlook]result
}

// outlook is a way with what later decisions go by.
type outlook struct {
	way int
	by  Basis
}

func (b *bench) result(i int, by Basis) result {
	if b.results == nil {
		b.results = map[outlook]result{}
	}
	if r, done := b.results[outlook{i, by}]; done {
		return r
	}
	r := result{end: i}
	if i >= len(b.ends) {
		l := &b.looks[i-len(b.ends)]
		r.shares = b.follow(l, b.policy(l, b.offer, by))
	}
	b.results[outlook{i, by}] = r
	return r
}

func (b *bench) risks(i int) []float64 {
	return b.each(b.result(i, b.by), func(e int) form { return b.at[e].risk() })
}

func (b *bench) costs(i int) []float64 {
	r := b.result(i, ByCost)
	if i >= len(b.ends) {
		r.extra, _ = b.looks[i-len(b.ends)].readingCost(b.c())
	}
	return b.each(r, func(e int) form { return b.at[e].cost })
}

func (b *bench) c() *Case { return b.model.c }

// changed is the probability that a look changes what is done.
func (b *bench) changed(i int) (p float64) {
	l := &b.looks[i-len(b.ends)]
	now := b.pick(b.now, b.offer, b.by)
	for n, e := range b.policy(l, b.offer, b.by) {
		if e >= 0 && e != now {
			p += l.prob[n]
		}
	}
	return p
}

// order ranks the ways: those that may be taken before the others, each by what the basis says. Aside are those that are not compared by it.
func (b *bench) order() (order []int, aside []bool) {
	type ranked struct {
		may, idle, taking bool
		value             float64
	}
	ship := b.ends[0].may(b.now)
	rank := make([]ranked, b.size())
	order, aside = make([]int, b.size()), make([]bool, b.size())
	for i := range order {
		order[i] = i
		rank[i].may = b.may[i]
		switch {
		case b.by == ByCost:
			rank[i].value = b.cost[i]
			rank[i].idle = len(b.missing[i]) > 0 // cannot be cheaper than the best, and is not compared further
		case i >= len(b.ends):
			rank[i].value, _ = b.moments(b.risks(i))
			rank[i].idle = b.changed(i) < least
		default:
			rank[i].value, _ = b.moments(b.risks(i))
			rank[i].taking = ship && i > 0
		}
		aside[i] = rank[i].idle || rank[i].taking
	}
	flag := func(a, b bool) int { return cmp.Compare(indicator(a), indicator(b)) }
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := rank[i], rank[j]
		return cmp.Or(flag(b.may, a.may), flag(a.taking, b.taking), flag(a.idle, b.idle), cmp.Compare(a.value, b.value))
	})
	return order, aside
}

// outcome describes a way.
func (b *bench) outcome(i int) Outcome {
	o := Outcome{Way: b.way(i), May: b.may[i], Missing: b.missing[i]}
	r := b.result(i, b.by)
	o.Consumer, _ = b.moments(b.each(r, func(e int) form { return b.at[e].consumer }))
	o.Producer, _ = b.moments(b.each(r, func(e int) form { return b.at[e].producer }))
	o.Good, _ = b.moments(b.each(r, func(e int) form { return b.at[e].good }))
	_, o.RiskSE = b.moments(b.risks(i))
	if len(o.Missing) == 0 {
		cost := b.cost[i]
		o.Cost = &cost
		_, o.CostSE = b.moments(b.costs(i))
	}
	if i < len(b.ends) {
		o.Not, o.Cut = b.ends[i].not(b.now), b.ends[i].cut
		return o
	}
	o.Look = b.look(i)
	return o
}

// look says what measuring again brings.
func (b *bench) look(i int) *Look {
	l := &b.looks[i-len(b.ends)]
	look := &Look{Changes: b.changed(i)}
	if now := b.pick(b.now, b.offer, ByCost); len(b.missing[i]) == 0 && len(b.missing[now]) == 0 {
		price, _ := l.readingCost(b.c())
		worth := b.cost[now] + price - b.cost[i]
		look.Worth = &worth
	}
	before, _ := b.moments(b.risks(b.pick(b.now, b.offer, b.by)))
	after, _ := b.moments(b.risks(i))
	look.RiskSaved = before - after
	share := make([]float64, len(b.ends))
	for n, e := range b.policy(l, b.offer, b.by) {
		if e >= 0 {
			share[e] += l.prob[n]
		}
	}
	for e, s := range share {
		if s > 0 {
			look.Then = append(look.Then, Share{b.ends[e].way, s})
		}
	}
	slices.SortStableFunc(look.Then, func(a, b Share) int { return cmp.Compare(b.Share, a.Share) })
	return look
}

// closeness is how many standard errors apart two ways must lie to be told apart: two, about 95 %.
const closeness = 2

// compare holds the best against the runner-up, and against what would be cheaper but must not be. Aside: the runner-up was not compared.
func (b *bench) compare(a *Advice, order []int, aside bool) {
	values := b.risks
	if b.by == ByCost {
		values = b.costs
		for k, i := range order {
			if !b.may[i] && a.Ways[k].Cost != nil && *a.Ways[k].Cost < *a.Ways[0].Cost && (a.Cheaper == nil || *a.Ways[k].Cost < *a.Cheaper.Cost) {
				a.Cheaper = &a.Ways[k]
			}
		}
	}
	a.RunnerUp = b.may[order[1]] && (b.by == ByRisk || a.Ways[1].Cost != nil)
	if !a.RunnerUp {
		return
	}
	first, second := values(order[0]), values(order[1])
	for i := range first {
		second[i] -= first[i]
	}
	a.Gap, a.GapSE = b.moments(second)
	sure := aside || a.Ways[0].Kind == Measure && a.Ways[0].Look == nil
	a.Uncounted = b.by == ByRisk && b.hangs(order[0])
	a.TossUp = a.Uncounted || !sure && math.Abs(a.Gap) <= closeness*a.GapSE
}

// hangs tells whether by risk another way would come first if an uncounted share of successes were 0, or 1.
func (b *bench) hangs(best int) bool {
	for i := range b.c().Regrind {
		if b.c().Regrind[i].Tried > 0 {
			continue
		}
		for _, extreme := range []float64{0, 1} {
			c := *b.c()
			c.Regrind = slices.Clone(c.Regrind)
			c.Regrind[i].share = &extreme
			o := b.model.offer(&c)
			other := &bench{model: b.model, offer: o, rivals: b.rivals, by: ByRisk}
			if order, _ := other.order(); order[0] != best {
				return true
			}
		}
	}
	return false
}

// chances are the risks of several characteristics at once.
func (m *model) chances(o offer) Chances {
	all := Chances{Low: 1, High: 1}
	for j, a := range m.ends[0].asks[:len(m.c.Held)] {
		p := m.now[a.feature]
		c := Chance{Name: m.c.Held[j].Name, Probability: p, SE: m.share(p), Asked: a.least, Kept: !a.short(m.now)}
		c.Close = math.Abs(p-a.least) <= closeness*c.SE
		all.Each = append(all.Each, c)
		all.Low, all.High = all.Low-(1-p), min(all.High, p)
	}
	all.Low = max(all.Low, 0)
	all.All = o.at[0].good.of(m.now)
	all.SE = m.share(all.All)
	return all
}

// share is the standard error of a probability that the draws gave: Jeffreys' half an event to each side, so that none in a thousand
// is not taken as never.
func (m *model) share(p float64) float64 {
	n := effective(m.weight)
	q := (p*n + 0.5) / (n + 1)
	return math.Sqrt(q * (1 - q) / n)
}

// fewAtNode is the number of draws behind the belief after a reading below which the worth of a measurement is called too high.
const fewAtNode = 15

// unsettled lists the turns of a counted share of successes that lie within what its count leaves open.
func (a *Advice) unsettled(m *model) (list []string) {
	for i := range m.c.Regrind {
		r := &m.c.Regrind[i]
		for _, t := range a.Turns {
			if e := m.ends[1+i]; e.cut != nil && e.cut.Counted && t.Of == r.label("success") && t.At > e.cut.Succeeds05 && t.At < e.cut.Succeeds95 {
				list = append(list, fmt.Sprintf("The count of re-ground faces by %q leaves their share of successes between %.2f and %.2f (90 %%), and the answer turns at %.2f.",
					r.Name, e.cut.Succeeds05, e.cut.Succeeds95, t.At))
			}
		}
	}
	return list
}

// warn adds what must be said beside the numbers.
func (a *Advice) warn(m *model) {
	n := effective(m.weight)
	for _, c := range a.Chances.Each {
		if c.Close {
			a.Warnings = append(a.Warnings, fmt.Sprintf("%s conforms with a probability of %.3f, known to %.3f: too close to the %.3f that the rule asks for to be told by these draws.", c.Name, c.Probability, c.SE, c.Asked))
		}
	}
	if p := a.Chances.All; p == 1 || p == 0 {
		what := "does not conform"
		if p == 0 {
			what = "conforms"
		}
		a.Warnings = append(a.Warnings, fmt.Sprintf("None of the draws %s: the probability of it is not 0 but below %.2g (95 %%).", what, 3/n))
	}
	a.Warnings = append(a.Warnings, a.unsettled(m)...)
	for i := range m.looks {
		if l := &m.looks[i]; l.few < fewAtNode {
			a.Warnings = append(a.Warnings, fmt.Sprintf("Only about %.0f draws count after a reading with %s: its worth is uncertain, and rather too high.", l.few, l.ask.Name))
		}
	}
	for _, o := range a.Ways {
		if o.May && o.Cut != nil && !o.Cut.Counted {
			a.Warnings = append(a.Warnings, fmt.Sprintf("How often a face re-ground by %q conforms is not known: the mill has no count of it. By risk it is compared as one in two.", o.Name))
		}
		if o.May && o.Cut != nil && o.Cut.Last {
			a.Warnings = append(a.Warnings, fmt.Sprintf("After %q less than a light pass is left above the reserve: it is the last cut.", o.Name))
		}
	}
}
