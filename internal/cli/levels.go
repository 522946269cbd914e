package cli

import (
	"fmt"
	"io"
	"math"

	"slatewright/internal/cli/verb"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/traverse/levels"
	"slatewright/trouble"
)

// levelsVerb makes heights of a level walk.
type levelsVerb struct {
	File       string       `arg:"" help:"Steps of a level or an autocollimator, CSV; - is standard input."`
	Limit      *verb.Length `placeholder:"LENGTH" help:"Say whether the zone of the stations keeps within this limit, such as 0.25mm."`
	Rule       string       `enum:"guarded,simple" default:"guarded" help:"How the limit is decided: guarded counts the doubt against the verdict, simple compares the zone alone."`
	Covariance bool         `help:"With --json: add the covariances of all heights, mm²."`
}

func (levelsVerb) About() verb.About {
	return verb.About{
		Text: `Fits heights to the steps of a level walk by least squares: any lines that hang together, a union jack, a grid or a loop.
			The sheet has the columns x1,y1,x2,y2,rise_um and, above them, the standard uncertainty of a step ('# u: 1 um'). Heights are about
			the least-squares plane through the stations.

			The loops are closed and held against what u allows. A step that cannot be right is named with its line in the file, or with the
			others that could be the wrong one as well; it is not left out. What size of slip each step would have shown, and the steps that no
			loop controls, are in the answer too. With '# reference: lines' each line has a datum slope of its own, which is fitted
			(autocollimators).

			With --limit the exit status is the verdict on the zone of the stations; with a suspect step it is 'cannot tell'.`,
		Examples: []verb.Example{
			{"slatewright levels jack.csv", "heights, closures and suspects, for people"},
			{"slatewright levels jack.csv --limit 0.1mm", "a verdict that counts the doubt of the zone"},
			{"slatewright levels jack.csv --covariance --json", "everything, for programs"},
		},
	}
}

// levelsSeed begins the draws for the doubt of the zone: the same sheet gives the same answer.
const levelsSeed = 1

// levelsReport is the answer. Its names are a contract with other programs.
type levelsReport struct {
	File         string          `json:"file"`
	Stations     int             `json:"stations"`
	Spare        int             `json:"redundancy"`
	Heights      [][4]*float64   `json:"heights"` // x, y, height, its standard uncertainty (null: not known), mm
	ZoneMM       float64         `json:"zone_mm"`
	ZoneU        *float64        `json:"zone_u_mm"`
	ZoneInterval *[2]float64     `json:"zone_interval_mm"` // 95 %
	ClosureUM    *float64        `json:"closure_um"`       // largest; null without loops
	Closure      *closureReport  `json:"closure"`
	Fit          *fitReport      `json:"fit"` // null without loops
	Suspect      *suspectReport  `json:"suspect"`
	Suspects     []suspectReport `json:"suspects"`
	Steps        []stepReport    `json:"steps"`
	Slope        *[2]float64     `json:"slope_um_per_m"` // along x and y; null where the readings do not tell
	Covariance   [][]float64     `json:"covariance_mm2,omitempty"`
	LimitMM      *float64        `json:"limit_mm"`
	Verdict      *string         `json:"verdict"` // null without a limit
	Warnings     []string        `json:"warnings"`
	status       verb.Outcome
}

type closureReport struct {
	Loops     int      `json:"loops"`
	Rows      []int    `json:"rows"`       // of the largest
	Expected  *float64 `json:"u_um"`       // its standard uncertainty
	WorstUM   float64  `json:"worst_um"`   // the loop that is largest for its uncertainty
	WorstU    *float64 `json:"worst_u_um"` // its standard uncertainty
	WorstRows []int    `json:"worst_rows"` // its steps
}

type fitReport struct {
	Ratio    *float64    `json:"ratio"` // uncertainty that the closures show over the stated one; null if none is stated
	Interval *[2]float64 `json:"ratio_interval"`
	UUM      *float64    `json:"u_um"` // from the closures, if none is stated
	Chance   *float64    `json:"chance"`
}

type suspectReport struct {
	Row     int     `json:"row"`
	X1      float64 `json:"x1"`
	Y1      float64 `json:"y1"`
	X2      float64 `json:"x2"`
	Y2      float64 `json:"y2"`
	RiseUM  float64 `json:"rise_um"`
	ErrorUM float64 `json:"error_um"` // how much too high the reading seems
	U       float64 `json:"error_u_um"`
	Chance  float64 `json:"chance"`  // that a walk without slips looks so
	Others  []int   `json:"or_rows"` // lines of steps that could be the wrong one as well
}

