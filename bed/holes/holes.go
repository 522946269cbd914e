// Package holes holds what was measured of a drilled bed against its drawing.
//
// [Check] lays the drawing over the measured places (package fit), gives every feature its deviation, its uncertainty and a verdict by the mill's
// decision rule, asks whether all bolts pass at the same time (package float), and asks what made the holes lie wrong (package
// cause). A gauge's go and no-go give bounds in the place of numbers. "Cannot tell" is a verdict where the method of measuring cannot show more.
//
// The package reads no files (holefile does) and does not know the file of a table pattern: [Of] takes the drawing from it. Joint edges have a
// package of their own (edge). A hole's depth and what a chamfer is like are not asked here.
//
// Lengths are in mm, angles in radians; a deviation is measured less drawn, in the directions of the drawing.
package holes

import (
	"slatewright/bed"
	"slatewright/bed/holes/cause"
	"slatewright/bed/holes/fit"
	"slatewright/judge"
)

// Limits that people use where a drawing says none, each the largest distance from the drawn place (common practice, no source).
const (
	ThirtySecond  = 25.4 / 32 // 0.79 mm
	OneMillimetre = 1.0
)

// What the closure of a joint lets two pieces do where the list does not say (common practice, no source).
const (
	JointOpens  = 0.5 // from stone to stone
	JointCloses = 0.5 // of pieces that were measured each in its own frame; pieces that were measured as they lie together are closed already
	JointSlides = 1.0
)

// Feature is one round feature of the drawing, in the bed frame.
type Feature struct {
	Name, Kind string
	At         fit.Vector
	Piece      int     // index into Drawing.Pieces
	Diameter   float64 // 0 = not said
	Limit      float64 // largest distance from At that conforms; 0 = the general limit
	Size       float64 // the diameter may be off by this much either way; 0 = not said
	Bolt       float64 // diameter of what passes through; 0 = nothing
	Mating     float64 // diameter of the zone in which what the bolt goes into may lie
	Rail       int     // index into Drawing.Rails of what the bolt holds; −1 is the frame
}

// Joint is where the piece Before and the next one meet, across the table from −Half to +Half.
type Joint struct {
	X, Half float64
	Before  int
}

// Piece is one piece of the bed.
type Piece struct {
	Name   string
	Middle fit.Vector // origin of the piece frame
	Size   fit.Vector
}

// Drawing is what a bed is held against.
type Drawing struct {
	Name, Revision string
	Pieces         []Piece
	Rails          []string
	Features       []Feature
	Joints         []Joint
	Decision       bed.Decision
}

// Gauge is what a gauge said of one hole.
type Gauge int

// What a gauge can say.
const (
	NoGauge Gauge = iota
	Go
	NoGo
)

// Plug is what a plug gauge said of a hole's diameter.
type Plug int

// What a plug can say: its go end enters and its no-go end does not; its go end does not enter; its no-go end enters.
const (
	NoPlug Plug = iota
	Good
	Small
	Large
)

// PlugEnds are the diameters of a plug gauge.
type PlugEnds struct{ Go, NoGo float64 }

// Reading is one measured feature.
type Reading struct {
	Feature  int
	Line     int        // in the list
	At       fit.Vector // as measured
	Located  bool       // At was measured
	Diameter float64    // 0 = not measured
	U        float64    // standard uncertainty of each coordinate; 0 = not stated
	UDia     float64    // of the diameter; 0 = twice … as the method has it
	Gauge    Gauge
	Plug     Plug
	Run      float64 // when it was drilled, in any unit; NaN = in the order of the drawing
	Form     float64 // of the rim, where it was measured by points
}

// Frame says what the coordinates of a list are counted from.
type Frame string

// The frames.
const (
	WholeBed  Frame = "bed"   // one frame for all pieces, as they lie together
	EachPiece Frame = "piece" // a frame for each piece
)

// Rails says how rails move.
type Rails string

// The ways.
const (
	RailByRail Rails = "each" // every rail by itself
	RailsAsOne Rails = "one"  // joined into one ring
)

// Measured is a list of readings with what its head says.
type Measured struct {
	Method   Method
	ByRow    bool // rows name methods of their own, and have their uncertainty
	Frame    Frame
	Datum    Datum
	Rails    Rails
	Readings []Reading
	Pin      float64             // diameter of the gauge's pins
	Plugs    map[string]PlugEnds // by the kind of feature
	Finest   float64             // step of the last digit written, mm
	Opens    float64
	Closes   float64
	Slides   float64
	Stops    []cause.Stop // of the fixture, in the frame of each piece; three or none
}

// Datum says whether the frame of the coordinates means something.
type Datum string

// The data.
const (
	DatumUnknown Datum = ""
	DatumEdges   Datum = "edges" // it lies on the drawing's own axes: shifted holes are shifted in the stone
	DatumNone    Datum = "none"  // the instrument lay as it lay
)

// Verdict is a judgement of one thing.
type Verdict struct {
	judge.Verdict
	Value, U, Limit float64
	Probability     float64 // that it conforms
}

// Bound is what a gauge shows of a distance.
type Bound struct {
	AtMost  float64 // +Inf where the gauge shows none
	AtLeast float64
}

// Found is what was found of one feature.
type Found struct {
	Reading
	Deviation fit.Vector
	Distance  float64
	Position  *Verdict      // nil where nothing was measured of it
	Bound     *Bound        // of a gauge
	Size      *Verdict      // of the diameter, nil where it was not measured or has no tolerance
	Plugged   judge.Verdict // of the plug gauge; 0 where there was none
	Verdict   judge.Verdict
	group     int
}

// Group is a set of readings in one frame.
type Group struct {
	Piece   int // −1: the whole bed
	Fit     *fit.Rigid
	Minimax *fit.Minimax
	Cause   cause.Finding
	places  []int // into Result.Found
}

// Practice is how the bed stands against a limit that people use.
type Practice struct {
	Name    string
	Limit   float64
	Verdict judge.Verdict
	Beyond  []string
}

// Result is the answer.
type Result struct {
	Verdict  judge.Verdict
	Found    []Found
	Worst    int // into Found; −1 where no distance is known
	Groups   []Group
	Practice []Practice
	Zones    *Zones    // nil where no places are known, or lie too far off to be laid on
	Function *Function // nil where no bolts were measured
	Missing  []string  // features of the drawing that were not measured
	UFrom    string    // where the uncertainty comes from
	Warnings []string
}
