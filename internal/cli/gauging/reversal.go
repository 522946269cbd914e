package gauging

import (
	"fmt"
	"io"

	"slatewright/gauge"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
)

// Reversal parts an instrument's own error from what it measured.
type Reversal struct {
	File string `arg:"" help:"A straightedge: way, pass, x, gap; or a level: place, forward, back. '# u:' is the doubt of a reading. CSV; - is standard input."`
}

// About is the help of the verb.
func (Reversal) About() verb.About {
	return verb.About{
		Text: `A straightedge that is turned by half a turn about its long axis shows its own shape with the other sign and the face's with the same. A level
			that is turned end for end on one place does so with its zero error. Half the sum and half the difference part the two; no
			laboratory is needed. Edge and face are counted from the line through the outermost stations, + upwards.

			Several passes, or several places, are held against each other by chi squared at 1 %.

			Exit status 2: they contradict each other, and the answer names the place that fits least.`,
		Examples: []verb.Example{
			{"slatewright gauge reversal edge.csv", "the edge's own shape and the face's"},
			{"slatewright gauge reversal level.csv --json", "the level's zero error, and the slopes"},
		},
	}
}

// reversalReport is the answer. Its names are a contract with other programs.
type reversalReport struct {
	File        string          `json:"file"`
	Instrument  string          `json:"instrument"` // straightedge or level
	Unit        string          `json:"unit"`       // of own, face, zero and u: mm, or that of a level's readings
	Places      []reversalPlace `json:"places"`
	Zero        *float64        `json:"zero"`
	ZeroU       *float64        `json:"zero_u"`
	ZeroDiffers *bool           `json:"zero_differs"` // from nothing, at 95 %
	Consistent  bool            `json:"consistent"`
	ChiSquared  float64         `json:"chi_squared"`
	DoF         int             `json:"degrees_of_freedom"`
	Probability float64         `json:"probability"`
	Worst       *string         `json:"worst"`
	Why         string          `json:"why"`
	Warnings    []string        `json:"warnings"`
}

type reversalPlace struct {
	Place string  `json:"place"`
	Own   float64 `json:"own"`
	Face  float64 `json:"face"` // height of the face, or its slope
	U     float64 `json:"u"`
}

// Run reads the reversal and parts it.
func (v Reversal) Run(s *verb.Session) (verb.Report, error) {
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	in, err := gauge.ReadReversal(list)
	if err != nil {
		return nil, err
	}
	r := &reversalReport{File: list.Name, Instrument: "straightedge", Unit: "mm", Warnings: append([]string{}, in.Warnings...)}
	var places []gauge.Parted
	var c gauge.Consistency
	names := in.Places
	if in.X != nil {
		places, c, err = gauge.TurnEdge(in.As, in.Turned, in.X, in.U)
		for _, x := range in.X {
			names = append(names, "x "+measure.FormatLength(x, measure.MM))
		}
	} else {
		var zero, u float64
		places, zero, u, c, err = gauge.TurnLevel(in.Forward, in.Back, in.U)
		differs := gauge.ZeroDiffers(zero, u)
		r.Instrument, r.Unit, r.Zero, r.ZeroU, r.ZeroDiffers = "level", "", &zero, &u, &differs
	}
	if err != nil {
		return nil, at(list.Name, err)
	}
	for i, p := range places {
		r.Places = append(r.Places, reversalPlace{names[i], p.Own, p.Face, p.U})
	}
	r.Consistent, r.ChiSquared, r.DoF, r.Probability, r.Why = c.Consistent, c.ChiSquared, c.DoF, c.Probability, c.Why
	if !c.Consistent {
		r.Worst = &names[c.Worst]
	}
	return r, nil
}

// Outcome is CannotTell where the readings contradict each other.
func (r *reversalReport) Outcome() verb.Outcome {
	if r.Consistent {
		return verb.Done
	}
	return verb.CannotTell
}

// Print writes the answer for people.
func (r *reversalReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s\n\n", r.File, r.Instrument)
	rows := [][]string{{"place", "edge, mm", "face, mm", "u"}}
	if r.Zero != nil {
		rows[0] = []string{"place", "zero error", "slope", "u"}
	}
	for _, p := range r.Places {
		rows = append(rows, []string{p.Place, measure.Decimal(p.Own, 4), measure.Decimal(p.Face, 4), measure.Decimal(p.U, 4)})
	}
	table(w, rows...)
	fmt.Fprintln(w)
	if r.Zero != nil {
		words := "less than its own doubt"
		if *r.ZeroDiffers {
			words = "adjust the level, or take it off every reading"
		}
		sentence(w, fmt.Sprintf("Zero error of the level: %s, u %s; %s.", measure.Decimal(*r.Zero, 3), measure.Decimal(*r.ZeroU, 3), words))
	}
	text := r.Why + "."
	if r.Worst != nil {
		text += " Look first at " + *r.Worst + ", and read it again."
	}
	sentence(w, text)
	verb.PrintWarnings(w, r.Warnings)
}
