package ways

import (
	"fmt"
	"math"
	"slices"

	"slatewright/chance"
)

// A model is a case made linear. Each draw has features: whether it conforms in this and in that, whether stone is left after
// a cut. A belief is their expectation, now or after some reading. The cost and the risks of a way are linear forms on a belief, whose
// coefficients are the mill's prices and its share of successful re-grinds, and the mill's rule is a set of thresholds on it; so
// a decision at a belief is a few products, and trying other prices costs next to nothing.
type model struct {
	c        *Case
	weight   []float64
	features [][]float64
	now      []float64 // the belief without a new reading
	ends     []end     // ways that decide now, ship first and scrap last
	looks    []look
}

// one is the feature that is always 1.
const one = 0

// form is a linear form on a belief.
type form []term

type term struct {
	feature int
	times   float64
}

func (f form) of(belief []float64) (sum float64) {
	for _, t := range f {
		sum += t.times * belief[t.feature]
	}
	return sum
}

// not is 1 − feature, times an amount.
func not(feature int, amount float64) form { return form{{one, amount}, {feature, -amount}} }

// tariff is what an end amounts to at some prices and counts. What is missing for the cost counts in the way's favour, as far as it can go.
type tariff struct {
	cost, consumer, producer, good form
	missing                        []string
}

func (t *tariff) risk() form { return slices.Concat(t.consumer, t.producer) }

// asked is a feature that the rule, or the stone, wants to be at least so large; why says in words that it is not.
type asked struct {
	feature int
	least   float64
	why     func(belief, least float64) string
}

// rounding is how far a sum of weights may miss what it stands for.
const rounding = 1e-12

// short tells whether a belief falls short of what is asked.
func (a asked) short(belief []float64) bool { return belief[a.feature] < a.least-rounding }

// ruled says what the mill's rule asks.
func ruled(what string) func(belief, least float64) string {
	return func(p, least float64) string {
		return fmt.Sprintf("it breaks the mill's rule, which asks for a probability of %s that %s, and it is %s", share(least), what, share(p))
	}
}

// end is a way that decides now.
type end struct {
	way    Way
	asks   []asked
	hinder string // forbidden in any case
	tariff func(c *Case) tariff
	cut    *Cut
}

// not says why the way may not be taken at a belief; empty: it may.
func (e *end) not(belief []float64) string {
	if e.hinder != "" {
		return e.hinder
	}
	for _, a := range e.asks {
		if a.short(belief) {
			return a.why(belief[a.feature], a.least)
		}
	}
	return ""
}

func (e *end) may(belief []float64) bool {
	return e.hinder == "" && !slices.ContainsFunc(e.asks, func(a asked) bool { return a.short(belief) })
}

// newModel makes the features, the ways that decide now, and the looks.
func newModel(c *Case) *model {
	k := &maker{c: c, features: make([][]float64, len(c.Known.Draws)), weight: c.Known.weights()}
	k.add(func(_, _ []float64) float64 { return 1 })
	grade := k.held(c.Held, "")
	good := grade.all
	if c.Overall > 0 {
		grade.asks = append(grade.asks, asked{good, 1 - c.Overall, ruled("everything conforms at once")})
	}
	classes, usable := k.classes(good)
	cuts := k.cuts(good, usable, classes)
	ends := []end{{way: Way{Kind: Ship}, asks: grade.asks, tariff: func(c *Case) tariff { return c.ship(grade) }}}
	for i, r := range c.Regrind {
		ends = append(ends, k.regrind(i, r, cuts[i], usable))
	}
	ends = append(ends, k.gaps(cuts, good)...)
	for i, l := range c.Regrade {
		both := k.add(func(_, f []float64) float64 { return f[good] * f[classes[i].all] })
		ends = append(ends, end{way: Way{Regrade, l.Name}, asks: classes[i].asks, tariff: func(c *Case) tariff {
			t := c.regrade(i, classes[i])
			t.producer = k.wasted(c, cuts, both, func(t thickness) int { return t.regraded[i] })
			return t
		}})
	}
	ends = append(ends, end{way: Way{Kind: Scrap}, tariff: func(c *Case) tariff {
		loss, missing := c.scrapped()
		return tariff{cost: form{{one, loss}}, missing: missing, producer: k.wasted(c, cuts, usable, func(t thickness) int { return t.useless })}
	}})
	m := &model{c: c, weight: k.weight, features: k.features, ends: ends, now: k.now()}
	for _, ask := range c.Measure {
		m.looks = append(m.looks, m.newLook(ask))
	}
	return m
}

