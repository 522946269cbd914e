package cutting

import (
	"fmt"
	"io"

	"slatewright/cutting/recovery/answers"
	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/sheet"
)

// Recovery asks what becomes of the rock that is moved, or what a lift weighs.
type Recovery struct {
	File string `arg:"" help:"The way: stage,entry,cause,tonnes or m3,doubt,pieces,price a tonne,price a piece; or what is lifted: name,length,width,thickness,mass. CSV; - is standard input."`
}

// About is the help of the verb.
func (Recovery) About() verb.About {
	return verb.About{
		Text: `From rock moved to finished stone: what each stage loses and why, in tonnes, pieces and money, by the mill's own prices. A line
			'# overburden: in' or 'out' says what counts as rock moved, for a recovery means nothing without it; both are told.
			What went in must be what came out and the named losses; what is left is named too, with its doubt.

			A list with a column thickness is one of bodies to lift: the mass of each from its thickest reading and the density of the wet
			stone, rounded up; a typed mass that is more than a tenth off is pointed at, and the larger counts.

			Exit status 1: the masses do not balance within twice their doubt, or a typed mass is more than a tenth off.
			Exit status 2: nothing is left to reckon a recovery over.`,
		Examples: []verb.Example{
			{"slatewright recovery year.csv", "where the stone went"},
			{"slatewright recovery lift.csv --json", "masses for lifting, for programs"},
		},
	}
}

// Run reads the list and answers.
func (v Recovery) Run(s *verb.Session) (verb.Report, error) {
	list, err := verb.Read(s, v.File, sheet.Read)
	if err != nil {
		return nil, err
	}
	if answers.IsLift(list) {
		bodies, err := answers.ReadLift(list)
		if err != nil {
			return nil, err
		}
		got, err := answers.OfLifts(bodies)
		if err != nil {
			return nil, err
		}
		return liftReport{got}, nil
	}
	way, err := answers.Read(list)
	if err != nil {
		return nil, err
	}
	got, err := answers.Of(way)
	if err != nil {
		return nil, err
	}
	return wayReport{got}, nil
}

// wayReport prints an account.
type wayReport struct{ *answers.Account }

// Outcome is Refused where the masses do not balance, and CannotTell where no recovery can be told.
func (r wayReport) Outcome() verb.Outcome {
	switch {
	case !r.Closes:
		return verb.Refused
	case r.Recovery.Value == nil:
		return verb.CannotTell
	}
	return verb.Done
}

func percent(x answers.Ratio) string {
	if x.Value == nil {
		return "cannot tell"
	}
	return fmt.Sprintf("%s %% (%s to %s)", measure.Decimal(100**x.Value, 1), measure.Decimal(100*x.Low, 1), measure.Decimal(100*x.High, 1))
}

func tonnes(m answers.Mass) string { return measure.Decimal(m.T, 1) }

func cell(x *float64, times float64, decimals int) string {
	if x == nil {
		return "?"
	}
	return measure.Decimal(times**x, decimals)
}

// Print writes the account for people.
func (r wayReport) Print(w io.Writer) {
	head := "Recovery " + percent(r.Recovery)
	if r.Recovery.Value == nil {
		head = "The recovery cannot be told"
	}
	fmt.Fprintf(w, "%s\n%s, %s\n\n", r.File, head, r.Definition)
	rows := [][2]string{{"overburden in", percent(r.In)}, {"overburden out", percent(r.Out)}}
	if r.Pieces != nil {
		rows = append(rows, [2]string{"of the pieces", measure.Decimal(100**r.Pieces, 1) + " %"})
	}
	if r.Money != nil {
		rows = append(rows, [2]string{"money lost", measure.Decimal(*r.Money, 0) + " " + r.Currency})
	}
	verb.Columns(w, rows)
	fmt.Fprintln(w)
	table := [][]string{{"stage", "in t", "out t", "lost t", "not accounted t", "± t", "yield %", "pieces %"}}
	for _, s := range r.Stages {
		table = append(table, []string{s.Name, tonnes(s.In), tonnes(s.Out), tonnes(s.Lost), tonnes(s.Missing), measure.Decimal(2*s.Missing.U, 1), cell(s.Yield.Value, 100, 1), cell(s.Pieces, 100, 1)})
	}
	verb.Table(w, 1, table...)
	fmt.Fprintln(w)
	table = [][]string{{"lost at", "by", "t", "± t", "% of rock", "pieces", "money"}}
	for _, l := range r.Losses {
		table = append(table, []string{l.Stage, l.Cause, tonnes(l.Mass), measure.Decimal(2*l.Mass.U, 1), measure.Decimal(100*l.Share, 1), measure.Decimal(l.Pieces, 0), cell(l.Money, 1, 0)})
	}
	verb.Table(w, 2, table...)
	verb.PrintWarnings(w, r.Warnings)
	verb.Care(w, []caution.Topic{caution.Faces, caution.Lifting})
}

// liftReport prints masses.
type liftReport struct{ *answers.Lifts }

// Outcome is Refused where a typed mass is not that of the stone.
func (r liftReport) Outcome() verb.Outcome {
	if !r.Agree {
		return verb.Refused
	}
	return verb.Done
}

// Print writes the masses for people.
func (r liftReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\nMasses for lifting, wet stone of %s kg/m³, at the thickest reading\n\n", r.File, measure.Decimal(r.Density, 0))
	table := [][]string{{"name", "m³", "reckoned kg", "typed kg", "lift for kg"}}
	var loads []caution.Load
	for _, l := range r.Lifts.Lifts {
		table = append(table, []string{l.Name, measure.Decimal(l.Volume, 4), measure.Decimal(l.Kg, 1), cell(l.Typed, 1, 0), measure.Decimal(l.Rounded, 0)})
		loads = append(loads, caution.Load{Name: l.Name, Kg: l.Rounded})
	}
	verb.Table(w, 1, table...)
	verb.PrintWarnings(w, r.Warnings)
	if len(loads) > 6 { // the table has them all
		loads = nil
	}
	verb.Care(w, []caution.Topic{caution.Lifting, caution.Faces}, loads...)
}
