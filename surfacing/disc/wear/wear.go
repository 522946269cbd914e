// Package wear reads how the bits of a disc wear: heights by caliper, week after week, beside the area that was surfaced. It tells when the usable height ends, with an
// interval that holds in 95 of 100 cases, whether the whole ring goes or single bits, and what a square metre costs where the mill gives its prices.
//
// It takes wear as straight over the area but for what differs from week to week (stone, pressure, dressing), which the log itself must show; it knows no price, no clock
// and no other course, and it does not say how hard a bit ought to be. It uses functions that round differently between processors, so nothing that is sealed may rest on it.
package wear

import (
	"fmt"
	"math"
	"time"

	"slatewright/trouble"
)

// Reading is one height of one bit, mm. Bit is "" where nobody wrote which.
type Reading struct {
	Day    int // number of the day in the log
	Bit    string
	Height float64
}

// Log is what was read since the ring was put in, days in their order.
type Log struct {
	Days     []time.Time
	Area     []float64 // m² surfaced since the day before; nil: nobody wrote it, and wear goes by days
	Readings []Reading
	Usable   float64 // mm, the height at which a bit must go
	New      float64 // mm, of a new bit; NaN: the first day's
	Bits     float64 // of the ring; NaN where it is not said, as all below
	Price    float64 // of one bit
	Fitting  float64 // of one change of the ring, work and standing still
	PerSet   float64 // m² that a set of three pieces takes, all its passes
	Band     float64 // mm, how far apart bits may stand and still cut together
	Warnings []string
}

// Fewest is the least number of days that make a trend: a line takes two, and what is left must tell how far it can be trusted.
const Fewest = 4

// mostDays bounds the work: four years of weeks.
const mostDays = 200

// State is the answer in one word.
type State string

// The states.
const (
	Lasts      State = "lasts"
	Change     State = "change"
	CannotTell State = "cannot tell"
)

// Span is an expected value with its 95 % interval; NaN for what cannot be told, +Inf for an end that the readings do not bound.
type Span struct{ Expected, From, To float64 }

func untold() Span { return Span{math.NaN(), math.NaN(), math.NaN()} }

// Answer is what a log tells. Amounts are m², or days where the log has no area.
type Answer struct {
	State    State
	ByArea   bool
	Days     int          // that were used
	Worn     float64      // amount since the first day
	Rate     Span         // mm per amount, + for wear
	Now      Span         // mm, height of the typical bit on the last day
	Left     Span         // amount from the last day until the typical bit reaches the usable height
	First    Span         // until the lowest bit does
	Pace     float64      // m² a day over the whole log; NaN without area
	End      [3]time.Time // days on which First is expected, from, to, at that pace; zero where it cannot be told
	LeftOut  []time.Time  // days whose reading does not fit the others
	Each     []Bit
	Whole    bool    // a new bit would stand proud of the ring by more than the band: the whole ring goes, or new bits are dressed in
	Proud    float64 // mm, by so much
	Life     Span    // amount that a ring gives, new to usable
	PerM2    Span    // price of a m²; NaN without prices
	PerSet   Span
	Course   []Point
	Warnings []string
	course   *course
}

// Bit is one bit beside the ring.
type Bit struct {
	Name   string
	Height float64 // mm, as last read
	Off    float64 // mm, how far it lies over (+) or under the typical bit, by its last three readings
	Pace   float64 // its wear as a share of the ring's; NaN with fewer than five readings
	Odd    bool    // it wears otherwise than the others by more than their scatter explains
}

// Point is the ring on one day: the readings made into the height of the typical bit.
type Point struct {
	Day    time.Time
	Amount float64 // since the first day
	Height float64
	Used   bool
}

// Ask answers. Errors are *trouble.Trouble: bad-log.
func Ask(l *Log) (*Answer, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	a := &Answer{State: CannotTell, ByArea: l.Area != nil, Rate: untold(), Now: untold(), Left: untold(), First: untold(), Pace: math.NaN(), Life: untold(),
		PerM2: untold(), PerSet: untold(), Proud: math.NaN(), Warnings: append([]string{}, l.Warnings...)}
	x := l.amounts()
	a.Worn = x[len(x)-1]
	if span := days(l.Days[0], l.Days[len(l.Days)-1]); a.ByArea && span > 0 {
		a.Pace = a.Worn / span
	}
	t := l.typical()
	for i, day := range l.Days {
		a.Course = append(a.Course, Point{day, x[i], t.height[i], true})
	}
	a.Warnings = append(a.Warnings, t.warnings...)
	a.bits(t, x)
	if distinct(x) < Fewest {
		a.Warnings = append(a.Warnings, fmt.Sprintf("readings at %s of work: a trend needs %d", trouble.Count(distinct(x), "amount", "amounts"), Fewest))
		return a, nil
	}
	a.trend(l, x, t)
	return a, nil
}

