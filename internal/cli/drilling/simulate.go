package drilling

import (
	"fmt"
	"io"
	"strconv"

	"slatewright/bed/program/answers"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// longestProgram is far above any program for one piece.
const longestProgram = 16 << 20

// Simulate replays a program against the drawing.
type Simulate struct {
	Program   string       `arg:"" help:"The program, G-code; - is standard input."`
	Spec      string       `required:"" placeholder:"FILE" help:"The pattern file, YAML."`
	Machine   string       `required:"" placeholder:"FILE" help:"The machine file, YAML."`
	Piece     string       `placeholder:"NAME" help:"Which piece; without it the one that the program's head names."`
	Face      string       `enum:"top,bottom," default:"" help:"Which face is up: top or bottom; without it as the program's head says."`
	Thickness *verb.Length `placeholder:"LENGTH" help:"Thickness of the stone, measured; without it the pattern's least."`
}

// About is the help of the verb.
func (Simulate) About() verb.About {
	return verb.About{
		Text: `Follows a program move by move over the stone, whoever wrote it: what it removes must be what the drawing wants, within its tolerances, and nothing
			else. It names, with the line, cuts into stone that stays, walls and floors that are not reached, depths, rapid moves that meet stone, cuts
			below the board, moves beyond the machine's travel, spindle, water, length or zero missing, and feeds and steps that a tool may
			not. A word that the control does not know, or that cannot be followed, is refused.

			It knows no clamps, holders or wear, and is no safety device: a dry run by a qualified operator comes first. Exit status 1: something is
			wrong.`,
		Examples: []verb.Example{
			{"slatewright bed simulate head-top.nc --spec nine-foot.yaml --machine machine.yaml", "what it removes, and what is wrong"},
		},
	}
}

// simulateReport is the answer.
type simulateReport struct{ *answers.Simulation }

// Run replays the program.
func (v Simulate) Run(s *verb.Session) (verb.Report, error) {
	text, err := s.Text(v.Program, longestProgram)
	if err != nil {
		return nil, err
	}
	p, err := readPattern(s, v.Spec)
	if err != nil {
		return nil, err
	}
	m, err := readMachine(s, v.Machine)
	if err != nil {
		return nil, err
	}
	thickness, err := thick(v.Thickness)
	if err != nil {
		return nil, err
	}
	a, err := answers.Simulated(v.Program, text, p, m, answers.Asked{Piece: v.Piece, Face: v.Face, Thickness: thickness})
	if err != nil {
		return nil, err
	}
	return simulateReport{a}, nil
}

// Outcome is Refused where something is wrong.
func (r simulateReport) Outcome() verb.Outcome {
	if !r.Replay.Fits {
		return verb.Refused
	}
	return verb.Done
}

// Print writes the answer for people.
func (r simulateReport) Print(w io.Writer) {
	loud(w, r.Warnings)
	fmt.Fprintf(w, "\n%s on %s: %s, revision %s, %s, %s up\n", r.File, r.Machine, r.Pattern, r.Revision, r.Piece, r.Face)
	if r.Replay.Fits {
		fmt.Fprintln(w, "Removes what is drawn, and nothing else.")
	} else {
		fmt.Fprintf(w, "%s\n", trouble.Count(len(r.Replay.Faults), "fault", "faults"))
		faults(w, r.Replay.Faults)
	}
	fixed := func(v float64, n int) string { return strconv.FormatFloat(v+0, 'f', n, 64) }
	l, h := r.Replay.Low, r.Replay.High
	fmt.Fprintf(w, "\n  tip of the tool   X %s to %s, Y %s to %s, Z %s to %s mm\n", fixed(l[0], 1), fixed(h[0], 1), fixed(l[1], 1), fixed(h[1], 1), fixed(l[2], 1), fixed(h[2], 1))
	fmt.Fprintf(w, "  way               %s m cutting, %s m rapid, %s, %s\n", fixed(r.Replay.Cut/1000, 1), fixed(r.Replay.Rapid/1000, 1),
		trouble.Count(r.Replay.Changes, "tool change", "tool changes"), trouble.Count(r.Replay.Pauses, "pause", "pauses"))
	fmt.Fprintf(w, "  time              %s min without pauses, water %s l, stone removed %s cm3\n\n", minutes(&r.Replay), litres(&r.Replay), fixed(r.Replay.StoneCM3, 0))
	rows := [][]string{{"made", "depth mm", "drawn", "beyond the wall mm", "short of it", "allowed", "area mm2", "drawn"}}
	for _, m := range r.Replay.Made {
		rows = append(rows, []string{m.Name, fixed(m.Depth, 2), fixed(m.Wants, 2), fixed(max(m.Over, 0), 3), fixed(max(m.Left, 0), 3), fixed(m.Limit, 2), fixed(m.Area, 0), fixed(m.Drawn, 0)})
	}
	verb.Table(w, 1, rows...)
	care(w)
}
