package surfacing

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/surfacing/worked/answers"
	"slatewright/trouble"
)

// workedReport prints what work did.
type workedReport struct{ *answers.Work }

// Outcome is CannotTell where the height is not tied or the passes are hardly those between the maps, and Refused where a value was set aside.
func (r workedReport) Outcome() verb.Outcome {
	switch {
	case !r.Tied() || r.Foreign():
		return verb.CannotTell
	case r.Far():
		return verb.Refused
	}
	return verb.Done
}

// told prints a number that may not be known.
func told(x *float64, decimals int) string {
	if x == nil {
		return "?"
	}
	return measure.Decimal(*x, decimals)
}

// held prints a value with its limits.
func held(x, low, high *float64, decimals int, unit string) string {
	unit = strings.TrimRight(" "+unit, " ")
	switch {
	case x != nil && low != nil && high != nil:
		return told(x, decimals) + unit + " (" + told(low, decimals) + " to " + told(high, decimals) + ")"
	case low != nil && high != nil:
		return told(low, decimals) + " to " + told(high, decimals) + unit
	case low != nil:
		return "at least " + told(low, decimals) + unit
	case high != nil:
		return "at most " + told(high, decimals) + unit
	}
	return "cannot tell"
}

// figures are the decimals that show about three figures of x.
func figures(x float64) int {
	if x = math.Abs(x); !(x > 0) {
		return 2
	}
	return min(max(2-int(math.Floor(math.Log10(x))), 0), 6)
}

// Print writes the answer for people.
func (r workedReport) Print(w io.Writer) {
	head := strings.TrimSpace(r.Piece + " " + r.Face)
	if head == "" {
		head = r.AfterFile
	}
	if r.Invented {
		head += " (the machine's values are invented)"
	}
	fmt.Fprintln(w, head)
	r.removed(w)
	r.stages(w)
	r.machine(w)
	r.learnt(w)
	verb.PrintWarnings(w, r.Warnings)
}

var states = map[string]string{"free": "gravity taken off both maps", "laid": "both maps as laid on a bench", "as read": "as read: gravity is in both maps"}

func (r workedReport) removed(w io.Writer) {
	v := r.Removal
	if !r.Tied() {
		fmt.Fprintf(w, "How much came off cannot be told, only its shape\n\n")
		verb.Columns(w, [][2]string{{"uneven by", measure.Decimal(v.UnevenMM, 3) + " mm, peak to valley of what came off about its own plane"}, {"state", states[r.State]}})
		return
	}
	fmt.Fprintf(w, "%s mm came off on average, %s cm³ of stone\n\n", told(v.MeanMM, 3), told(v.VolumeCM3, 0))
	at := func(p *[2]float64) string { return fmt.Sprintf(" at (%.0f, %.0f)", p[0], p[1]) }
	tie := trouble.Count(r.Tie.Pairs-len(r.Tie.LeftOut), "caliper pair", "caliper pairs")
	switch r.Tie.By {
	case "zero kept":
		tie = "the gauge's zero, which was kept"
	case "both":
		tie += " and the gauge's zero, which was kept"
	}
	verb.Columns(w, [][2]string{{"mean", held(v.MeanMM, v.MeanLowMM, v.MeanHighMM, 3, "mm")}, {"least", held(v.MinMM, v.MinLowMM, v.MinHighMM, 3, "mm") + at(v.MinAtMM)},
		{"most", held(v.MaxMM, v.MaxLowMM, v.MaxHighMM, 3, "mm") + at(v.MaxAtMM)}, {"volume", held(v.VolumeCM3, v.VolumeLowCM3, v.VolumeHighCM3, 0, "cm³")},
		{"tied by", tie}, {"state", states[r.State]}})
}

