package sets

import (
	"math"

	"slatewright/bed"
	"slatewright/seating"
)

// Criteria say what makes a set good and what it costs, when sets are chosen and nothing is judged yet.
type Criteria struct {
	Limits bed.Limits
	// Room is how much of each limit the doubt of the results is expected to take, mm: a bed that is nearer to a limit
	// than that would most likely end in cannot tell.
	Room float64
	// Ready says of each piece of the stock whether it may be judged at all; nil: all of them.
	Ready []bool
	// Thickness is the mean thickness of the stone of each piece, mm; NaN where it is not known; nil: of none.
	Thickness []float64
}

// quarter is the spread of thickness that costs as much as a zone, or a step, of its whole limit: a quarter of a millimetre
// is about one playing card in a shim pack (common practice, no source).
const quarter = 0.25

// never is the cost of a bed whose joints do not close: the last resort.
const never = 100

// StepRoom is the largest step with which to seat: the limit less the room for doubt, mm.
func (c Criteria) StepRoom() float64 { return max(0, c.Limits.Step-c.Room) }

// Good tells whether a bed may be expected to conform: its joints close, it keeps each limit with the room for doubt, and
// all three pieces are ready.
func (c Criteria) Good(t seating.Trial) bool {
	for _, i := range t.Index {
		if c.Ready != nil && !c.Ready[i] {
			return false
		}
	}
	l := c.Limits
	return t.Feasible && t.Zone <= l.Zone-c.Room && t.Lengthwise <= l.Lengthwise-c.Room && t.Across <= l.Across-c.Room
}

// Cost ranks beds that are equally good: the larger step and the zone as shares of their limits, and the spread of thickness
// in quarters of a millimetre. A bed whose joints do not close costs 100 more than its spread.
func (c Criteria) Cost(t seating.Trial) float64 {
	cost := c.spread(t) / quarter
	if !t.Feasible {
		return never + cost
	}
	return cost + max(t.Steps[0], t.Steps[1])/c.Limits.Step + t.Zone/c.Limits.Zone
}

// spread is the largest less the smallest thickness known of the three pieces.
func (c Criteria) spread(t seating.Trial) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range t.Index {
		if c.Thickness != nil && !math.IsNaN(c.Thickness[i]) {
			low, high = min(low, c.Thickness[i]), max(high, c.Thickness[i])
		}
	}
	return max(0, high-low)
}
