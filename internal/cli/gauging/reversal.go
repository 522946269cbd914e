package gauging

import (
	"fmt"
	"io"

	"slatewright/gauge/answers"
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

// Run reads the reversal and parts it.
func (v Reversal) Run(s *verb.Session) (verb.Report, error) {
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	a, err := answers.OfTurn(list)
	if err != nil {
		return nil, err
	}
	return &reversalReport{a}, nil
}

// reversalReport is the answer.
type reversalReport struct{ *answers.Reversal }

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
	verb.Table(w, 1, rows...)
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
