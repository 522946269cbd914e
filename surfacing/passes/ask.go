package passes

import (
	"fmt"
	"math"

	"slatewright/judge/ways"
)

// Outcome is how a question was answered.
type Outcome int

// The outcomes.
const (
	Planned Outcome = iota
	Stopped         // no plan keeps the limits
	Unsure          // the doubt of the thickness straddles what is asked
)

// String returns the outcome in words.
func (o Outcome) String() string { return [...]string{"planned", "no plan", "cannot tell"}[o] }

// Answer is a plan, or what stops it.
type Answer struct {
	Outcome Outcome
	Plan    *Plan // nil when Stopped
	Rule    *Plan // by the rule of thumb
	// Unasked is the plan where no number of rounds is asked, when that is cheaper; nil otherwise.
	Unasked  *Plan
	Stopped  []Hindrance
	Left     *Left // nil: the thickness or the least thickness is not known
	Pressed  float64
	Surplus  float64 // stone between the clean-up planes and the wanted thickness, shared between both faces
	Take     [2]Stock
	Warnings []string
}

// Left is what stays above the least thickness once the plan is done.
type Left struct {
	After, Above, U float64 // mm; U is the standard uncertainty of both
	Last            bool    // less than a light pass is left above the reserve: it is the last cut
	TooThin         bool    // less than the reserve is left
}

// Ask makes the plan. An error is a *trouble.Trouble about the question itself.
func Ask(q Question) (*Answer, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	a := &Answer{}
	q.share(a)
	if q.Take[Top].Max == 0 && q.Take[Bottom].Max == 0 {
		return nil, nothing()
	}
	w := newWork(&q)
	w.out = 1
	if h := q.final(); h > 0 {
		out, err := PressedOut(q.Stone, q.X, q.Y, h, bowOr(q.Bow), q.Machine.Hold.Pressure)
		if err != nil {
			return nil, err
		}
		w.out = out
	}
	a.Pressed, a.Take = w.out, q.Take
	a.Warnings = q.warnings()
	a.Rule = w.byRule()
	if h := w.tooLittle(a); h != nil {
		a.Stopped = append(a.Stopped, *h)
		a.Outcome = Stopped
		return a, nil
	}
	if q.long() <= q.Machine.Table.X && q.wide() <= q.Machine.Table.Y {
		if f := w.best(); f != nil {
			w.found(a, f)
			return a, nil
		}
	}
	a.Outcome, a.Stopped = Stopped, w.stopped()
	return a, nil
}

// found fills the answer with the plan.
func (w *work) found(a *Answer, f *found) {
	a.Plan = w.reckon(f.layings)
	if g := w.without(ByRounds); w.Rounds > 0 && g != nil && g.cost.less(f.cost) {
		a.Unasked = w.reckon(g.layings)
	}
	w.remains(a)
	for _, u := range a.Plan.Worn {
		if u.Share > 1 {
			a.Warnings = append(a.Warnings, fmt.Sprintf("Stage %q wears %s mm off its bits, more than they have: the disc is changed in the midst of the piece, which the plan does not count.", w.cutters[u.Stage].Name, mm(u.Height)))
		}
	}
}

func bowOr(b *float64) float64 {
	if b == nil {
		return 0
	}
	return *b
}

// share gives what is above the wanted thickness to both faces so that they lose as much on average where the stone allows it: skin stress then goes from
// both alike.
func (q *Question) share(a *Answer) {
	if q.Final == 0 || q.Thickness == 0 || q.Final >= q.Thickness {
		return
	}
	a.Surplus = q.Thickness - q.Final
	top := (a.Surplus + q.Take[Bottom].Mean - q.Take[Top].Mean) / 2
	top = math.Min(a.Surplus, math.Max(0, top))
	q.Take[Top], q.Take[Bottom] = q.Take[Top].deeper(top), q.Take[Bottom].deeper(a.Surplus-top)
}

// tooLittle is the trouble with a thickness that the stone does not have, or that nobody may take. Where doubt straddles it, the answer is that it cannot
// be told, with the plan.
func (w *work) tooLittle(a *Answer) *Hindrance {
	u := 2 * w.ThicknessU
	if w.Missing > u {
		return &Hindrance{ByThickness, fmt.Sprintf("the clean-up lacks %s mm to the thickness that it was asked for", mm(w.Missing)), "a smaller thickness, or a thicker slab"}
	} else if w.Missing > 0 {
		a.Outcome = Unsure
	}
	if w.Final > 0 && w.Thickness > 0 && w.Final > w.Thickness {
		missing := w.Final - w.Thickness
		if missing > u {
			return &Hindrance{ByThickness, fmt.Sprintf("%s mm are wanted, and %s mm are left between the clean-up planes: %s mm are missing", mm(w.Final), mm(w.Thickness), mm(missing)), fmt.Sprintf("a thickness of %s mm, or a thicker slab", mm(w.Thickness))}
		}
		a.Outcome = Unsure
	}
	h := w.final()
	if w.Least == 0 || h == 0 {
		return nil
	}
	if above := h - w.Least; above < -u || w.Final > 0 && above < w.Reserve-u {
		return &Hindrance{ByLeast, fmt.Sprintf("%s mm would be left, and the thinnest piece allowed is %s mm with a reserve of %s mm for a re-grind", mm(h), mm(w.Least), mm(w.Reserve)), fmt.Sprintf("a wanted thickness of %s mm, or a smaller reserve", mm(w.Least+w.Reserve))}
	} else if above < u {
		a.Outcome = Unsure
	}
	return nil
}

// remains says what stays above the least thickness.
func (w *work) remains(a *Answer) {
	t := a.Plan.Thickness
	if t == nil || w.Least == 0 {
		return
	}
	l := &Left{After: w.final(), Above: w.final() - w.Least, U: math.Hypot(w.ThicknessU, (t.High-t.Low)/4)}
	l.Last = l.Above-w.Reserve < ways.LightPass
	l.TooThin = l.Above < w.Reserve
	a.Left = l
	if l.Last {
		a.Warnings = append(a.Warnings, "Afterwards less than a light pass is left above the reserve: it is the last cut.")
	}
}

// warnings are what every answer must say.
func (q *Question) warnings() (list []string) {
	if q.Machine.Invented {
		list = append(list, "The machine file says that its values are invented: put the mill's own in their place.")
	}
	if !q.Machine.Priced() {
		list = append(list, "The machine file has no price for the hour or for bits: the plan takes the fewest minutes, and among those the least worn bits.")
	}
	if q.Stress == UsualStress() {
		list = append(list, "The stress in the skins is not measured: 0 ± 0.5 MPa stands in for it, an estimate.")
	}
	if q.final() == 0 {
		list = append(list, "The thickness is not given: what is left, and how far a bow is pressed out and skins bow the piece, is not told.")
	} else if q.Least == 0 {
		list = append(list, "The thinnest piece allowed is not given: whether this is the last cut is not told.")
	}
	for f, s := range q.Take {
		if o := q.Take[1-f]; s.Mean > 0 && o.Mean > 0 && s.Mean-o.Mean > 0.25*s.Mean {
			list = append(list, fmt.Sprintf("%s mm more come off the %s than off the other face: skins under stress then bow the piece.", mm(s.Mean-o.Mean), Face(f)))
		}
	}
	return list
}
