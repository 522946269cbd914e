// Package lining foretells how a board glued under a slate bends it: how far the boards at hand are from balance with the air, how
// much they will shrink or swell at the destination over the year, how much the playing face bows by it for each layout of boards, and
// so whether a batch may be glued today, and what the certificate should say about the customer's room.
//
// All limits are hard bounds put together for the worst, not probabilities. A bow is that of the free piece, as peak to valley of its
// face and + for crown (high in the middle); a board that dries under a piece makes its playing face crown. The package does not press
// or cure anything, knows no glue by name, leaves out what frame, screws and own weight hold back, and reads no files (package casefile
// does); the mill's own coupons are worked out by package coupon.
package lining

import "math"

// Span is a value with hard limits: Low ≤ Value ≤ High.
type Span struct{ Value, Low, High float64 }

// Exactly is a value without doubt.
func Exactly(v float64) Span { return Span{v, v, v} }

// Within is a value with a limit to either side.
func Within(v, half float64) Span { return Span{v, v - half, v + half} }

// Between has the middle of its limits for its value.
func Between(low, high float64) Span { return Span{(low + high) / 2, low, high} }

// exact drops the doubt.
func (s Span) exact() Span { return Exactly(s.Value) }

// within holds the limits inside others.
func (s Span) within(low, high float64) Span {
	c := func(v float64) float64 { return math.Min(high, math.Max(low, v)) }
	return Span{c(s.Value), c(s.Low), c(s.High)}
}

// ordered tells whether the span is one.
func (s Span) ordered() bool { return s.Low <= s.Value && s.Value <= s.High }

// Size is the smallest and largest size of what lies within.
func (s Span) Size() Span {
	low := 0.0
	if s.Low > 0 || s.High < 0 {
		low = math.Min(math.Abs(s.Low), math.Abs(s.High))
	}
	return Span{math.Abs(s.Value), low, math.Max(math.Abs(s.Low), math.Abs(s.High))}
}

// Piece is the stone: its sides in mm (X along the table), its thickness, its modulus in N/mm².
type Piece struct {
	X, Y      float64
	Thickness Span
	Modulus   Span
}

// poisson of stone and board. Slate: common practice, no source. Fibreboard in its plane: from memory, 0.25 to 0.35.
const (
	stonePoisson = 0.2
	boardPoisson = 0.3
)

// Case is what is known of a batch and of where it goes.
type Case struct {
	Piece       Piece
	Board       Board
	Room        Room
	Destination [12]Span // % relative humidity, January to December
	Limit       float64  // mm of bow, peak to valley: the share of the tolerance that is given to the lining
	Layouts     []Layout // the first is the one that is meant to be glued
	Creep       Span     // share of a lasting mismatch that board and glue give way to over a season
	Hysteresis  Span     // share of a change in humidity that the board does not follow back
}

// UsualCreep stands in where the mill has no figure. Upper end: EN 1995-1-1 gives fibreboard of the MDF kind a creep factor of 2.25 for
// lasting load in dry rooms (from memory), which would leave 1/3.25 of a stress in the end; half of it within a season is
// common practice, no source.
var UsualCreep = Between(0, 0.5)

// UsualHysteresis stands in where the mill has no figure: wood that takes water up holds 0.80 to 0.90 of what it holds when it gives
// water off at the same humidity (USDA Wood Handbook, from memory).
var UsualHysteresis = Between(0.1, 0.2)

// Verdict says whether the batch may be glued.
type Verdict int

// The verdicts. CannotTell is the zero value.
const (
	CannotTell Verdict = iota
	Glue
	DoNotGlue
)

// String returns cannot tell, may be glued, or not today.
func (v Verdict) String() string { return [...]string{"cannot tell", "may be glued", "not today"}[v] }
