package toolpath

import (
	"math"
	"slices"

	"slatewright/bed/pattern/shape"
)

// Sweep is what a round tool passes over: all points no further than Radius from the way of its middle, and, for a tool that is a ring, no nearer than Hole
// to it wherever it only stands (a core bit that is plunged).
type Sweep struct {
	Way    shape.Segment // From and To are one point where the tool only goes down
	Radius float64
	Hole   float64 // radius of the core that a core bit leaves; 0 for a full tool
}

// Stands reports whether the tool goes down at one place.
func (s Sweep) Stands() bool { return gap(s.Way.From, s.Way.To) <= near }

// distance of a point from the way.
func (s Sweep) distance(p shape.Point) float64 {
	if s.Stands() {
		return gap(p, s.Way.From)
	}
	on, _ := s.Way.Nearest(p)
	return gap(on, p)
}

// Covers reports whether a point lies under the sweep, or no further than by from it.
func (s Sweep) Covers(p shape.Point, by float64) bool {
	d := s.distance(p)
	return d <= s.Radius+by && d >= s.Hole-by
}

// edges are lines and circles on which the border of the sweep lies, as sides.
func (s Sweep) edges(by float64) (list []shape.Segment) {
	r := s.Radius + by
	circle := func(c shape.Point, r float64) {
		if r > 0 {
			list = append(list, shape.Circle(c, r).Segments()...)
		}
	}
	circle(s.Way.From, r)
	if s.Stands() {
		circle(s.Way.From, s.Hole-by)
		return list
	}
	circle(s.Way.To, r)
	for _, left := range [2]float64{r, -r} {
		if p, there := parallel(s.Way, left); there {
			list = append(list, p)
		}
	}
	return list
}

// Uncovered returns the parts of a side that lie further than by from every sweep, in the order of the way.
func Uncovered(side shape.Segment, sweeps []Sweep, by float64) (bare []shape.Segment) {
	var close []Sweep
	var cuts []shape.Segment
	for _, s := range sweeps {
		if !apart(side, s.Way, s.Radius+by+near) {
			close = append(close, s)
			cuts = append(cuts, s.edges(by)...)
		}
	}
	for _, part := range Split(side, cuts) {
		middle := part.Along(0.5)
		if !slices.ContainsFunc(close, func(s Sweep) bool { return s.Covers(middle, by) }) {
			bare = append(bare, part)
		}
	}
	return bare
}

// Span is a stretch of a line along x.
type Span struct{ From, To float64 }

// Across returns what of the line y = level lies under any of the sweeps, as spans that do not meet, ascending.
func Across(sweeps []Sweep, level float64) []Span {
	var spans []Span
	for _, s := range sweeps {
		low, high := box(s.Way)
		if level > high.Y+s.Radius || level < low.Y-s.Radius {
			continue
		}
		from, to := shape.Point{X: low.X - s.Radius - 1, Y: level}, shape.Point{X: high.X + s.Radius + 1, Y: level}
		at := meets(from, to, s.edges(0))
		for i := 1; i < len(at); i++ {
			if at[i]-at[i-1] > 0 && s.Covers(shape.Point{X: (at[i-1] + at[i]) / 2, Y: level}, 0) {
				spans = append(spans, Span{at[i-1], at[i]})
			}
		}
	}
	return Together(spans)
}

// Inside returns what of the line y = level lies inside a contour, ascending.
func Inside(c shape.Contour, level float64) []Span {
	low, high := c.Bounds()
	at := meets(shape.Point{X: low.X - 1, Y: level}, shape.Point{X: high.X + 1, Y: level}, c.Segments())
	var spans []Span
	for i := 1; i < len(at); i++ {
		if at[i]-at[i-1] > 0 && c.Inside(shape.Point{X: (at[i-1] + at[i]) / 2, Y: level}) {
			spans = append(spans, Span{at[i-1], at[i]})
		}
	}
	return Together(spans)
}

// meets returns the places along x where a level line meets any of the sides, ascending.
func meets(from, to shape.Point, sides []shape.Segment) (at []float64) {
	line := shape.NewSegment(from, to, 0)
	for _, side := range sides {
		points, _ := side.Meet(line) // of sides that lie on the line their neighbours tell
		for _, p := range points {
			at = append(at, p.X)
		}
	}
	slices.Sort(at)
	return at
}

// Together joins spans that overlap or touch.
func Together(spans []Span) (list []Span) {
	slices.SortFunc(spans, func(a, b Span) int {
		if a.From < b.From {
			return -1
		} else if a.From > b.From {
			return 1
		}
		return 0
	})
	for _, s := range spans {
		if n := len(list); n > 0 && s.From <= list[n-1].To+near {
			list[n-1].To = math.Max(list[n-1].To, s.To)
			continue
		}
		list = append(list, s)
	}
	return list
}

// Common is what two lists of spans have in common.
func Common(a, b []Span) (list []Span) {
	for i, j := 0, 0; i < len(a) && j < len(b); {
		from, to := math.Max(a[i].From, b[j].From), math.Min(a[i].To, b[j].To)
		if to > from {
			list = append(list, Span{from, to})
		}
		if a[i].To < b[j].To {
			i++
		} else {
			j++
		}
	}
	return list
}

// Length is what spans are long together.
func Length(spans []Span) (l float64) {
	for _, s := range spans {
		l += s.To - s.From
	}
	return l
}
