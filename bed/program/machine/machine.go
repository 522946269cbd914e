// Package machine is what a mill knows of the machine that drills and cuts its beds: the words its control takes, how far it travels, its tools with their
// feeds, the heights at which it is safe, and how it keeps the far face of the stone from breaking out.
//
// The package holds values and checks them. It reads no files (package machinefile does), writes no programs and is no safety device. Nothing of any one
// control is built in: the words stand in the mill's file.
//
// Inside the program: mm, minutes where a feed is meant (mm/min), seconds elsewhere, revolutions a minute, degrees for the angle of a countersink.
package machine

import "math"

// Kind says how a tool cuts.
type Kind string

// The kinds of tools.
const (
	Core   Kind = "core"   // a ring that goes straight down and leaves a core; only for holes through the stone
	Drill  Kind = "drill"  // a full bit with a flat end that goes straight down
	Router Kind = "router" // cuts sideways and down a slope, not straight down
	Sink   Kind = "sink"   // a cone that goes straight down
)

// Kinds lists the kinds.
func Kinds() []Kind { return []Kind{Core, Drill, Router, Sink} }

// Tool is one tool with how it is run.
type Tool struct {
	Number   int
	Name     string
	Kind     Kind
	Diameter float64 // of a sink the largest
	Wall     float64 // thickness of a core bit's wall
	Angle    float64 // of a sink, from side to side of its cone, degrees
	Tip      float64 // diameter of a sink's flat end; 0: a point
	Reach    float64 // how deep it can cut
	Speed    float64 // of the spindle, 1/min
	Feed     float64 // of a router along its way, mm/min
	Plunge   float64 // straight down, or down a router's slope, mm/min
	Step     float64 // depth of one step of a router; of a drill or core bit how deep it goes before it is lifted and flushed, 0: at once
}

// Radius is half the diameter.
func (t Tool) Radius() float64 { return t.Diameter / 2 }

// Slope is how much wider a sink gets for each mm up, on one side.
func (t Tool) Slope() float64 {
	if t.Kind != Sink {
		return 0
	}
	return math.Tan(t.Angle * math.Pi / 360)
}

// At is the tool's radius at a height above its tip.
func (t Tool) At(height float64) float64 {
	if t.Kind != Sink {
		return t.Radius()
	}
	return math.Min(t.Radius(), t.Tip/2+height*t.Slope())
}

// Control is what the machine's control understands.
type Control struct {
	Knows   []string // G and M words, as "G0" or "M8"; a program has no others
	Canned  bool     // holes by canned cycles G81 and G83 with G80, G98 and G99; otherwise by plain moves
	Places  int      // decimals of a place
	Numbers int      // step of the line numbers; 0: none
	Header  []string // lines before everything but the comments
	Footer  []string // lines after everything
	Change  string   // changes the tool; {tool} is its number
	Length  string   // takes the tool's length in; {tool} is its number; "" where the control does it by itself
	Start   string   // turns the spindle clockwise, with the speed before it
	Stop    string   // stops it
	Water   string   // turns the water on
	Dry     string   // turns it off
	Pause   string   // waits for the operator
}

// Span is a range, low to high.
type Span struct{ Low, High float64 }

// Axes has a value for across and along the table together, and one for up and down.
type Axes struct{ XY, Z float64 }

// Corner is the zero of the work in plan.
type Corner string

// The zeros.
const (
	Middle Corner = "middle" // of the piece
	Lower  Corner = "corner" // least x and least y of the piece as it lies
)

// Level is the zero of the work in height.
type Level string

// The zeros.
const (
	Stone Level = "stone" // its upper face
	Board Level = "board" // the upper face of the board under the stone
)

// Way is how the far face is kept from breaking out.
type Way string

// The ways.
const (
	OnBoard   Way = "board" // the stone lies on a board that is cut into, and the last of the stone is cut slowly
	BothFaces Way = "both"  // holes and cuts go half way in from each face and meet
)

// Breakthrough is the care for the face where a tool comes out.
type Breakthrough struct {
	Way     Way
	Board   float64 // thickness of the board under the stone
	Into    float64 // how deep a cut through the stone goes into the board
	Last    float64 // the last of the stone, that is cut slowly
	Share   float64 // of the feed, there
	Overlap float64 // by how much cuts from both faces pass one another
	Web     float64 // what is left under all pockets before the first is cut through
	Pause   bool    // the operator holds the waste before it comes loose
}

// Machine is one machine.
type Machine struct {
	Name     string
	Invented bool
	Control  Control
	X, Y, Z  Span // travel, in the machine's own places
	// WorkX, WorkY and WorkZ are where the zero of the work lies in the machine's own places; Work is the word that says so, "G54".
	Work                string
	WorkX, WorkY, WorkZ float64
	ZeroXY              Corner
	ZeroZ               Level
	Clear               float64 // above the stone: travel in every direction
	Near                float64 // above the stone: from here the feed begins
	Lead                float64 // radius of the arcs on which a router comes to a wall and leaves it
	Ramp                float64 // slope on which a router goes down, as a share of its way
	Over                float64 // by how much of a router's diameter its ways lie apart on a floor
	Rapid               Axes    // mm/min
	Accelerate          Axes    // mm/s²; 0: not known
	Break               Breakthrough
	ChangeTime          float64 // s
	SpindleTime         float64 // s, until it runs
	Flow                float64 // of water, l/min; 0: not known
	Tools               []Tool
}

// Tool returns the tool with a number, nil where there is none.
func (m *Machine) Tool(number int) *Tool {
	for i := range m.Tools {
		if m.Tools[i].Number == number {
			return &m.Tools[i]
		}
	}
	return nil
}
