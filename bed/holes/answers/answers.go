// Package answers is what the command line and the pages answer with when a drilled bed is held against its drawing.
//
// It puts the check (package holes) and the joint edges (package edge) into one report whose names are a contract with other programs, and says
// what to do about a cause. It reads no files and computes nothing of its own but sums of verdicts.
package answers

import (
	"math"

	"slatewright/bed/holes"
	"slatewright/bed/holes/cause"
	"slatewright/bed/holes/fit"
	"slatewright/bed/holes/float"
	"slatewright/bed/holes/holefile"
	"slatewright/bed/pattern"
	"slatewright/judge"
	"slatewright/measure"
)

// Point names a feature and how far it lies off.
type Point struct {
	Feature   string  `json:"feature"`
	Deviation float64 `json:"deviation_mm"`
}

// Motion is measured = R(angle)·nominal + (dx, dy), with standard uncertainties.
type Motion struct {
	DX     float64 `json:"dx_mm"`
	DY     float64 `json:"dy_mm"`
	Angle  float64 `json:"angle_mrad"`
	UX     float64 `json:"u_dx_mm"`
	UY     float64 `json:"u_dy_mm"`
	UAngle float64 `json:"u_angle_mrad"`
}

// Feature is one measured feature.
type Feature struct {
	Feature     string   `json:"feature"`
	Kind        string   `json:"kind"`
	Piece       string   `json:"piece"`
	Deviation   *float64 `json:"deviation_mm"` // distance from the drawn place; null where only a gauge was there
	DX          *float64 `json:"dx_mm"`        // measured less drawn, in the directions of the drawing
	DY          *float64 `json:"dy_mm"`
	U           *float64 `json:"u_mm"` // standard uncertainty of each coordinate
	Limit       float64  `json:"limit_mm"`
	Verdict     string   `json:"verdict"`
	Probability *float64 `json:"probability"` // that the place is within its limit
	AtMost      *float64 `json:"at_most_mm"`  // what a gauge shows
	AtLeast     *float64 `json:"at_least_mm"`
	Diameter    *float64 `json:"diameter_mm"`
	Size        *Size    `json:"size"` // null where the diameter was not measured or has no tolerance
	Plug        *string  `json:"plug"` // verdict of a plug gauge
	Form        *float64 `json:"form_mm"`
}

// Size is a diameter against its drawing.
type Size struct {
	Off     float64 `json:"off_mm"` // measured less drawn
	U       float64 `json:"u_mm"`
	Limit   float64 `json:"limit_mm"` // either way
	Verdict string  `json:"verdict"`
}

// Limit is how the bed stands against a limit that people use.
type Limit struct {
	Name    string   `json:"name"`
	Limit   float64  `json:"limit_mm"`
	Verdict string   `json:"verdict"`
	Beyond  []string `json:"beyond"`
}

// Piece is the fit of one frame, where every piece has its own.
type Piece struct {
	Piece        string  `json:"piece"`
	Features     int     `json:"features"`
	Fit          *Motion `json:"fit"`
	Minimax      float64 `json:"minimax_mm"`
	MinimaxBound float64 `json:"minimax_bound_mm"` // no motion has less
	Cause        Cause   `json:"cause"`
}

// Cause is what made the holes lie wrong.
type Cause struct {
	Name       string   `json:"name"`
	Of         string   `json:"of"`
	Sure       bool     `json:"sure"`
	Rivals     []string `json:"rivals"` // what explains nearly as much
	Amounts    []Amount `json:"amounts"`
	Explains   float64  `json:"explains"`   // share of the squares of the deviations
	Scatter    float64  `json:"scatter_mm"` // of a coordinate, once it is taken away
	Correction string   `json:"correction"`
}

// Amount is a number of a cause.
type Amount struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	U     float64 `json:"u"`
	Unit  string  `json:"unit"`
}

// Share is a bolt's or a feature's part in what holds an answer.
type Share struct {
	Name  string  `json:"name"`
	Share float64 `json:"share"`
}

// Move is where a part was put, about its own middle.
type Move struct {
	Part  string  `json:"part"`
	DX    float64 `json:"dx_mm"`
	DY    float64 `json:"dy_mm"`
	Angle float64 `json:"angle_mrad"`
}

