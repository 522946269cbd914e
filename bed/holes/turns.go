package holes

import (
	"math"

	"slatewright/bed/holes/float"
)

// Reach of the parts: mm, and the largest turn that is looked at at all, rad.
const (
	partShift = 20.0
	mostTurn  = 0.02
)

// turns says how far each part can turn at most where all bolts pass, since the bound of package float is the closer the less its parts may turn. Two bolts d apart hold a part
// to what carries them: it turns no further against that than the two floats, and how far the two holes lie off already, over d. Pieces that the frame does not hold so turn against
// their neighbours by no more than the joints let them.
func (c *checker) turns(l *layout) {
	pieces := c.pieceTurns(l)
	carried := 0.
	for i, at := range l.pieces {
		if at == float.Ground {
			continue
		}
		l.q.Parts[at].Turn = math.Min(mostTurn, math.Max(1e-5, pieces[i]))
		carried = math.Max(carried, pieces[i])
	}
	for _, at := range l.rail {
		l.q.Parts[at].Turn = math.Min(mostTurn, carried+c.heldTurn(l, func(p float.Passage) bool { return p.Bolt == at }))
	}
}

// pieceTurns are those of the pieces, by their index.
func (c *checker) pieceTurns(l *layout) []float64 {
	turns := make([]float64, len(c.d.Pieces))
	for i := range turns {
		turns[i] = math.Inf(1)
		if at, ok := l.pieces[i]; ok && at == float.Ground {
			turns[i] = 0
		} else if ok {
			turns[i] = c.heldTurn(l, func(p float.Passage) bool { return p.Hole == at && p.Bolt == float.Ground })
		}
	}
	for range c.d.Joints { // from neighbour to neighbour, as often as there are joints
		for _, j := range c.d.Joints {
			a, okA := l.pieces[j.Before]
			b, okB := l.pieces[j.Before+1]
			if !okA || !okB || a == b {
				continue
			}
			give := (c.m.Opens + c.m.Closes) / (2 * j.Half)
			turns[j.Before] = math.Min(turns[j.Before], turns[j.Before+1]+give)
			turns[j.Before+1] = math.Min(turns[j.Before+1], turns[j.Before]+give)
		}
	}
	return turns
}

// heldTurn is the least that any two of some bolts let their part turn against what carries them; the joints between the pieces that carry them give way too.
func (c *checker) heldTurn(l *layout, of func(float.Passage) bool) float64 {
	var own []float.Passage
	for _, p := range l.q.Passages {
		if of(p) {
			own = append(own, p)
		}
	}
	least := math.Inf(1)
	for k, a := range own {
		for _, b := range own[:k] {
			d := math.Hypot(a.To.X-b.To.X, a.To.Y-b.To.Y)
			if d == 0 {
				continue
			}
			off := math.Hypot(a.At.X-a.To.X, a.At.Y-a.To.Y) + math.Hypot(b.At.X-b.To.X, b.At.Y-b.To.Y)
			room := math.Max(0, a.Float) + math.Max(0, b.Float) + off + float64(c.joints(l, a.Hole, b.Hole))*math.Hypot(math.Max(c.m.Opens, c.m.Closes), c.m.Slides)
			least = math.Min(least, 1.05*room/d) // a turn of 20 mrad is its own tangent to far less than that
		}
	}
	return least
}

// joints is how many joints lie between the pieces of two parts.
func (c *checker) joints(l *layout, a, b int) int {
	at := func(part int) int {
		for i, p := range l.pieces {
			if p == part {
				return i
			}
		}
		return 0
	}
	return int(math.Abs(float64(at(a) - at(b))))
}
