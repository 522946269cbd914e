package beddrawing

import (
	"fmt"
	"math"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/revision"
	"slatewright/internal/picture/drafting"
)

// The layers of two revisions laid over one another.
const (
	layerOld    drafting.Layer = "OLD"
	layerNew    drafting.Layer = "NEW"
	layerChange drafting.Layer = "CHANGES"
)

// happened has the letter of what happened to a feature, the key of its word, and how many corners the sign about it has: 0 is a circle.
var happened = []struct {
	what, letter, key string
	corners           int
}{
	{revision.Added, "A", "revision.added", 4},
	{revision.Removed, "R", "revision.removed", 4},
	{revision.Moved, "M", "revision.moved", 0},
	{revision.Changed, "C", "revision.changed", 3},
	{revision.Renamed, "N", "revision.renamed", 6},
}

// Overlay draws two revisions of a bed over one another, seen from above: the old thin and dashed, the new wide. What differs bears a sign
// and letters; lines say the differences in words, as many as there is room for. An error is a *trouble.Trouble of code "too-large".
func Overlay(before, after pattern.Pattern, differences []revision.Difference, lines []string, o Options) (*drafting.Drawing, error) {
	b := newBed(after, o)
	old := newBed(before, o)
	whole := drawing.View{Piece: drawing.Whole}
	for _, scale := range scales {
		p := b.newPlan(whole, scale)
		old.newPlan(whole, scale).outlines(p.Drawing, layerOld, drafting.Hidden)
		p.outlines(p.Drawing, layerNew, drafting.Wide)
		box := p.Bounds()
		for _, l := range crowded(len(lines)) {
			s, ok := b.part(l.layout, func(width float64) *drafting.Drawing { return b.changes(differences, lines, width, l.most) })
			lines := headLines(p.Drawing, b.told("drawing.over", "after", after.Revision, "before", before.Revision), s.area)
			if !ok || box.W() > s.area.W()-4*air || box.H() > s.area.H()-headHigh(lines)-4*air {
				continue
			}
			p.Move((s.area.X0+s.area.X1-box.X0-box.X1)/2, (s.area.Y0+headHigh(lines)+s.area.Y1-box.Y0-box.Y1)/2)
			p.room = s.area.Grown(-1)
			p.room.Y0 += headHigh(lines)
			labels := p.signs(old, differences)
			p.sides()
			for _, l := range labels {
				p.Mark(layerChange, l.at, l.r, l.words, p.area().Grown(12).Common(p.room))
			}
			p.Width, p.Height, p.Name = s.w, s.h, "compare"
			s.notes.Move(s.noteAt.X, s.noteAt.Y)
			p.Add(s.notes)
			head(p.Drawing, lines, s.area)
			p.pieceNames()
			b.finish(&sheet{Drawing: p.Drawing, what: b.told("drawing.from-to", "before", before.Revision, "after", after.Revision), scale: fmt.Sprintf("1:%g", scale)}, 1, 1)
			return p.Drawing, nil
		}
	}
	return nil, b.tooLarge("bed")
}

// crowd is a layout with as many lines of differences as stand beside the drawing.
type crowd struct {
	layout
	most int
}

// crowded lists the layouts with all lines, then with fewer.
func crowded(lines int) (list []crowd) {
	for _, most := range []int{max(lines, 5), 12, 5} {
		for _, l := range layouts {
			list = append(list, crowd{l, most})
		}
	}
	return list
}

// outlines draws pieces, pockets, strips and holes with one kind of line on another's sheet.
func (p *plan) outlines(d *drafting.Drawing, l drafting.Layer, k drafting.Kind) {
	q := &plan{bed: p.bed, Drawing: d, view: p.view}
	for _, piece := range p.Pieces {
		q.contour(l, k, piece.Outline)
		for _, c := range piece.Openings {
			q.contour(l, k, c)
		}
	}
	for _, h := range p.Holes {
		kind, r := k, h.Diameter/2/d.Scale
		if k == drafting.Wide && r < 2*d.Pen {
			kind = drafting.Thin
		}
		d.Circle(l, kind, q.at(h.X, h.Y), r, h.Name)
	}
}

