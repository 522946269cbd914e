package slab

import (
	"math"

	"slatewright/cutting/matching"
)

// Piece is a piece where it is cut.
type Piece struct {
	Kind          int     // type
	At            Point   // the corner nearest to the frame's origin, in the slab's coordinates
	Along, Across float64 // rough size along the frame's x and y, mm
	Quarter       int     // quarter turns of the piece in the frame, anticlockwise
	Over          bool    // turned over: the slab's bottom becomes its playing face
}

// Cut is one way of the saw: the middle of the kerf from A to B, from edge to edge of the part that it divides.
type Cut struct {
	A, B  Point
	Along bool    // along the frame's x
	At    float64 // where the middle of the kerf lies in the frame: y when it runs along x, x otherwise
}

// Plan is an answer: what it is worth, what no plan can exceed, and how it is cut.
type Plan struct {
	Value, Bound int64
	Proven       bool
	Angle        float64 // of the frame, degrees
	Kerf         float64 // as planned with: up to the grid
	Corner       Point   // lower left corner of the frame around the slab, in the frame, mm
	Size         Point   // of the frame around the slab, mm
	Pieces       []Piece
	Cuts         []Cut   // in an order in which they can be made
	Used         float64 // share of the slab's area that becomes pieces, rough
	Work         int64
}

// Gap is the share of the bound that a better plan might still gain.
func (p *Plan) Gap() float64 {
	if p.Bound <= p.Value {
		return 0
	}
	return float64(p.Bound-p.Value) / float64(p.Bound)
}

// Corners are the piece's corners on the slab.
func (p Piece) Corners(angle float64) [4]Point {
	f := newFrame(angle)
	o := f.in(p.At)
	at := func(x, y float64) Point { return f.out(Point{o.X + x, o.Y + y}) }
	return [4]Point{p.At, at(p.Along, 0), at(p.Along, p.Across), at(0, p.Across)}
}

// assigned gives each part that holds a piece the type that makes the whole worth most within the limits.
func (c *search) assigned(s *site, l *laid) (*laid, int64) {
	var leaves []*laid
	whole := l.copied(&leaves)
	worth := make([][]int64, len(leaves))
	room := make([]int, len(c.Types))
	for k, t := range c.Types {
		room[k] = t.Most
		if t.Most < 0 {
			room[k] = len(leaves)
		}
	}
	for i, leaf := range leaves {
		worth[i] = make([]int64, len(c.Types))
		for k, t := range c.Types {
			if t.Value > 0 && room[k] > 0 && len(s.kinds[k]) > 0 {
				if st, _, _ := s.place(k, leaf.part); st != nil {
					worth[i][k] = t.Value
				}
			}
		}
	}
	chosen, sum := matching.Best(worth, room)
	for i, leaf := range leaves {
		leaf.stance = nil
		if chosen[i] >= 0 {
			leaf.stance, leaf.x, leaf.y = s.place(chosen[i], leaf.part)
		}
	}
	return whole, sum
}

// copied copies a plan and lists the parts of the copy that hold a piece or could.
func (l *laid) copied(leaves *[]*laid) *laid {
	out := *l
	if l.first == nil {
		*leaves = append(*leaves, &out)
		return &out
	}
	out.first, out.then = l.first.copied(leaves), l.then.copied(leaves)
	return &out
}

// plan writes the best plan in the slab's coordinates.
func (c *search) plan() *Plan {
	p := &Plan{Value: c.value, Bound: c.bound(), Kerf: math.Ceil(c.Kerf - touch), Work: c.work, Angle: c.Angles[0]}
	p.Proven = p.Bound == p.Value
	if c.best == nil {
		return p
	}
	p.Angle = c.on.degrees
	p.Corner = Point{float64(c.on.x0), float64(c.on.y0)}
	p.Size = Point{float64(c.on.x1 - c.on.x0), float64(c.on.y1 - c.on.y0)}
	w := writer{fr: c.on.fr, kerf: c.on.kerf, plan: p}
	w.write(c.best, c.on.whole())
	p.share(c.Slab)
	return p
}

func (p *Plan) share(s *Slab) {
	for _, q := range p.Pieces {
		p.Used += q.Along * q.Across
	}
	p.Used /= math.Abs(area(s.Outline))
}

// writer lists the pieces and cuts of a plan.
type writer struct {
	fr   frame
	kerf int
	plan *Plan
}

func (w writer) write(l *laid, p part) {
	switch {
	case len(l.pieces(nil)) == 0:
	case l.first == nil:
		w.piece(l, p)
	case len(l.first.pieces(nil)) == 0:
		w.write(l.then, p)
	case len(l.then.pieces(nil)) == 0:
		w.write(l.first, p)
	default:
		cut := l.first.edge(l.along) // where the pieces before the cut end: no need to trim them there
		w.saw(p, l.along, cut)
		one, two := p.divided(l.along, cut, w.kerf)
		w.write(l.first, one)
		w.write(l.then, two)
	}
}

// edge is the upper (along) or right edge of the pieces of a plan.
func (l *laid) edge(along bool) (end int) {
	end = -none
	for _, q := range l.pieces(nil) {
		if along {
			end = max(end, q.y+q.stance.h)
		} else {
			end = max(end, q.x+q.stance.w)
		}
	}
	return end
}

// piece trims a part to its piece.
func (w writer) piece(l *laid, p part) {
	if l.x > p.x1 {
		w.saw(p, false, l.x-w.kerf)
		p.x1 = l.x
	}
	if end := l.x + l.stance.w; end < p.x2 {
		w.saw(p, false, end)
		p.x2 = end
	}
	if l.y > p.y1 {
		w.saw(p, true, l.y-w.kerf)
		p.y1 = l.y
	}
	if end := l.y + l.stance.h; end < p.y2 {
		w.saw(p, true, end)
	}
	w.plan.Pieces = append(w.plan.Pieces, Piece{Kind: l.stance.kind, At: w.fr.out(Point{float64(l.x), float64(l.y)}),
		Along: float64(l.stance.w), Across: float64(l.stance.h), Quarter: l.stance.quarter, Over: l.stance.over})
}

// saw notes a cut of a part whose kerf begins at a place.
func (w writer) saw(p part, along bool, at int) {
	middle := float64(at) + float64(w.kerf)/2
	a, b := Point{middle, float64(p.y1)}, Point{middle, float64(p.y2)}
	if along {
		a, b = Point{float64(p.x1), middle}, Point{float64(p.x2), middle}
	}
	w.plan.Cuts = append(w.plan.Cuts, Cut{A: w.fr.out(a), B: w.fr.out(b), Along: along, At: middle})
}
