// Package paper makes what leaves the mill on paper or screen: the map of a bed, the certificate of a set, the one-page
// refusal, and the page that shows a folder of them.
//
// Everything is made from plain structs in mm, kg and °C, filled by the caller. The package computes nothing about stone:
// no zone, no uncertainty, no verdict. It converts units, chooses decimals, lays out and draws. It reads no clock: a date is
// given, and the same struct gives the same bytes. What it draws of a face between the readings (see package contour) is a
// picture and is never judged. No paper is a work instruction, and the program is never a safety device.
package paper

import (
	"fmt"
	"time"

	"slatewright/trouble"
)

// Banner is what everything made from invented data says of itself.
const Banner = "invented data, not a real certificate"

// Verdict is the answer about a set or one of its characteristics, in the words of the standard.
type Verdict string

// The verdicts.
const (
	Conforms       Verdict = "conforms"
	DoesNotConform Verdict = "does not conform"
	CannotTell     Verdict = "cannot tell"
)

func (v Verdict) check(where string) error {
	switch v {
	case Conforms, DoesNotConform, CannotTell:
		return nil
	}
	return trouble.Own("bad-verdict", where, fmt.Sprintf("%q is no verdict", string(v)), "use conforms, does not conform or cannot tell")
}

// Size is a size of page.
type Size int

// The sizes.
const (
	A4 Size = iota
	Letter
)

// String returns the name of the size: A4 or Letter.
func (s Size) String() string { return [...]string{A4: "A4", Letter: "Letter"}[s] }

// mm returns width and height (ISO 216; ANSI/ASME Y14.1: 8.5 in by 11 in).
func (s Size) mm() (w, h float64) {
	if s == Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// Result is one characteristic of a set as it was judged. Lengths are mm; the paper shows them in 0.001 in as well.
type Result struct {
	Name    string  // as in "zone of the bed"
	Note    string  // what exactly was computed, in a few words; may be empty
	Value   float64 // NaN when it could not be computed
	U       float64 // expanded uncertainty of the value; 0 or NaN: not known
	Limit   float64 // NaN when there is none
	AtLeast bool    // the limit is a minimum (stone thickness)
	Verdict Verdict
	// Withheld says that a hindrance keeps it from being told, whatever its value: a refusal then gives the hindrance among
	// its reasons, and not the doubt of the value.
	Withheld bool
	// Probability that the true value conforms, 0 to 1; nil when it was not computed.
	Probability *float64
	// Bias is by how much the value is expected to be read too high, mm; 0 when it was not estimated.
	Bias float64
}

// margin returns how far the value is on the good side of its limit; negative on the bad side.
func (r Result) margin() float64 {
	if r.AtLeast {
		return r.Value - r.Limit
	}
	return r.Limit - r.Value
}

// Piece is one of the three pieces as measured.
type Piece struct {
	Place  string // head, centre or foot
	Serial string // the piece's own number
	Turned bool   // laid down turned by half a turn against its readings

	ThicknessMin, ThicknessMean float64 // stone, mm; 0 when not measured
	ThicknessPoints             int     // places measured

	TempTop, TempBottom *float64 // °C; nil when not known
	DrySince, Read      string   // dates YYYY-MM-DD; may be empty
	Mass                float64  // computed, kg; 0 when not known
}

// Method says how a set was measured and judged. Each field is a phrase or sentence for the paper; an empty one is shown as
// "not stated", never left out.
type Method struct {
	Measuring  string  // how the faces were read and computed
	Instrument string  // what read them, with its uncertainty
	Support    string  // how the pieces lay
	State      string  // free or laid, and what that means here
	EdgeBand   float64 // mm left out along the edges
	PitchX     float64 // mm between readings along the table
	PitchY     float64 // mm between readings across the table
	Decision   string  // decision rule, with its risk
	Limits     string  // where the limits come from and how they are read
	Coverage   string  // what U means, as in "k = 2, about 95 %"
}

// Shim is one pack of shims in a true frame.
type Shim struct {
	Mark   string  // as on the plan; empty: numbered by the paper
	Place  string  // head, centre or foot
	X, Y   float64 // bed frame, mm
	Height float64 // computed, mm
	Pack   float64 // made of shims that exist, mm
}

// ShimOutcome is what the bed becomes on the rounded packs, mm.
type ShimOutcome struct{ Zone, Step1, Step2 float64 }

// ShimCard lists starting packs for a true frame.
type ShimCard struct {
	// NotComputed says why there is no card, as in "thickness at the supports is not known"; empty when Shims are given.
	NotComputed string
	Shims       []Shim
	Outcome     *ShimOutcome // nil: not computed
}

// LevelMark is a place on the bed and the slope there when the set lies as computed.
type LevelMark struct {
	Name           string  // as on the plan, one or two letters
	X, Y           float64 // bed frame, mm
	SlopeX, SlopeY float64 // mm per m; + rises to the foot, + rises to the right
}

// LevelCard is what a mechanic's level should read.
type LevelCard struct {
	Base  float64 // length of the level over which the slopes were taken, mm
	Marks []LevelMark
}

// LayUpStep is one place on a joint: the step predicted from the pieces and the step measured, mm, in the sign of Step.
type LayUpStep struct{ Y, Predicted, Measured float64 }

// LayUp is the set laid dry on the bench and measured.
type LayUp struct {
	Date, Support, Instrument string
	U                         float64 // expanded uncertainty of one measured step, mm; 0: not stated
	Joints                    [2][]LayUpStep
}

// The two bases a certificate can stand on.
const (
	Predicted = "predicted from three pieces"
	LaidUp    = "laid up and measured"
)

func basis(l *LayUp) string {
	if l == nil {
		return Predicted
	}
	return LaidUp
}

// day parses a date and makes the PDF's date of it: noon, universal time.
func day(date, where string) (time.Time, error) {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return t, trouble.Own("bad-date", where, fmt.Sprintf("%q is no date", date), "write it as YYYY-MM-DD").Because(err)
	}
	return t.Add(12 * time.Hour), nil
}
