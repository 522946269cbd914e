package ways

import (
	"fmt"
	"strings"

	"slatewright/measure"
)

// Sentences say an advice to a person: what to do, why, and what else. Each is one line.
type Sentences struct{ Do, Why, Else string }

// say puts an advice into words.
func (a *Advice) say(c *Case) Sentences {
	return Sentences{Do: c.doing(a.Ways[0]), Why: a.why(c), Else: a.otherwise(c)}
}

// doing is what a way asks to be done.
func (c *Case) doing(o Outcome) string {
	thing := c.thing()
	switch o.Kind {
	case Ship:
		return "Ship the " + thing + "."
	case Measure:
		if o.Look == nil {
			return fmt.Sprintf("Read the %s of the %s first: without it re-grinding cannot be judged.", o.Name, thing)
		}
		return fmt.Sprintf("Measure the %s again (%s).", thing, o.Name)
	case Regrind:
		last := ""
		if o.Cut != nil && o.Cut.Last {
			last = "; it is the last cut"
		}
		return fmt.Sprintf("Re-grind the %s (%s), which leaves %s ± %s mm above the least thickness%s.", thing, o.Name, mm(o.Cut.Left), mm(o.Cut.LeftU), last)
	case Regrade:
		return fmt.Sprintf("Regrade the %s to %s.", thing, o.Name)
	}
	return "Scrap the " + thing + "."
}

// called is a way as the subject of a sentence.
func (w Outcome) called() string {
	switch w.Kind {
	case Ship:
		return "shipping"
	case Measure:
		if w.Look == nil {
			return "reading the " + w.Name + " first"
		}
		return "measuring again (" + w.Name + ")"
	case Regrind:
		return "re-grinding (" + w.Name + ")"
	case Regrade:
		return "regrading to " + w.Name
	}
	return "scrap"
}

// why is the reason for the best way.
func (a *Advice) why(c *Case) string {
	var parts []string
	for _, o := range a.Ways {
		if o.Kind == Ship && !o.May {
			parts = append(parts, "it may not be shipped as it is: "+o.Not)
		}
	}
	if len(parts) == 0 {
		parts = append(parts, fmt.Sprintf("everything conforms with a probability of %s", share(a.Chances.All)))
	}
	best := a.Ways[0]
	if a.Basis == ByCost {
		parts = append(parts, fmt.Sprintf("this costs %s on average", c.money(*best.Cost)))
	} else {
		parts = append(parts, fmt.Sprintf("this ends wrongly with a probability of %s (bad and let out %s, good and lost %s)", share(best.Risk()), share(best.Consumer), share(best.Producer)))
	}
	if best.Look != nil {
		parts = append(parts, fmt.Sprintf("the readings change what is done with a probability of %s", share(best.Look.Changes)))
	}
	text := capital(strings.Join(parts, "; ")) + "."
	if a.Basis == ByRisk {
		text += " Ranked by risk, not by money: not known is " + strings.Join(a.Missing, ", ") + "."
	}
	return text
}

// otherwise is the runner-up, and what would be cheaper but may not be.
func (a *Advice) otherwise(c *Case) string {
	if !a.RunnerUp {
		return "No other way can be compared with it."
	}
	name := capital(a.Ways[1].called())
	gap := fmt.Sprintf("with a risk larger by %s ± %s", share(a.Gap), share(a.GapSE))
	if a.Basis == ByCost {
		gap = fmt.Sprintf("costing %s ± %s more", measure.Decimal(a.Gap, 2), c.money(a.GapSE))
	}
	text := fmt.Sprintf("%s comes next, %s.", name, gap)
	if a.Basis == ByRisk && a.Gap < 0 {
		text = fmt.Sprintf("%s comes next; its risk is no larger, but it would take stone or change too little.", name)
	}
	if a.TossUp {
		first := "A toss-up: "
		if a.Uncounted {
			first = "Not settled until re-grinds are counted: "
		}
		text = first + a.Ways[1].called() + strings.TrimPrefix(text, name)
	}
	if a.Cheaper != nil {
		text += fmt.Sprintf(" %s would cost %s, but %s.", capital(a.Cheaper.called()), c.money(*a.Cheaper.Cost), a.Cheaper.Not)
	}
	return text
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func mm(v float64) string { return measure.Decimal(v, 3) }

// share prints a probability; what is not 0 is never printed as 0.
func share(p float64) string {
	const smallest = 0.0005
	if p > 0 && p < smallest {
		return "less than 0.001"
	}
	return measure.Decimal(p, 3)
}

func (c *Case) money(v float64) string {
	return strings.TrimSpace(measure.Decimal(v, 2) + " " + c.Prices.Currency)
}
