package answers

import (
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/orders"
	"slatewright/cutting/slab/search"
)

// Choice is which slab goes to which order.
type Choice struct {
	File     string   `json:"file"`
	Value    float64  `json:"value"`
	Bound    float64  `json:"bound"`
	Gap      float64  `json:"gap"`
	Proven   bool     `json:"proven"`
	State    State    `json:"state"`
	Given    []Given  `json:"given"`
	Table    []Pair   `json:"table"`
	Warnings []string `json:"warnings"`
}

// Given is a slab with its order and its plan; both are missing where nobody takes it.
type Given struct {
	Slab  string  `json:"slab"`
	Order *string `json:"order"`
	Plan  *Plan   `json:"plan"`
}

// Pair is what a slab is worth to an order.
type Pair struct {
	Slab  string  `json:"slab"`
	Order string  `json:"order"`
	Value float64 `json:"value"`
	Bound float64 `json:"bound"`
}

// OfOrders plans slabs for orders. Limits gives those of a pair, of so many.
func OfOrders(file string, slabs []*slab.Slab, list []orders.Order, gap float64, limits func(pair, of int) search.Limits) (*Choice, error) {
	c, err := orders.Choose(slabs, list, limits)
	if err != nil {
		return nil, err
	}
	out := &Choice{File: file, Value: float64(c.Value) / slab.Unit, Bound: float64(c.Bound) / slab.Unit, Proven: c.Value == c.Bound, Warnings: []string{}}
	if c.Bound > c.Value {
		out.Gap = float64(c.Bound-c.Value) / float64(c.Bound)
	}
	out.State = state(c.Bound, out.Proven, out.Gap, gap)
	for i, s := range slabs {
		for k, o := range list {
			p := c.Plans[i][k]
			out.Table = append(out.Table, Pair{s.Name, o.Name, float64(p.Value) / slab.Unit, float64(p.Bound) / slab.Unit})
		}
		g := Given{Slab: s.Name}
		if k := c.Order[i]; k >= 0 {
			g.Order = &list[k].Name
			if g.Plan, err = Say(file, orders.For(s, list[k]), c.Plans[i][k], gap); err != nil {
				return nil, err
			}
		}
		out.Given = append(out.Given, g)
	}
	return out, nil
}

// state is what is known of a plan with a bound.
func state(bound int64, proven bool, gap, asked float64) State {
	switch {
	case bound == 0:
		return Nothing
	case proven:
		return Proven
	case gap < asked:
		return Within
	}
	return Bounded
}
