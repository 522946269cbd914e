package beddrawing

import (
	"math"

	"slatewright/bed/pattern"
	"slatewright/internal/picture/drafting"
)

// Distances of dimensions from the stone and from one another, mm of the sheet.
const (
	chainOff = 6.0
	rowOff   = 6.0
)

// spot is a place that a chain names: where it lies and how far its feature reaches.
type spot struct {
	u, w, reach float64 // in the view's frame, mm of stone
}

// spots lists what is dimensioned, the rail bolts on one side of the view and the rest on the other, so that neither chain is
// crowded.
func (p *plan) spots() (bolts, rest []spot) {
	add := func(list *[]spot, x, y, reach float64) {
		u, w := p.view.At(p.Pattern, pointOf(x, y))
		*list = append(*list, spot{u, w, reach})
	}
	for _, h := range p.Holes {
		switch {
		case !p.view.Shows(h.Piece):
		case h.Kind == pattern.RailBolt:
			add(&bolts, h.X, h.Y, reachOf(h))
		default:
			add(&rest, h.X, h.Y, reachOf(h))
		}
	}
	for _, k := range p.Pockets {
		if u, w := p.view.At(p.Pattern, pointOf(k.X, k.Y)); p.view.Piece < 0 || p.touches(k) {
			if u >= p.u0 && u <= p.u1 && w >= p.w0 && w <= p.w1 { // a drop whose middle lies beyond the stone is on the sheet of details
				add(&rest, k.X, k.Y, 0)
			}
		}
	}
	return bolts, rest
}

func reachOf(h pattern.Hole) float64 {
	if h.Counter != nil {
		return h.Counter.Diameter / 2
	}
	return h.Diameter / 2
}

// entries makes the chain's entries of spots: one for each distance that reads differently, from the feature nearest to the
// chain.
func (p *plan) entries(list []spot, upright bool, side float64) (out []drafting.Entry) {
	index := map[string]int{}
	for _, s := range list {
		along, from := s.u, p.on(0, s.w).Y+side*s.reach/p.Scale
		at := p.on(s.u, 0).X
		if upright {
			along, from = s.w, p.on(s.u, 0).X+side*s.reach/p.Scale
			at = p.on(0, s.w).Y
		}
		if !upright && p.view.Face == pattern.Bottom { // the figure is the place's own, whichever way it is seen
			along = -along
		}
		words := p.mm(along)
		if i, known := index[words]; !known {
			index[words] = len(out)
			out = append(out, drafting.Entry{At: at, From: from, Words: words})
		} else if side*(from-out[i].From) > 0 {
			out[i].From = from
		}
	}
	return out
}

// chain draws one chain and returns the level beyond it. Without entries nothing is drawn, and nothing where its figures have no room.
func (p *plan) chain(list []drafting.Entry, upright bool, side float64) (end float64) {
	a := p.area()
	c := drafting.Chain{Upright: upright, Side: side, Low: a.X0 + 0.8, High: a.X1 - 0.8, Datum: p.on(0, 0).X}
	all := p.drawn.Union(a)
	edge := all.Y0
	if side > 0 {
		edge = all.Y1
	}
	if upright {
		c.Low, c.High, c.Datum = a.Y0+0.8, a.Y1-0.8, p.on(0, 0).Y
		edge = all.X0
		if side > 0 {
			edge = all.X1
		}
	}
	if len(list) == 0 {
		return edge
	}
	c.Level = edge + side*chainOff
	zero := -1
	for i, e := range list {
		if math.Abs(e.At-c.Datum) < 1e-9 {
			zero = i
		}
	}
	if zero < 0 {
		list = append(list, drafting.Entry{At: c.Datum, Words: "0"})
		zero = len(list) - 1
	}
	list[zero].From = edge + side*middleBeyond
	c.Entries = list
	if !c.Fits() {
		p.crowded = true
		return edge
	}
	return p.Chain(c)
}

// dimension draws the chains, the whole size, and the datums on it.
func (p *plan) dimension() {
	bolts, rest := p.spots()
	if len(bolts) == 0 {
		bolts, rest = rest, nil
	}
	a := p.area()
	top := p.chain(p.entries(bolts, false, -1), false, -1)
	left := p.chain(p.entries(bolts, true, -1), true, -1)
	p.chain(p.entries(append(p.jointSpots(), rest...), false, 1), false, 1)
	p.chain(p.entries(append(rest, p.dowelSpots()...), true, 1), true, 1)

	y := math.Min(top, a.Y0-chainOff+rowOff) - rowOff
	if p.Across(a.X0, a.X1, a.Y0, y, p.mm(p.u1-p.u0)) {
		p.Datum(layerDatum, drafting.At(a.X0, y), -1, 0, "C")
	} else {
		p.Datum(layerDatum, drafting.At(a.X1, y), 1, 0, "C")
	}
	x := math.Min(left, a.X0-chainOff+rowOff) - rowOff
	if p.Upright(a.Y0, a.Y1, a.X0, x, p.mm(p.w1-p.w0)) {
		p.Datum(layerDatum, drafting.At(x, a.Y1), 0, 1, "B")
	} else {
		p.Datum(layerDatum, drafting.At(x, a.Y0), 0, -1, "B")
	}
}

// jointSpots are the joints of the whole bed, as far as their lower ends.
func (p *plan) jointSpots() (list []spot) {
	for _, j := range p.Joints {
		if p.view.Piece < 0 {
			list = append(list, spot{u: j.X, w: p.w0})
		}
	}
	return list
}

// dowelSpots are the heights of dowels across the table.
func (p *plan) dowelSpots() (list []spot) {
	for _, j := range p.Joints {
		for _, d := range j.Dowels {
			for k, side := range [2]float64{-1, 1} {
				if p.view.Shows(j.Before + k) {
					u, w := p.view.At(p.Pattern, pointOf(j.X+side*(j.Gap/2+d.Depth), d.Y))
					list = append(list, spot{u, w, 0})
				}
			}
		}
	}
	return list
}
