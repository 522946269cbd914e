package ways

import (
	"math"
	"slices"
)

// offer is what the ends amount to at the prices and counts of a case.
type offer struct {
	c  *Case
	at []tariff
}

func (m *model) offer(c *Case) offer {
	o := offer{c: c}
	for i := range m.ends {
		o.at = append(o.at, m.ends[i].tariff(c))
	}
	return o
}

// pick is the best end that may be taken at a belief: the cheapest, or that of the least risk, of equals the one that leaves more
// open. By risk alone no stone is taken from what may be shipped. Scrap may always be taken.
func (m *model) pick(belief []float64, o offer, by Basis) int {
	best, least := -1, math.Inf(1)
	for i := range m.ends {
		e := &m.ends[i]
		if !e.may(belief) {
			continue
		}
		if by == ByRisk && e.way.Kind == Ship {
			return i
		}
		v := o.at[i].cost.of(belief)
		if by == ByRisk {
			v = o.at[i].consumer.of(belief) + o.at[i].producer.of(belief)
		}
		if v < least {
			best, least = i, v
		}
	}
	return best
}

// policy is what is done after a look: an end for each node.
func (m *model) policy(l *look, o offer, by Basis) []int {
	ends := make([]int, len(l.prob))
	for n, p := range l.prob {
		ends[n] = -1
		if p > 0 {
			ends[n] = m.pick(l.belief[n], o, by)
		}
	}
	return ends
}

// readingCost is what the readings of a look cost; known is false when the mill gave no price.
func (l *look) readingCost(c *Case) (sum float64, known bool) {
	for _, a := range c.Measure {
		if a.Name == l.ask.Name && a.Price != nil {
			return float64(max(a.Times, 1)) * *a.Price, true
		}
	}
	return 0, false
}

// lookCost is the expected cost of a look under a policy, with what is missing in it.
func (m *model) lookCost(l *look, o offer, ends []int) (cost float64, missing []string) {
	price, known := l.readingCost(o.c)
	if !known {
		missing = append(missing, "reading ("+l.ask.Name+")")
	}
	cost = price
	for n, e := range ends {
		if e >= 0 {
			cost += l.prob[n] * o.at[e].cost.of(l.belief[n])
			missing = union(missing, o.at[e].missing)
		}
	}
	return cost, missing
}

func union(a, b []string) []string {
	for _, s := range b {
		if !slices.Contains(a, s) {
			a = append(a, s)
		}
	}
	return a
}

// rivals are all ways with their costs at some prices, ends before looks.
type rivals struct {
	may     []bool
	cost    []float64
	missing [][]string
}

// size is how many ways there are.
func (m *model) size() int { return len(m.ends) + len(m.looks) }

func (m *model) way(i int) Way {
	if i < len(m.ends) {
		return m.ends[i].way
	}
	return m.looks[i-len(m.ends)].way
}

func (m *model) rivals(o offer) rivals {
	var r rivals
	for i := range m.ends {
		r.may = append(r.may, m.ends[i].may(m.now))
		r.cost = append(r.cost, o.at[i].cost.of(m.now))
		r.missing = append(r.missing, o.at[i].missing)
	}
	for i := range m.looks {
		l := &m.looks[i]
		cost, missing := m.lookCost(l, o, m.policy(l, o, ByCost))
		r.may, r.cost, r.missing = append(r.may, true), append(r.cost, cost), append(r.missing, missing)
	}
	return r
}

// cheapest is the way of least cost among those that may be taken and have their price, -1: none; and what is missing of ways that
// might be cheaper still, as far as prices can go.
func (r rivals) cheapest() (best int, missing []string) {
	best, least := -1, math.Inf(1)
	for i, c := range r.cost {
		if r.may[i] && len(r.missing[i]) == 0 && c < least {
			best, least = i, c
		}
	}
	for i, c := range r.cost {
		if r.may[i] && len(r.missing[i]) > 0 && c < least {
			missing = union(missing, r.missing[i])
		}
	}
	return best, missing
}

// result is what a way leads to, draw by draw: the shares of the ends that it comes to.
type result struct {
	shares [][]float64 // by draw and end; nil for an end, which comes to itself
	end    int
	extra  float64 // paid in any case
}

// follow gives the shares of the ends under a policy for every draw.
func (m *model) follow(l *look, ends []int) [][]float64 {
	shares := make([][]float64, len(m.weight))
	for i := range shares {
		row := make([]float64, len(m.ends))
		l.share(i, func(n int, share float64) {
			if ends[n] >= 0 {
				row[ends[n]] += share
			}
		})
		shares[i] = row
	}
	return shares
}

// each gives what a way amounts to in every draw, for a form of each end.
func (m *model) each(r result, of func(end int) form) []float64 {
	values, forms := make([]float64, len(m.weight)), make([]form, len(m.ends))
	for e := range forms {
		forms[e] = of(e)
	}
	for i, f := range m.features {
		values[i] = r.extra
		if r.shares == nil {
			values[i] += forms[r.end].of(f)
			continue
		}
		for e, share := range r.shares[i] {
			if share > 0 {
				values[i] += share * forms[e].of(f)
			}
		}
	}
	return values
}

// moments are the weighted mean of the draws and its Monte-Carlo standard error.
func (m *model) moments(values []float64) (mean, se float64) {
	for i, v := range values {
		mean += m.weight[i] * v
	}
	for i, v := range values {
		se += m.weight[i] * m.weight[i] * (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(se)
}
