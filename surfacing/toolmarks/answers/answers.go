// Package answers says what tool marks were found in the words and names that the command line and the pages share.
//
// It brings maps into the machine's frame, asks packages toolmarks and trend, and puts the answer into JSON with units; it reads no files and
// reckons nothing of its own.
package answers

import (
	"fmt"
	"math"
	"slices"
	"time"

	"slatewright/face"
	"slatewright/measure"
	"slatewright/surfacing/toolmarks"
	"slatewright/surfacing/toolmarks/trend"
	"slatewright/trouble"
)

// Source is one map with how it lay on the machine.
type Source struct {
	Face   *face.Face
	Date   string // YYYY-MM-DD; "" takes that of the face
	Place  string
	Start  string // the side at which the first track lay: "+", "-", or "" when not known
	Turned bool   // it lay turned by half a turn
}

// Question is what is known of the machine, and what is asked.
type Question struct {
	Feed  string // along which axis the disc travels: "x" or "y"
	Facts toolmarks.Facts
	Limit float64 // mm: a mark above it counts; 0 = UsualLimit
}

// UsualLimit is a mark that counts when the question gives no other, mm (common practice: a step of 0.025 mm is felt through cloth, no source).
const UsualLimit = 0.010

// Span is a value with where it lies in nine cases of ten.
type Span struct {
	Value float64 `json:"value"`
	From  float64 `json:"from"`
	To    float64 `json:"to"`
}

// Mark is one mark found or suspected. The names are a contract with other programs.
type Mark struct {
	Cause            string   `json:"cause"`
	Says             string   `json:"says"`
	Found            bool     `json:"found"` // false: suspected only
	Above            string   `json:"above_limit"`
	Strength         Span     `json:"strength_um"`
	Probability      float64  `json:"probability"`
	CauseProbability float64  `json:"cause_probability"`
	Along            *Span    `json:"along_um_per_m"`
	Across           *Span    `json:"across_um_per_m"`
	Correct          string   `json:"correct"`
	Doubt            float64  `json:"doubt"`           // share by which the correction may be off, in nine cases of ten
	Settled          bool     `json:"sure_to_a_fifth"` // it is no more than a fifth
	Exact            string   `json:"how_exact"`
	Formula          string   `json:"formula,omitempty"`
	Alike            []string `json:"looks_alike"`
	First            []string `json:"try_first"`
	Maps             int      `json:"maps"`
}

// Trend is when a mark began.
type Trend struct {
	Cause       string   `json:"cause"`
	State       string   `json:"state"` // steady, step, growth, cannot tell
	Probability float64  `json:"probability"`
	Date        *string  `json:"date"`
	From        *string  `json:"from"`
	To          *string  `json:"to"`
	BeforeUM    *float64 `json:"before_um"`
	AfterUM     *float64 `json:"after_um"`
	Values      int      `json:"values"`
}

// Report is the answer.
type Report struct {
	Maps      []string `json:"maps"`
	Feed      string   `json:"feed"`
	DiscMM    *float64 `json:"disc_mm"`
	GivenMM   *float64 `json:"pitch_given_mm"`
	TurnMM    *float64 `json:"turn_mm"`
	LimitUM   float64  `json:"limit_um"`
	State     string   `json:"state"` // no marks, marks, cannot tell
	Cause     *string  `json:"first_cause"`
	Marks     []Mark   `json:"marks"`
	Pitch     *Span    `json:"pitch_mm"`
	HiddenUM  *float64 `json:"hidden_um"` // a hollow or a step of the tracks may be so high without being found; null where one is found, or none could be looked for
	CannotSee []string `json:"cannot_see"`
	Trends    []Trend  `json:"trends"`
	Warnings  []string `json:"warnings"`

	Finding *toolmarks.Finding `json:"-"` // what it was made of, for who draws it
}

// The states of an answer.
const (
	NoMarks    = "no marks"
	Marked     = "marks"
	CannotTell = "cannot tell"
)

