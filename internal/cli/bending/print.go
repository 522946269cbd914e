package bending

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
)

// mm prints a height to the tenth of a µm.
func mm(v float64) string { return measure.Decimal(v, 4) + " mm" }

// plain prints a length without its unit, to the tenth of a mm where it has one.
func plain(v float64) string {
	return strings.TrimSuffix(measure.FormatLength(measure.Round(v, 1), measure.MM), " mm")
}

// height prints a height to as many digits as its doubt leaves.
func (r *sagReport) height(v float64) string {
	switch e := r.ErrorEstimateMM; {
	case e < 0.00005:
		return measure.Decimal(v, 4) + " mm"
	case e < 0.0005:
		return measure.Decimal(v, 3) + " mm"
	}
	return measure.Decimal(v, 2) + " mm"
}

// Print writes the answer for people.
func (r *sagReport) Print(w io.Writer) {
	fmt.Fprintf(w, "A piece of %s x %s, %s thick, %s kg, on %s\n", plain(r.SizeMM[0]), measure.FormatLength(measure.Round(r.SizeMM[1], 1), measure.MM),
		measure.FormatRounded(r.ThicknessMM, measure.MM, 2), measure.Decimal(r.MassKG, 1), r.on())
	rows := [][2]string{
		{"sag, peak to valley", r.height(r.PeakToValleyMM) + " (" + measure.Decimal(r.PeakToValleyMM/0.0254, 1) + " thou), for " + measure.Decimal(r.piece.Elastic.Along/1000, 1) + " GPa" + r.grain()},
		{"highest", r.height(r.MaxMM) + " at " + place(r.MaxAtMM)},
		{"lowest", r.height(r.MinMM) + " at " + place(r.MinAtMM)},
		{"doubt of these", "no more than " + measure.Decimal(math.Max(1e-4, math.Ceil(r.ErrorEstimateMM*1e4)/1e4), 4) + " mm by estimate, as far as the computation goes; the doubt of the stone is in the lines below"},
	}
	for _, m := range r.Moduli {
		rows = append(rows, [2]string{fmt.Sprintf("were it %s GPa", measure.Decimal(m.ModulusGPa, 0)), mm(m.PeakToValleyMM)})
	}
	side := "bottom"
	if r.Stress.Top {
		side = "top"
	}
	if r.Stress.MPa >= 0.005 {
		rows = append(rows, [2]string{"largest stress", fmt.Sprintf("%s MPa, pulling the %s at %s; sound slate bears %s times that", measure.Decimal(r.Stress.MPa, 2), side, place(r.Stress.AtMM), measure.Decimal(r.Stress.Factor, 0))})
	}
	if s := r.Slip; s != nil {
		text := fmt.Sprintf("costs %s: %s with the worst support so far beside its mark", mm(s.CostsMM), mm(s.PeakToValleyMM))
		if s.CostsMM == 0 {
			text = "costs nothing here"
		}
		rows = append(rows, [2]string{"a slip of " + measure.FormatLength(s.SlipMM, measure.MM), text})
	}
	verb.Section(w, "Sag, z up from the plane of the supports")
	verb.Columns(w, rows)
	r.printSupports(w)
	r.printLoad(w)
	r.printFree(w)
	verb.PrintWarnings(w, r.Warnings)
}

// grain says that the modulus has a direction, where it has.
func (r *sagReport) grain() string {
	if e := r.piece.Elastic; e.Across != e.Along {
		return " along the grain and " + measure.Decimal(e.Across/1000, 1) + " across it"
	}
	return ""
}

func (r *sagReport) on() string {
	if r.Pattern != nil && *r.Pattern != r.Support {
		return *r.Pattern + ": " + r.Support
	}
	return r.Support
}

func place(at [2]float64) string {
	return "(" + measure.Decimal(at[0], 0) + ", " + measure.Decimal(at[1], 0) + ")"
}

func (r *sagReport) printSupports(w io.Writer) {
	if len(r.Supports) == 0 {
		return
	}
	verb.Section(w, "What each support carries")
	var rows [][2]string
	for _, s := range r.Supports {
		name := ""
		switch {
		case s.XMM != nil && s.YMM != nil:
			name = place([2]float64{*s.XMM, *s.YMM})
		case s.YMM != nil:
			name = "bar at y " + measure.Decimal(*s.YMM, 1) + ", " + measure.Decimal(r.SizeMM[1]/2-math.Abs(*s.YMM), 1) + " mm from the end"
		default:
			name = "bar at x " + measure.Decimal(*s.XMM, 1) + ", " + measure.Decimal(r.SizeMM[0]/2-math.Abs(*s.XMM), 1) + " mm from the end"
		}
		text := measure.Decimal(s.ForceN, 0) + " N"
		switch {
		case s.Touches == 0:
			text = "nothing: the piece lifts off by " + mm(s.GapMM)
		case s.LiftsOff:
			text += fmt.Sprintf(", over %s %% of its length; the piece lifts off the rest by up to %s", measure.Decimal(100*s.Touches, 0), mm(s.GapMM))
		}
		rows = append(rows, [2]string{name, text})
	}
	verb.Columns(w, rows)
}

func (r *sagReport) printLoad(w io.Writer) {
	l := r.Load
	if l == nil {
		return
	}
	verb.Section(w, "The weight laid on")
	rows := [][2]string{{measure.Decimal(l.KG, 1) + " kg at " + place(l.At), "presses the piece down there by " + measure.Decimal(l.DeflectionMM, 3) + " mm"}}
	if l.ModulusGPa != nil {
		rows = append(rows, [2]string{"modulus of this stone", fmt.Sprintf("%s GPa by the dial, standard uncertainty %s GPa", measure.Decimal(*l.ModulusGPa, 1), measure.Decimal(*l.ModulusUGPa, 1))})
	}
	verb.Columns(w, rows)
}
