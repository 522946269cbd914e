package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
)

// print writes the report for people.
func (out *seatReport) Print(w io.Writer) {
	out.printAnswer(w)
	printLength(w, "zone", out.ZoneMM, "of the whole bed, between two level planes")
	printLength(w, "lengthwise", out.LengthwiseMM, "straightness of the worst line along the table, steps included")
	printLength(w, "across", out.AcrossMM, "straightness of the worst line across the table")
	for j, name := range [2]string{"joint 1 step", "joint 2 step"} {
		printLength(w, name, out.StepMM[j], jointWords(j, out.Joints[j]))
	}
	fmt.Fprint(w, "\nMoves, added to each piece as it lies (x along the table, head to foot; y across, left to right seen from the foot):\n")
	fmt.Fprintf(w, "  %-7s %-12s %10s  %14s  %14s  %s\n", "place", "lies", "height", "tilt x", "tilt y", "file")
	for _, p := range out.Pieces {
		lies := "as read"
		if p.Turned {
			lies = "turned"
		}
		fmt.Fprintf(w, "  %-7s %-12s %7s mm  %9s mm/m  %9s mm/m  %s\n", p.Place, lies, signed(p.HeightMM, 3), signed(p.TiltXMMPerM, 3), signed(p.TiltYMMPerM, 3), p.File)
	}
	out.printSteps(w)
	out.printShims(w)
	out.printLevels(w)
	opened.PrintAnswers(w, out.Answers)
	verb.PrintWarnings(w, out.Warnings)
}

func (out *seatReport) printAnswer(w io.Writer) {
	asked := ""
	switch {
	case out.MaxStepMM != nil:
		asked = "steps of at most " + measure.FormatLength(*out.MaxStepMM, measure.MM)
	case out.MaxZoneMM != nil:
		asked = "a zone of at most " + measure.FormatLength(*out.MaxZoneMM, measure.MM)
	}
	if out.Feasible {
		fmt.Fprintf(w, "The best of %d arrangements with %s:\n\n", out.Tried, asked)
	} else {
		fmt.Fprintf(w, "No arrangement of %d keeps %s. The nearest that can be had:\n\n", out.Tried, asked)
	}
}

// jointWords says between which pieces a joint lies, which side stands proud and whether it was read there.
func jointWords(j int, joint seatJoint) string {
	sides := [3]string{"head", "centre", "foot"}
	words := "largest between " + sides[j] + " and " + sides[j+1]
	for s, d := range joint.StepMM {
		if math.Abs(d) == joint.LargestMM && d != 0 {
			proud := sides[j]
			if d > 0 {
				proud = sides[j+1]
			}
			words += fmt.Sprintf(", the %s proud at y %s mm", proud, signed(joint.YMM[s], 0))
			break
		}
	}
	if !joint.Measured {
		words += ", not measured at the edge"
	}
	return words
}

func signed(x float64, decimals int) string {
	s := measure.Decimal(x, decimals)
	if x > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

func (out *seatReport) printSteps(w io.Writer) {
	fmt.Fprint(w, "\nSteps in µm at y mm (+ where the foot-side piece stands proud):\n")
	for j, joint := range out.Joints {
		const most = 12 // columns a page can hold
		stride := (len(joint.YMM) + most - 1) / most
		at, step := "", ""
		for s := 0; s < len(joint.YMM); s += stride {
			at += fmt.Sprintf(" %6s", signed(joint.YMM[s], 0))
			step += fmt.Sprintf(" %6s", signed(1000*joint.StepMM[s], 0))
		}
		fmt.Fprintf(w, "  joint %d  y   %s\n           step%s\n", j+1, at, step)
	}
}

func (out *seatReport) printShims(w io.Writer) {
	if out.NoShims != "" {
		fmt.Fprintf(w, "\nNo shim heights: %s.\n", out.NoShims)
		return
	}
	fmt.Fprint(w, "\nStarting packs for a true frame (level the frame first):\n")
	for _, s := range out.Shims {
		var shims []string
		for _, t := range s.PackMM {
			shims = append(shims, measure.FormatLength(t, measure.MM))
		}
		pack := strings.Join(shims, " + ")
		if pack == "" {
			pack = "none"
		}
		fmt.Fprintf(w, "  %-7s x %5s  y %5s   asked %s   lay %s (%s)\n", s.Piece, signed(s.XMM, 0), signed(s.YMM, 0),
			measure.FormatRounded(s.AskedMM, measure.MM, 3), measure.FormatRounded(s.HeightMM, measure.MM, 3), pack)
	}
	if f := out.Rounded; f != nil {
		fmt.Fprintf(w, "  on these packs: zone %s, steps %s and %s\n", measure.FormatRounded(f.ZoneMM, measure.MM, 3),
			measure.FormatRounded(f.StepMM[0], measure.MM, 3), measure.FormatRounded(f.StepMM[1], measure.MM, 3))
	}
}

func (out *seatReport) printLevels(w io.Writer) {
	if len(out.Levels) == 0 {
		return
	}
	fmt.Fprintf(w, "\nWhat a level of %s base should read on the seated bed (+ rises to the foot, or to the right):\n", measure.FormatLength(out.Levels[0].BaseMM, measure.MM))
	fmt.Fprintf(w, "  %-7s %5s %5s  %-7s %10s", "piece", "x", "y", "lies", "mm/m")
	for _, k := range out.divisions {
		fmt.Fprintf(w, "  %s", k.Division)
	}
	fmt.Fprintln(w)
	for _, l := range out.Levels {
		fmt.Fprintf(w, "  %-7s %5s %5s  %-7s %10s", l.Place, signed(l.XMM, 0), signed(l.YMM, 0), l.Direction, signed(l.MMPerM, 3))
		for i, d := range l.Divisions {
			fmt.Fprintf(w, "  %*s", len(out.divisions[i].Division), signed(d, 1))
		}
		fmt.Fprintln(w)
	}
}
