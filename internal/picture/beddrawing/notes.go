package beddrawing

import (
	"fmt"
	"slices"
	"strings"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/drafting"
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
		lines = []string{b.told("drawing.else")}
	case inShort:
		lines = append(lines, b.told("drawing.also"))
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
	words := fmt.Sprintf("%s: %d × %s (%s)", g.Letter, n, b.note(g.Like), b.use(g.Like.Kind))
	if g.Like.Position == 0 {
		c.say(words, 3)
		return
	}
	zone := "⌀" + b.mm(g.Like.Position)
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
		lines = append(lines, b.joined(b.told("drawing.dowels", "n", n, "d", b.mm(like.Diameter)+b.plusMinus(like.Tolerance.Diameter), "deep", b.mm(like.Depth), "under", b.mm(like.Below)), b.zone(like.Position)))
	}
	lines = append(lines, b.pocketNotes(v)...)
	if len(b.Strips) > 0 {
		lines = append(lines, b.told("drawing.strips", "thick", b.mm(b.Strips[0].Thickness)))
	}
	if b.Chamfers.Top > 0 || b.Chamfers.Bottom > 0 {
		lines = append(lines, b.told("drawing.arrises", "above", b.mm(b.Chamfers.Top), "below", b.mm(b.Chamfers.Bottom)))
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
		words := b.told("drawing.corner-pocket")
		if k.Side {
			words = b.told("drawing.side-pocket")
		}
		if k.Radius > 0 {
			words += " R" + b.mm(k.Radius) + b.plusMinus(k.Tolerance.Diameter)
		}
		words = b.joined(words, b.zone(k.Position))
		if count[words]++; !slices.Contains(order, words) {
			order = append(order, words)
		}
	}
	for _, words := range order {
		lines = append(lines, fmt.Sprintf("P: %d × %s", count[words], words))
	}
	return lines
}

func (b *bed) plusMinus(x float64) string {
	if x == 0 {
		return ""
	}
	return " ±" + b.mm(x)
}

// zone says within which circle a middle must lie.
func (b *bed) zone(d float64) string {
	if d == 0 {
		return ""
	}
	return b.told("drawing.zone", "d", b.mm(d))
}

// general is what holds for the whole sheet.
func (b *bed) general(v drawing.View) (lines []string) {
	lines = append(lines, b.told("drawing.stone", "thick", b.mm(b.Thickness), "off", b.mm(b.Promise.SizeTolerance)))
	if v.Piece >= 0 {
		s := drawing.StoneOf(b.Pattern, v.Piece)
		lines = append(lines, b.told("drawing.datums-piece"), b.told("drawing.face", "area", b.Reader.Number(s.Area*1e-6, 3), "mass", b.Reader.Number(s.Mass, 1)))
	} else {
		mass := 0.0
		for i := range b.Pieces {
			mass += drawing.StoneOf(b.Pattern, i).Mass
		}
		lines = append(lines, b.told("drawing.datums-bed"), b.told("drawing.stones", "mass", b.Reader.Number(mass, 1)))
	}
	return append(lines, b.told("drawing.lines", "high", b.mm(drafting.Least)))
}

// heading says what is seen and from where; a mirrored face in words.
func (p *plan) heading() string {
	if p.view.Piece < 0 {
		return p.from("drawing.seen-bed-", p.view.Face)
	}
	return p.from("drawing.seen-piece-", p.view.Face, "name", strings.ToUpper(p.piece(p.view.Piece)))
}

// viewSign draws the stone from its edge with an arrow that shows from where it is seen. The playing face is the wide line.
func (b *bed) viewSign(face pattern.Face) *drafting.Drawing {
	const w, h, long = 20.0, 2.4, 6.0
	d := drafting.New(b.Paper.pen(), 1)
	top, from, words := long+1.0, 0.0, b.told("drawing.above")
	tip := top - 0.4
	if face == pattern.Bottom {
		top, words = 0, b.told("drawing.below")
		from, tip = top+h+long+1, top+h+0.4
	}
	d.Box(layerNote, drafting.Thin, 0, top, w, h)
	d.Line(layerNote, drafting.Wide, drafting.At(0, top), drafting.At(w, top))
	d.Line(layerNote, drafting.Wide, drafting.At(w/2, from), drafting.At(w/2, tip))
	d.Arrow(layerNote, drafting.At(w/2, tip), 0, tip-from)
	d.Words(layerNote, 0, long+h+2+drafting.Least+0.5, words)
	return d
}
