package cleanup

import (
	"math"

	"slatewright/judge/ways"
)

// Limits are what the mill asks of a clean-up, all mm; 0 is not asked.
type Limits struct {
	Finish    float64 // thickness that is wanted in the end; 0: the thickest
	Least     float64 // thinnest piece that is allowed
	Reserve   float64 // what must stay above Least for a later re-grind
	LightPass float64 // the lightest cut that can be made; 0 means ways.LightPass
	// DamageTop and DamageBottom must come off everywhere: what the saw broke below the face.
	DamageTop, DamageBottom float64
	Movement                float64 // what seasoning may still take when the faces are trued once more
}

// Answer tells whether a clean-up is possible.
type Answer int

// The answers.
const (
	Possible   Answer = iota
	Impossible        // not even at the end of the doubt
	Unsure            // the doubt straddles what is asked
)

// String returns the answer in words.
func (a Answer) String() string { return [...]string{"possible", "not possible", "cannot tell"}[a] }

// Plan is what comes off.
type Plan struct {
	Answer Answer
	// Available is the thickness that can be left in the end: that of the planes less damage and movement; between Low and High with 95 %.
	Available, Low, High float64
	Need                 float64 // what must be left: Finish, or Least and Reserve; 0 where neither is asked
	Missing              float64 // Need less Available, where that is above 0
	// CutTo is the thickness that this cut leaves, and Finish what is left of it after the seasoning's movement: what is wanted, or else what is available. Where
	// that is not possible the amounts are for what is needed, and below 0 where stone is missing.
	CutTo, Finish  float64
	Top, Bottom    Off
	Equal          bool // as much comes off the one face as off the other, on average
	Left           float64
	Last           bool // after it less than a light pass is left above the reserve
	TooThin        bool // it would leave less than the reserve above the least thickness: not possible, whatever the slab has
	shiftA, shiftB float64
}

// Plan makes the plan for planes whose thickness lies between low and high. The planes keep their tilt; they are put so that both faces lose as much on
// average where the stone allows it, since skin stress then goes from both alike, and else as near to that as the governing points let them.
func (l Limits) Plan(p *Planes, low, high float64) Plan {
	less := l.DamageTop + l.DamageBottom + l.Movement
	q := Plan{Available: p.Thickness - less, Low: low - less, High: high - less, Need: l.need()}
	q.Answer = Hold(q.Low, q.High, q.Need)
	q.Missing = max(0, q.Need-q.Available)
	q.Finish = l.Finish
	if q.Finish == 0 {
		q.Finish = q.Available
		if q.Answer == Impossible && q.Need > 0 {
			q.Finish = q.Need
		}
	}
	q.CutTo = q.Finish + l.Movement
	spare := p.Thickness - l.DamageTop - l.DamageBottom - q.CutTo // stone to give away between the two faces
	top := l.DamageTop + share(spare, p.Below.Mean+l.DamageBottom-p.Above.Mean-l.DamageTop)
	bottom := p.Thickness - q.CutTo - top
	q.Top, q.Bottom = p.Above.plus(top), p.Below.plus(bottom)
	q.Equal = math.Abs(q.Top.Mean-q.Bottom.Mean) <= 1e-6
	q.shiftA, q.shiftB = top, bottom
	q.Left = q.Finish - l.Least
	if q.TooThin = l.Least > 0 && l.Finish > 0 && q.Left < l.Reserve; q.TooThin {
		q.Answer = Impossible
	}
	q.Last = l.Least > 0 && q.Left-l.Reserve < l.Light()
	return q
}

// need is what must be left.
func (l Limits) need() float64 {
	if l.Finish > 0 {
		return l.Finish
	}
	if l.Least > 0 {
		return l.Least + l.Reserve
	}
	return 0
}

// Hold holds a thickness between its limits against what is needed. What rounding may do decides nothing: a nanometre.
func Hold(low, high, need float64) Answer {
	const rounding = 1e-6
	switch {
	case high < need-rounding || high <= 0:
		return Impossible
	case low < need-rounding || low <= 0:
		return Unsure
	}
	return Possible
}

// Light is the lightest cut that can be made.
func (l Limits) Light() float64 {
	if l.LightPass > 0 {
		return l.LightPass
	}
	return ways.LightPass
}

// share is how much of spare comes off the top so that the top loses, on average, more than the bottom by more; where spare is missing it is missing from both alike.
func share(spare, more float64) float64 {
	half := spare/2 + more/2
	if spare <= 0 {
		return spare / 2
	}
	return min(max(half, 0), spare)
}

// At is how much comes off either face at a place, where the faces have these heights in the frame of the planes.
func (q Plan) At(p *Planes, x, y, top, bottom float64) (offTop, offBottom float64) {
	above, below := p.Height(x, y, top, bottom)
	return above + q.shiftA, below + q.shiftB
}

// Left is a caliper place after the cut.
type Left struct {
	Caliper
	Taken float64 // off both faces there, by the maps
	After float64 // what the caliper says is left then
	Above float64 // After less the least thickness
	U     float64 // standard uncertainty of Above: of the caliper and of the depth of the cut
}

// Thinnest is the thinnest caliper place after the cut: what stays there above the least thickness. tied says how the caliper stands beside the
// maps; depthU is the standard uncertainty of what the machine takes.
func (q Plan) Thinnest(l Limits, calipers []Caliper, left []float64, u, depthU float64) (thin Left, ok bool) {
	for i, c := range calipers {
		if ok && c.T >= thin.T {
			continue
		}
		after := q.Finish
		if i < len(left) {
			after += left[i]
		}
		thin, ok = Left{Caliper: c, Taken: c.T - after, After: after, Above: after - l.Least, U: math.Hypot(u, depthU)}, true
	}
	return thin, ok
}
