package seasoning

import (
	"fmt"
	"math"
	"slices"
)

// Rule is what the mill asks before a piece leaves the room.
type Rule struct {
	Share    float64 // what may still be to come, in the unit of the series, or of the whole change where Relative
	Relative bool
	MinDays  float64 // in the room
	Day      float64 // on which it is asked; NaN: the day of the last reading
	Reason   string  // the lead's, for letting pieces go before their time
}

// Usual days in the room and the largest movement of a sentinel, mm a week. Common practice, no source.
const (
	UsualDays   = 30
	MostPerWeek = 0.01
)

// State is an answer to "may it leave?".
type State string

// The states.
const (
	May    State = "may leave"
	Stays  State = "stays"
	Unsure State = "cannot tell"
)

// Verdict is what is said of one piece.
type Verdict struct {
	*Fit
	State     State
	Why       []string // in plain words
	Day       float64  // on which it is asked
	Remaining float64
	Limit     float64 // 95 %, one-sided; NaN where it cannot be told
	Share     float64 // in the unit of the series
	Expected  float64 // day on which it is ready by the best estimate, counted from entering
	Ready     float64 // day on which it is surely ready; NaN where that cannot be told
}

// Sentinel is what the shape of one piece says of its layer.
type Sentinel struct {
	*Fit
	Rate, Limit float64 // a week, in the unit of the series; Limit NaN where it cannot be told
	State       State   // May: it is still
}

// Decide holds a fit against the rule. typical is the whole change of the layer's pieces (NaN: not known), which a share of the change is taken of
// where it is larger than the piece's own. sentinels are those of its layer.
func (r Rule) Decide(f *Fit, typical float64, sentinels []Sentinel) Verdict {
	v := Verdict{Fit: f, State: May, Day: r.Day, Share: r.Share, Expected: math.NaN(), Ready: math.NaN()}
	if math.IsNaN(v.Day) {
		v.Day = f.Last
	}
	if r.Relative {
		whole := math.Abs(f.Amplitude)
		if !f.bounded || math.Abs(typical) > whole {
			whole = math.Abs(typical)
		}
		v.Share = r.Share * whole
	}
	var ok bool
	v.Remaining, v.Limit, ok = f.Remaining(v.Day)
	switch {
	case !ok:
		v.say(Unsure, "what is still to come cannot be told")
	case v.Limit <= v.Share:
	case math.Abs(v.Remaining) > v.Share:
		v.say(Stays, "more than its share is still to come")
	default:
		v.say(Stays, "up to more than its share may still be to come")
	}
	if v.Day < r.MinDays {
		v.say(Stays, fmt.Sprintf("it has been in the room for %s of %s days", number(v.Day), number(r.MinDays)))
	}
	for _, s := range sentinels {
		switch s.State {
		case Stays:
			v.say(Stays, fmt.Sprintf("sentinel %s of its layer still moves", s.Name))
		case Unsure:
			v.say(Unsure, fmt.Sprintf("whether sentinel %s of its layer is still cannot be told", s.Name))
		}
	}
	if r.Reason != "" && v.State != May {
		v.State, v.Why = May, append([]string{"the lead lets it go: " + r.Reason}, v.Why...)
	}
	if ok {
		v.Expected, v.Ready = f.Ready(min(v.Day, r.MinDays), v.Share)
		v.Expected, v.Ready = max(v.Expected, math.Ceil(r.MinDays)), max(v.Ready, math.Ceil(r.MinDays))
	}
	return v
}

// say adds a reason; a piece that must stay anyway is not in doubt.
func (v *Verdict) say(state State, why string) {
	if v.State != Stays {
		v.State = state
	}
	v.Why = append(v.Why, why)
}

// Watch looks how fast a sentinel's shape moves on a day. mostPerWeek is in the unit of the series.
func Watch(f *Fit, day, mostPerWeek float64) Sentinel {
	if math.IsNaN(day) {
		day = f.Last
	}
	s := Sentinel{Fit: f, State: Unsure}
	var ok bool
	s.Rate, s.Limit, ok = f.Rate(day)
	switch {
	case math.Abs(s.Rate) > mostPerWeek:
		s.State = Stays
	case ok && s.Limit <= mostPerWeek:
		s.State = May
	}
	return s
}

// Against takes the change of an old dry piece that stays in the room out of a series: its own change since its first reading, between readings by a
// straight line, times scale (the ratio of the weights; 1 for shapes). The doubt of each reading grows by that of the reference. beyond tells
// whether readings lie outside the days of the reference, or in a gap of more than a week, where the nearest is taken.
func (s Series) Against(reference Series, scale float64) (clean Series, beyond bool) {
	ref, _ := reference.sorted()
	clean = s
	clean.Readings = slices.Clone(s.Readings)
	const week = 7
	for i, r := range clean.Readings {
		k, _ := slices.BinarySearchFunc(ref, r.Day, func(x Reading, day float64) int {
			switch {
			case x.Day < day:
				return -1
			case x.Day > day:
				return 1
			}
			return 0
		})
		var change, sd float64
		switch {
		case k == len(ref):
			change, sd, beyond = ref[k-1].Value, ref[k-1].SD, beyond || r.Day-ref[k-1].Day > 1
		case k == 0:
			change, sd, beyond = ref[0].Value, ref[0].SD, beyond || ref[0].Day-r.Day > 1
		default:
			a, b := ref[k-1], ref[k]
			t := (r.Day - a.Day) / (b.Day - a.Day)
			change, sd = a.Value+t*(b.Value-a.Value), math.Hypot((1-t)*a.SD, t*b.SD)
			beyond = beyond || b.Day-a.Day > week && t > 0 && t < 1
		}
		clean.Readings[i].Value -= scale * (change - ref[0].Value)
		if r.SD > 0 && sd > 0 {
			clean.Readings[i].SD = math.Hypot(r.SD, scale*sd)
		}
	}
	return clean, beyond
}
