// Package pattern is the whole drawing of one table's slate bed: its outline and pieces, what is cut and drilled into it, how
// exactly, and what a table wants of it.
//
// A [Pattern] is what a mill's file says with everything worked out: symmetry written out, sums done, every hole with a name,
// a place in the bed and the piece it lies in. Drawings, programs, checks of drilled beds and rules all start from it.
// Nothing in it assumes three pieces; [Pattern.Spec] gives the specification of package bed, on which certificates rest,
// where the bed is of three equal ones.
//
// The package holds values and finds simple things in them. It does not read files (bed/pattern/patternfile does) and does not judge what is
// wise (bed/rules does).
//
// Frames are those of package bed: x along the table from head to foot, y across it, z up from the playing face, the bed's
// origin in its middle, a piece's in the piece's own middle. Everything here is in the bed frame unless it says otherwise,
// seen from above. Lengths are in mm, angles in radians.
package pattern

import (
	"slatewright/bed"
	"slatewright/bed/pattern/shape"
)

// Face says from which side something is made.
type Face int

// The faces. Top is the playing face.
const (
	Top Face = iota
	Bottom
)

// String returns top or bottom.
func (f Face) String() string {
	if f == Bottom {
		return "bottom"
	}
	return "top"
}

// Kind says what a feature is for; it is the word in the file.
type Kind string

// The kinds of features.
const (
	RailBolt  Kind = "rail-bolt"
	BedScrew  Kind = "bed-screw"
	Accessory Kind = "accessory"
	DowelHole Kind = "dowel" // lies in a joint edge, see Dowel
	PocketCut Kind = "pocket"
)

// Tolerance says how far a feature may be from the drawing. 0 means that nothing is said.
type Tolerance struct {
	Position float64 // diameter of the zone in which the middle must lie (position tolerance of ISO 1101)
	Diameter float64 // of the hole, either way; of a pocket the radius, either way
	Depth    float64 // of a blind hole, counterbore or countersink, either way
}

// Counter is a counterbore or a countersink about a hole.
type Counter struct {
	Diameter float64 // at the face
	Depth    float64 // of a counterbore; of a countersink that of its cone from the face to the hole
	Angle    float64 // of a countersink, from side to side of the cone; 0 is a counterbore with a flat bottom
	From     Face
}

// Hole is a round hole square to the face.
type Hole struct {
	Name     string // unique in the bed and the same as long as its line in the file is: "rb-2hl", second place of rb, head and left
	Kind     Kind
	Base     string // what it has in common with its likes under the symmetry, "rb-2"
	Group    string // the entry of the file that made it, "rb"
	Alone    bool   // the entry says that the bed's symmetry does not hold for it
	Line     int    // of that entry in the file; 0 where there is no file
	X, Y     float64
	Diameter float64
	Depth    float64 // 0: through
	From     Face    // from which face it is drilled
	Counter  *Counter
	Piece    int     // index of the piece in which its middle lies, −1 where there is none
	Chamfer  float64 // at the playing face, leg at 45°; 0 = none
	Bolt     float64 // largest diameter of what passes through; 0 = nothing does
	Mating   float64 // diameter of the zone in which what the bolt goes into may be: rail insert, frame block
	Tolerance
}

// Through reports whether the hole goes through the stone.
func (h Hole) Through() bool { return h.Depth == 0 }

// Float is how far the bolt can move sideways from the middle of a hole that is as drawn; 0 where no bolt passes.
func (h Hole) Float() float64 {
	if h.Bolt == 0 {
		return 0
	}
	return (h.Diameter - h.Bolt) / 2
}

// VirtualCondition is the diameter of the straight pin that passes through every hole within its tolerances (ISO 2692: least
// diameter less the zone of its position).
func (h Hole) VirtualCondition() float64 { return h.Diameter - h.Tolerance.Diameter - h.Position }

// Pocket is one opening for the balls.
type Pocket struct {
	Name string // "corner-fr"
	Base string // what it has in common with its likes, "corner"
	Line int    // of its entry in the file; 0 where there is no file
	Side bool   // in the middle of a long side; otherwise at a corner
	// Outline is what is cut out of the bed. It may reach beyond the bed's edge.
	Outline shape.Contour
	X, Y    float64 // middle of the drop's arc
	Radius  float64 // of the drop; 0 where its shape is drawn freely
	Out     float64 // direction from the field to the pocket, from the x axis
	// Flare is how far each flank of the cut turns away from Out; 0 for flanks that run parallel.
	Flare float64
	Edge  float64 // rounding or chamfer of the drop's edge at the playing face; 0 = none

	// What the cushions make of the opening, for the tournament text. 0 where the file does not say.
	Mouth    float64 // between the points of the cushion noses
	Shelf    float64 // from the middle of the line between those points to the edge of the drop, along Out; may be negative
	CutAngle float64 // between nose line and cushion's end, in plan
	Draft    float64 // of the cushion's end from the vertical
	// HasShelf says that the pocket's mouth is known, so that the shelf is.
	HasShelf  bool
	Tolerance // Position of the drop's middle, Diameter the radius either way
}

