package answers

import (
	"math"

	"slatewright/judge"
	"slatewright/traverse/levels"
	"slatewright/trouble"
)

// seed begins the draws for the doubt of the zone: the same sheet gives the same answer.
const seed = 1

// Levels is the answer to a level walk. Its names are a contract with other programs.
type Levels struct {
	File         string        `json:"file"`
	Stations     int           `json:"stations"`
	Spare        int           `json:"redundancy"`
	Heights      [][4]*float64 `json:"heights"` // x, y, height, its standard uncertainty (null: not known), mm
	ZoneMM       float64       `json:"zone_mm"`
	ZoneU        *float64      `json:"zone_u_mm"`
	ZoneInterval *[2]float64   `json:"zone_interval_mm"` // 95 %
	ClosureUM    *float64      `json:"closure_um"`       // largest; null without loops
	Closure      *Closure      `json:"closure"`
	Fit          *Fit          `json:"fit"` // null without loops
	Suspect      *Suspect      `json:"suspect"`
	Suspects     []Suspect     `json:"suspects"`
	Steps        []Step        `json:"steps"`
	Slope        *[2]float64   `json:"slope_um_per_m"` // along x and y; null where the readings do not tell
	Covariance   [][]float64   `json:"covariance_mm2,omitempty"`
	LimitMM      *float64      `json:"limit_mm"`
	Verdict      *string       `json:"verdict"` // null without a limit
	Warnings     []string      `json:"warnings"`

	Says   judge.Verdict   `json:"-"` // the verdict; it means nothing without a limit
	Zone   levels.Zone     `json:"-"`
	Fitted *levels.Heights `json:"-"`
}

// Closure is how well the loops close.
type Closure struct {
	Loops     int      `json:"loops"`
	Rows      []int    `json:"rows"`       // of the largest
	Expected  *float64 `json:"u_um"`       // its standard uncertainty
	WorstUM   float64  `json:"worst_um"`   // the loop that is largest for its uncertainty
	WorstU    *float64 `json:"worst_u_um"` // its standard uncertainty
	WorstRows []int    `json:"worst_rows"` // its steps
}

// Fit holds the closures against the stated uncertainty.
type Fit struct {
	Ratio    *float64    `json:"ratio"` // uncertainty that the closures show over the stated one; null if none is stated
	Interval *[2]float64 `json:"ratio_interval"`
	UUM      *float64    `json:"u_um"` // from the closures, if none is stated
	Chance   *float64    `json:"chance"`
}

// Suspect is a step that cannot be right.
type Suspect struct {
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

// Step is what the fit says of one step.
type Step struct {
	Row          int      `json:"row"`
	ResidualUM   float64  `json:"residual_um"`
	Redundancy   float64  `json:"redundancy"`
	DetectableUM *float64 `json:"detectable_um"` // null: a slip of any size could hide, or no u is stated
}

// OfLevels answers a walk. With a limit, mm, it says whether the zone of the stations keeps within it, by the interval of the zone or, with
// simple, by the zone alone. The error is a *trouble.Trouble.
func OfLevels(w *levels.Walk, limit *float64, simple, covariance bool) (*Levels, error) {
	h, err := levels.Adjust(w)
	if err != nil {
		return nil, err
	}
	zone, err := h.Flat(seed)
	if err != nil {
		return nil, err
	}
	r := levelsOf(h, zone)
	if covariance && finite(h.U[0]) != nil {
		for i := range h.Z {
			r.Covariance = append(r.Covariance, h.Covariance(i))
		}
	}
	if zone.Few {
		r.Warnings = append(r.Warnings, trouble.Count(len(h.Z), "station lies", "stations lie")+" in one plane whatever the readings: a zone needs four, or three on a line")
	}
	if said := h.Frame.Doubtful(zone.Value); said != "" {
		r.Warnings = append(r.Warnings, said)
	}
	r.decide(limit, simple, zone)
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

func levelsOf(h *levels.Heights, zone levels.Zone) *Levels {
	w := h.Walk
	r := &Levels{File: w.Name, Stations: len(w.At), Spare: h.Spare, ZoneMM: zone.Value, ZoneU: finite(zone.U), Suspects: []Suspect{}, Warnings: h.Warnings,
		Zone: zone, Fitted: h}
	if r.ZoneU != nil {
		r.ZoneInterval = &zone.Interval
	}
	for i, at := range w.At {
		r.Heights = append(r.Heights, [4]*float64{&at[0], &at[1], &h.Z[i], finite(h.U[i])})
	}
	if c := h.Closures; c.Count > 0 {
		largest := math.Abs(c.Largest.Closure) * micron
		r.ClosureUM = &largest
		r.Closure = &Closure{Loops: c.Count, Rows: c.Largest.Rows, Expected: scaled(c.Largest.U, micron), WorstUM: math.Abs(c.Worst.Closure) * micron,
			WorstU: scaled(c.Worst.U, micron), WorstRows: c.Worst.Rows}
	}
	if h.Spare > 0 {
		r.Fit = &Fit{Chance: finite(h.Fit.Chance)}
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
		step := Step{Row: w.Steps[k].Row, ResidualUM: c.Residual * micron, Redundancy: c.Control}
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

func suspectOf(w *levels.Walk, s levels.Suspect) Suspect {
	step := w.Steps[s.Step]
	from, to := w.At[step.From], w.At[step.To]
	r := Suspect{Row: step.Row, X1: from[0], Y1: from[1], X2: to[0], Y2: to[1], RiseUM: step.Rise * micron, ErrorUM: s.Error * micron,
		U: s.U * micron, Chance: s.Chance, Others: []int{}}
	for _, k := range s.Others {
		r.Others = append(r.Others, w.Steps[k].Row)
	}
	return r
}

// decide holds the zone against the limit.
func (r *Levels) decide(limit *float64, simple bool, zone levels.Zone) {
	if limit == nil {
		return
	}
	low, high := zone.Interval[0], zone.Interval[1]
	if simple {
		low, high = zone.Value, zone.Value
	}
	verdict := judge.CannotTell
	switch { // an interval that is not known (NaN) is on neither side
	case r.Suspect != nil || zone.Few:
	case high <= *limit:
		verdict = judge.Conforms
	case low > *limit:
		verdict = judge.DoesNotConform
	}
	words := verdict.String()
	r.LimitMM, r.Verdict, r.Says = limit, &words, verdict
	r.Warnings = append(r.Warnings, "the verdict is on the stations: what lies between them is not in it")
}
