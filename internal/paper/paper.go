// Package paper makes what leaves the mill on paper: the certificate of a set and the one-page refusal, as PDF. Its rooms hold the
// map of a bed ([slatewright/internal/picture/bedmap]), the page that shows a folder of papers (page), and the desk that fills them all
// from a sealed certificate (desk).
//
// Everything is made from plain structs in mm, kg and °C, filled by the caller. The package computes nothing about stone:
// no zone, no uncertainty, no verdict. It converts units, chooses decimals, lays out and draws. It reads no clock: a date is
// given, and the same struct gives the same bytes. No paper is a work instruction, and the program is never a safety device.
package paper

import (
	"fmt"
	"time"

	"slatewright/internal/picture/ink"
	"slatewright/internal/tongue"
	"slatewright/judge"
	"slatewright/trouble"
)

// CheckVerdict is an error of the caller's when v is none of the three verdicts. where names what it is about.
func CheckVerdict(v judge.Verdict, where string) error {
	switch v {
	case judge.Conforms, judge.DoesNotConform, judge.CannotTell:
		return nil
	}
	return trouble.Own("bad-verdict", where, fmt.Sprintf("%d is no verdict", int(v)), "use conforms, does not conform or cannot tell")
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

// Form is how a paper is printed.
type Form struct {
	Size  Size
	Words tongue.Words // the language; the zero value is English
	Font  *ink.Font    // for characters that the program's own fonts do not have, as Chinese ones; nil: none
}

// Check is an error of whoever asked when the language cannot be printed with the fonts that there are.
func (f Form) Check() error {
	if f.Words.Language() == tongue.Chinese && f.Font == nil {
		return trouble.Usage("no-font", "the paper", "the fonts of this program have no Chinese characters", "name a font that has them: --font FILE.ttf")
	}
	return nil
}

// Result is one characteristic of a set as it was judged. Lengths are mm; the paper shows them in 0.001 in as well.
type Result struct {
	Name    string  // as it begins a sentence: "Zone of the bed"
	Note    string  // what exactly was computed, in a few words; may be empty
	Value   float64 // NaN when it could not be computed
	U       float64 // expanded uncertainty of the value; 0 or NaN: not known
	Limit   float64 // NaN when there is none
	AtLeast bool    // the limit is a minimum (stone thickness)
	Verdict judge.Verdict
	// Withheld says that a hindrance keeps it from being told, whatever its value: a refusal then gives the hindrance among
	// its reasons, and not the doubt of the value.
	Withheld bool
	// Probability that the true value conforms, 0 to 1; nil when it was not computed.
	Probability *float64
	// Bias is by how much errors of the readings are expected to have raised the value as read, mm; it is taken off. 0: not
	// estimated.
	Bias float64
	// Between is what is put on for what may lie between the readings, mm.
	Between float64
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

// Method says how a set was measured and judged. Each phrase is for the paper; an empty one is shown as "not stated", never
// left out.
type Method struct {
	Readings   string  // how many readings a piece, and in what order
	PitchX     float64 // mm between them along the table; 0: not stated
	PitchY     float64 // mm between them across the table
	Instrument string  // what read them, with its uncertainty
	Support    string  // how the pieces lay
	State      string  // the state that the results hold in: free, laid, or as read
	EdgeBand   float64 // mm left out along every edge
	Coverage   string  // what U means, as in "k = 2, about 95 %"
	// Statement says in sentences how the results came about: seating, definitions, uncertainty, decision rule, limits. All of
	// them are printed.
	Statement []string
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

// LevelMark is a place on the bed, with what a level should read there when the set lies as computed.
type LevelMark struct {
	Name          string  // as on the plan, one or two letters
	X, Y          float64 // bed frame, mm
	Along, Across LevelReading
}

// LevelReading is a slope, and what each of the levels reads on it. NaN where the face was not read.
type LevelReading struct {
	Slope     float64   // mm per m; along: + rises to the foot, across: + rises to the right
	Divisions []float64 // one for each of the card's Divisions
}

// LevelCard is what a mechanic's level should read.
type LevelCard struct {
	Base      float64  // length of the level over which the slopes were taken, mm
	Divisions []string // what one division of each level stands for, as in "0.02 mm/m"
	Marks     []LevelMark
}

// LayUpStep is one place on a joint: the step predicted from the pieces and the step measured, mm, in the sign of Step.
type LayUpStep struct{ Y, Predicted, Measured float64 }

// LayUp is the set laid dry on the bench and measured.
type LayUp struct {
	Date, Support, Instrument string
	U                         float64 // expanded uncertainty of one measured step, mm; 0: not stated
	Joints                    [2][]LayUpStep
}

// day parses a date and makes the PDF's date of it: noon, universal time. Without a date it is the zero time, and the PDF
// bears none.
func day(date, where string) (time.Time, error) {
	if date == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return t, trouble.Own("bad-date", where, fmt.Sprintf("%q is no date", date), "write it as YYYY-MM-DD").Because(err)
	}
	return t.Add(12 * time.Hour), nil
}