// Bolt is what is left of one bolt's float.
type Bolt struct {
	Bolt  string  `json:"bolt"`
	Float float64 `json:"float_mm"`
	Left  float64 `json:"left_mm"`
}

// Step is how the pieces at a joint stand against each other once the parts are put.
type Step struct {
	Joint  string  `json:"joint"`
	Opens  float64 `json:"opens_mm"`
	Slides float64 `json:"slides_mm"` // the piece towards the foot against the other, across the table
	Turns  float64 `json:"turns_mrad"`
}

// Zones is whether one motion of the drawing brings every feature within its own limit.
type Zones struct {
	Fits    *bool   `json:"fits"`
	Left    float64 `json:"left_mm"` // to spare at the tightest feature, under the best motion; below 0: missing
	Most    float64 `json:"most_mm"` // no motion leaves more
	U       float64 `json:"u_mm"`
	Holding []Share `json:"holding"`
}

// Together is whether all bolts pass at the same time.
type Together struct {
	Fits    *bool    `json:"fits"`
	Why     string   `json:"why"`
	Left    float64  `json:"left_mm"` // float left at the tightest bolt, as the parts are put
	Most    float64  `json:"most_mm"` // no place of the parts leaves more
	U       float64  `json:"u_mm"`
	Holding []Share  `json:"holding"` // the bolts that hold it, or fight
	Moves   []Move   `json:"moves"`
	Steps   []Step   `json:"steps"`
	Bolts   []Bolt   `json:"bolts"`
	Unasked []string `json:"unmeasured"`
}

// Answer is the report.
type Answer struct {
	File         string    `json:"file"`
	Pattern      string    `json:"pattern"`
	Revision     string    `json:"revision"`
	Verdict      string    `json:"verdict"`
	Fits         *bool     `json:"fits"`
	Worst        *Point    `json:"worst"`
	Fit          *Motion   `json:"fit"` // of the whole bed; null where every piece has its own frame
	Minimax      *float64  `json:"minimax_mm"`
	MinimaxBound *float64  `json:"minimax_bound_mm"`
	Cause        string    `json:"cause"`
	Causes       []Cause   `json:"causes"` // one for each frame
	Limits       []Limit   `json:"limits"`
	Zones        *Zones    `json:"zones"`
	UFrom        string    `json:"u_from"`
	Pieces       []Piece   `json:"pieces"` // empty where one frame holds all
	Function     *Together `json:"function"`
	Features     []Feature `json:"features"`
	Joints       []Joint   `json:"joints"`
	Missing      []string  `json:"missing"`
	Warnings     []string  `json:"warnings"`

	verdict judge.Verdict
}

// Outcome is the verdict of features and edges together.
func (a *Answer) Outcome() judge.Verdict { return a.verdict }

// Of answers. limit is the largest distance where the drawing says none, 0 for 1/32 in; edges may be nil. Errors are *trouble.Trouble.
func Of(file string, p *pattern.Pattern, d *holes.Drawing, m *holes.Measured, limit float64, edges *holefile.Edges, warnings []string) (*Answer, error) {
	r, err := holes.Check(d, m, limit)
	if err != nil {
		return nil, err
	}
	a := &Answer{File: file, Pattern: d.Name, Revision: d.Revision, UFrom: r.UFrom, Causes: []Cause{}, Limits: []Limit{}, Pieces: []Piece{}, Features: []Feature{}, Joints: []Joint{},
		Missing: some(r.Missing), Warnings: append(append([]string{}, warnings...), r.Warnings...), verdict: r.Verdict}
	if r.Worst >= 0 {
		f := r.Found[r.Worst]
		a.Worst = &Point{d.Features[f.Feature].Name, round(f.Distance)}
	}
	a.fits(d, r, m.Datum)
	for i := range r.Found {
		a.Features = append(a.Features, featureOf(d, &r.Found[i], limit))
	}
	for _, l := range r.Practice {
		a.Limits = append(a.Limits, Limit{l.Name, round(l.Limit), l.Verdict.String(), some(l.Beyond)})
	}
	if z := r.Zones; z != nil {
		a.Zones = &Zones{z.Fits, round(z.Left), round(z.Most), round(z.U), shares(z.Holding)}
	}
	if f := r.Function; f != nil {
		a.Function, a.Fits = togetherOf(f), f.Fits
	}
	if edges != nil {
		if err := a.joints(p, d, edges); err != nil {
			return nil, err
		}
	}
	a.Verdict = a.verdict.String()
	return a, nil
}