type stepReport struct {
	Row          int      `json:"row"`
	ResidualUM   float64  `json:"residual_um"`
	Redundancy   float64  `json:"redundancy"`
	DetectableUM *float64 `json:"detectable_um"` // null: a slip of any size could hide, or no u is stated
}

// Run fits the walk.
func (v levelsVerb) Run(s *verb.Session) (verb.Report, error) {
	if v.Limit != nil && v.Limit.MM <= 0 {
		return nil, trouble.Usage("bad-limit", "slatewright levels", "--limit must be more than 0", "give the largest zone that is good enough, such as 0.25mm")
	}
	w, err := verb.Read(s, v.File, levels.Read)
	if err != nil {
		return nil, err
	}
	h, err := levels.Adjust(w)
	if err != nil {
		return nil, err
	}
	zone, err := h.Flat(levelsSeed)
	if err != nil {
		return nil, err
	}
	r := levelsReportOf(h, zone)
	if v.Covariance {
		for i := range h.Z {
			r.Covariance = append(r.Covariance, h.Covariance(i))
		}
		if finite(h.U[0]) == nil {
			r.Covariance = nil
		}
	}
	r.decide(v.Limit, v.Rule == "simple", zone)
	return r, nil
}

// finite is x, or nil where there is no such number: JSON has neither NaN nor infinity.
func finite(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// scaled is finite of x times a factor.
func scaled(x, factor float64) *float64 { return finite(x * factor) }

const micron = 1000 // µm in a mm

func levelsReportOf(h *levels.Heights, zone levels.Zone) *levelsReport {
	w := h.Walk
	r := &levelsReport{File: w.Name, Stations: len(w.At), Spare: h.Spare, ZoneMM: zone.Value, ZoneU: finite(zone.U), Suspects: []suspectReport{}, Warnings: h.Warnings}
	if r.ZoneU != nil {
		r.ZoneInterval = &zone.Interval
	}
	for i, at := range w.At {
		r.Heights = append(r.Heights, [4]*float64{&at[0], &at[1], &h.Z[i], finite(h.U[i])})
	}
	if c := h.Closures; c.Count > 0 {
		largest := math.Abs(c.Largest.Closure) * micron
		r.ClosureUM = &largest
		r.Closure = &closureReport{Loops: c.Count, Rows: c.Largest.Rows, Expected: scaled(c.Largest.U, micron), WorstUM: math.Abs(c.Worst.Closure) * micron,
			WorstU: scaled(c.Worst.U, micron), WorstRows: c.Worst.Rows}
	}
	if h.Spare > 0 {
		r.Fit = &fitReport{Chance: finite(h.Fit.Chance)}
		if r.Fit.Chance != nil {
			r.Fit.Ratio, r.Fit.Interval = finite(h.Fit.Ratio), &h.Fit.Within
		} else {
			r.Fit.UUM = scaled(h.Fit.Ratio, micron)
		}
	}
	for _, s := range h.Suspects {
		r.Suspects = append(r.Suspects, suspectOf(w, s))
	}
	if len(r.Suspects) > 0 {
		r.Suspect = &r.Suspects[0]
	}
	for k, c := range h.Checks {
		step := stepReport{Row: w.Steps[k].Row, ResidualUM: c.Residual * micron, Redundancy: c.Control}
		if c.Detectable > 0 {
			step.DetectableUM = scaled(c.Detectable, micron)
		}
		r.Steps = append(r.Steps, step)
	}
	if x, y, ok := h.Slope(); ok {
		r.Slope = &[2]float64{x * 1e6, y * 1e6}
	}
	if r.Warnings == nil {
		r.Warnings = []string{}
	}
	return r
}

func suspectOf(w *levels.Walk, s levels.Suspect) suspectReport {
	step := w.Steps[s.Step]
	from, to := w.At[step.From], w.At[step.To]
	r := suspectReport{Row: step.Row, X1: from[0], Y1: from[1], X2: to[0], Y2: to[1], RiseUM: step.Rise * micron, ErrorUM: s.Error * micron,
		U: s.U * micron, Chance: s.Chance, Others: []int{}}
	for _, k := range s.Others {
		r.Others = append(r.Others, w.Steps[k].Row)
	}
	return r
}

// decide holds the zone against the limit.
func (r *levelsReport) decide(limit *verb.Length, simple bool, zone levels.Zone) {
	if limit == nil {
		return
	}
	low, high := zone.Interval[0], zone.Interval[1]
	if simple {
		low, high = zone.Value, zone.Value
	}
	verdict := judge.CannotTell
	switch { // an interval that is not known (NaN) is on neither side
	case r.Suspect != nil:
	case high <= limit.MM:
		verdict = judge.Conforms
	case low > limit.MM:
		verdict = judge.DoesNotConform
	}
	words := verdict.String()
	r.LimitMM, r.Verdict, r.status = &limit.MM, &words, verb.OutcomeOf(verdict)
	r.Warnings = append(r.Warnings, "the verdict is on the stations: what lies between them is not in it")
}

func (r *levelsReport) Outcome() verb.Outcome { return r.status }

// mostHeights is how many heights are listed for people.
const mostHeights = 40

// Print writes the report for people.
func (r *levelsReport) Print(w io.Writer) {
	um := func(x float64, decimals int) string { return measure.Decimal(x, decimals) + " µm" }
	fmt.Fprintf(w, "%s\n%s, %s, %s to spare\n\n", r.File, trouble.Count(r.Stations, "station", "stations"), trouble.Count(len(r.Steps), "step", "steps"),
		trouble.Count(r.Spare, "reading", "readings"))
	printLength(w, "zone", r.ZoneMM, "of the stations, between two parallel planes")
	if r.ZoneInterval != nil {
		fmt.Fprintf(w, "  %-13s  %s to %s mm (95 %%)\n", "its doubt", measure.Decimal(r.ZoneInterval[0], 4), measure.Decimal(r.ZoneInterval[1], 4))
	}
	if c := r.Closure; c != nil {
		expected := ""
		if c.Expected != nil {
			expected = fmt.Sprintf("; u lets expect ± %s", um(*c.Expected, 1))
		}
		fmt.Fprintf(w, "  %-13s  %s is the largest of %s%s\n", "closure", um(*r.ClosureUM, 1), trouble.Count(c.Loops, "loop", "loops"), expected)
	}
	if r.Fit != nil && r.Fit.UUM != nil {
		fmt.Fprintf(w, "  %-13s  %s for a step, from the closures\n", "u", um(*r.Fit.UUM, 2))
	}
	r.printSuspects(w)
	fmt.Fprint(w, "\nHeights about the mean plane, mm:\n")
	for _, h := range r.Heights[:min(len(r.Heights), mostHeights)] {
		doubt := "?"
		if h[3] != nil {
			doubt = "± " + measure.Decimal(*h[3], 4)
		}
		fmt.Fprintf(w, "  x %9s  y %9s  z %9s  %s\n", measure.Decimal(*h[0], 1), measure.Decimal(*h[1], 1), measure.Decimal(*h[2], 4), doubt)
	}
	if n := len(r.Heights) - mostHeights; n > 0 {
		fmt.Fprintf(w, "  and %d more: --json has them all\n", n)
	}
	if r.Verdict != nil {
		fmt.Fprintf(w, "\nVerdict: %s (limit %s)\n", *r.Verdict, measure.FormatLength(*r.LimitMM, measure.MM))
	}
	verb.PrintWarnings(w, r.Warnings)
}

func (r *levelsReport) printSuspects(w io.Writer) {
	for _, s := range r.Suspects {
		fmt.Fprintf(w, "\nSuspect: the step in line %d, from (%g, %g) to (%g, %g): it seems %s off, ± %s\n", s.Row, s.X1, s.Y1, s.X2, s.Y2,
			measure.Decimal(s.ErrorUM, 1)+" µm", measure.Decimal(s.U, 1))
		if n := len(s.Others); n > 0 {
			fmt.Fprintf(w, "  %s the readings nearly as well, so the slip may be there: line %s\n", trouble.Count(n, "other step explains", "other steps explain"), rowsOf(s.Others))
		}
	}
}

// rowsOf lists lines of a file, the first few.
func rowsOf(rows []int) string {
	text := ""
	for i, row := range rows {
		if i == 8 {
			return text + ", …"
		}
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprint(row)
	}
	return text
}