// ship loses a complaint where the piece is bad.
func (c *Case) ship(grade class) tariff {
	t := tariff{consumer: not(grade.all, 1), good: form{{grade.all, 1}}}
	if c.Prices.Complaint == nil {
		t.missing = []string{"complaint"}
		return t
	}
	t.cost = grade.complaint(*c.Prices.Complaint)
	return t
}

// regrade loses the difference in value, and a complaint where the piece is bad in the lower class too.
func (c *Case) regrade(i int, lower class) tariff {
	l := c.Regrade[i]
	drop, missing := difference(c.Prices.Conforming, "conforming", l.Value, "value ("+l.Name+")")
	t := tariff{cost: form{{one, drop}}, missing: missing, consumer: not(lower.all, 1)}
	complaint, what := l.Complaint, "complaint ("+l.Name+")"
	if complaint == nil {
		complaint, what = c.Prices.Complaint, "complaint"
	}
	if complaint == nil {
		t.missing = append(t.missing, what)
		return t
	}
	t.cost = append(lower.complaint(*complaint), t.cost...)
	return t
}

// scrapped is what is lost by scrapping instead of selling one that conforms.
func (c *Case) scrapped() (loss float64, missing []string) {
	return difference(c.Prices.Conforming, "conforming", c.Prices.Scrap, "scrap")
}

// difference of two prices; 0, the least that it can sensibly be, when one is missing.
func difference(a *float64, nameA string, b *float64, nameB string) (d float64, missing []string) {
	if a == nil {
		missing = append(missing, nameA)
	}
	if b == nil {
		missing = append(missing, nameB)
	}
	if missing != nil {
		return 0, missing
	}
	return *a - *b, nil
}

// maker gathers the features.
type maker struct {
	c        *Case
	weight   []float64
	features [][]float64
	count    int
}

// add makes a feature of each draw's values and its features so far, and gives its number.
func (k *maker) add(f func(values, features []float64) float64) int {
	for i, row := range k.c.Known.Draws {
		k.features[i] = append(k.features[i], f(row, k.features[i]))
	}
	k.count++
	return k.count - 1
}

// now is the belief that the weighted draws have.
func (k *maker) now() []float64 {
	belief := make([]float64, k.count)
	for i, f := range k.features {
		for j, v := range f {
			belief[j] += k.weight[i] * v
		}
	}
	for j, v := range belief {
		if math.Abs(v-1) < rounding {
			belief[j] = 1
		}
	}
	return belief
}

// mean is the expectation of one feature.
func (k *maker) mean(feature int) (sum float64) {
	for i, f := range k.features {
		sum += k.weight[i] * f[feature]
	}
	return sum
}

func indicator(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// class is what a piece is held to, with its features: whether everything conforms, and what its complaint costs more for lying far beyond.
type class struct {
	asks        []asked
	all, beyond int
}

// held adds the features of a class: one for each characteristic, and those of the class.
func (k *maker) held(list []Characteristic, as string) (c class) {
	first := k.count
	for _, h := range list {
		j := slices.Index(k.c.Known.Names, h.Name)
		conforms := k.add(func(v, _ []float64) float64 { return indicator(h.beyond(v[j]) <= 0) })
		c.asks = append(c.asks, asked{conforms, 1 - h.risk(), ruled("the " + h.Name + " conforms" + as)})
	}
	last := k.count
	c.all = k.add(func(_, f []float64) float64 { return slices.Min(f[first:last]) })
	c.beyond = k.add(func(v, _ []float64) (sum float64) {
		for _, h := range list {
			if h.Beyond != nil {
				sum += *h.Beyond * max(h.beyond(v[slices.Index(k.c.Known.Names, h.Name)]), 0)
			}
		}
		return sum
	})
	return c
}

// complaint is what letting a piece out as of this class is expected to cost.
func (c class) complaint(price float64) form { return append(not(c.all, price), term{c.beyond, 1}) }

// classes adds the features of the lower classes, and one for being good for something.
func (k *maker) classes(good int) (list []class, usable int) {
	for _, l := range k.c.Regrade {
		list = append(list, k.held(l.Held, " as "+l.Name))
	}
	return list, k.add(func(_, f []float64) float64 {
		best := f[good]
		for _, l := range list {
			best = max(best, f[l.all])
		}
		return best
	})
}

// above is the probability that something at this height, with standard uncertainty u, is at least 0.
func above(height, u float64) float64 {
	if u > 0 {
		return chance.Cumulative(height / u)
	}
	return indicator(height >= 0)
}
