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
	lines := pocketLines(k)
	if left := p.pocketSizes(k, window); left != "" {
		lines = append([]string{left + "."}, lines...)
	}
	title := "P: corner pocket"
	if k.Side {
		title = "P: side pocket"
	}
	return block{p.Drawing, fmt.Sprintf("%s, from above, 1:%g", title, scale), lines}
}

// pocketSizes dimensions the drop's middle from the bed's edges, and its radius; where a pocket is drawn freely, how wide and how deep
// it cuts into the bed, and the rounding of its corners. It returns a radius that found no room.
func (p *plan) pocketSizes(k pattern.Pocket, window drafting.Box) (left string) {
	edge := p.at(p.SizeX/2, p.SizeY/2)
	if edge.X <= window.X1 && k.Radius > 0 {
		p.Across(math.Min(0, edge.X), math.Max(0, edge.X), window.Y1, window.Y1+6, drawing.MM(math.Abs(p.SizeX/2-k.X)))
	}
	if edge.Y >= window.Y0 {
		p.Upright(math.Min(0, edge.Y), math.Max(0, edge.Y), window.X1, window.X1+7, drawing.MM(math.Abs(p.SizeY/2-k.Y)))
	}
	if k.Radius == 0 {
		return p.freeSizes(k, window)
	}
	back := k.Out + math.Pi // into the stone
	for _, turn := range []float64{0.5, -0.5, 0.2, -0.2, 0.8, -0.8, 1.1, -1.1} {
		if p.radius(shape.Point{X: k.X, Y: k.Y}, back+turn, k.Radius, "R"+drawing.MM(k.Radius)+plusMinus(k.Tolerance.Diameter)) {
			return ""
		}
	}
	return "R" + drawing.MM(k.Radius) + plusMinus(k.Tolerance.Diameter)
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
	p.Across(a.X, b.X, window.Y1, window.Y1+6, drawing.MM(high.X-low.X))
	p.Upright(a.Y, b.Y, window.X0, window.X0-7, drawing.MM(high.Y-low.Y))
	count := map[string]int{}
	var arcs []shape.Segment
	for _, s := range k.Outline.Segments() {
		if m := s.Along(0.5); s.Radius > 0 && math.Abs(m.X) < p.SizeX/2 && math.Abs(m.Y) < p.SizeY/2 {
			count[drawing.MM(s.Radius)]++
			arcs = append(arcs, s)
		}
	}
	for _, s := range arcs {
		words := "R" + drawing.MM(s.Radius)
		n := count[drawing.MM(s.Radius)]
		if n > 1 {
			words = fmt.Sprintf("%d × %s", n, words)
		}
		if n > 0 && p.radiusOf(s, words) {
			count[drawing.MM(s.Radius)] = 0
		}
	}
	for _, s := range arcs {
		if words := drawing.MM(s.Radius); count[words] > 0 {
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
func pocketLines(k pattern.Pocket) (lines []string) {
	deg := func(x float64) string { return drawing.MM(x*180/math.Pi) + "°" }
	if k.Flare != 0 {
		lines = append(lines, "Flanks turn away by "+deg(k.Flare)+" each.")
	}
	if k.Edge > 0 {
		lines = append(lines, "Edge of the drop rounded "+drawing.MM(k.Edge)+" at the playing face.")
	}
	if k.Mouth > 0 {
		words := "With the cushions: mouth " + drawing.MM(k.Mouth)
		if k.HasShelf {
			words += ", shelf " + drawing.MM(k.Shelf)
		}
		if k.CutAngle > 0 {
			words += ", cut " + deg(k.CutAngle)
		}
		if k.Draft > 0 {
			words += ", draft " + deg(k.Draft)
		}
		lines = append(lines, words+".")
	}
	return lines
}
