// Package beds says what bed any three pieces of a stock make: the best seating over all places and turns they allow, its cost,
// which classes it conforms to, and, for all triples at once, a floor that the cost is never below.
//
// The seating is that of package seating: the smallest zone with steps of at most a limit, then the smallest larger step, each of
// them the same to a few 1e-9 mm. The package chooses nothing, judges nothing, and knows no thickness, layer, order or date: what is not
// seating's comes in as a cost of two neighbours.
package beds

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/cores"
	"slatewright/face"
	"slatewright/seating"
	"slatewright/trouble"
)

// Piece is one piece of the stock.
type Piece struct {
	Face *face.Face // nil: nothing is known of its shape
	Ways Ways       // a face that may not be turned takes the turned ones away
}

// Weights are the costs of a bed.
type Weights struct {
	Step, Zone float64 // per mm of the larger step and of the zone, ≥ 0
	// Joint is what it costs, seating apart, that pieces a and b meet at a joint; symmetrical, finite. nil: nothing.
	Joint func(a, b int) float64
}

// Limits are what a bed of a class must keep, mm: steps while it is seated, then zone, lengthwise and across. Inside them there is room for
// doubt already.
type Limits struct{ MaxStep, Zone, Lengthwise, Across float64 }

// Bed is three pieces as they lie.
type Bed struct {
	Index  [3]int  // of the stock: head, centre, foot
	Turned [3]bool // head, centre, foot
	Seated bool    // false: a piece has no face, and the lengths are 0
	Step   float64 // the larger step, mm
	Zone   float64 // mm
	// Lengthwise is NaN unless it had to be known: where it can exceed no limit because the zone does not. See Lay.
	Lengthwise float64
	Across     float64    // the largest of the three pieces alone, mm
	Steps      [2]float64 // at the joints head|centre and centre|foot, one way to reach Step
	Cost       float64
	Serves     uint32 // bit c: conforms to class c; 0: no arrangement conforms to any, and the rest says nothing
	Class      int    // the tightest of them: its MaxStep was the limit of the steps
}

// endless is a zone that stands for any, mm.
const endless = 1e6

// MostClasses is the largest number of classes.
const MostClasses = 32

// alike is how near to one another two beds are alike, mm of step and zone: beds that are the same but for what the wishes give up for one another.
const alike = 1e-8

// New prepares a stock. Classes stand with rising MaxStep, the loosest last; their other limits may rise or fall (see Beds). Errors are those of seating.Seat for a face, and
// trouble of kind Own for weights or classes that make no sense.
func New(pieces []Piece, spec bed.Spec, classes []Limits, w Weights) (*Stock, error) {
	if err := check(classes, w); err != nil {
		return nil, err
	}
	classes = slices.Clone(classes)
	for c := range classes {
		classes[c].Zone = min(classes[c].Zone, endless) // no bed is so wide: a number to reckon with
	}
	s := &Stock{spec: spec, classes: classes, nested: nested(classes), weights: w, pieces: make([]*piece, len(pieces))}
	s.largest()
	s.tie = alike*(w.Step+w.Zone) + 1e-12
	errs := make([]error, len(pieces))
	cores.Share(len(pieces), 2, func(from, to int) {
		for i := from; i < to; i++ {
			s.pieces[i], errs[i] = newPiece(pieces[i], spec, s.widest)
		}
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	s.unlined()
	s.slack = slack(s.pieces)
	s.lineUp()
	s.sortWays()
	s.meetAll()
	s.pairs = s.newPairs(min(s.widest, widestZone)/2 + 2*seating.Hold)
	s.keep()
	return s, nil
}

func check(classes []Limits, w Weights) error {
	bad := func(what string) error { return trouble.Own("beds-question", "beds", what, "report this") }
	if len(classes) < 1 || len(classes) > MostClasses {
		return bad(fmt.Sprintf("%d classes", len(classes)))
	}
	if !(w.Step >= 0 && w.Zone >= 0) || math.IsInf(w.Step, 1) || math.IsInf(w.Zone, 1) {
		return bad("a weight is negative or not finite")
	}
	for c, l := range classes {
		for _, x := range []float64{l.MaxStep, l.Zone, l.Lengthwise, l.Across} {
			if !(x >= 0) {
				return bad("a limit is negative or no number")
			}
		}
		if c > 0 && l.MaxStep < classes[c-1].MaxStep {
			return bad("the classes do not stand with rising steps")
		}
	}
	return nil
}
