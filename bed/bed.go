// Package bed is the specification of one table's slate bed: three equal pieces, what they rest on, what is promised of
// them and how the promise is judged.
//
// Everything that depends on the table and not on the stone is read from one [Spec]: the size of the pieces, the edge
// band, the supports and the shims at hand, the limits, the state in which they hold, the decision rule and the parts of
// the uncertainty that a mill may set. A certificate seals its numbers in a form of its own (package certificate).
//
// The package holds values and checks them. It does not read files (bed/specfile does), measure, seat or judge, and it
// does not know pockets and holes (bed/pattern does).
//
// Frames, as everywhere in the program: x along the table from head to foot, y across it, z up from the playing face.
// The bed's origin is in the middle of the bed, a piece's origin in the middle of the piece; both have the same
// directions. Lengths are in mm, masses in kg, densities in kg/m³.
package bed

import "slatewright/trouble"

// Place is where in the bed a piece lies.
type Place int

// The three places, from −x to +x.
const (
	Head Place = iota
	Centre
	Foot
)

var placeNames = [3]string{"head", "centre", "foot"}

// Places lists the places in the order of the bed frame's x.
func Places() [3]Place { return [3]Place{Head, Centre, Foot} }

// String returns head, centre or foot.
func (p Place) String() string {
	if p < Head || p > Foot {
		return "no place"
	}
	return placeNames[p]
}

// MarshalText writes the place as its word.
func (p Place) MarshalText() ([]byte, error) {
	if p < Head || p > Foot {
		return nil, trouble.Own("bad-place", "", "a place outside head, centre and foot", "")
	}
	return []byte(placeNames[p]), nil
}

// UnmarshalText reads the place's word.
func (p *Place) UnmarshalText(text []byte) error {
	for i, name := range placeNames {
		if string(text) == name {
			*p = Place(i)
			return nil
		}
	}
	return trouble.Data("bad-place", "", "no place is called \""+string(text)+"\"", "write head, centre or foot")
}

// The states in which a promise can hold.
const (
	// StateFree is the shape of the piece itself, with what gravity and the support do to it computed away.
	StateFree = "free"
	// StateLaid is the shape as the piece lies on a bench or frame, as stated.
	StateLaid = "laid"
)

// Spec is the specification of one table pattern, lengths in mm. The zero Spec is not valid; start from [NineFoot] or a file.
type Spec struct {
	Pattern  string // the mill's name of the table pattern
	Revision string // which issue of the pattern this is

	SizeX         float64 // whole bed along the table, joints closed to JointGap
	SizeY         float64 // whole bed across the table
	SizeTolerance float64 // how far a piece's sides may be from PieceSize, either way
	EdgeBand      float64 // strip along each edge of a piece of which flatness is not promised
	JointGap      float64 // open width of each joint when laid; 0 = stone to stone

	ThicknessMin  float64 // least thickness of the stone anywhere it is measured
	Density       float64 // kg/m³, of the stone, for the lifting mass
	Lining        float64 // nominal thickness of the board under the stone; 0 = not lined
	LiningDensity float64 // kg/m³, of the board, for the lifting mass

	// Supports are the places of shims and screws under each piece (head, centre, foot), each (x, y) in the piece frame of
	// a piece that is not turned. nil where they are not known: then no shim heights can be given.
	Supports [3][][2]float64
	// Shims are the thicknesses of the shims that exist, ascending; nil when none are named.
	Shims []float64
	// ShimsPerPack is how many shims may be laid on one another at one support.
	ShimsPerPack int

	Limits      Limits
	State       string // StateFree or StateLaid: the state in which Limits are promised
	Decision    Decision
	Uncertainty Uncertainty
	JointRow    JointRow
	Levels      []Level // the mechanic's levels whose readings are printed
}

// Limits are the largest values that conform, in mm. Each is read as a total, peak to valley.
type Limits struct {
	Lengthwise float64 // straightness of any line along the table, over the whole bed, steps included
	Across     float64 // the same across the table
	Zone       float64 // minimum zone of the whole bed
	Step       float64 // height difference over a joint, either sign
}

// Uncertainty holds the standard uncertainties that a mill may set from its own studies, in mm.
type Uncertainty struct {
	// Reading is the standard uncertainty of one reading of a face, used where the file has no "# u:" line.
	Reading float64
	// Bench is what remains unknown of the bench or reference under the indicator after its map is subtracted: a smooth
	// error, common to all readings of a face.
	Bench float64
	// BetweenPoints is what the face between the read points is expected to add to a zone, a straightness or a step: it is put
	// on the value, and it is the standard uncertainty of being put on.
	BetweenPoints float64
	// JointExtrapolation is the uncertainty of a height at a joint that was not read near the arris.
	JointExtrapolation float64
}

// JointRow says when readings along a joint count as read at the joint.
type JointRow struct {
	MaxFromArris float64 // furthest distance of a reading from the arris
	MinStations  int     // fewest readings in the row
}

// Level is a mechanic's spirit level: one division of its vial stands for a rise over a base.
type Level struct {
	Division string  // as written, such as "0.0005 in/ft"
	Rise     float64 // mm
	Over     float64 // mm
}

// Divisions returns what the level reads on a slope (mm per mm, signed).
func (l Level) Divisions(slope float64) float64 { return slope * l.Over / l.Rise }

// PieceSize returns the size of one piece, x by y: a third of the bed along the table, after the joints' gaps, by its
// whole width.
func (s Spec) PieceSize() (x, y float64) {
	return (s.SizeX - float64(2*s.JointGap)) / 3, s.SizeY
}

// PieceMass returns the mass in kg of a whole piece of the given stone and lining thickness in mm. Pockets and holes are
// not taken off and the lining counts as a full board, so it is never less than what hangs on the hook, for the
// densities given.
func (s Spec) PieceMass(stone, lining float64) float64 {
	x, y := s.PieceSize()
	area := x * y * 1e-9 // mm² times mm, in m³
	return float64(area*stone*s.Density) + float64(area*lining*s.LiningDensity)
}
