package ways

import (
	"math"
	"slices"
)

// knob is one number of the mill that is tried at other values.
type knob struct {
	of  string
	now *float64
	set func(c *Case, v float64)
	// share: the number is a probability, else a price.
	share bool
}

// How turns are looked for: prices from 0 and from 1/32 to 32 times what they are (what is not known: the largest known price),
// two steps to a doubling; shares in twentieths. Between two values with another answer the place is found to 1e-6 of itself. Two turns
// between neighbouring values are missed.
const (
	span    = 32
	perStep = 1.4142135623730951 // √2
	twenty  = 20
	halving = 20
)

// turns lists the nearest value of each price and each share of successes, below and above what it is, at which another way becomes the best.
// Where a number is not known, all values are listed at which the answer turns if everything else that matters is known.
func (m *model) turns() (list []Turn) {
	largest := 0.0
	knobs := m.knobs()
	for _, k := range knobs {
		if k.now != nil && !k.share {
			largest = max(largest, math.Abs(*k.now))
		}
	}
	for _, k := range knobs {
		list = append(list, turnsOf(k, func(v float64) int { return m.bestAt(k, v) }, m.way, largest, halving)...)
	}
	return list
}

// turnsOf tries one knob; best is the way that is best at a value.
func turnsOf(k knob, best func(float64) int, way func(int) Way, largest float64, halvings int) []Turn {
	var found []Turn
	values := k.values(largest)
	before := -1
	for i, v := range values {
		now := best(v)
		if i > 0 && before >= 0 && now >= 0 && now != before {
			low, high := between(best, values[i-1], v, before, halvings)
			found = append(found, Turn{Of: k.of, Now: k.now, At: (low + high) / 2, Below: way(before), Above: way(best(high))})
		}
		before = now
	}
	if k.now == nil {
		return found
	}
	var nearest []Turn
	above := slices.IndexFunc(found, func(t Turn) bool { return t.At > *k.now })
	switch {
	case above < 0 && len(found) > 0:
		nearest = found[len(found)-1:]
	case above == 0:
		nearest = found[:1]
	case above > 0:
		nearest = found[above-1 : above+1]
	}
	return nearest
}

// between halves the stretch from low to high until the turn away from the way that is best at low is found.
func between(best func(float64) int, low, high float64, below, halvings int) (float64, float64) {
	for range halvings {
		middle := (low + high) / 2
		if best(middle) == below {
			low = middle
		} else {
			high = middle
		}
	}
	return low, high
}

// bestAt is the best way with a knob at a value; -1: it cannot be told by cost.
func (m *model) bestAt(k knob, v float64) int {
	c := *m.c
	c.Measure, c.Regrind, c.Regrade = slices.Clone(c.Measure), slices.Clone(c.Regrind), slices.Clone(c.Regrade)
	k.set(&c, v)
	best, missing := m.rivals(m.offer(&c)).cheapest()
	if len(missing) > 0 {
		return -1
	}
	return best
}

// values to be tried, rising.
func (k knob) values(largest float64) []float64 {
	list := []float64{0}
	if k.share {
		for i := 1; i <= twenty; i++ {
			list = append(list, float64(i)/twenty)
		}
		return list
	}
	middle := largest
	if k.now != nil && *k.now != 0 {
		middle = math.Abs(*k.now)
	}
	if middle == 0 {
		return nil
	}
	for v := middle / span; v <= middle*span; v *= perStep {
		list = append(list, v)
	}
	return list
}

// Probability is what Turn.Of says of the probability that everything conforms.
const Probability = "probability that everything conforms"

// thinned is how many draws are enough to place the turns of that probability, to about 0.02.
const thinned = 400

// likely lists the turns of the probability that everything conforms: the draws that conform are given more weight or less, in proportion.
func (m *model) likely(by Basis) []Turn {
	good := m.ends[0].tariff(m.c).good
	now := good.of(m.now)
	if now <= 0 || now >= 1 {
		return nil
	}
	c := *m.c
	c.Known = Posterior{Names: c.Known.Names}
	var conforms, weight []float64
	for i := 0; i < len(m.weight); i += (len(m.weight) + thinned - 1) / thinned {
		c.Known.Draws = append(c.Known.Draws, m.c.Known.Draws[i])
		conforms, weight = append(conforms, good.of(m.features[i])), append(weight, m.weight[i])
	}
	share := dot(conforms, weight) / sum(weight)
	if share <= 0 || share >= 1 {
		return nil
	}
	best := func(p float64) int {
		c.Known.Weights = make([]float64, len(weight))
		for i, w := range weight {
			c.Known.Weights[i] = w * (conforms[i]*p/share + (1-conforms[i])*(1-p)/(1-share))
		}
		other := newModel(&c)
		o := other.offer(&c)
		r := other.rivals(o)
		order, _ := (&bench{model: other, offer: o, rivals: r, by: by}).order()
		return order[0]
	}
	const halvings = 8
	return turnsOf(knob{of: Probability, now: &now, share: true}, best, m.way, 0, halvings)
}

func sum(list []float64) (s float64) {
	for _, v := range list {
		s += v
	}
	return s
}

// knobs are the prices and shares that are in play.
func (m *model) knobs() []knob {
	p := &m.c.Prices
	list := []knob{
		{of: "conforming", now: p.Conforming, set: func(c *Case, v float64) { c.Prices.Conforming = &v }},
		{of: "complaint", now: p.Complaint, set: func(c *Case, v float64) { c.Prices.Complaint = &v }},
		{of: "scrap", now: p.Scrap, set: func(c *Case, v float64) { c.Prices.Scrap = &v }},
	}
	for i, a := range m.c.Measure {
		list = append(list, knob{of: "reading (" + a.Name + ")", now: a.Price, set: func(c *Case, v float64) { c.Measure[i].Price = &v }})
	}
	for i := range m.c.Regrind {
		r := &m.c.Regrind[i]
		if r.Passes > 0 || r.Minutes == 0 {
			list = append(list, knob{of: r.label("pass"), now: r.PassPrice, set: func(c *Case, v float64) { c.Regrind[i].PassPrice = &v }})
		}
		if r.Minutes > 0 {
			list = append(list, knob{of: r.label("minute"), now: r.MinutePrice, set: func(c *Case, v float64) { c.Regrind[i].MinutePrice = &v }})
		}
		success := knob{of: r.label("success"), share: true, set: func(c *Case, v float64) { c.Regrind[i].share = &v }}
		if share, counted := r.success(); counted {
			success.now = &share
		}
		list = append(list, success)
	}
	for i, l := range m.c.Regrade {
		list = append(list, knob{of: "value (" + l.Name + ")", now: l.Value, set: func(c *Case, v float64) { c.Regrade[i].Value = &v }})
		if l.Complaint != nil {
			list = append(list, knob{of: "complaint (" + l.Name + ")", now: l.Complaint, set: func(c *Case, v float64) { c.Regrade[i].Complaint = &v }})
		}
	}
	return list
}