func (r workedReport) stages(w io.Writer) {
	if len(r.Stages) == 0 {
		return
	}
	verb.Section(w, "The bits")
	rows := [][]string{{"stage", "passes", "set mm", "off mm", "stone cm³", "bits mm", "G ratio", "from", "to", "last pass mm"}}
	for _, s := range r.Stages {
		passes := fmt.Sprint(s.Passes)
		if s.SparkOuts > 0 {
			passes = fmt.Sprintf("%d+%d", s.Passes-s.SparkOuts, s.SparkOuts)
		}
		g, from, to := "–", "–", "–"
		if s.BitsMeasured > 0 && s.GLow != nil {
			g, from, to = told(s.G, 0), told(s.GLow, 0), told(s.GHigh, 0)
		}
		worn := "–"
		if s.WornMM != nil {
			worn = measure.Decimal(*s.WornMM, 3)
		}
		rows = append(rows, []string{s.Name, passes, measure.Decimal(s.SetMM, 2), told(s.RemovedMM, 3), told(s.StoneCM3, 0), worn, g, from, to, measure.Decimal(s.LastWearMM, 3)})
	}
	verb.Table(w, 1, rows...)
	for _, s := range r.Stages {
		if s.BitsMeasured > 0 && s.GHigh == nil && s.GLow != nil {
			fmt.Fprintf(w, "\n  %s: G at least %s: the wear lies within its doubt\n", s.Name, told(s.GLow, 0))
		}
		if e := s.Energy; e != nil {
			line := fmt.Sprintf("  %s: %s J/mm³ of power for stone in %s", s.Name, measure.Decimal(e.MeanJ, 1), trouble.Count(len(e.Each), "pass", "passes"))
			switch {
			case e.Trend != nil && e.Duller:
				line += fmt.Sprintf("; it grows by %s %% a litre of stone (%s to %s): duller", measure.Decimal(*e.Trend, 0), measure.Decimal(*e.TrendLow, 0), measure.Decimal(*e.TrendHi, 0))
			case e.Trend != nil:
				line += "; no sign of dull bits"
			}
			fmt.Fprint(w, verb.Wrap(strings.TrimSpace(line), "  ", "    ", verb.Width))
		}
	}
}

func (r workedReport) machine(w io.Writer) {
	d := r.Depth
	if d == nil || d.LagMM == nil {
		return
	}
	verb.Section(w, "The machine")
	rows := [][2]string{{"set, reached", measure.Decimal(d.SetMM, 3) + " mm, " + told(d.ReachedMM, 3) + " mm where the disc was brought to the stone"},
		{"left standing", held(d.LagMM, d.LagLowMM, d.LagHighMM, 3, "mm") + fmt.Sprintf("; by the file %s mm yielding, and %s mm worn bits", measure.Decimal(d.YieldingMM, 3), measure.Decimal(d.WearMM, 3))}}
	if s := r.Stiffness; s != nil {
		rows = append(rows, [2]string{"stiffness", held(s.NPerUM, s.LowNPerUM, s.HiNPerUM, 1, "N/µm")})
		if s.Print == nil {
			rows = append(rows, [2]string{"print-through", "cannot tell: the stock was too even, or too many passes went over it"})
		} else {
			rows = append(rows, [2]string{"print-through", fmt.Sprintf("%s of the stock's waves, standard uncertainty %s; %s by the file", measure.Decimal(*s.Print, 3), measure.Decimal(*s.PrintU, 3), measure.Decimal(s.PrintFile, 3))})
		}
	}
	if v := r.Wedge; v != nil {
		words := "thicker on the side of the last track"
		if !v.Sided {
			words = "from side to side, + thicker on the + side; which side came first is not said ('# first track:')"
		}
		rows = append(rows, [2]string{"wedge", fmt.Sprintf("%s mm (%s to %s) %s; worn bits leave %s mm", measure.Decimal(v.SeenMM, 3), measure.Decimal(v.LowMM, 3), measure.Decimal(v.HighMM, 3), words, measure.Decimal(v.ByWearMM, 3))})
	}
	verb.Columns(w, rows)
}

func (r workedReport) learnt(w io.Writer) {
	if len(r.Learned) == 0 {
		return
	}
	verb.Section(w, "What the machine file learns")
	rows := [][]string{{"value", "of", "was", "±", "this job", "is", "±", "jobs", "differ %"}}
	for _, l := range r.Learned {
		n := figures(l.Was)
		seen := told(l.Seen, n)
		if l.SeenHi == nil && l.SeenLo != nil {
			seen = "≥ " + told(l.SeenLo, n)
		}
		if l.Aside {
			seen += " aside"
		}
		name := map[string]string{"g_ratio": "G ratio", "stiffness": "stiffness", "energy": "energy"}[l.Of]
		if l.Unit != "" {
			name += " " + l.Unit
		}
		rows = append(rows, []string{name, l.In, measure.Decimal(l.Was, n), measure.Decimal(l.WasU, n), seen, measure.Decimal(l.Is, n), measure.Decimal(l.IsU, n), fmt.Sprint(l.Jobs), measure.Decimal(l.Spread, 0)})
	}
	verb.Table(w, 2, rows...)
	fmt.Fprint(w, "\n", verb.Wrap("± is one standard uncertainty of what the next job will have: how well the value is known, and how far jobs differ.", "  ", "  ", verb.Width))
	if r.OutFile != "" {
		fmt.Fprintf(w, "\n  written: %s\n", r.OutFile)
	}
}