// freely is said behind the correction of a motion of the whole.
const freely = "where the instrument lay freely this is only how it lay (# datum: none)"

// fits writes the motions and the causes.
func (a *Answer) fits(d *holes.Drawing, r *holes.Result, datum holes.Datum) {
	a.Cause = string(cause.None)
	for _, g := range r.Groups {
		if g.Fit == nil {
			continue
		}
		m := &Motion{round(g.Fit.DX), round(g.Fit.DY), round(1000 * g.Fit.Angle), round(g.Fit.UX), round(g.Fit.UY), round(1000 * g.Fit.UAngle)}
		largest, bound := round(g.Minimax.Largest), round(g.Minimax.Bound)
		c := causeOf(g.Cause)
		if k := g.Cause.Kind; datum == holes.DatumUnknown && (k == cause.Shift || k == cause.Turn || k == cause.ShiftAndTurn) {
			c.Correction += "; " + freely
		}
		a.Causes = append(a.Causes, c)
		if a.Cause == string(cause.None) {
			a.Cause = c.Name
		}
		if a.Minimax == nil || largest > *a.Minimax {
			a.Minimax, a.MinimaxBound = &largest, &bound
		}
		if g.Piece < 0 {
			a.Fit = m
			continue
		}
		a.Pieces = append(a.Pieces, Piece{d.Pieces[g.Piece].Name, len(g.Fit.Deviations), m, largest, bound, c})
	}
}

func featureOf(d *holes.Drawing, f *holes.Found, limit float64) Feature {
	s := d.Features[f.Feature]
	o := Feature{Feature: s.Name, Kind: s.Kind, Piece: d.Pieces[s.Piece].Name, Limit: round(s.Limit), Verdict: f.Verdict.String()}
	if s.Limit == 0 {
		if limit == 0 {
			limit = holes.ThirtySecond
		}
		o.Limit = round(limit)
	}
	if f.Position != nil {
		o.Deviation, o.DX, o.DY, o.U, o.Probability = as(f.Distance), as(f.Deviation.X), as(f.Deviation.Y), as(f.U), new(measure.Round(f.Position.Probability, 4))
	}
	if f.Bound != nil {
		if o.AtLeast = as(f.Bound.AtLeast); !math.IsInf(f.Bound.AtMost, 0) {
			o.AtMost = as(f.Bound.AtMost)
		}
	}
	if f.Diameter > 0 {
		o.Diameter = as(f.Diameter)
	}
	if f.Form > 0 {
		o.Form = as(f.Form)
	}
	if f.Plug != holes.NoPlug && f.Plugged != 0 {
		o.Plug = new(f.Plugged.String())
	}
	if v := f.Size; v != nil {
		o.Size = &Size{round(v.Value), round(v.U), round(v.Limit), v.Verdict.String()}
	}
	return o
}

func togetherOf(f *holes.Function) *Together {
	t := &Together{Fits: f.Fits, Why: f.Why, Left: round(f.Left), Most: round(f.Most), U: round(f.U), Holding: shares(f.Holding), Moves: []Move{}, Steps: []Step{}, Bolts: []Bolt{}, Unasked: some(f.Unasked)}
	for i, m := range f.Moves {
		t.Moves = append(t.Moves, moveOf(f.Parts[i], m))
	}
	for _, s := range f.Steps {
		t.Steps = append(t.Steps, Step{s.Joint, round(s.Opens), round(s.Slides), round(1000 * s.Turns)})
	}
	for _, b := range f.Bolts {
		t.Bolts = append(t.Bolts, Bolt{b.Name, round(b.Float), round(b.Left)})
	}
	return t
}

func moveOf(part string, m fit.Motion) Move {
	return Move{part, round(m.DX), round(m.DY), round(1000 * m.Angle)}
}

func shares(list []float.Share) []Share {
	out := []Share{}
	for _, s := range list {
		out = append(out, Share{s.Name, measure.Round(s.Share, 4)})
	}
	return out
}

// round takes lengths to a nanometre.
func round(x float64) float64 { return measure.Round(x, 6) }

func as(x float64) *float64 { return new(round(x)) }

func some(list []string) []string { return append([]string{}, list...) }
