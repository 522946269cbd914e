package beddrawing

import (
	"fmt"
	"math"
	"strings"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/drafting"
	"slatewright/internal/picture/ink"
)

// pocketDetails draws one corner pocket and one side pocket, seen from above.
func (b *bed) pocketDetails() (list []block) {
	for _, side := range [2]bool{false, true} {
		best, at := math.Inf(-1), -1
		for i, k := range b.Pockets { // the one furthest to the foot and the right: its dimensions stand on the outside
			if reach := k.X + k.Y; k.Side == side && reach > best+1e-9 {
				best, at = reach, i
			}
		}
		if at >= 0 {
			list = append(list, b.pocketDetail(at))
		}
	}
	return list
}

func (b *bed) pocketDetail(i int) block {
	k := b.Pockets[i]
	scale := 5.0
	if b.Paper == A3 {
		scale = 2
	}
	p := b.newPlan(drawing.View{Piece: drawing.Whole}, scale)
	p.Origin = drafting.At(-k.X/scale, k.Y/scale) // the drop's middle at the sheet's origin
	low, high := k.Outline.Bounds()
	const around = 45.0
	a, c := p.at(math.Max(low.X-around, -b.SizeX/2-8), math.Min(high.Y+around, b.SizeY/2+8)), p.at(math.Min(high.X+around, b.SizeX/2+8), math.Max(low.Y-around, -b.SizeY/2-8))
	window := drafting.Box{X0: a.X, Y0: a.Y, X1: c.X, Y1: c.Y}
	for _, piece := range b.Pieces {
		for _, ring := range append(piece.Openings[:len(piece.Openings):len(piece.Openings)], piece.Outline) {
			curve := ink.Curve{Closed: true}
			for _, v := range ring {
				curve.C = append(curve.C, ink.Corner{Point: p.at(v.X, v.Y), Bulge: v.Bulge})
			}
			p.Clip(layerOutline, drafting.Wide, drafting.Flat(curve, 0.01), window)
		}
	}
	p.Cross(layerCentre, drafting.At(0, 0), 5)
	lines := b.pocketLines(k)
	if left := p.pocketSizes(k, window); left != "" {
		lines = append([]string{left + "."}, lines...)
	}
	title := b.told("drawing.corner-pocket")
	if k.Side {
		title = b.told("drawing.side-pocket")
	}
	return block{p.Drawing, "P: " + b.joined(title, b.told("drawing.above"), fmt.Sprintf("1:%g", scale)), lines}
}

// pocketSizes dimensions the drop's middle from the bed's edges, and its radius; where a pocket is drawn freely, how wide and how deep
// it cuts into the bed, and the rounding of its corners. It returns a radius that found no room.
func (p *plan) pocketSizes(k pattern.Pocket, window drafting.Box) (left string) {
	edge := p.at(p.SizeX/2, p.SizeY/2)
	if edge.X <= window.X1 && k.Radius > 0 {
		p.Across(math.Min(0, edge.X), math.Max(0, edge.X), window.Y1, window.Y1+6, p.mm(math.Abs(p.SizeX/2-k.X)))
	}
	if edge.Y >= window.Y0 {
		p.Upright(math.Min(0, edge.Y), math.Max(0, edge.Y), window.X1, window.X1+7, p.mm(math.Abs(p.SizeY/2-k.Y)))
	}
	if k.Radius == 0 {
		return p.freeSizes(k, window)
	}
	back := k.Out + math.Pi // into the stone
	for _, turn := range []float64{0.5, -0.5, 0.2, -0.2, 0.8, -0.8, 1.1, -1.1} {
		if p.radius(shape.Point{X: k.X, Y: k.Y}, back+turn, k.Radius, "R"+p.mm(k.Radius)+p.plusMinus(k.Tolerance.Diameter)) {
			return ""
		}
	}
	return "R" + p.mm(k.Radius) + p.plusMinus(k.Tolerance.Diameter)
}

