package search

import (
	"math"

	"slatewright/cutting/guillotine"
	"slatewright/cutting/slab"
	"slatewright/polygon"
)

// plain is a slab that is no more than a rectangle: no flaw, no frame but the upright one, whole sizes. Package guillotine cuts it exactly.
type plain struct {
	of       *slab.Slab
	problem  guillotine.Problem
	quarters [][2]int // of each type, as the item lies and turned
}

func newPlain(s *slab.Slab) (p plain, ok bool) {
	b := slab.Around(s.Outline)
	whole := func(x float64) bool { return x == math.Round(x) }
	if len(s.Outline) != 4 || len(s.Flaws) > 0 || s.Thickness != nil || len(s.Angles) != 1 || s.Angles[0] != 0 ||
		math.Abs(polygon.Area(s.Outline)) != (b.X2-b.X1)*(b.Y2-b.Y1) || !whole(b.X2-b.X1) || !whole(b.Y2-b.Y1) {
		return p, false
	}
	p.of = s
	p.problem = guillotine.Problem{Length: int(b.X2 - b.X1), Width: int(b.Y2 - b.Y1), Kerf: int(math.Ceil(s.Kerf - slab.Touch))}
	for _, t := range s.Types {
		it, quarters := item(s, t)
		p.problem.Items = append(p.problem.Items, it)
		p.quarters = append(p.quarters, quarters)
	}
	return p, true
}

// item is a type as package guillotine knows it.
func item(s *slab.Slab, t slab.Type) (it guillotine.Item, quarters [2]int) {
	l, w := t.Rough()
	it = guillotine.Item{Length: l, Width: w, Most: t.Most, Value: t.Value}
	quarters = [2]int{-1, -1}
	for q, may := range t.Quarters {
		if may && quarters[q%2] < 0 && s.Lies(t, 90*float64(q)) {
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

func (p plain) solve(l Limits) (*slab.Plan, error) {
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
	b := slab.Around(p.of.Outline)
	out := &slab.Plan{Value: got.Value, Bound: got.Bound, Proven: got.Proven, Kerf: float64(p.problem.Kerf), Work: got.Work,
		Corner: slab.Point{X: b.X1, Y: b.Y1}, Size: slab.Point{X: b.X2 - b.X1, Y: b.Y2 - b.Y1}}
	for _, q := range got.Pieces {
		it := p.problem.Items[q.Item]
		piece := slab.Piece{Kind: q.Item, At: slab.Point{X: b.X1 + float64(q.X), Y: b.Y1 + float64(q.Y)}, Along: float64(it.Length), Across: float64(it.Width),
			Quarter: p.quarters[q.Item][0], Over: p.of.Types[q.Item].Shown == slab.PlaysBottom}
		if q.Turned {
			piece.Along, piece.Across, piece.Quarter = piece.Across, piece.Along, p.quarters[q.Item][1]
		}
		out.Pieces = append(out.Pieces, piece)
	}
	for _, k := range got.Cuts {
		c := slab.Cut{Along: k.Along, A: slab.Point{X: b.X1 + float64(k.X1), Y: b.Y1 + float64(k.Y1)}, B: slab.Point{X: b.X1 + float64(k.X2), Y: b.Y1 + float64(k.Y2)}}
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
	out.Used = share(p.of, out)
	return out, nil
}
