package ways

import (
	"fmt"
	"math"
	"slices"

	"slatewright/gauge/tables"
)

// thickness holds the features of a re-grind.
type thickness struct {
	known bool
	risk  float64
	// above the least thickness after the cut; the probability that this is 0 or more; and the same for a piece that is good for something,
	// and for one that is not.
	left, enough, usable, useless int
	regraded                      []int // and for one that does not conform now, and does in this lower class
}

// cuts adds the features of the re-grinds.
func (k *maker) cuts(good, usable int, classes []class) (list []thickness) {
	for _, r := range k.c.Regrind {
		h := slices.IndexFunc(k.c.Held, func(h Characteristic) bool { return h.Name == r.thickness() && h.AtLeast })
		if h < 0 {
			list = append(list, thickness{})
			continue
		}
		held := k.c.Held[h]
		j := slices.Index(k.c.Known.Names, held.Name)
		t := thickness{known: true, risk: held.risk()}
		t.left = k.add(func(v, _ []float64) float64 { return v[j] - r.Depth - held.Limit })
		t.enough = k.add(func(_, f []float64) float64 { return above(f[t.left], r.DepthU) })
		t.usable = k.add(func(_, f []float64) float64 { return f[t.enough] * f[usable] })
		t.useless = k.add(func(_, f []float64) float64 { return f[t.enough] * (1 - f[usable]) })
		for _, c := range classes {
			t.regraded = append(t.regraded, k.add(func(_, f []float64) float64 { return f[t.enough] * (1 - f[good]) * f[c.all] }))
		}
		list = append(list, t)
	}
	return list
}

// regrind makes a way out of a re-grind.
func (k *maker) regrind(i int, r Recut, t thickness, usable int) end {
	e := end{way: Way{Regrind, r.Name}}
	if !t.known {
		e.hinder = fmt.Sprintf("what it would leave is not known: no least %s is held", r.thickness())
		e.tariff = func(*Case) tariff { return tariff{missing: []string{r.thickness()}, producer: form{{usable, 1}}} }
		return e
	}
	e.cut = k.leaves(r, t)
	e.asks = []asked{{t.left, r.Reserve, tooThin},
		{t.enough, 1 - t.risk, ruled("the " + r.thickness() + " conforms after the cut")}}
	e.tariff = func(c *Case) tariff {
		r := &c.Regrind[i]
		success, counted := r.success()
		work, missing := r.price()
		loss, more := c.scrapped()
		a := tariff{good: form{{t.enough, success}}, producer: form{{usable, 1}, {t.usable, -success}}, missing: append(missing, more...)}
		a.cost = form{{one, work}}
		if counted {
			a.cost = append(a.cost, term{one, loss}, term{t.enough, -success * loss})
		} else {
			a.missing = append(a.missing, r.label("success"))
		}
		return a
	}
	return e
}

// tooThin says that a cut would leave too little.
func tooThin(left, reserve float64) string {
	if left < 0 {
		return fmt.Sprintf("it would leave %s mm less than the least thickness", mm(-left))
	}
	return fmt.Sprintf("it would leave %s mm above the least thickness, and the mill keeps a reserve of %s mm", mm(left), mm(reserve))
}

// gaps are the thicknesses that must be read before a re-grind can be judged, each once. Until then no price can decide, and stone that is good
// now is held up.
func (k *maker) gaps(cuts []thickness, good int) (list []end) {
	for i, t := range cuts {
		way := Way{Measure, k.c.Regrind[i].thickness()}
		if !t.known && !slices.ContainsFunc(list, func(e end) bool { return e.way == way }) {
			list = append(list, end{way: way, tariff: func(*Case) tariff { return tariff{missing: []string{way.Name}, producer: form{{good, 1}}} }})
		}
	}
	return list
}

// wasted is the producer's risk of giving up what a feature says is good, or what the most promising cut could make good; of gives
// that cut's feature for pieces that are not good already.
func (k *maker) wasted(c *Case, cuts []thickness, good int, of func(thickness) int) form {
	f, best := form{{good, 1}}, 0.0
	var made term
	for i, t := range cuts {
		if !t.known {
			continue
		}
		if success, _ := c.Regrind[i].success(); success*k.mean(t.enough) > best {
			best, made = success*k.mean(t.enough), term{of(t), success}
		}
	}
	if best > 0 {
		f = append(f, made)
	}
	return f
}

// price is what the work of a re-grind costs.
func (r *Recut) price() (sum float64, missing []string) {
	for _, part := range []struct {
		name   string
		amount float64
		price  *float64
	}{{"pass", float64(r.Passes), r.PassPrice}, {"minute", r.Minutes, r.MinutePrice}} {
		switch {
		case part.price != nil:
			sum += part.amount * *part.price
		case part.amount > 0, part.name == "pass" && r.Minutes == 0:
			missing = append(missing, r.label(part.name))
		}
	}
	return sum, missing
}

func (r *Recut) label(part string) string { return part + " (" + r.Name + ")" }

// success is the expected share of re-ground faces that conform: the mean of the beta distribution that is left of Jeffreys' prior
// (½, ½) after the mill's count. Without a count that is one half, and nothing is known.
func (r *Recut) success() (share float64, counted bool) {
	if r.share != nil {
		return *r.share, true
	}
	return (float64(r.Succeeded) + 0.5) / float64(r.Tried+1), r.Tried > 0
}

// leaves is what a re-grind leaves.
func (k *maker) leaves(r Recut, t thickness) *Cut {
	left, square := k.mean(t.left), 0.0
	for i, f := range k.features {
		d := f[t.left] - left
		square += k.weight[i] * d * d
	}
	yes, no := float64(r.Succeeded)+0.5, float64(r.Tried-r.Succeeded)+0.5
	c := &Cut{Left: left, LeftU: math.Sqrt(square + r.DepthU*r.DepthU), Thick: k.mean(t.enough), Last: left-r.Reserve < r.lightPass(),
		Succeeds05: tables.ProportionPoint(0.05, yes, no), Succeeds95: tables.ProportionPoint(0.95, yes, no)}
	c.Succeeds, c.Counted = r.success()
	return c
}
