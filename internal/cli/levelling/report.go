package levelling

import (
	"fmt"
	"io"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/seating/levelling/answers"
)

// report is the answer for people and programs.
type report struct{ *answers.Bed }

// Outcome is whether the bed will keep its limits.
func (r *report) Outcome() verb.Outcome { return verb.OutcomeOf(r.Says) }

// Print writes the report for people.
func (r *report) Print(w io.Writer) {
	fmt.Fprintf(w, "On %s frame, stone of %.3g GPa (%.3g to %.3g):\n\n", r.frame(), r.ModulusGPa[0], r.ModulusGPa[1], r.ModulusGPa[2])
	row := func(name string, v float64, spread [2]float64, ideal, limit float64) {
		fmt.Fprintf(w, "  %-12s %8.3f mm   %6.3f to %.3f   %8.3f   limit %.3f mm\n", name, v, spread[0], spread[1], ideal, limit)
	}
	fmt.Fprintf(w, "  %-12s %11s   %15s   %8s\n", "", "on packs", "stone's range", "ideal")
	row("lengthwise", r.LengthwiseMM, r.Range.LengthwiseMM, r.Ideal.LengthwiseMM, r.Limits.LengthwiseMM)
	row("across", r.AcrossMM, r.Range.AcrossMM, r.Ideal.AcrossMM, r.Limits.AcrossMM)
	row("zone", r.ZoneMM, r.Range.ZoneMM, r.Ideal.ZoneMM, r.Limits.ZoneMM)
	row("larger step", max(r.StepMM[0], r.StepMM[1]), r.Range.StepMM, max(r.Ideal.StepMM[0], r.Ideal.StepMM[1]), r.Limits.StepMM)
	fmt.Fprintf(w, "\nThe worst of them has %.0f %% of its limit", 100*r.Share)
	if r.ShareBound != nil {
		fmt.Fprintf(w, "; no shims at all make it less than %.0f %% (proven)", 100**r.ShareBound)
	}
	fmt.Fprintf(w, ".\nUnder %.1f kg in its middle the bed sinks by %.3f mm (%.3f mm allowed).\n", r.LoadKG, r.LoadDeflectionMM, r.LoadLimitMM)
	fmt.Fprintf(w, "The most that the stone is bent: %.2f, %.2f and %.2f N/mm² in head, centre and foot.\n", r.StressMPa[0], r.StressMPa[1], r.StressMPa[2])
	r.printWork(w)
	fmt.Fprintf(w, "\nThe bed, laid so: %s\n", r.Verdict)
	verb.PrintWarnings(w, r.Warnings)
}

func (r *report) frame() string {
	if r.Question.Spec.Pattern != "" && strings.HasPrefix(r.Frame, "the ") {
		return r.Frame
	}
	return "an assumed " + r.Frame
}

// printWork lists the packs in the order of work, with what the level should read after each piece.
func (r *report) printWork(w io.Writer) {
	fmt.Fprint(w, "\nLevel the frame first. Then, in this order (x along the table, head to foot; y across, left to right seen from the foot; from the middle of each piece):\n")
	for n, stage := range r.Work {
		fmt.Fprintf(w, "\n%d. Lay the %s piece on\n", n+1, stage.Piece)
		for _, s := range r.Shims {
			if s.Piece != stage.Piece {
				continue
			}
			carries := fmt.Sprintf("carries %.0f N", s.ForceN)
			switch {
			case s.ForceN < 0:
				carries = fmt.Sprintf("a screw holds it down with %.0f N", -s.ForceN)
			case s.LiftsOff:
				carries = fmt.Sprintf("carries nothing, %.3f mm free", s.GapMM)
			}
			fmt.Fprintf(w, "     x %5s  y %5s   %6.3f mm  %-26s asked %.3f, %s\n", signed(s.XMM, 0), signed(s.YMM, 0), s.HeightMM, "("+pack(s)+")", s.AskedMM, carries)
		}
		if stage.StepMM != nil {
			fmt.Fprintf(w, "   The step at its joint should be at most %.3f mm.\n", *stage.StepMM)
		}
		r.printLevels(w, stage)
	}
}

// signed writes a number with its sign, and 0 without one.
func signed(x float64, decimals int) string {
	s := measure.Decimal(x, decimals)
	switch {
	case strings.Trim(s, "-0.") == "":
		return strings.TrimPrefix(s, "-")
	case x > 0:
		return "+" + s
	}
	return s
}

func pack(s answers.Shim) string {
	var list []string
	for _, t := range s.PackMM {
		list = append(list, measure.FormatLength(t, measure.MM))
	}
	if len(list) == 0 {
		return "no shim"
	}
	return strings.Join(list, " + ")
}

func (r *report) printLevels(w io.Writer, stage answers.Stage) {
	if len(stage.Levels) == 0 {
		return
	}
	kinds := r.Question.Spec.Levels
	fmt.Fprintf(w, "   A level of %s base then reads (+ rises to the foot, or to the right):\n     %5s %6s  %-7s %8s", measure.FormatLength(stage.Levels[0].BaseMM, measure.MM), "x", "y", "lies", "mm/m")
	for _, k := range kinds {
		fmt.Fprintf(w, "  %s", k.Division)
	}
	fmt.Fprintln(w)
	for _, l := range stage.Levels {
		fmt.Fprintf(w, "     %5s %6s  %-7s %8s", signed(l.XMM, 0), signed(l.YMM, 0), l.Direction, signed(l.MMPerM, 3))
		for i, d := range l.Divisions {
			fmt.Fprintf(w, "  %*s", len(kinds[i].Division), signed(d, 1))
		}
		fmt.Fprintln(w)
	}
}