// placed is where a feature of a pattern lies, if it has one place.
func (b *bed) placed(of, name string) (x, y, r float64, ok bool) {
	switch of {
	case "hole":
		for _, h := range b.Holes {
			if h.Name == name {
				return h.X, h.Y, reachOf(h), true
			}
		}
	case "pocket":
		for _, k := range b.Pockets {
			if k.Name == name {
				return k.X, k.Y, k.Radius, true
			}
		}
	case "dowel":
		for _, j := range b.Joints {
			for _, d := range j.Dowels {
				if d.Name == name {
					return j.X, d.Y, d.Diameter / 2, true
				}
			}
		}
	case "strip":
		for _, s := range b.Strips {
			if s.Name == name {
				return (s.X0 + s.X1) / 2, (s.Y0 + s.Y1) / 2, 0, true
			}
		}
	}
	return 0, 0, 0, false
}

// label is the letters that belong beside a sign.
type label struct {
	at    drafting.Point
	r     float64
	words string
}

// signs draws a sign about each feature that differs, and an arrow from where it was to where it is; it returns their letters.
func (p *plan) signs(old *bed, differences []revision.Difference) (labels []label) {
	type key struct{ of, name string }
	letters := map[key]string{}
	first := map[key]int{}
	var order []key
	for _, d := range differences {
		k := key{d.Of, d.Feature}
		for i, h := range happened {
			if h.what != d.What {
				continue
			}
			if _, known := letters[k]; !known {
				first[k] = i
				order = append(order, k)
			}
			if n := len(letters[k]); n == 0 || letters[k][n-1:] != h.letter {
				letters[k] += h.letter
			}
		}
	}
	for _, k := range order {
		from := p.bed
		if happened[first[k]].what == revision.Removed {
			from = old
		}
		x, y, reach, ok := from.placed(k.of, k.name)
		if !ok {
			continue
		}
		at, r := p.at(x, y), math.Max(2, math.Min(reach/p.Scale+1.2, 6))
		p.sign(first[k], at, r)
		if ox, oy, _, was := old.placed(k.of, k.name); was && happened[first[k]].what == revision.Moved {
			if o := p.at(ox, oy); math.Hypot(o.X-at.X, o.Y-at.Y) > 3 {
				p.Line(layerChange, drafting.Thin, o, at)
				p.Arrow(layerChange, at, at.X-o.X, at.Y-o.Y)
			}
		}
		labels = append(labels, label{at, r, letters[k]})
	}
	return labels
}

// sign draws the sign of what happened about a place.
func (p *plan) sign(i int, at drafting.Point, r float64) { drawSign(p.Drawing, i, at, r) }

func drawSign(d *drafting.Drawing, i int, at drafting.Point, r float64) {
	h := happened[i]
	if h.corners == 0 {
		d.Circle(layerChange, drafting.Thin, at, r, "")
		return
	}
	turn := math.Pi / 2
	if h.what == revision.Added { // a square on its side; what is removed stands on its corner
		turn = math.Pi / 4
	}
	var ring []drafting.Point
	for k := range h.corners {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(k)/float64(h.corners))
		ring = append(ring, drafting.At(at.X+1.25*r*cos, at.Y-1.25*r*sin))
	}
	d.Ring(layerChange, drafting.Thin, ring...)
	if h.what == revision.Removed {
		d.Line(layerChange, drafting.Thin, ring[0], ring[2])
		d.Line(layerChange, drafting.Thin, ring[1], ring[3])
	}
}

// changes sets the signs that occur with their words, and the differences one by one.
func (b *bed) changes(differences []revision.Difference, lines []string, width float64, most int) *drafting.Drawing {
	c := &column{Drawing: drafting.New(b.Paper.pen(), 1), width: width}
	for i, h := range happened {
		n := 0
		for _, d := range differences {
			if d.What == h.what {
				n++
			}
		}
		if n == 0 {
			continue
		}
		drawSign(c.Drawing, i, drafting.At(3, c.y+3.2), 1.9)
		c.Words(layerNote, 8, c.y+4.4, fmt.Sprintf("%s: %s, %d", h.letter, b.told(h.key), n))
		c.y += 6
	}
	if len(differences) == 0 {
		c.say(b.told("drawing.alike"), 0)
	}
	for i, line := range lines {
		if i == most && len(lines) > most+1 {
			c.say(b.told("drawing.more", "n", len(lines)-most), 0)
			break
		}
		c.say(line, 3)
	}
	return c.Drawing
}
