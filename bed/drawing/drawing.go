// Package drawing is what the drawings of a bed say, before there is any paper: which holes are alike and the mark of each, where a
// place lies when the stone is seen from above or from below, what each piece weighs, and the list of holes.
//
// It draws nothing (internal/picture/beddrawing does) and judges nothing (bed/rules does). Lengths are in mm, areas in mm²,
// masses in kg.
package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/measure"
)

// Group is holes that are made alike.
type Group struct {
	Letter string
	Like   pattern.Hole // one of them
	Holes  []int        // indices in the pattern's holes
}

// letters are those of groups: A, B and C name the datums, D dowels and P pockets; I, O, Q and X are left out because they
// are misread or taken (ISO 5459).
const letters = "EFGHJKLMNRSTUVWYZ"

// kinds are in the order in which drawings list them.
var kinds = []pattern.Kind{pattern.RailBolt, pattern.BedScrew, pattern.Accessory}

// Groups lists the holes that are made alike, rail bolts first and thick before thin.
func Groups(p pattern.Pattern) []Group {
	var list []Group
	for i, h := range p.Holes {
		k := slices.IndexFunc(list, func(g Group) bool { return alike(g.Like, h) })
		if k < 0 {
			k = len(list)
			list = append(list, Group{Like: h})
		}
		list[k].Holes = append(list[k].Holes, i)
	}
	rank := func(k pattern.Kind) int {
		if i := slices.Index(kinds, k); i >= 0 {
			return i
		}
		return len(kinds)
	}
	slices.SortStableFunc(list, func(a, b Group) int {
		return cmp.Or(cmp.Compare(rank(a.Like.Kind), rank(b.Like.Kind)), strings.Compare(string(a.Like.Kind), string(b.Like.Kind)), cmp.Compare(b.Like.Diameter, a.Like.Diameter))
	})
	for i := range list {
		list[i].Letter = letter(i)
	}
	return list
}

// letter is E, F … and then EE, EF …
func letter(i int) string {
	if i < len(letters) {
		return letters[i : i+1]
	}
	return letter(i/len(letters)-1) + letters[i%len(letters):i%len(letters)+1]
}

// alike reports whether two holes are made alike, wherever they are.
func alike(a, b pattern.Hole) bool {
	c, d := a.Counter, b.Counter
	if (c == nil) != (d == nil) || c != nil && *c != *d {
		return false
	}
	return a.Kind == b.Kind && a.Diameter == b.Diameter && a.Depth == b.Depth && a.From == b.From && a.Chamfer == b.Chamfer && a.Bolt == b.Bolt && a.Tolerance == b.Tolerance
}

// Marks returns what stands beside each hole on a drawing, such as E7, by its index in the pattern's holes.
func Marks(groups []Group) map[int]string {
	marks := map[int]string{}
	for _, g := range groups {
		for n, i := range g.Holes {
			marks[i] = fmt.Sprint(g.Letter, n+1)
		}
	}
	return marks
}

// MM writes a length to a hundredth of a mm, without noughts at its end, with a true minus.
func MM(x float64) string {
	return strings.Replace(strings.TrimSuffix(strings.TrimRight(measure.Decimal(math.Round(x*100)/100+0, 2), "0"), "."), "-", "−", 1)
}

// View is a look at the whole bed or at one piece from one side.
type View struct {
	Piece int // −1: the whole bed
	Face  pattern.Face
}

// Whole is the piece of a view that shows the whole bed.
const Whole = -1

// Name names the view for files: "bed-top", "head-bottom".
func (v View) Name(p pattern.Pattern) string { return v.What(p) + "-" + v.Face.String() }

// What names what is shown: bed, or the piece.
func (v View) What(p pattern.Pattern) string {
	if v.Piece < 0 {
		return "bed"
	}
	return p.Pieces[v.Piece].Name
}

// At turns a place of the bed frame into one of the view: from the middle of what is shown, u to the right and w upward. From
// above, the head is on the left and the table's right side is up. Seen from below, the stone is turned over its line across the
// table, as it is for a machine (bed/program/setup): the head is on the right, and the right side stays up.
func (v View) At(p pattern.Pattern, q shape.Point) (u, w float64) {
	if v.Piece >= 0 {
		m := p.Pieces[v.Piece].Middle
		q.X, q.Y = q.X-m.X, q.Y-m.Y
	}
	if v.Face == pattern.Bottom {
		return 0 - q.X, q.Y
	}
	return q.X, q.Y
}

// Contour turns a contour of the bed frame into one of the view.
func (v View) Contour(p pattern.Pattern, c shape.Contour) shape.Contour {
	if v.Piece >= 0 {
		m := p.Pieces[v.Piece].Middle
		c = c.Moved(0, -m.X, -m.Y)
	}
	if v.Face == pattern.Bottom {
		c = c.Mirrored(true, false)
	}
	return c
}

// Shows reports whether a thing of a piece is in the view.
func (v View) Shows(piece int) bool { return v.Piece < 0 || v.Piece == piece }
