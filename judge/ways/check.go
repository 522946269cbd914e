package ways

import (
	"fmt"
	"slices"

	"slatewright/bed"
	"slatewright/judge"
)

// risk is the largest acceptable probability that what is accepted does not conform.
func (c Characteristic) risk() float64 {
	switch c.Decision.Rule {
	case bed.RuleSimple:
		return bed.SimpleRisk
	case bed.RuleISO14253:
		return bed.ISO14253Risk
	}
	return c.Decision.Risk
}

// beyond is how far a true value lies beyond the limit; 0 or less: it conforms.
func (c Characteristic) beyond(v float64) float64 {
	if c.Scale != 0 {
		v *= c.Scale
	}
	if c.AtLeast {
		return c.Limit - v
	}
	return v - c.Limit
}

func (r Recut) thickness() string {
	if r.Thickness == "" {
		return string(judge.Thickness)
	}
	return r.Thickness
}

func (r Recut) lightPass() float64 {
	if r.LightPass == 0 {
		return LightPass
	}
	return r.LightPass
}

func (c *Case) thing() string {
	if c.Thing == "" {
		return "piece"
	}
	return c.Thing
}

// check finds what people got wrong.
func (c *Case) check() error {
	if err := c.Known.check(); err != nil {
		return err
	}
	if len(c.Held) == 0 {
		return bad("no-limit", "nothing is held to a limit", "state at least one characteristic with its limit")
	}
	if !(c.Overall >= 0 && c.Overall < 1) {
		return bad("bad-rule", "the overall risk is not a probability below 1", "give one such as 0.05, or 0 for none")
	}
	if err := c.checkHeld("", c.Held); err != nil {
		return err
	}
	prices := []named{{"complaint", c.Prices.Complaint}, {"conforming", c.Prices.Conforming}}
	for _, m := range c.Measure {
		prices = append(prices, named{"reading with " + m.Name, m.Price})
		if err := c.checkReadings(m); err != nil {
			return err
		}
	}
	for _, r := range c.Regrind {
		prices = append(prices, named{"pass of " + r.Name, r.PassPrice}, named{"minute of " + r.Name, r.MinutePrice})
		if err := r.check(); err != nil {
			return err
		}
	}
	for _, l := range c.Regrade {
		prices = append(prices, named{"complaint in " + l.Name, l.Complaint})
		if err := c.checkHeld(l.Name, l.Held); err != nil {
			return err
		}
	}
	for _, p := range prices {
		if p.price != nil && !(*p.price >= 0 && !unreal(*p.price)) {
			return bad("bad-price", fmt.Sprintf("the price %q is %g", p.name, *p.price), "give an amount of 0 or more, or leave it out when it is not known")
		}
	}
	for _, p := range c.mayBeNegative() {
		if p.price != nil && unreal(*p.price) {
			return bad("bad-price", fmt.Sprintf("the price %q is no number", p.name), "give an amount, or leave it out when it is not known")
		}
	}
	return c.checkNames()
}

type named struct {
	name  string
	price *float64
}

func (c *Case) mayBeNegative() []named {
	list := []named{{"scrap", c.Prices.Scrap}}
	for _, l := range c.Regrade {
		list = append(list, named{"value in " + l.Name, l.Value})
	}
	return list
}

func (c *Case) checkHeld(class string, held []Characteristic) error {
	if len(held) == 0 {
		return bad("no-limit", fmt.Sprintf("the class %q is held to no limit", class), "state at least one characteristic with its limit")
	}
	for _, h := range held {
		switch {
		case !slices.Contains(c.Known.Names, h.Name):
			return bad("unknown-characteristic", fmt.Sprintf("%q is held to a limit, and nothing is known about it", h.Name), "give draws of it, or leave it out")
		case unreal(h.Limit) || unreal(h.Scale) || h.Scale < 0:
			return bad("bad-limit", fmt.Sprintf("the limit or the scale of %q is no number", h.Name), "give a limit in the unit of the draws")
		case !(h.risk() > 0 && h.risk() <= bed.SimpleRisk):
			return bad("bad-rule", fmt.Sprintf("the decision rule of %q accepts a risk of %g", h.Name, h.risk()), "use simple, iso14253-1, or guard-band with a risk above 0 and below 0.5")
		case h.Beyond != nil && !(*h.Beyond >= 0 && !unreal(*h.Beyond)):
			return bad("bad-price", fmt.Sprintf("the price of %q beyond its limit is %g", h.Name, *h.Beyond), "give an amount of 0 or more, or leave it out")
		}
	}
	return nil
}

func (c *Case) checkReadings(m Remeasure) error {
	if len(m.Reads) == 0 || m.Times < 0 {
		return bad("bad-reading", fmt.Sprintf("measuring with %q reads nothing", m.Name), "name what it reads, with its standard uncertainty")
	}
	for _, r := range m.Reads {
		if !slices.Contains(c.Known.Names, r.Of) {
			return bad("unknown-characteristic", fmt.Sprintf("%q reads %q, and nothing is known about it", m.Name, r.Of), "name a characteristic that has draws")
		}
		if !(r.U > 0) || unreal(r.U) || !(r.Common >= 0 && r.Common <= r.U) {
			return bad("bad-reading", fmt.Sprintf("a reading of %q with %q has the uncertainty %g, of it common %g", r.Of, m.Name, r.U, r.Common),
				"give a standard uncertainty above 0; its common part is at most as large")
		}
	}
	return nil
}

func (r Recut) check() error {
	lengths := []float64{r.DepthU, r.Reserve, r.LightPass, r.Minutes, float64(r.Passes)}
	switch {
	case !(r.Depth > 0) || unreal(r.Depth), slices.ContainsFunc(lengths, func(v float64) bool { return unreal(v) || v < 0 }):
		return bad("bad-cut", fmt.Sprintf("the re-grind %q takes %g mm", r.Name, r.Depth), "give a depth above 0, and nothing below 0")
	case r.Succeeded < 0 || r.Succeeded > r.Tried:
		return bad("bad-count", fmt.Sprintf("of %d faces re-ground by %q %d conformed", r.Tried, r.Name, r.Succeeded), "count the faces re-ground, and of these the ones that conformed")
	}
	return nil
}

// checkNames wants the ways to differ.
func (c *Case) checkNames() error {
	seen := map[Way]bool{}
	see := func(k Kind, name string) error {
		w := Way{k, name}
		if seen[w] {
			return bad("same-way", fmt.Sprintf("%s %q is given twice", k, name), "give each way a name of its own")
		}
		seen[w] = true
		return nil
	}
	for _, m := range c.Measure {
		if err := see(Measure, m.Name); err != nil {
			return err
		}
	}
	for _, r := range c.Regrind {
		if err := see(Regrind, r.Name); err != nil {
			return err
		}
	}
	for _, l := range c.Regrade {
		if err := see(Regrade, l.Name); err != nil {
			return err
		}
	}
	return nil
}
