package beddrawing

import (
	"fmt"
	"math"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
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
	p.pocketSizes(k, window)
	title := "P: corner pocket"
	if k.Side {
		title = "P: side pocket"
	}
	return block{p.Drawing, fmt.Sprintf("%s, from above, 1:%g", title, scale), pocketLines(k)}
}

// pocketSizes dimensions the drop's middle from the bed's edges, and its radius.
func (p *plan) pocketSizes(k pattern.Pocket, window drafting.Box) {
	edge := p.at(p.SizeX/2, p.SizeY/2)
	if edge.X <= window.X1 {
		d := p.SizeX/2 - k.X
		from, to := math.Min(0, edge.X), math.Max(0, edge.X)
		p.Across(from, to, window.Y1, window.Y1+6, drawing.MM(math.Abs(d)))
	}
	if edge.Y >= window.Y0 {
		d := p.SizeY/2 - k.Y
		p.Upright(math.Min(0, edge.Y), math.Max(0, edge.Y), window.X1, window.X1+7, drawing.MM(math.Abs(d)))
	}
	if k.Radius > 0 {
		back := k.Out + math.Pi // into the stone; the leader comes from the left of that
		if math.Cos(back+0.5) < math.Cos(back-0.5) {
			back += 0.5
		} else {
			back -= 0.5
		}
		sin, cos := math.Sincos(back)
		r := k.Radius / p.Scale
		p.Leader(drafting.Dimensions, drafting.At(r*cos, -r*sin), drafting.At((r+7)*cos, -(r+7)*sin), "R"+drawing.MM(k.Radius)+plusMinus(k.Tolerance.Diameter), false)
	}
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