func (l *Log) check() error {
	bad := func(what, next string) error { return trouble.Data("bad-log", "", what, next) }
	if len(l.Days) == 0 || len(l.Readings) == 0 {
		return bad("there is no reading", "write one height a line: day, height, and the area surfaced since the day before")
	}
	if !(l.Usable > 0) || l.New <= l.Usable {
		return bad("the usable height must be above 0 and below that of a new bit", "write '# usable height: 2 mm'")
	}
	if len(l.Days) > mostDays {
		return bad(fmt.Sprintf("more than %d days", mostDays), "give the log of the ring that is on the disc now")
	}
	for i := range l.Days {
		if i > 0 && !l.Days[i].After(l.Days[i-1]) {
			return bad("the days are not in their order", "sort the list by day")
		}
		if l.Area != nil && !(l.Area[i] >= 0 && l.Area[i] < 1e7) {
			return bad("the area of "+l.Days[i].Format(time.DateOnly)+" is out of reach", "write the m² surfaced since the day before")
		}
	}
	seen := map[int]bool{}
	for _, r := range l.Readings {
		if !(r.Height >= 0 && r.Height < 1000) || r.Day < 0 || r.Day >= len(l.Days) {
			return bad("a height is out of reach", "write the caliper's reading in mm")
		}
		seen[r.Day] = true
	}
	if len(seen) != len(l.Days) {
		return bad("a day has no height", "leave out days on which no caliper was used, and count their area to the next")
	}
	return nil
}

func days(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }

// amounts are m² or days since the first day.
func (l *Log) amounts() []float64 {
	x := make([]float64, len(l.Days))
	for i := 1; i < len(x); i++ {
		if l.Area != nil {
			x[i] = x[i-1] + l.Area[i]
		} else {
			x[i] = days(l.Days[0], l.Days[i])
		}
	}
	return x
}

func distinct(x []float64) int {
	n := 1
	for i := 1; i < len(x); i++ {
		if x[i] > x[i-1] {
			n++
		}
	}
	return n
}

// trend fits the course and answers from it.
func (a *Answer) trend(l *Log, x []float64, t typical) {
	c, out := robustCourse(x, t.height)
	for _, i := range out {
		a.LeftOut = append(a.LeftOut, l.Days[i])
		a.Course[i].Used = false
		a.Warnings = append(a.Warnings, "the reading of "+l.Days[i].Format(time.DateOnly)+" does not fit the others and was left out")
	}
	a.Days, a.course = len(x)-len(out), c
	end := x[len(x)-1]
	a.Rate = c.rate()
	a.Now = c.at(end)
	a.Left = c.until(end, l.Usable)
	low := 0.0
	for _, b := range a.Each {
		low = math.Min(low, b.Off)
	}
	a.First = c.until(end, l.Usable-low)
	switch {
	case a.First.Expected*a.Rate.Expected < 0.001: // less than a µm is left
		a.State = Change
	case !math.IsNaN(a.First.Expected) && !math.IsInf(a.First.To, 1):
		a.State = Lasts
	default:
		a.Warnings = append(a.Warnings, "the readings do not bound when the bits are used up: read on, at more area")
	}
	a.when(l)
	a.cost(l, c)
	fresh := l.New
	if math.IsNaN(fresh) {
		fresh = t.height[0]
	}
	if a.Proud = fresh - a.Now.Expected; !math.IsNaN(l.Band) {
		a.Whole = a.Proud > l.Band
	}
}

// At is the height of the typical bit at an amount since the first day; ok is false where nothing is fitted.
func (a *Answer) At(amount float64) (height Span, ok bool) {
	if a.course == nil {
		return untold(), false
	}
	return a.course.at(amount), true
}

// when turns an amount into days at the pace of the log.
func (a *Answer) when(l *Log) {
	last := l.Days[len(l.Days)-1]
	for i, amount := range []float64{a.First.Expected, a.First.From, a.First.To} {
		d := amount
		if a.ByArea {
			d = amount / a.Pace
		}
		if d >= 0 && d < 36500 {
			a.End[i] = last.AddDate(0, 0, int(math.Floor(d)))
		}
	}
}

// cost is that of a m²: the ring's bits and its fitting over what a ring gives from new to usable.
func (a *Answer) cost(l *Log, c *course) {
	before := 0.0 // amount from new to the first day
	if !math.IsNaN(l.New) {
		before = (l.New - c.at(0).Expected) / a.Rate.Expected
		if before < 0 || !(a.Rate.Expected > 0) {
			before = 0
		}
	} else {
		a.Warnings = append(a.Warnings, "the first day is taken for the ring's beginning: write '# new height:' where it was worn by then")
	}
	for _, k := range []struct{ into, from *float64 }{{&a.Life.Expected, &a.Left.Expected}, {&a.Life.From, &a.Left.From}, {&a.Life.To, &a.Left.To}} {
		*k.into = before + a.Worn + *k.from
	}
	if math.IsNaN(l.Price) || math.IsNaN(l.Bits) || !a.ByArea {
		return
	}
	ring := l.Price * l.Bits
	if !math.IsNaN(l.Fitting) {
		ring += l.Fitting
	}
	a.PerM2 = Span{ring / a.Life.Expected, ring / a.Life.To, ring / a.Life.From}
	if !math.IsNaN(l.PerSet) {
		a.PerSet = Span{a.PerM2.Expected * l.PerSet, a.PerM2.From * l.PerSet, a.PerM2.To * l.PerSet}
	}
}
