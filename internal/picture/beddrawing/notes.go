package beddrawing

import (
	"fmt"
	"slices"
	"strings"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/drafting"
	"slatewright/trouble"
)

func pointOf(x, y float64) shape.Point { return shape.Point{X: x, Y: y} }

// leading is the distance of two lines of notes.
const leading = 4.2

// column is a column of notes being set, from its upper left corner.
type column struct {
	*drafting.Drawing
	width, y float64
}

// say sets words, wrapped, those of the further lines indented.
func (c *column) say(words string, indent float64) {
	for i, line := range c.Wrap(words, drafting.Least, c.width-indent) {
		x := 0.0
		if i > 0 {
			x = indent
		}
		c.y += leading
		c.Words(layerNote, x, c.y, line)
	}
}

// extent says how much of the notes a sheet carries.
type extent int

const (
	inFull  extent = iota
	inShort        // without what holds for the whole bed
	holes          // only how the holes are made
	general        // only what holds for the whole bed
)

// notes sets what a plan says in words: how each kind of hole is made and how many there are, and what holds for the whole bed.
// Wide notes stand in two columns.
func (b *bed) notes(v drawing.View, width float64, e extent) *drafting.Drawing {
	const apart, wide = 8.0, 190.0
	columns := 1
	if width > wide {
		columns = 2
		width = (width - apart) / 2
	}
	var items []*column
	set := func(f func(c *column)) {
		c := &column{Drawing: drafting.New(b.Paper.pen(), 1), width: width}
		if f(c); c.y > 0 {
			items = append(items, c)
		}
	}
	if e != general {
		for _, g := range b.groups {
			set(func(c *column) { b.groupNote(c, g, v) })
		}
	}
	lines := b.others(v)
	switch e {
	case holes:
		lines = []string{"Sizes in mm. All else: sheet of details."}
	case inShort:
		lines = append(lines, "Sizes in mm. What else holds stands on the sheet of details.")
	default:
		lines = append(lines, b.general(v)...)
	}
	for _, line := range lines {
		set(func(c *column) { c.say(line, 3) })
	}
	return stacked(items, columns, width+apart)
}

// stacked sets items one below the other, in columns of about one height.
func stacked(items []*column, columns int, pitch float64) *drafting.Drawing {
	all := 0.0
	for _, c := range items {
		all += c.y
	}
	d := drafting.New(items[0].Pen, 1)
	x, y := 0.0, 0.0
	for _, c := range items {
		if columns > 1 && y+c.y/2 > all/2 {
			x, y, columns = x+pitch, 0, columns-1
		}
		c.Move(x, y)
		d.Add(c.Drawing)
		y += c.y
	}
	return d
}

// groupNote sets one group of holes: letter, count and how it is made, then the frame of its tolerance of position.
func (b *bed) groupNote(c *column, g drawing.Group, v drawing.View) {
	n := 0
	for _, i := range g.Holes {
		if v.Shows(b.Holes[i].Piece) {
			n++
		}
	}
	if n == 0 {
		return
	}
	words := fmt.Sprintf("%s: %d × %s (%s)", g.Letter, n, drawing.Note(g.Like), strings.ReplaceAll(string(g.Like.Kind), "-", " "))
	if g.Like.Position == 0 {
		c.say(words, 3)
		return
	}
	zone := "⌀" + drawing.MM(g.Like.Position)
	const frame = 34.0
	if beside := c.Measure(words, drafting.Least, false) + 3; beside+frame < c.width {
		c.y++
		c.say(words, 3)
		c.Frame(layerNote, beside, c.y-drafting.Least/2, zone, "A", "B", "C")
		c.y += 0.4
		return
	}
	c.say(words, 3)
	c.Frame(layerNote, 3, c.y+leading, zone, "A", "B", "C")
	c.y += 1.75 * leading
}

// others says what dowels, pockets, strips and edges are.
func (b *bed) others(v drawing.View) (lines []string) {
	n := 0
	var like pattern.Dowel
	for _, j := range b.Joints {
		for _, d := range j.Dowels {
			if v.Shows(j.Before) || v.Shows(j.Before+1) {
				n++
				like = d
			}
		}
	}
	if n > 0 {
		lines = append(lines, fmt.Sprintf("D: %s in joint edges: ⌀%s%s × %s deep, middle %s below the playing face%s", trouble.Count(n, "dowel hole", "dowel holes"), drawing.MM(like.Diameter), plusMinus(like.Tolerance.Diameter),
			drawing.MM(like.Depth), drawing.MM(like.Below), zone(like.Position)))
	}
	lines = append(lines, b.pocketNotes(v)...)
	if len(b.Strips) > 0 {
		lines = append(lines, fmt.Sprintf("Strips of board under the stone, %s thick", drawing.MM(b.Strips[0].Thickness)))
	}
	if b.Chamfers.Top > 0 || b.Chamfers.Bottom > 0 {
		lines = append(lines, fmt.Sprintf("Outer arrises %s × 45° above, %s × 45° below", drawing.MM(b.Chamfers.Top), drawing.MM(b.Chamfers.Bottom)))
	}
	return lines
}

