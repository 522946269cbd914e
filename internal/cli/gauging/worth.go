package gauging

import (
	"fmt"
	"io"

	"slatewright/gauge/answers"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
)

// Worth asks what a better instrument is worth.
type Worth struct {
	File string `arg:"" help:"The mill's spread, limit and prices as header lines, and one instrument a row. CSV; - is standard input."`
}

// About is the help of the verb.
func (Worth) About() verb.About {
	return verb.About{
		Text: `For every instrument the mill owns or could buy: how many of the pieces it accepts are bad, and how many good pieces it stops, given how
			flat the mill's pieces truly are (JCGM 106, global risks). The truth is a mean and standard deviation, or a sample; what the sample's own
			reading added to its spread is taken off. Intervals hold 90 % and come from what is not known of the spread and of each u.

			Money is spoken of only where the file gives the mill's own prices: of a false accept, of a false reject, of measuring a piece, of an
			instrument. Then each instrument has its cost a year, what it saves against the best one that is owned, the number of pieces
			a year from which on it pays, and the guard band that would cost least. Costs that do not depend on the instrument are left out.

			Without prices the instruments are ranked by their u.`,
		Examples: []verb.Example{
			{"slatewright gauge worth instruments.csv", "false accepts, false rejects and money"},
			{"slatewright gauge worth instruments.csv --json", "the same as one JSON object"},
		},
	}
}

// Run reads the question and answers it.
func (v Worth) Run(s *verb.Session) (verb.Report, error) {
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	a, err := answers.OfInstruments(list)
	if err != nil {
		return nil, err
	}
	return &worthReport{a}, nil
}

// worthReport is the answer.
type worthReport struct{ *answers.Worth }

// Outcome is Done.
func (r *worthReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the answer for people.
func (r *worthReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\nLimit %s; %s of the mill's pieces truly lie beyond it (90 %%: %s)\n", r.File, measure.FormatLength(r.LimitMM, measure.MM), percent(r.Bad.Value), shares(r.Bad))
	verb.Section(w, "What each instrument lets through and stops")
	rows := [][]string{{"instrument", "u", "accepts up to", "bad among accepted", "90 %", "good ones stopped", "90 %"}}
	for _, in := range r.Instruments {
		name := in.Name
		if in.Owned {
			name += " (owned)"
		}
		rows = append(rows, []string{name, measure.FormatRounded(in.UMM, measure.MM, 4), measure.FormatRounded(in.AcceptMM, measure.MM, 4), percent(in.BadAmongAccepted.Value),
			shares(in.BadAmongAccepted), percent(in.GoodStopped.Value), shares(in.GoodStopped)})
	}
	verb.Table(w, 1, rows...)
	r.printMoney(w)
	fmt.Fprintln(w)
	sentence(w, r.verdict())
	verb.PrintWarnings(w, r.Warnings)
}

func shares(s answers.WorthSpan) string { return percent(s.Low) + " to " + percent(s.High) }
func amounts(s answers.WorthSpan) string {
	return digits(s.Low, 3) + " to " + digits(s.High, 3)
}

func (r *worthReport) printMoney(w io.Writer) {
	if r.Money == nil {
		return
	}
	title := "Money, by the mill's own prices"
	if *r.Money != "" {
		title += ", " + *r.Money
	}
	verb.Section(w, title)
	rows := [][]string{{"instrument", "a piece", "a year", "worth a year", "90 %", "pays from", "cheapest guard", "a piece with it"}}
	for _, in := range r.Instruments {
		m := in.Money
		row := []string{in.Name, digits(m.PerPiece.Value, 3), digits(m.PerYear.Value, 3), "", "", "", measure.Decimal(m.BestGuard, 2) + " u", digits(m.AtBest, 3)}
		if m.Worth != nil && (r.Baseline == nil || in.Name != *r.Baseline) {
			row[3], row[4] = digits(m.Worth.Value, 3), amounts(*m.Worth)
		}
		if m.BreakEven != nil {
			row[5] = measure.Decimal(*m.BreakEven, 0) + " pieces"
		}
		rows = append(rows, row)
	}
	verb.Table(w, 1, rows...)
}

// verdict says what comes out of it.
func (r *worthReport) verdict() string {
	switch {
	case r.Money == nil:
		return fmt.Sprintf("Smallest doubt: %s.", r.Best)
	case r.Baseline == nil:
		return fmt.Sprintf("Least cost a year: %s, %s.", r.Best, digits(r.BestOf().Money.PerYear.Value, 3))
	case r.Best == *r.Baseline:
		return fmt.Sprintf("Nothing listed is worth more than what the mill has: %s. A gauge without any doubt would save %s a year before its price.", r.Best, digits(*r.Perfect, 3))
	}
	m := r.BestOf().Money.Worth
	text := fmt.Sprintf("Worth most: %s, %s a year against %s (90 %%: %s).", r.Best, digits(m.Value, 3), *r.Baseline, amounts(*m))
	if m.Low <= 0 {
		text += " It may as well be worth nothing: the interval reaches below 0."
	}
	return text + fmt.Sprintf(" A gauge without any doubt would save %s a year before its price.", digits(*r.Perfect, 3))
}
