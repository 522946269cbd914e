package slab

import (
	"math"

	"slatewright/cutting/guillotine"
)

// plain is a slab that is no more than a rectangle: no flaw, no frame but the upright one, whole sizes. Package guillotine cuts it exactly.
type plain struct {
	slab     *Slab
	problem  guillotine.Problem
	quarters [][2]int // of each type, as the item lies and turned
}

func (s *Slab) plain() (p plain, ok bool) {
	b := around(s.Outline)
	whole := func(x float64) bool { return x == math.Round(x) }
	if len(s.Outline) != 4 || len(s.Flaws) > 0 || s.Thickness != nil || len(s.Angles) != 1 || s.Angles[0] != 0 ||
		math.Abs(area(s.Outline)) != (b.x2-b.x1)*(b.y2-b.y1) || !whole(b.x2-b.x1) || !whole(b.y2-b.y1) {
		return p, false
	}
	p.slab = s
	p.problem = guillotine.Problem{Length: int(b.x2 - b.x1), Width: int(b.y2 - b.y1), Kerf: int(math.Ceil(s.Kerf - touch))}
	for _, t := range s.Types {
		it, quarters := s.item(t)
		p.problem.Items = append(p.problem.Items, it)
		p.quarters = append(p.quarters, quarters)
	}
	return p, true
}

// item is a type as package guillotine knows it.
func (s *Slab) item(t Type) (it guillotine.Item, quarters [2]int) {
	l, w := t.rough()
	it = guillotine.Item{Length: l, Width: w, Most: t.Most, Value: t.Value}
	quarters = [2]int{-1, -1}
	for q, may := range t.Quarters {
		if may && quarters[q%2] < 0 && s.lies(t, 90*float64(q)) {
			quarters[q%2] = q
		}
	}
	switch {
	case quarters[0] >= 0:
		it.Turn = quarters[1] >= 0
	case quarters[1] >= 0:
		it.Length, it.Width = w, l
		quarters[0] = quarters[1]
	default:
		it.Most = 0
	}
	return it, quarters
}

func (p plain) solve(l Limits) (*Plan, error) {
	var value, bound int64
	seen := func(v, b int64) {
		value, bound = v, b
		if l.Seen != nil {
			l.Seen(v, b)
		}
	}
	stop := func() bool { return float64(bound-value) < l.Gap*float64(bound) || l.Stop != nil && l.Stop() }
	got, err := guillotine.Solve(p.problem, guillotine.Limits{Work: l.Work, Stop: stop, Seen: seen})
	if err != nil {
		return nil, err
	}
	b := around(p.slab.Outline)
	out := &Plan{Value: got.Value, Bound: got.Bound, Proven: got.Proven, Kerf: float64(p.problem.Kerf), Work: got.Work,
		Corner: Point{b.x1, b.y1}, Size: Point{b.x2 - b.x1, b.y2 - b.y1}}
	for _, q := range got.Pieces {
		it := p.problem.Items[q.Item]
		piece := Piece{Kind: q.Item, At: Point{b.x1 + float64(q.X), b.y1 + float64(q.Y)}, Along: float64(it.Length), Across: float64(it.Width),
			Quarter: p.quarters[q.Item][0], Over: p.slab.Types[q.Item].Shown == PlaysBottom}
		if q.Turned {
			piece.Along, piece.Across, piece.Quarter = piece.Across, piece.Along, p.quarters[q.Item][1]
		}
		out.Pieces = append(out.Pieces, piece)
	}
	for _, k := range got.Cuts {
		c := Cut{Along: k.Along, A: Point{b.x1 + float64(k.X1), b.y1 + float64(k.Y1)}, B: Point{b.x1 + float64(k.X2), b.y1 + float64(k.Y2)}}
		half := float64(p.problem.Kerf) / 2
		if k.Along {
			c.At = c.A.Y + half
			c.A.Y, c.B.Y = c.At, c.At
		} else {
			c.At = c.A.X + half
			c.A.X, c.B.X = c.At, c.At
		}
		out.Cuts = append(out.Cuts, c)
	}
	out.share(p.slab)
	return out, nil
}
