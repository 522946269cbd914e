package beddrawing

import (
	"fmt"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/drafting"
	"slatewright/internal/picture/ink"
)

// plan is a view being drawn: the middle of what is shown lies at the sheet's origin until all is moved to its place.
type plan struct {
	*bed
	*drafting.Drawing
	view           drawing.View
	u0, w0, u1, w1 float64      // of the stone, in the view's frame, mm of stone
	room           drafting.Box // on the sheet, for all that belongs to the view
	drawn          drafting.Box // of stone and holes
	crowded        bool         // running dimensions or marks had no room
}

func (b *bed) newPlan(v drawing.View, scale float64) *plan {
	p := &plan{bed: b, Drawing: drafting.New(b.Paper.pen(), scale), view: v}
	p.u0, p.w0, p.u1, p.w1 = b.stoneOf(v)
	return p
}

// at is where a place of the bed frame lies on the sheet.
func (p *plan) at(x, y float64) drafting.Point {
	u, w := p.view.At(p.Pattern, shape.Point{X: x, Y: y})
	return p.on(u, w)
}

// on is where a place of the view's frame lies on the sheet.
func (p *plan) on(u, w float64) drafting.Point {
	return drafting.At(p.Origin.X+u/p.Scale, p.Origin.Y-w/p.Scale)
}

// contour draws a contour of the bed frame.
func (p *plan) contour(l drafting.Layer, k drafting.Kind, c shape.Contour) {
	curve := ink.Curve{Closed: true}
	for _, v := range p.view.Contour(p.Pattern, c) {
		curve.C = append(curve.C, ink.Corner{Point: p.on(v.X, v.Y), Bulge: v.Bulge})
	}
	p.Curve(l, k, curve)
}

// seen is the line of what is made from a face: wide where the view shows that face, dashed where it is behind.
func (p *plan) seen(f pattern.Face) drafting.Kind {
	if f == p.view.Face {
		return drafting.Wide
	}
	return drafting.Hidden
}

// stone draws pieces, pockets, strips and the field.
func (p *plan) stone() {
	for i, piece := range p.Pieces {
		if !p.view.Shows(i) {
			continue
		}
		p.contour(layerOutline, drafting.Wide, piece.Outline)
		for _, c := range piece.Openings {
			p.contour(layerPocket, drafting.Wide, c)
		}
	}
	for _, s := range p.Strips {
		if p.view.Shows(s.Piece) {
			p.contour(layerStrip, p.seen(pattern.Bottom), shape.Rectangle(shape.Point{X: s.X0, Y: s.Y0}, shape.Point{X: s.X1, Y: s.Y1}))
		}
	}
	p.field()
}

// field draws the edge of the playing field, between the cushion noses, as far as the stone shown reaches.
func (p *plan) field() {
	if p.FieldX == 0 || p.FieldY == 0 {
		return
	}
	x0, x1 := -p.FieldX/2, p.FieldX/2
	from, to := x0, x1
	if i := p.view.Piece; i >= 0 {
		from, to = max(x0, p.Pieces[i].From), min(x1, p.Pieces[i].To)
	}
	if from >= to {
		return
	}
	for _, y := range [2]float64{-p.FieldY / 2, p.FieldY / 2} {
		p.Line(layerField, drafting.Phantom, p.at(from, y), p.at(to, y))
	}
	for _, x := range [2]float64{x0, x1} {
		if x >= from && x <= to {
			p.Line(layerField, drafting.Phantom, p.at(x, -p.FieldY/2), p.at(x, p.FieldY/2))
		}
	}
}

// Reach of centre marks beyond the hole, and of middle lines beyond the stone, mm of the sheet.
const (
	crossBeyond  = 1.0
	middleBeyond = 4.0
)