// Of answers about maps. Errors are *trouble.Trouble.
func Of(sources []Source, q Question) (*Report, error) {
	if q.Feed != "x" && q.Feed != "y" {
		return nil, trouble.Usage("no-feed", "--feed", "it is not said along which axis the disc travels", "give x (along the table) or y (across it): tracks run that way")
	}
	if q.Limit == 0 {
		q.Limit = UsualLimit
	}
	if !(q.Limit > 0) || q.Limit > 10 {
		return nil, trouble.Usage("bad-limit", "--limit", fmt.Sprintf("a mark of %g mm is no limit", q.Limit), "give a height above zero, such as 10um")
	}
	r := &Report{Maps: []string{}, Feed: q.Feed, LimitUM: micro(q.Limit), DiscMM: given(q.Facts.Diameter), GivenMM: given(q.Facts.Pitch), TurnMM: given(q.Facts.Turn),
		Marks: []Mark{}, CannotSee: []string{}, Trends: []Trend{}, Warnings: []string{}}
	var maps []toolmarks.Map
	for _, s := range sources {
		m, err := s.machineFrame(q.Feed)
		if err != nil {
			return nil, err
		}
		maps = append(maps, m)
		r.Maps = append(r.Maps, m.Name)
		r.Warnings = append(r.Warnings, s.Face.Warnings...)
	}
	f, err := toolmarks.Look(maps, q.Facts)
	if err != nil {
		return nil, err
	}
	later := r.trends(f, maps)
	if len(later) > 0 && len(later) < len(maps) {
		now, err := toolmarks.Look(later, q.Facts)
		if err != nil {
			return nil, err
		}
		f.Marks = now.Marks
		r.Warnings = append(r.Warnings, fmt.Sprintf("the strengths are those of the %s since it began", trouble.Count(len(later), "map", "maps")))
	}
	r.tell(f, q)
	return r, nil
}

func given(mm float64) *float64 {
	if mm == 0 {
		return nil
	}
	return &mm
}

// machineFrame turns the readings so that s runs along the feed.
func (s Source) machineFrame(feed string) (toolmarks.Map, error) {
	f, err := s.Face.Centred()
	if err != nil {
		return toolmarks.Map{}, err
	}
	m := toolmarks.Map{Name: f.Name, Z: f.Z, Place: s.Place, Day: math.NaN()}
	sign := 1.0
	if s.Turned {
		sign = -1
	}
	turn := func(v []float64) []float64 {
		out := make([]float64, len(v))
		for i := range v {
			out[i] = sign * v[i]
		}
		return out
	}
	m.S, m.T, m.Size = turn(f.X), turn(f.Y), [2]float64{f.SizeX, f.SizeY}
	for _, c := range f.Thickness {
		m.Calipers = append(m.Calipers, [3]float64{sign * c.X, sign * c.Y, c.T})
	}
	if feed == "y" {
		m.S, m.T, m.Size = m.T, m.S, [2]float64{f.SizeY, f.SizeX}
		for i, c := range m.Calipers {
			m.Calipers[i] = [3]float64{c[1], c[0], c[2]}
		}
	}
	if m.Size[0] == 0 {
		m.Size = [2]float64{slices.Max(m.S) - slices.Min(m.S), slices.Max(m.T) - slices.Min(m.T)}
	}
	switch s.Start {
	case "-":
		m.Start = 1
	case "+":
		m.Start = -1
	case "":
	default:
		return m, trouble.Data("bad-start", m.Name, fmt.Sprintf("%q is no side at which the first track lay", s.Start), "write + or - for the side of larger or smaller "+otherAxis(feed)+", or leave it empty")
	}
	date := s.Date
	if date == "" {
		date = f.Date
	}
	if date != "" {
		t, err := time.Parse(time.DateOnly, date)
		if err != nil {
			return m, trouble.Data("bad-date", m.Name, fmt.Sprintf("%q is no date", date), "write it as 2026-11-25")
		}
		m.Day = float64(t.Unix()) / 86400
	}
	return m, nil
}

func otherAxis(feed string) string {
	if feed == "x" {
		return "y"
	}
	return "x"
}

