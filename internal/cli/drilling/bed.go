// Package drilling has the verbs about a bed's drawing: its pattern file, and what follows from it.
//
// It parses, asks the packages under bed, and shows; it computes nothing and reads no book.
package drilling

import (
	"fmt"
	"io"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/rules"
	"slatewright/bed/rules/answers"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/trouble"
)

// Bed holds the verbs about a bed's pattern file.
type Bed struct {
	Check    Check    `cmd:"" help:"Does the drawing keep the rules?"`
	Compare  Compare  `cmd:"" help:"What changed between two revisions?"`
	Draw     Draw     `cmd:"" help:"What do the drawings and templates look like?"`
	Schema   Schema   `cmd:"" help:"What may a pattern file say, for an editor?"`
	Program  Program  `cmd:"" help:"What does the machine do to each piece, in its own words?"`
	Simulate Simulate `cmd:"" help:"Does a program remove what is drawn, and nothing else?"`
}

func readPattern(s *verb.Session, name string) (pattern.Pattern, error) {
	return verb.Read(s, name, patternfile.Read)
}

// Check holds a pattern file against the rules.
type Check struct {
	File string `arg:"" help:"The pattern file, YAML; - is standard input."`
}

// About is the help of the verb.
func (Check) About() verb.About {
	return verb.About{
		Text: `Reads the whole file, works out its sums and its symmetry, and names what breaks a rule, with the rule and the place: holes too near
			an edge, a joint, a pocket or one another; too little stone under a counterbore; a joint through a pocket; what the
			symmetry repeats and the file has not; bolts that would not pass at the worst of the tolerances; and, where the file claims published
			rules, what they do not allow. The least distances are the file's own, under clearances:. The handbook lists the rules.

			It does not compute whether the stone holds. Exit status 1: a rule is broken.`,
		Examples: []verb.Example{
			{"slatewright bed check nine-foot.yaml", "what is wrong, by rule and place"},
			{"slatewright bed check nine-foot.yaml --json", "for programs"},
		},
	}
}

// checkReport is the answer.
type checkReport struct{ *answers.Check }

// Run reads the pattern and asks the rules.
func (v Check) Run(s *verb.Session) (verb.Report, error) {
	p, err := readPattern(s, v.File)
	if err != nil {
		return nil, err
	}
	return checkReport{answers.Checked(v.File, p)}, nil
}

// Outcome is Refused where a rule is broken.
func (r checkReport) Outcome() verb.Outcome {
	if len(r.Problems) > 0 {
		return verb.Refused
	}
	return verb.Done
}

// Print writes the answer for people.
func (r checkReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s, revision %s: %s, %s, %s, %s\n", r.Pattern, r.Revision, trouble.Count(r.Pieces, "piece", "pieces"), trouble.Count(r.Pockets, "pocket", "pockets"),
		trouble.Count(r.Holes, "hole", "holes"), trouble.Count(r.Dowels, "dowel", "dowels"))
	var masses []string
	for _, piece := range r.Stone {
		masses = append(masses, piece.Piece+" "+measure.Decimal(piece.Mass, 1)+" kg")
	}
	io.WriteString(w, verb.Wrap(fmt.Sprintf("Stone of %s: %s", measure.FormatLength(measure.Round(r.Least, 6), measure.MM), strings.Join(masses, ", ")), "", "  ", verb.Width))
	if len(r.Problems) == 0 {
		fmt.Fprintf(w, "Keeps all %d rules.\n", len(rules.Rules()))
	} else {
		fmt.Fprintf(w, "%s\n\n", trouble.Count(len(r.Problems), "problem", "problems"))
		for _, p := range r.Problems {
			at := ""
			if p.Line > 0 {
				at = fmt.Sprintf("%s:%d ", r.File, p.Line)
			}
			places := ""
			if n := len(p.Features); n > 1 {
				places = fmt.Sprintf(" (%d places)", n)
			}
			io.WriteString(w, verb.Wrap(fmt.Sprintf("%s%s: %s%s: %s.", at, p.Rule, p.Where, places, p.Message), "  ", "    ", verb.Width))
		}
	}
	verb.PrintWarnings(w, r.Warnings)
}
