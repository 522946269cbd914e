package shape

import "math"

// near is the distance below which two places are one, mm: far below anything that is cut, far above rounding at a bed's size.
const near = 1e-6

// meeting is a place that two sides have in common, with its share of the way on each.
type meeting struct {
	at   Point
	t, u float64
}

// Meet returns the points that two sides have in common, at most two, and whether they run along one another on a stretch (then no points
// are returned). Points closer than a millionth of a mm to both count as common.
func (s Segment) Meet(o Segment) (points []Point, along bool) {
	list, along := meet(s, o)
	for _, m := range list {
		points = append(points, m.at)
	}
	return points, along
}

func meet(s, o Segment) (list []meeting, along bool) {
	var places []Point
	switch {
	case s.Radius == 0 && o.Radius == 0:
		places, along = lineLine(s, o)
	case s.Radius == 0:
		places = lineCircle(s, o)
	case o.Radius == 0:
		places = lineCircle(o, s)
	default:
		places, along = circleCircle(s, o)
	}
	if along {
		return nil, overlap(s, o)
	}
	for _, p := range append(places, s.From, s.To, o.From, o.To) {
		a, t := s.Nearest(p)
		b, u := o.Nearest(p)
		if between(p, a) > near || between(p, b) > near {
			continue
		}
		known := false
		for _, m := range list {
			known = known || between(m.at, p) <= 2*near
		}
		if !known {
			list = append(list, meeting{p, t, u})
		}
	}
	return list, false
}

// overlap reports whether two sides on the same line or circle share more than a point: the middle of one, or an end, lies
// inside the other.
func overlap(s, o Segment) bool {
	inner := func(a, b Segment) bool {
		for _, t := range [5]float64{0, 0.25, 0.5, 0.75, 1} {
			p := a.Along(t)
			if q, _ := b.Nearest(p); between(p, q) <= near && between(p, b.From) > 2*near && between(p, b.To) > 2*near {
				return true
			}
		}
		return false
	}
	return inner(s, o) || inner(o, s)
}

// lineLine returns where two lines cross, beyond their ends too, and whether they are one line.
func lineLine(s, o Segment) ([]Point, bool) {
	ax, ay, bx, by := s.To.X-s.From.X, s.To.Y-s.From.Y, o.To.X-o.From.X, o.To.Y-o.From.Y
	la, lb := math.Hypot(ax, ay), math.Hypot(bx, by)
	if la == 0 || lb == 0 { // a place, not a line: meet looks at its ends anyway
		return nil, false
	}
	cross := ax*by - ay*bx
	gx, gy := o.From.X-s.From.X, o.From.Y-s.From.Y
	if math.Abs(cross) > 1e-12*la*lb {
		t := (gx*by - gy*bx) / cross
		return []Point{{s.From.X + t*ax, s.From.Y + t*ay}}, false
	}
	return nil, math.Abs(gx*ay-gy*ax) <= near*la
}

// lineCircle returns where the line meets the circle, beyond their ends too. Where they miss each other by less than near,
// the nearest point is returned.
func lineCircle(line, arc Segment) []Point {
	dx, dy := line.To.X-line.From.X, line.To.Y-line.From.Y
	l := math.Hypot(dx, dy)
	if l == 0 {
		return nil
	}
	dx, dy = dx/l, dy/l
	along := (arc.Centre.X-line.From.X)*dx + (arc.Centre.Y-line.From.Y)*dy
	foot := Point{line.From.X + along*dx, line.From.Y + along*dy}
	off := between(foot, arc.Centre)
	if off > arc.Radius+near {
		return nil
	}
	half := math.Sqrt(math.Max(0, (arc.Radius-off)*(arc.Radius+off)))
	if half == 0 {
		return []Point{foot}
	}
	return []Point{{foot.X - half*dx, foot.Y - half*dy}, {foot.X + half*dx, foot.Y + half*dy}}
}

// circleCircle returns where two circles meet, and whether they are one.
func circleCircle(s, o Segment) ([]Point, bool) {
	d := between(s.Centre, o.Centre)
	if d <= near && math.Abs(s.Radius-o.Radius) <= near {
		return nil, true
	}
	if d > s.Radius+o.Radius+near || d < math.Abs(s.Radius-o.Radius)-near || d == 0 {
		return nil, false
	}
	ux, uy := (o.Centre.X-s.Centre.X)/d, (o.Centre.Y-s.Centre.Y)/d
	along := (d + (s.Radius-o.Radius)*(s.Radius+o.Radius)/d) / 2
	half := math.Sqrt(math.Max(0, (s.Radius-along)*(s.Radius+along)))
	foot := Point{s.Centre.X + along*ux, s.Centre.Y + along*uy}
	if half == 0 {
		return []Point{foot}, false
	}
	return []Point{{foot.X - half*uy, foot.Y + half*ux}, {foot.X + half*uy, foot.Y - half*ux}}, false
}

// Between returns the shortest distance of two contours' lines, 0 where they meet, and where it is on each. It does not ask
// whether one lies inside the other.
func Between(a, b Contour) (distance float64, onA, onB Point) {
	distance = math.Inf(1)
	second := b.Segments()
	for _, s := range a.Segments() {
		for _, o := range second {
			if d, p, q := s.Apart(o); d < distance {
				distance, onA, onB = d, p, q
			}
		}
	}
	return distance, onA, onB
}

// Apart returns the shortest distance of two sides, 0 where they meet, and where it is on each. Where they do not meet, the nearest
// points are an end of one and its nearest on the other, or lie on a line through the centres of the arcs among them.
func (s Segment) Apart(o Segment) (distance float64, onS, onO Point) {
	if list, along := meet(s, o); along {
		return 0, s.From, s.From
	} else if len(list) > 0 {
		return 0, list[0].at, list[0].at
	}
	distance = math.Inf(1)
	try := func(p, q Point) {
		if d := between(p, q); d < distance {
			distance, onS, onO = d, p, q
		}
	}
	fromS := []Point{s.From, s.To}
	fromO := []Point{o.From, o.To}
	if s.Radius > 0 { // towards and away from the other's nearest place to the centre
		at := o.Centre
		if o.Radius == 0 {
			at, _ = o.Nearest(s.Centre)
		}
		fromS = append(fromS, s.opposite(at)...)
	}
	if o.Radius > 0 {
		at := s.Centre
		if s.Radius == 0 {
			at, _ = s.Nearest(o.Centre)
		}
		fromO = append(fromO, o.opposite(at)...)
	}
	for _, p := range fromS {
		q, _ := o.Nearest(p)
		try(p, q)
	}
	for _, q := range fromO {
		p, _ := s.Nearest(q)
		try(p, q)
	}
	return distance, onS, onO
}

// opposite returns the points of the arc in the direction of p and away from it, those that there are.
func (s Segment) opposite(p Point) (list []Point) {
	for _, d := range [2]Point{p, {2*s.Centre.X - p.X, 2*s.Centre.Y - p.Y}} {
		if t, ok := s.share(d); ok {
			list = append(list, s.Along(t))
		}
	}
	return list
}
