// Package advice is the part of a verb that recommends what to do with a piece: its flag, and how its share of the answer is printed. A verb
// embeds Flags and Report.
//
// It weighs nothing itself (package wholeface/advice has it done), and measures nothing: a verb brings what it knows of the true values.
package advice

import (
	"fmt"
	"io"

	"slatewright/bed"
	"slatewright/internal/cli/verb"
	"slatewright/judge/ways"
	"slatewright/judge/ways/costfile"
	"slatewright/measure"
	"slatewright/wholeface/advice"
)

// Flags are what a verb takes for a recommendation.
type Flags struct {
	Costs string `placeholder:"FILE" help:"The mill's own ways out and prices, YAML: what to do is recommended by them."`
}

// Known is one characteristic: its quantiles, and what it is held to.
type Known = advice.Known

// Report is the recommendation, ready to stand in the answer of a verb.
type Report struct{ *advice.Report }

// Of recommends what to do with the thing ("piece" or "set"). Errors are *trouble.Trouble.
func (f Flags) Of(s *verb.Session, thing string, known []Known, rule bed.Decision, seed uint64) (*Report, error) {
	var costs *costfile.Costs
	if f.Costs != "" {
		read, err := verb.Read(s, f.Costs, costfile.Read)
		if err != nil {
			return nil, err
		}
		costs = &read
	}
	r, err := advice.Of(thing, known, costs, rule, seed)
	if err != nil {
		return nil, err
	}
	return &Report{r}, nil
}

// cents are the decimals of money.
const cents = 2

// Print writes the recommendation for people.
func (r *Report) Print(w io.Writer) {
	verb.Section(w, "What to do")
	for _, line := range r.Say {
		fmt.Fprint(w, verb.Wrap(line, "  ", "  ", verb.Width))
	}
	verb.Section(w, "Ways")
	for _, way := range r.Ways {
		cost := "cost not known"
		if way.ExpectedCost != nil {
			cost = "costs " + measure.Decimal(*way.ExpectedCost, cents) + " ± " + measure.Decimal(*way.CostSE, cents)
		}
		line := fmt.Sprintf("%s: %s; bad and let out %s, good and lost %s", advice.Named(ways.Way{Kind: ways.Kind(way.Way), Name: way.Name}), cost,
			measure.Decimal(way.ConsumerRisk, 3), measure.Decimal(way.ProducerRisk, 3))
		if !way.May {
			line += "; no: " + way.Not
		}
		fmt.Fprint(w, verb.Wrap(line, "  ", "    ", verb.Width))
	}
	if len(r.Turns) > 0 {
		verb.Section(w, "What would change it")
	}
	for _, t := range r.Turns {
		now := "not known"
		if t.Now != nil {
			now = "now " + measure.Decimal(*t.Now, cents)
		}
		fmt.Fprint(w, verb.Wrap(fmt.Sprintf("%s at %s (%s): below it %s, above it %s", t.Of, measure.Decimal(t.At, cents), now, t.Below, t.Above), "  ", "    ", verb.Width))
	}
	verb.PrintWarnings(w, r.Cautions)
}
