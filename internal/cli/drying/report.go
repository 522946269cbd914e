package drying

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/seasoning"
	"slatewright/trouble"
)

// piece is the answer for one piece. Its names are a contract with other programs.
type piece struct {
	Name      string    `json:"piece,omitempty"`
	State     string    `json:"state"`
	Why       []string  `json:"why"`
	Model     string    `json:"model"`
	TauDays   *float64  `json:"tau_days"`
	TauFrom   *float64  `json:"tau_from"` // 90 % interval
	TauTo     *float64  `json:"tau_to"`
	TauFast   *float64  `json:"tau_fast_days"`
	Final     *float64  `json:"final"`
	FinalSD   *float64  `json:"final_sd"`
	Change    *float64  `json:"change"`
	Day       float64   `json:"day"`
	Remaining *float64  `json:"remaining"`
	Limit     *float64  `json:"remaining_95"`
	Unit      string    `json:"unit"`
	Share     *float64  `json:"share"`
	ReadyDay  *float64  `json:"ready_day"`
	Expected  *float64  `json:"ready_day_expected"`
	ReadyDate *string   `json:"ready_date,omitempty"`
	Noise     *float64  `json:"noise"`
	Readings  int       `json:"readings"`
	LeftOut   []float64 `json:"left_out_days"`
	FromLayer bool      `json:"borrows"`
	Warnings  []string  `json:"warnings"`
}

// sentinel is the answer for one shape.
type sentinel struct {
	Name    string   `json:"piece"`
	State   string   `json:"state"`
	PerWeek *float64 `json:"per_week"`
	Limit   *float64 `json:"per_week_95"`
	Unit    string   `json:"unit"`
}

// layer is what the pieces have in common.
type layer struct {
	Pieces   int      `json:"pieces"`
	TauDays  *float64 `json:"tau_days"`
	Spread   *float64 `json:"tau_spread"` // factor from piece to piece, one standard deviation
	Change   *float64 `json:"change"`
	Expected *float64 `json:"ready_day_expected"` // of a piece that has not been read
	ReadyDay *float64 `json:"ready_day"`
}

type report struct {
	File      string     `json:"file"`
	Layer     string     `json:"layer,omitempty"`
	Unit      string     `json:"unit"`
	Pieces    []piece    `json:"pieces,omitempty"`
	Sentinels []sentinel `json:"sentinels,omitempty"`
	Group     *layer     `json:"together,omitempty"`
	Scaled    *float64   `json:"scaled_tau_days,omitempty"`
	Warnings  []string   `json:"warnings"`

	one     bool
	kind    seasoning.Kind
	watched []seasoning.Sentinel
	states  []seasoning.State
}

// flat is the answer for a list of one piece: its numbers stand beside the file.
type flat struct {
	File string `json:"file"`
	piece
	Scaled *float64 `json:"scaled_tau_days,omitempty"`
}

// number is x for JSON: null where there is none.
func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func newPiece(d seasoning.Verdict, values seasoning.Values, list *seasoning.List, i int) piece {
	p := piece{Name: d.Name, State: string(d.State), Why: append([]string{}, d.Why...), Model: string(d.Model), TauDays: number(d.Tau), TauFrom: number(d.TauLow), TauTo: number(d.TauHigh),
		TauFast: number(d.TauFast), Final: number(d.Final), FinalSD: number(d.FinalSD), Change: number(d.Amplitude), Day: d.Day, Remaining: number(d.Remaining), Limit: number(d.Limit),
		Unit: values.Unit, Share: number(d.Share), ReadyDay: number(d.Ready), Expected: number(d.Expected), ReadyDate: date(list, d.Name, d.Ready), Noise: number(d.Noise),
		Readings: d.Readings, LeftOut: []float64{}, FromLayer: d.Borrowed, Warnings: append([]string{}, d.Warnings...)}
	if p.Limit == nil { // a number that the readings do not bound would only mislead
		p.TauDays, p.Final, p.FinalSD, p.Change, p.Remaining, p.TauFast = nil, nil, nil, nil, nil, nil
	}
	for _, k := range d.Wrong {
		p.LeftOut = append(p.LeftOut, values.Series[i].Readings[k].Day)
	}
	return p
}

func newSentinel(s seasoning.Sentinel, unit string) sentinel {
	words := map[seasoning.State]string{seasoning.May: "still", seasoning.Stays: "moves", seasoning.Unsure: "cannot tell"}
	return sentinel{s.Name, words[s.State], number(s.Rate), number(s.Limit), unit}
}

func (r *report) group(g seasoning.Group, rule seasoning.Rule) {
	share := rule.Share
	if rule.Relative {
		share *= math.Abs(g.Amplitude)
	}
	expected, sure := g.Ready(share)
	r.Group = &layer{Pieces: g.Pieces, TauDays: number(math.Exp(g.LogTau)), Spread: number(math.Exp(g.SD)), Change: number(g.Amplitude), Expected: number(max(expected, math.Ceil(rule.MinDays))),
		ReadyDay: number(max(sure, math.Ceil(rule.MinDays)))}
}

// scale turns the time constant to another thickness.
func (r *report) scale(from, to float64, g seasoning.Group) error {
	if from <= 0 || to <= 0 {
		return trouble.Usage("no-thickness", "slatewright season", "--thickness needs the thickness of what was read", "add a header line such as '# thickness: 25.4 mm'")
	}
	tau := math.Exp(g.LogTau)
	if r.one && r.Pieces[0].TauDays != nil {
		tau = *r.Pieces[0].TauDays
	}
	r.Scaled = number(seasoning.Scaled(tau, from, to))
	return nil
}

// MarshalJSON writes the answer for one piece flat.
func (r *report) MarshalJSON() ([]byte, error) {
	if !r.one {
		type list report
		return json.Marshal((*list)(r))
	}
	f := flat{File: r.File, piece: r.Pieces[0], Scaled: r.Scaled}
	f.Warnings = append(append([]string{}, r.Warnings...), f.Warnings...)
	return json.Marshal(f)
}

// Outcome is Refused where a piece must stay, and CannotTell where one cannot be told.
func (r *report) Outcome() verb.Outcome {
	worst := verb.Done
	for _, s := range r.states {
		switch s {
		case seasoning.Stays:
			return verb.Refused
		case seasoning.Unsure:
			worst = verb.CannotTell
		}
	}
	return worst
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
func (r *report) Print(w io.Writer) {
	fmt.Fprintln(w, r.File)
	if r.one {
		r.printOne(w, r.Pieces[0])
		verb.PrintWarnings(w, append(append([]string{}, r.Warnings...), r.Pieces[0].Warnings...))
		return
	}
	r.printLayer(w)
}

func (r *report) printOne(w io.Writer, p piece) {
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

func came(p piece) string {
	day := measure.Decimal(p.Day, 1)
	if p.Limit == nil {
		return "cannot be told on day " + day
	}
	return fmt.Sprintf("%s on day %s; at most %s with 95 %% confidence, of %s allowed", shown(p.Remaining, p.Noise, p.Unit), day, shown(p.Limit, p.Noise, p.Unit), shown(p.Share, p.Noise, p.Unit))
}

func headline(p piece) string {
	text := strings.ToUpper(p.State[:1]) + p.State[1:]
	if len(p.Why) > 0 {
		text += ": " + strings.Join(p.Why, "; ")
	}
	return text
}

func ready(p piece) string {
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

func course(p piece) string {
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

func doubt(p piece) string {
	if p.FinalSD == nil {
		return ""
	}
	return ", standard deviation " + figure(*p.FinalSD, p.Noise)
}

func (r *report) printLayer(w io.Writer) {
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
