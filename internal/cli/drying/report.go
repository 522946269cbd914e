package drying

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/seasoning"
	"slatewright/seasoning/answers"
	"slatewright/trouble"
)

// report prints an answer.
type report struct{ *answers.Leaving }

// Outcome is Refused where a piece must stay, and CannotTell where one cannot be told.
func (r report) Outcome() verb.Outcome {
	switch r.State() {
	case seasoning.Stays:
		return verb.Refused
	case seasoning.Unsure:
		return verb.CannotTell
	}
	return verb.Done
}

// shown prints x to a hundredth of the noise, with its unit.
func shown(x *float64, noise *float64, unit string) string {
	if x == nil {
		return "cannot tell"
	}
	return figure(*x, noise) + " " + unit
}

func figure(x float64, noise *float64) string {
	decimals := 4
	if noise != nil && *noise > 0 {
		decimals = int(math.Ceil(1 - math.Log10(*noise)))
	}
	return measure.Decimal(x, min(max(decimals, 0), 6))
}

func days(x *float64) string {
	if x == nil {
		return "cannot tell"
	}
	return measure.Decimal(*x, 1)
}

// Print writes the answer for people.
func (r report) Print(w io.Writer) {
	fmt.Fprintln(w, r.File)
	if r.One {
		r.printOne(w, r.Pieces[0])
		verb.PrintWarnings(w, append(append([]string{}, r.Warnings...), r.Pieces[0].Warnings...))
		return
	}
	r.printLayer(w)
}

func (r report) printOne(w io.Writer, p answers.Piece) {
	fmt.Fprintf(w, "%s\n\n", headline(p))
	rows := [][2]string{
		{"still to come", came(p)},
		{"ready", ready(p)},
		{"course", course(p)},
		{"ends at", shown(p.Final, p.Noise, p.Unit) + doubt(p)},
		{"readings", fmt.Sprintf("%d, noise %s", p.Readings, shown(p.Noise, p.Noise, p.Unit))},
	}
	if r.Scaled != nil {
		rows = append(rows, [2]string{"other thickness", days(r.Scaled) + " days time constant"})
	}
	verb.Columns(w, rows)
}

func came(p answers.Piece) string {
	day := measure.Decimal(p.Day, 1)
	if p.Limit == nil {
		return "cannot be told on day " + day
	}
	return fmt.Sprintf("%s on day %s; at most %s with 95 %% confidence, of %s allowed", shown(p.Remaining, p.Noise, p.Unit), day, shown(p.Limit, p.Noise, p.Unit), shown(p.Share, p.Noise, p.Unit))
}

func headline(p answers.Piece) string {
	text := strings.ToUpper(p.State[:1]) + p.State[1:]
	if len(p.Why) > 0 {
		text += ": " + strings.Join(p.Why, "; ")
	}
	return text
}

func ready(p answers.Piece) string {
	switch {
	case p.ReadyDay == nil && p.Expected == nil:
		return "cannot tell"
	case p.ReadyDay == nil:
		return "expected on day " + measure.Decimal(*p.Expected, 0) + ", surely: cannot tell"
	}
	text := "surely on day " + measure.Decimal(*p.ReadyDay, 0)
	if p.ReadyDate != nil {
		text += " (" + *p.ReadyDate + ")"
	}
	return text + ", expected on day " + measure.Decimal(*p.Expected, 0)
}

func course(p answers.Piece) string {
	text := fmt.Sprintf("%s, time constant %s days", p.Model, days(p.TauDays))
	switch {
	case p.TauDays == nil && p.TauFrom == nil:
		return p.Model
	case p.TauDays == nil:
		return fmt.Sprintf("%s, time constant at least %s days", p.Model, days(p.TauFrom))
	case p.TauFrom != nil && p.TauTo != nil:
		text += fmt.Sprintf(" (90 %%: %s to %s)", days(p.TauFrom), days(p.TauTo))
	}
	if p.TauFast != nil {
		text += fmt.Sprintf(" and %s days", days(p.TauFast))
	}
	if p.FromLayer {
		text += ", borrowing from its layer"
	}
	return text
}

func doubt(p answers.Piece) string {
	if p.FinalSD == nil {
		return ""
	}
	return ", standard deviation " + figure(*p.FinalSD, p.Noise)
}

func (r report) printLayer(w io.Writer) {
	if g := r.Group; g != nil && g.TauDays != nil {
		fmt.Fprintf(w, "time constant of the layer %s days, a factor of %s from piece to piece (%s)\n", days(g.TauDays), measure.Decimal(*g.Spread, 2), trouble.Count(g.Pieces, "piece", "pieces"))
		if g.ReadyDay != nil && g.Expected != nil {
			fmt.Fprintf(w, "a new piece is ready on day %s, surely on day %s\n", measure.Decimal(*g.Expected, 0), measure.Decimal(*g.ReadyDay, 0))
		}
	}
	fmt.Fprintln(w)
	rows := [][]string{{"piece", "answer", "day", "to come " + r.Unit, "at most", "allowed", "days", "ready", "surely"}}
	for _, p := range r.Pieces {
		rows = append(rows, []string{p.Name, p.State, measure.Decimal(p.Day, 0), cell(p.Remaining, p.Noise), cell(p.Limit, p.Noise), cell(p.Share, p.Noise), days(p.TauDays), whole(p.Expected), whole(p.ReadyDay)})
	}
	table(w, rows)
	for _, s := range r.Sentinels {
		fmt.Fprintf(w, "\n  sentinel %s: %s, %s a week, at most %s", s.Name, s.State, perWeek(s.PerWeek, s.Unit), perWeek(s.Limit, s.Unit))
	}
	if len(r.Sentinels) > 0 {
		fmt.Fprintln(w)
	}
	warnings := append([]string{}, r.Warnings...)
	for _, p := range r.Pieces {
		for _, text := range p.Warnings {
			warnings = append(warnings, p.Name+": "+text)
		}
	}
	verb.PrintWarnings(w, warnings)
}

func perWeek(x *float64, unit string) string {
	if x == nil {
		return "cannot tell"
	}
	return measure.Decimal(*x, 4) + " " + unit
}

func cell(x, noise *float64) string {
	if x == nil {
		return "?"
	}
	return figure(*x, noise)
}

func whole(x *float64) string {
	if x == nil {
		return "?"
	}
	return measure.Decimal(*x, 0)
}

// table writes rows in columns, the first two to the left, the others to the right.
func table(w io.Writer, rows [][]string) {
	var width []int
	for _, row := range rows {
		for i, c := range row {
			if i == len(width) {
				width = append(width, 0)
			}
			width[i] = max(width[i], len([]rune(c)))
		}
	}
	for _, row := range rows {
		line := " "
		for i, c := range row {
			pad := strings.Repeat(" ", width[i]-len([]rune(c)))
			if i < 2 {
				line += " " + c + pad
			} else {
				line += "  " + pad + c
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}