// pocketNotes says how the pockets are cut, those alike together.
func (b *bed) pocketNotes(v drawing.View) (lines []string) {
	count := map[string]int{}
	var order []string
	for _, k := range b.Pockets {
		if v.Piece >= 0 && !(&plan{bed: b, view: v}).touches(k) {
			continue
		}
		words := "corner pocket"
		if k.Side {
			words = "side pocket"
		}
		if k.Radius > 0 {
			words += fmt.Sprintf(" R%s%s", drawing.MM(k.Radius), plusMinus(k.Tolerance.Diameter))
		}
		words += zone(k.Position)
		if count[words]++; !slices.Contains(order, words) {
			order = append(order, words)
		}
	}
	for _, words := range order {
		lines = append(lines, fmt.Sprintf("P: %d × %s", count[words], words))
	}
	return lines
}

func plusMinus(x float64) string {
	if x == 0 {
		return ""
	}
	return " ±" + drawing.MM(x)
}

// zone says within which circle a middle must lie.
func zone(d float64) string {
	if d == 0 {
		return ""
	}
	return ", within ⌀" + drawing.MM(d)
}

// general is what holds for the whole sheet.
func (b *bed) general(v drawing.View) (lines []string) {
	what := "bed"
	if v.Piece >= 0 {
		what = "piece"
	}
	lines = append(lines, fmt.Sprintf("Stone at least %s thick. Sizes in mm; sides of a piece ±%s.", drawing.MM(b.Thickness), drawing.MM(b.Promise.SizeTolerance)))
	lines = append(lines, fmt.Sprintf("Datums: A playing face, B middle between the sides, C middle of the %s. Running dimensions count from B and C, plus to the foot and to the right side.", what))
	if v.Piece >= 0 {
		s := drawing.StoneOf(b.Pattern, v.Piece)
		lines = append(lines, fmt.Sprintf("Face %.3f m², stone %.1f kg as cut.", s.Area*1e-6, s.Mass))
	} else {
		mass := 0.0
		for i := range b.Pieces {
			mass += drawing.StoneOf(b.Pattern, i).Mass
		}
		lines = append(lines, fmt.Sprintf("Stone of all pieces %.1f kg as cut.", mass))
	}
	return append(lines, "Lines by ISO 128-2, dimensions by ISO 129-1; letters at least 2.5 high. Do not measure on the drawing.")
}

// heading says what is seen and from where; a mirrored face in words.
func (p *plan) heading() string {
	what := "WHOLE BED"
	if p.view.Piece >= 0 {
		what = strings.ToUpper(p.Pieces[p.view.Piece].Name) + " PIECE"
	}
	if p.view.Face == pattern.Bottom {
		return what + ", SEEN FROM BELOW: mirrored, the head is on the right"
	}
	return what + ", SEEN FROM ABOVE on the playing face"
}

// viewSign draws the stone from its edge with an arrow that shows from where it is seen. The playing face is the wide line.
func (b *bed) viewSign(face pattern.Face) *drafting.Drawing {
	const w, h, long = 20.0, 2.4, 6.0
	d := drafting.New(b.Paper.pen(), 1)
	top, from, words := long+1.0, 0.0, "from above"
	tip := top - 0.4
	if face == pattern.Bottom {
		top, words = 0, "from below"
		from, tip = top+h+long+1, top+h+0.4
	}
	d.Box(layerNote, drafting.Thin, 0, top, w, h)
	d.Line(layerNote, drafting.Wide, drafting.At(0, top), drafting.At(w, top))
	d.Line(layerNote, drafting.Wide, drafting.At(w/2, from), drafting.At(w/2, tip))
	d.Arrow(layerNote, drafting.At(w/2, tip), 0, tip-from)
	d.Words(layerNote, 0, long+h+2+drafting.Least+0.5, words)
	return d
}