// drill draws the holes with their counterbores and centre marks.
func (p *plan) drill() {
	for i, h := range p.Holes {
		if !p.view.Shows(h.Piece) {
			continue
		}
		at, r := p.at(h.X, h.Y), h.Diameter/2/p.Scale
		kind := drafting.Wide
		if !h.Through() {
			kind = p.seen(h.From)
		}
		if kind == drafting.Wide && r < 2*p.Pen { // a wide line would fill it
			kind = drafting.Thin
		}
		p.Circle(layerHole(h.Kind), kind, at, r, fmt.Sprintf("%s %s %s", p.marks[i], h.Name, p.note(h)))
		outer := r
		if c := h.Counter; c != nil {
			outer = c.Diameter / 2 / p.Scale
			kind := p.seen(c.From)
			if kind == drafting.Wide && outer-r < 2*p.Pen {
				kind = drafting.Thin
			}
			p.Circle(layerSink, kind, at, outer, "")
		}
		p.Cross(layerCentre, at, outer+crossBeyond)
	}
	for _, j := range p.Joints {
		p.dowels(j)
	}
}

// dowels draws the dowel holes of a joint, hidden in the stone.
func (p *plan) dowels(j pattern.Joint) {
	for _, d := range j.Dowels {
		for k, side := range [2]float64{-1, 1} {
			if !p.view.Shows(j.Before + k) {
				continue
			}
			x0, x1 := j.X+side*j.Gap/2, j.X+side*(j.Gap/2+d.Depth)
			r := d.Diameter / 2
			p.Line(layerDowel, drafting.Hidden, p.at(x0, d.Y-r), p.at(x1, d.Y-r), p.at(x1, d.Y+r), p.at(x0, d.Y+r))
			a, b := p.at(x0, d.Y), p.at(x1, d.Y)
			over := crossBeyond
			if b.X < a.X {
				over = -over
			}
			p.Line(layerCentre, drafting.Thin, drafting.At(a.X-over, a.Y), drafting.At(b.X+over, b.Y))
		}
	}
}

// middles draws the middle lines from which places count.
func (p *plan) middles() {
	a, b := p.on(p.u0, 0), p.on(p.u1, 0)
	p.Line(layerCentre, drafting.Centre, drafting.At(a.X-middleBeyond, a.Y), drafting.At(b.X+middleBeyond, b.Y))
	a, b = p.on(0, p.w0), p.on(0, p.w1)
	p.Line(layerCentre, drafting.Centre, drafting.At(a.X, a.Y+middleBeyond), drafting.At(b.X, b.Y-middleBeyond))
}

// area is the stone's box on the sheet.
func (p *plan) area() drafting.Box {
	a, b := p.on(p.u0, p.w1), p.on(p.u1, p.w0)
	return drafting.Box{X0: a.X, Y0: a.Y, X1: b.X, Y1: b.Y}
}

// name sets the mark of each hole, dowel and pocket, and the names of pieces and sides.
func (p *plan) name() {
	p.sides()
	area := p.area()
	mark := func(at drafting.Point, clear float64, words string) {
		if !p.Mark(layerMark, at, clear, words, area.Grown(-0.3), area.Grown(30).Common(p.room)) {
			p.crowded = true
		}
	}
	for i, h := range p.Holes {
		if p.view.Shows(h.Piece) {
			r := h.Diameter
			if h.Counter != nil {
				r = h.Counter.Diameter
			}
			mark(p.at(h.X, h.Y), r/2/p.Scale, p.marks[i])
		}
	}
	n := 0
	for _, j := range p.Joints {
		for _, d := range j.Dowels {
			n++
			side := 1.0
			if !p.view.Shows(j.Before + 1) {
				side = -1
			}
			if p.view.Shows(j.Before) || p.view.Shows(j.Before+1) {
				mark(p.at(j.X+side*(j.Gap/2+d.Depth/2), d.Y), d.Diameter/2/p.Scale, fmt.Sprint("D", n))
			}
		}
	}
	for i, k := range p.Pockets {
		if p.view.Piece < 0 || p.PieceAt(k.X) == p.view.Piece || p.touches(k) {
			at := p.at(k.X, k.Y)
			at.X, at.Y = max(area.X0, min(area.X1, at.X)), max(area.Y0, min(area.Y1, at.Y))
			mark(at, 0.5, fmt.Sprint("P", i+1))
		}
	}
	p.pieceNames()
}