// trends finds when each mark began, and returns the maps since the first cause did.
func (r *Report) trends(f *toolmarks.Finding, maps []toolmarks.Map) (later []toolmarks.Map) {
	dated := 0
	for _, m := range maps {
		if !math.IsNaN(m.Day) {
			dated++
		}
	}
	if dated < 2 {
		return nil
	}
	for _, s := range f.Series {
		var values []trend.Value
		for i, day := range s.Days {
			if !math.IsNaN(day) {
				values = append(values, trend.Value{Day: day, Value: s.Strength[i], U: s.U[i]})
			}
		}
		c := trend.Find(values)
		t := Trend{Cause: string(s.Cause), State: string(c.Kind), Probability: measure.Round(c.Probability, 4), Values: c.Values, Date: date(c.Day), From: date(c.From), To: date(c.To)}
		if c.Kind != trend.Unsure {
			before, after := micro(c.Before), micro(c.After)
			t.BeforeUM, t.AfterUM = &before, &after
		}
		r.Trends = append(r.Trends, t)
		if (c.Kind == trend.Step || c.Kind == trend.Growth) && later == nil {
			for _, m := range maps {
				if math.IsNaN(m.Day) || m.Day > c.Day {
					later = append(later, m)
				}
			}
		}
	}
	return later
}

func date(day float64) *string {
	if math.IsNaN(day) {
		return nil
	}
	text := time.Unix(int64(math.Round(day*86400)), 0).UTC().Format(time.DateOnly)
	return &text
}

func micro(mm float64) float64 { return measure.Round(mm*1000, 2) }

func span(i toolmarks.Interval, by float64, decimals int) Span {
	return Span{measure.Round(i.Value*by, decimals), measure.Round(i.Low*by, decimals), measure.Round(i.High*by, decimals)}
}

// tell puts the finding into words and says what it amounts to.
func (r *Report) tell(f *toolmarks.Finding, q Question) {
	r.Finding = f
	r.CannotSee = append(r.CannotSee, f.Blind...)
	r.Warnings = append(r.Warnings, f.Warnings...)
	if f.Pitch != nil {
		p := span(*f.Pitch, 1, 1)
		r.Pitch = &p
	}
	above, perhaps := false, false
	for _, m := range f.Marks {
		t := r.mark(m, q)
		above = above || t.Found && t.Above == "yes"
		perhaps = perhaps || t.Above == "cannot tell"
		r.Marks = append(r.Marks, t)
	}
	r.hidden(f)
	hides := r.HiddenUM != nil && *r.HiddenUM > r.LimitUM
	if hides {
		r.CannotSee = append(r.CannotSee, fmt.Sprintf("a hollow or a step of up to %s µm may hide in these readings: read more lines across the tracks, or on a finer gauge", measure.Decimal(*r.HiddenUM, 0)))
	}
	if c := f.First(); c != toolmarks.None {
		text := string(c)
		r.Cause = &text
	}
	switch {
	case above:
		r.State = Marked
	case perhaps || hides || len(f.Profiles) == 0:
		r.State = CannotTell
	default:
		r.State = NoMarks
	}
}

// hidden is what tracks may leave unseen, where no mark of theirs is found.
func (r *Report) hidden(f *toolmarks.Finding) {
	for _, m := range r.Marks {
		switch toolmarks.Cause(m.Cause) {
		case toolmarks.LeanAlong, toolmarks.LeanAcross, toolmarks.LeanBoth:
			if m.Found {
				return
			}
		}
	}
	if f.Hidden > 0 {
		um := micro(f.Hidden)
		r.HiddenUM = &um
	}
}

// mark is one mark in words.
func (r *Report) mark(m toolmarks.Mark, q Question) Mark {
	t := Mark{Cause: string(m.Cause), Found: m.Probability >= toolmarks.Sure, Strength: span(m.Strength, 1000, 2), Probability: measure.Round(m.Probability, 4),
		CauseProbability: measure.Round(m.Named, 4), Maps: m.Maps, Above: "no"}
	switch {
	case m.Strength.Low > q.Limit && t.Found:
		t.Above = "yes"
	case m.Strength.High > q.Limit && m.Strength.Value > q.Limit/2:
		t.Above = "cannot tell"
	}
	if len(m.Leans) == 2 {
		a, b := span(m.Leans[0], 1e6, 1), span(m.Leans[1], 1e6, 1)
		t.Along, t.Across = &a, &b
	}
	t.Doubt, t.Settled = measure.Round(min(m.Doubt(), 9.99), 4), m.Settled()
	t.Exact = exact(m)
	w := words(m, q)
	t.Says, t.Correct, t.Formula, t.Alike, t.First = w.says, w.correct, w.formula, w.alike, w.first
	return t
}
