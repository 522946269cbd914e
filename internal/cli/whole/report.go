package whole

import (
	"fmt"
	"io"
	"math"

	"slatewright/internal/cli/advice"
	"slatewright/internal/cli/verb"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/wholeface"
)

// span is a value with the interval from 5 to 95 %.
type span struct {
	Median   float64    `json:"median"`
	Interval [2]float64 `json:"interval"`
}

type priorNote struct {
	Family string `json:"family"`
	Scans  int    `json:"scans"`
	Digest string `json:"digest"`
}

// report is the answer. Its names are a contract with other programs.
type report struct {
	File           string       `json:"file"`
	Piece          string       `json:"piece"`
	Readings       int          `json:"readings"`
	State          string       `json:"state"` // laid, or as read
	CutoffMM       float64      `json:"cutoff_mm"`
	BandMM         float64      `json:"band_mm"`
	ZoneMedian     float64      `json:"zone_median_mm"`
	Interval       [2]float64   `json:"zone_interval_mm"` // 5 and 95 %
	LimitMM        float64      `json:"limit_mm"`
	Conforms       float64      `json:"probability_conforms"`
	Confidence     float64      `json:"confidence"`
	Verdict        string       `json:"verdict"`
	Calibrated     bool         `json:"calibrated"`
	Prior          *priorNote   `json:"prior"`
	NextPoints     [][2]float64 `json:"next_points"` // x, y in mm from the middle of the piece, best first
	NextSaves      []float64    `json:"next_saves"`  // by how much each is expected to lessen the chance of a wrong decision
	BowAlong       span         `json:"bow_along_mm"`
	BowAcross      span         `json:"bow_across_mm"`
	Twist          span         `json:"twist_mm"`
	Thickness      *span        `json:"thickness_mean_mm"`
	Thinnest       *span        `json:"thickness_least_mm"`
	*advice.Report              // nil for a scan
	Warnings       []string     `json:"warnings"`
	scan           bool
	verdict        judge.Verdict
}

func (r *report) warn(list ...string) { r.Warnings = append(r.Warnings, list...) }

// Outcome is the verdict.
func (r *report) Outcome() verb.Outcome { return verb.OutcomeOf(r.verdict) }

func spanOf(i wholeface.Interval) span {
	return span{measure.Round(i.Median, 6), [2]float64{measure.Round(i.Low, 6), measure.Round(i.High, 6)}}
}

// fill takes what is believed.
func (r *report) fill(a wholeface.Answer) {
	zone := spanOf(a.Interval())
	r.ZoneMedian, r.Interval, r.Calibrated = zone.Median, zone.Interval, a.Calibrated
	r.Conforms = measure.Round(math.Max(0, math.Min(1, a.Conforms(r.LimitMM))), 4)
	r.BowAlong, r.BowAcross, r.Twist = spanOf(a.BowAlong), spanOf(a.BowAcross), spanOf(a.Twist)
	if t := a.Thickness; t != nil {
		mean, least := spanOf(t.Mean), spanOf(t.Least)
		r.Thickness, r.Thinnest = &mean, &least
	}
	r.warn(a.Warnings...)
	r.decide()
}

// decide holds the rounded probability against the stated confidence.
func (r *report) decide() {
	r.verdict = judge.CannotTell
	switch {
	case r.Conforms >= r.Confidence:
		r.verdict = judge.Conforms
	case r.Conforms <= measure.Round(1-r.Confidence, 9):
		r.verdict = judge.DoesNotConform
	}
	r.Verdict = r.verdict.String()
	if r.NextPoints == nil {
		r.NextPoints, r.NextSaves = [][2]float64{}, []float64{}
	}
	if r.Warnings == nil {
		r.Warnings = []string{}
	}
}

// Print writes the answer for people.
func (r *report) Print(w io.Writer) {
	fmt.Fprintln(w, r.File)
	if r.Piece != "" {
		fmt.Fprintln(w, r.Piece)
	}
	what := "readings"
	if r.scan {
		what = "points of a scan"
	}
	fmt.Fprintf(w, "%d %s, %s; the true face after a cutoff of %g mm, %g mm along each edge left out\n\n", r.Readings, what, r.State, r.CutoffMM, r.BandMM)
	line(w, "zone", span{r.ZoneMedian, r.Interval}, "the whole true face; nine of ten lie in the interval")
	line(w, "bow along", r.BowAlong, "+ is crown")
	line(w, "bow across", r.BowAcross, "+ is crown")
	line(w, "twist", r.Twist, "+ is corners +x+y and -x-y high")
	if r.Thickness != nil {
		line(w, "thickness", *r.Thickness, "mean")
		line(w, "thinnest", *r.Thinnest, "anywhere inside the edge band")
	}
	calibrated := "calibrated by scans"
	switch {
	case r.scan:
		calibrated = "scanned, so nothing was guessed"
	case !r.Calibrated:
		calibrated = "uncalibrated"
	}
	fmt.Fprintf(w, "\nIt keeps within %s with a probability of %s %% (%s).\n", measure.FormatLength(r.LimitMM, measure.MM), measure.Decimal(100*r.Conforms, 1), calibrated)
	fmt.Fprintf(w, "Verdict: %s (asked for: %s %%)\n", r.Verdict, measure.Decimal(100*r.Confidence, 1))
	if len(r.NextPoints) > 0 {
		fmt.Fprint(w, "\nRead next, counted from the middle of the piece, mm:\n")
		for i, p := range r.NextPoints {
			fmt.Fprintf(w, "  x %7.1f  y %7.1f   chance of a wrong decision down by %s %%\n", p[0], p[1], small(100*r.NextSaves[i]))
		}
	}
	if r.Report != nil {
		r.Report.Print(w)
	}
	verb.PrintWarnings(w, r.Warnings)
}

// small is a share in per cent to a tenth, and words where it is less than that.
func small(percent float64) string {
	if percent < 0.05 {
		return "less than 0.1"
	}
	return measure.Decimal(percent, 1)
}

func line(w io.Writer, name string, s span, words string) {
	fmt.Fprintf(w, "  %-10s  %9s mm   %s to %s mm   %s\n", name, measure.Decimal(s.Median, 4), measure.Decimal(s.Interval[0], 4),
		measure.Decimal(s.Interval[1], 4), words)
}