// touches reports whether a pocket's cut reaches into the piece shown.
func (p *plan) touches(k pattern.Pocket) bool {
	low, high := k.Outline.Bounds()
	piece := p.Pieces[p.view.Piece]
	return low.X < piece.To && high.X > piece.From
}

// sides marks the head's end and the two sides of the table, each in its half of the stone, or beside it where the stone is full.
func (p *plan) sides() {
	a := p.area()
	mid := drafting.At((a.X0+a.X1)/2, (a.Y0+a.Y1)/2)
	right, left, head := a, a, a
	right.Y1, left.Y0 = mid.Y, mid.Y
	at := drafting.At(a.X0+18, mid.Y-5)
	if p.view.Face == pattern.Bottom {
		head.X0, at.X = mid.X, a.X1-18
	} else {
		head.X1 = mid.X
	}
	if !p.headArrow(at, head) {
		out := drafting.Box{X0: a.X0 - beside, Y0: a.Y0, X1: mid.X, Y1: a.Y1}
		if p.view.Face == pattern.Bottom {
			out.X0, out.X1 = mid.X, a.X1+beside
		}
		p.headArrow(at, out.Common(p.room))
	}
	x := a.X0 + 0.35*a.W()
	if !p.Place(layerNote, drafting.At(x, a.Y0+6), p.told("drawing.right"), drafting.Least, right) {
		p.Place(layerNote, drafting.At(x, a.Y0), p.told("drawing.right"), drafting.Least, drafting.Box{X0: a.X0, Y0: a.Y0 - beside, X1: a.X1, Y1: mid.Y}.Common(p.room))
	}
	if !p.Place(layerNote, drafting.At(x, a.Y1-6), p.told("drawing.left"), drafting.Least, left) {
		p.Place(layerNote, drafting.At(x, a.Y1), p.told("drawing.left"), drafting.Least, drafting.Box{X0: a.X0, Y0: mid.Y, X1: a.X1, Y1: a.Y1 + beside}.Common(p.room))
	}
}

// beside is how far outside the stone its sides may be named, mm of the sheet.
const beside = 45.0

// pieceNames names the pieces where there is room.
func (p *plan) pieceNames() {
	area := p.area()
	for i, piece := range p.Pieces {
		if !p.view.Shows(i) {
			continue
		}
		a, b := p.at(piece.From, 0), p.at(piece.To, 0)
		own := drafting.Box{X0: min(a.X, b.X), Y0: area.Y0, X1: max(a.X, b.X), Y1: area.Y1}
		at := drafting.At((a.X+b.X)/2, area.Y0+0.65*area.H())
		if !p.Place(layerNote, at, p.piece(i), drafting.Tall, own) {
			p.Place(layerNote, at, p.piece(i), drafting.Least, own)
		}
	}
}

// headArrow points to the head: an arrow with the word, in a box as near to a place as can be. It reports whether there was room.
func (p *plan) headArrow(at drafting.Point, within drafting.Box) bool {
	side := 1.0
	if p.view.Face == pattern.Bottom {
		side = -1
	}
	for _, high := range []float64{drafting.Tall, drafting.Least} {
		w, tip := p.Measure(p.told("drawing.head"), high, true), 1.1*high
		box, ok := p.Free(at, w+1.8*tip+0.6, high+1, within)
		if !ok {
			continue
		}
		x, y := box.X0+0.2, (box.Y0+box.Y1)/2
		words := drafting.Text{Layer: layerNote, At: drafting.At(x+1.8*tip, y+high/2), Words: p.told("drawing.head"), Height: high, Bold: true}
		if side < 0 {
			x = box.X1 - 0.2
			words.At.X, words.Align = x-1.8*tip, ink.Right
		}
		p.Fill(layerNote, drafting.At(x, y), drafting.At(x+side*tip, y-high/2), drafting.At(x+side*tip, y+high/2))
		p.Line(layerNote, drafting.Wide, drafting.At(x+side*tip, y), drafting.At(x+side*1.6*tip, y))
		p.Text(words)
		return true
	}
	return false
}