// Piece is one piece of the bed, from the head.
type Piece struct {
	Name     string
	From, To float64     // x of its ends, joints closed to their gap
	Middle   shape.Point // origin of the piece frame
	// Outline is the piece as it is cut, pockets taken out.
	Outline shape.Contour
	// Openings are pockets that lie wholly inside the piece.
	Openings []shape.Contour
	// Supports are the places of shims and screws in the piece frame; nil where they are not known.
	Supports [][2]float64
}

// Dowel is a hole in both edges of a joint, along the table, for a pin half in each.
type Dowel struct {
	Base     string  // what it has in common with its likes in every joint, "dowel-1"
	Name     string  // "dowel-a1r"
	Y        float64 // bed frame
	Below    float64 // middle of the hole below the playing face
	Diameter float64
	Depth    float64 // in each piece
	Tolerance
}

// Joint is where two pieces meet.
type Joint struct {
	Name   string  // "a", "b" … from the head
	X      float64 // of its middle
	Before int     // index of the piece on its head side; the other is the next
	Gap    float64 // open width when laid
	Dowels []Dowel

	TopChamfer    float64 // arris taken off at the playing face, leg at 45°
	BottomChamfer float64 // the same below, where fitters part the pieces
	Placing       float64 // diameter of the zone in which a piece may lie when laid, about where it is drawn; 0 = not said
	Straightness  float64 // largest departure of the edge from a straight line in plan; 0 = not said
	Squareness    float64 // of the edge to the face, over the thickness; 0 = not said
	Chip          float64 // largest chip at the arris; 0 = not said
}

// Strip is a strip of board glued under a piece, for the cloth's staples or as packing.
type Strip struct {
	Name           string
	Line           int // of its entry in the file; 0 where there is no file
	Piece          int
	X0, Y0, X1, Y1 float64 // opposite corners, X0 < X1, Y0 < Y1
	Thickness      float64
}

// Chamfers are what is taken off the outer edges of the bed, legs at 45°; 0 = none.
type Chamfers struct {
	Top, Bottom float64
}

// Clearances are the least distances that the mill keeps, from the edge of a hole (or of its counterbore or countersink) to the other edge.
type Clearances struct {
	Edge    float64 // to the outer edge of the bed
	Joint   float64 // to a joint
	Pocket  float64 // to a pocket's cut
	Hole    float64 // to the next hole
	Web     float64 // stone left under a counterbore, countersink or blind hole
	Dowel   float64 // stone left above and below a dowel's hole
	Support float64 // from a pocket's cut to the middle of a support
}

// Symmetry says which mirrorings or turns leave the bed as it is.
type Symmetry string

// The symmetries.
const (
	Quarter Symmetry = "quarter" // ends alike and sides alike
	Ends    Symmetry = "ends"    // head and foot alike: x to −x
	Sides   Symmetry = "sides"   // left and right alike: y to −y
	Turned  Symmetry = "turned"  // alike when turned by half a turn
	None    Symmetry = "none"
)

// Approval says who approved the pattern's revision, and when, in the file's words.
type Approval struct {
	By, On string
}

// Pattern is one table's bed.
type Pattern struct {
	Name, Revision string
	Approved       Approval
	Claim          string // the rules that the table is to meet, a name of package bed/rules; empty = none

	SizeX, SizeY   float64 // whole bed, joints closed to their gap
	FieldX, FieldY float64 // between the cushion noses; 0 where the file does not say
	Thickness      float64 // of the stone, least
	Symmetry       Symmetry

	Pieces     []Piece // from the head
	Joints     []Joint // from the head, one fewer than pieces
	Pockets    []Pocket
	Holes      []Hole
	Strips     []Strip
	Chamfers   Chamfers
	Clearances Clearances

	// Promise carries what is promised of the stone and how it is judged: limits, state, decision, uncertainty, densities,
	// shims, size tolerance, edge band. Its supports are those of the pieces where the bed is of three equal ones.
	Promise bed.Spec
}

// Outline returns the bed's outer edge, pockets not taken out.
func (p Pattern) Outline() shape.Contour {
	return shape.Rectangle(shape.Point{X: -p.SizeX / 2, Y: -p.SizeY / 2}, shape.Point{X: p.SizeX / 2, Y: p.SizeY / 2})
}

// PieceAt returns the index of the piece in which x lies, −1 beyond the bed. A place in a joint belongs to the piece nearer the
// head.
func (p Pattern) PieceAt(x float64) int {
	if len(p.Pieces) == 0 || x < p.Pieces[0].From {
		return -1
	}
	for i, piece := range p.Pieces {
		if x <= piece.To || i+1 < len(p.Pieces) && x < p.Pieces[i+1].From {
			return i
		}
	}
	return -1
}
