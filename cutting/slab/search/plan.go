package search

import (
	"math"
	"slices"

	"slatewright/assignment"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/ground"
	"slatewright/polygon"
)

// assigned gives each part that holds a piece the type that makes the whole worth most within the limits. What is not limited goes where it is worth most;
// the others are matched by what they add to that.
func (c *search) assigned(s *site, l *laid) (*laid, int64) {
	var leaves []*laid
	whole := l.copied(&leaves)
	gain := make([][]int64, len(leaves))
	room := make([]int, len(c.Types))
	free := make([]int, len(leaves)) // type without a limit; −1: none
	for k, t := range c.Types {
		room[k] = max(t.Most, 0)
	}
	var sum int64
	for i, leaf := range leaves {
		worth := make([]int64, len(c.Types))
		free[i] = -1
		var least int64
		for k, t := range c.Types {
			if t.Value == 0 || t.Most == 0 || len(s.kinds[k]) == 0 || t.Most < 0 && t.Value <= least {
				continue
			}
			if st, _, _ := place(s.kinds[k], leaf.part); st != nil {
				if worth[k] = t.Value; t.Most < 0 {
					free[i], least = k, t.Value
				}
			}
		}
		for k := range worth {
			worth[k] -= least
		}
		gain[i] = worth
		sum += least
	}
	chosen, more := matched(gain, room)
	for i, leaf := range leaves {
		leaf.stance = nil
		k := chosen[i]
		if k < 0 {
			k = free[i]
		}
		if k >= 0 {
			leaf.stance, leaf.x, leaf.y = place(s.kinds[k], leaf.part)
		}
	}
	return whole, sum + more
}

// mostMatched is how many parts are matched exactly: the work grows with the third power.
const mostMatched = 300

// matched gives each row of a table at most one column within its room, for the greatest sum; row by row where there are too many.
func matched(gain [][]int64, room []int) (chosen []int, sum int64) {
	if len(gain) <= mostMatched {
		return assignment.Best(gain, room)
	}
	left := slices.Clone(room)
	for _, row := range gain {
		best := -1
		for k, v := range row {
			if left[k] > 0 && v > 0 && (best < 0 || v > row[best]) {
				best = k
			}
		}
		if chosen = append(chosen, best); best >= 0 {
			left[best]--
			sum += row[best]
		}
	}
	return chosen, sum
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
func (c *search) plan() *slab.Plan {
	p := &slab.Plan{Value: c.value, Bound: c.bound(), Kerf: math.Ceil(c.Kerf - slab.Touch), Work: c.work, Angle: c.Angles[0]}
	p.Proven = p.Bound == p.Value
	if c.best == nil {
		return p
	}
	p.Angle = c.on.degrees
	p.Corner = slab.Point{X: float64(c.on.X0), Y: float64(c.on.Y0)}
	p.Size = slab.Point{X: float64(c.on.X1 - c.on.X0), Y: float64(c.on.Y1 - c.on.Y0)}
	w := writer{fr: c.on.Frame, kerf: c.on.kerf, plan: p}
	w.write(c.best, c.on.whole())
	p.Used = share(c.Slab, p)
	return p
}

// share is how much of a slab's area becomes pieces.
func share(s *slab.Slab, p *slab.Plan) (used float64) {
	for _, q := range p.Pieces {
		used += q.Along * q.Across
	}
	return used / math.Abs(polygon.Area(s.Outline))
}

// writer lists the pieces and cuts of a plan.
type writer struct {
	fr   slab.Frame
	kerf int
	plan *slab.Plan
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
	end = -ground.None
	for _, q := range l.pieces(nil) {
		if along {
			end = max(end, q.y+q.stance.H)
		} else {
			end = max(end, q.x+q.stance.W)
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
	if end := l.x + l.stance.W; end < p.x2 {
		w.saw(p, false, end)
		p.x2 = end
	}
	if l.y > p.y1 {
		w.saw(p, true, l.y-w.kerf)
		p.y1 = l.y
	}
	if end := l.y + l.stance.H; end < p.y2 {
		w.saw(p, true, end)
	}
	w.plan.Pieces = append(w.plan.Pieces, slab.Piece{Kind: l.stance.Kind, At: w.fr.Out(slab.Point{X: float64(l.x), Y: float64(l.y)}),
		Along: float64(l.stance.W), Across: float64(l.stance.H), Quarter: l.stance.Quarter, Over: l.stance.Over})
}

// saw notes a cut of a part whose kerf begins at a place.
func (w writer) saw(p part, along bool, at int) {
	middle := float64(at) + float64(w.kerf)/2
	a, b := slab.Point{X: middle, Y: float64(p.y1)}, slab.Point{X: middle, Y: float64(p.y2)}
	if along {
		a, b = slab.Point{X: float64(p.x1), Y: middle}, slab.Point{X: float64(p.x2), Y: middle}
	}
	w.plan.Cuts = append(w.plan.Cuts, slab.Cut{A: w.fr.Out(a), B: w.fr.Out(b), Along: along, At: middle})
}
