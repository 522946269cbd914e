package shape

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Check reports the first thing that keeps the contour from being one, as a *trouble.Trouble of kind data, code
// "bad-contour": fewer than two corners, a side without length, an arc of more than half a circle, sides that cross, touch or
// run back along one another, or that it turns right. Sides that follow one another may touch for a tenth of a micrometre
// beside their corner, for a smooth corner cannot be told from that.
func (c Contour) Check() error {
	if len(c) < 2 {
		return bad("a contour has at least two corners")
	}
	for i, v := range c {
		switch next := c[(i+1)%len(c)]; {
		case !finite(v.X) || !finite(v.Y) || !finite(v.Bulge):
			return bad(fmt.Sprintf("corner %d has no place", i+1))
		case math.Abs(v.Bulge) > 1:
			return bad(fmt.Sprintf("the arc from %s is more than half a circle", place(v.At())))
		case between(v.At(), next.At()) <= near:
			return bad(fmt.Sprintf("the side from %s has no length", place(v.At())))
		}
	}
	sides := c.Segments()
	for i := range sides {
		for j := range i {
			if p, fault := sides[j].clash(sides[i], j+1 == i, (i+1)%len(sides) == j); fault {
				return bad("the sides meet themselves at " + place(p))
			}
		}
	}
	if c.Area() <= 0 {
		return bad("the contour turns right; a contour is run with its inside on the left")
	}
	return nil
}

// clash returns where two sides of one contour meet though they should not. A corner that they share is where one follows the
// other.
func (s Segment) clash(o Segment, follows, precedes bool) (at Point, fault bool) {
	const smooth = 1e-4
	list, along := meet(s, o)
	if along {
		return s.Along(0.5), true
	}
	for _, m := range list {
		if follows && between(m.at, s.To) <= smooth || precedes && between(m.at, s.From) <= smooth {
			continue
		}
		return m.at, true
	}
	return Point{}, false
}

func bad(what string) *trouble.Trouble {
	return trouble.Data("bad-contour", "", what, "draw a ring whose sides meet at their corners only")
}

func finite(x float64) bool { return math.Abs(x) < 1e9 }

func place(p Point) string { return fmt.Sprintf("(%.3f, %.3f)", p.X, p.Y) }