// radius dimensions an arc of the stone's edge at a direction from its centre, from within the stone. It reports whether there was room.
func (p *plan) radius(centre shape.Point, direction, r float64, words string) bool {
	sin, cos := math.Sincos(direction)
	at := p.at(centre.X, centre.Y)
	on := func(r float64) drafting.Point { return drafting.At(at.X+r*cos, at.Y-r*sin) }
	w := p.Measure(words, drafting.Least, false)
	for _, beyond := range []float64{7, 11, 16} {
		tip, knee := on(r/p.Scale), on(r/p.Scale+beyond)
		box := drafting.Box{X0: knee.X, Y0: knee.Y - 1.5*drafting.Least, X1: knee.X + w + 1.5, Y1: knee.Y + 0.5}
		right := cos > 0
		if !right {
			box.X0, box.X1 = knee.X-w-1.5, knee.X
		}
		if p.Clear(box) && p.Reaches(tip, knee) {
			p.Leader(drafting.Dimensions, tip, knee, words, right)
			return true
		}
	}
	return false
}

// freeSizes dimensions a pocket that is drawn freely. It returns the radius of its corners where that found no room.
func (p *plan) freeSizes(k pattern.Pocket, window drafting.Box) (left string) {
	low, high := p.reach(k)
	a, b := p.at(low.X, high.Y), p.at(high.X, low.Y)
	p.Across(a.X, b.X, window.Y1, window.Y1+6, p.mm(high.X-low.X))
	p.Upright(a.Y, b.Y, window.X0, window.X0-7, p.mm(high.Y-low.Y))
	count := map[string]int{}
	var arcs []shape.Segment
	for _, s := range k.Outline.Segments() {
		if m := s.Along(0.5); s.Radius > 0 && math.Abs(m.X) < p.SizeX/2 && math.Abs(m.Y) < p.SizeY/2 {
			count[p.mm(s.Radius)]++
			arcs = append(arcs, s)
		}
	}
	for _, s := range arcs {
		words := "R" + p.mm(s.Radius)
		n := count[p.mm(s.Radius)]
		if n > 1 {
			words = fmt.Sprintf("%d × %s", n, words)
		}
		if n > 0 && p.radiusOf(s, words) {
			count[p.mm(s.Radius)] = 0
		}
	}
	for _, s := range arcs {
		if words := p.mm(s.Radius); count[words] > 0 {
			left += fmt.Sprintf("; %d × R%s", count[words], words)
			count[words] = 0
		}
	}
	return strings.TrimPrefix(left, "; ")
}

// reach is the box around what a pocket takes out of the bed, in the bed frame.
func (p *plan) reach(k pattern.Pocket) (low, high shape.Point) {
	low, high = k.Outline.Bounds()
	return shape.Point{X: math.Max(low.X, -p.SizeX/2), Y: math.Max(low.Y, -p.SizeY/2)}, shape.Point{X: math.Min(high.X, p.SizeX/2), Y: math.Min(high.Y, p.SizeY/2)}
}

// radiusOf dimensions an arc somewhere along it.
func (p *plan) radiusOf(s shape.Segment, words string) bool {
	for _, t := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
		m := s.Along(t)
		if p.radius(s.Centre, math.Atan2(m.Y-s.Centre.Y, m.X-s.Centre.X), s.Radius, words) {
			return true
		}
	}
	return false
}

// pocketLines say what the cushions make of the opening.
func (b *bed) pocketLines(k pattern.Pocket) (lines []string) {
	deg := func(x float64) string { return b.mm(x*180/math.Pi) + "°" }
	if k.Flare != 0 {
		lines = append(lines, b.told("drawing.flanks", "angle", deg(k.Flare)))
	}
	if k.Edge > 0 {
		lines = append(lines, b.told("drawing.drop-edge", "d", b.mm(k.Edge)))
	}
	if k.Mouth > 0 {
		list := []string{b.told("drawing.mouth", "d", b.mm(k.Mouth))}
		if k.HasShelf {
			list = append(list, b.told("drawing.shelf", "d", b.mm(k.Shelf)))
		}
		if k.CutAngle > 0 {
			list = append(list, b.told("drawing.cut", "angle", deg(k.CutAngle)))
		}
		if k.Draft > 0 {
			list = append(list, b.told("drawing.draft", "angle", deg(k.Draft)))
		}
		lines = append(lines, b.told("drawing.cushions", "list", b.joined(list...)))
	}
	return lines
}
