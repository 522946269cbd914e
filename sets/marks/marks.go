// Package marks says how the three pieces of a set are marked, what the code on a mark holds, and what three codes say at the packing bench:
// whether these pieces are one set, and if not, what is wrong.
//
// # The rule
//
// Two joints, two letters: the pieces that meet at joint 1 both carry the first letter there (A|A), those at joint 2 the second (B|B). A mark sits on the
// left outer side of its piece, at the end that touches the joint; left as seen from the foot, looking to the head. There it can be read while the joint is closed,
// and no label lies in the joint. Its arrow points to the head. So a bed laid right has all marks on one side, and A beside A: a piece that lies turned by half
// a turn, or that was marked, lined or laid with the wrong face up, has its mark at another corner. Common practice is a letter pair and an arrow; that the corner
// is always the left one is the rule of this house.
//
// The package draws nothing, opens no book (whoever asks gives what the book says) and does not measure: codes that belong together are no proof of a bed.
package marks

import (
	"strings"

	"slatewright/bed"
)

// three is how many pieces a set has here.
const three = 3

// Joint is a joint of the bed: 1 lies between head and centre, 2 between centre and foot.
type Joint int

// Mark is what one mark says.
type Mark struct {
	Piece, Set string
	Place      bed.Place
	Joint      Joint
	Letter     string // the joint's, one capital
}

// Corner is a corner of a piece that lies with the playing face up while one looks along the arrow, to the head: far corners are those at the head.
type Corner string

// The corners; NotSeen is where nobody looked.
const (
	NotSeen   Corner = ""
	FarLeft   Corner = "far-left"
	FarRight  Corner = "far-right"
	NearLeft  Corner = "near-left"
	NearRight Corner = "near-right"
)

// Corners lists the corners as they lie, row by row from the head.
func Corners() [4]Corner { return [4]Corner{FarLeft, FarRight, NearLeft, NearRight} }

// TowardHead tells whether the joint is at the piece's end toward the head.
func (m Mark) TowardHead() bool { return int(m.Joint) == int(m.Place) }

// Meets is the place of the piece on the other side of the joint.
func (m Mark) Meets() bed.Place {
	if m.TowardHead() {
		return m.Place - 1
	}
	return m.Place + 1
}

// Corner is where the mark sits.
func (m Mark) Corner() Corner {
	if m.TowardHead() {
		return FarLeft
	}
	return NearLeft
}

// pairs are letters that cannot be taken for one another within a set, nor for themselves when they stand on their head (as H, N and Z would), nor for figures.
var pairs = [...][2]string{{"A", "B"}, {"C", "K"}, {"D", "T"}, {"E", "L"}, {"F", "G"}, {"J", "R"}, {"P", "Y"}}

// Letters are the letters of a set's two joints. Sets whose numbers follow one another have different ones, seven in a row.
func Letters(set string) [2]string {
	sum := 0
	digits := strings.TrimLeft(set[strings.LastIndexFunc(set, func(r rune) bool { return r < '0' || r > '9' })+1:], "0")
	for _, c := range digits {
		sum = (10*sum + int(c-'0')) % len(pairs)
	}
	if digits == "" {
		for i := range len(set) {
			sum = (sum + int(set[i])) % len(pairs)
		}
	}
	return pairs[(sum+len(pairs)-1)%len(pairs)] // set 1 has A and B
}

// Of lists the marks of a set, from head to foot: one on the head, two on the centre, one on the foot.
func Of(set string, pieces [3]string) [4]Mark {
	l := Letters(set)
	return [4]Mark{{pieces[0], set, bed.Head, 1, l[0]}, {pieces[1], set, bed.Centre, 1, l[0]}, {pieces[1], set, bed.Centre, 2, l[1]}, {pieces[2], set, bed.Foot, 2, l[1]}}
}
