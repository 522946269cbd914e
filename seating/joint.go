package seating

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/trouble"
)

// profile is the height of one edge of a piece along y, in the piece's own frame.
type profile struct {
	knots    []knot // y ascending
	measured bool   // read at the edge, by the joint's rules
	how      string // why not, in words
}

// knot is one height of a profile: a fixed sum of readings, at a place.
type knot struct {
	x, y  float64
	terms []term
}

type term struct {
	reading int // of the face
	weight  float64
}

func (k knot) z(readings []float64) float64 {
	s := 0.0
	for _, t := range k.terms {
		s += float64(t.weight * readings[t.reading])
	}
	return s
}

// profile finds the best profile that the readings give of one edge: a joint row, else the outermost column of a grid, else
// means of a scan in 25 mm strips. Readings in the edge band count here.
func (p *piece) profile(edge int, spec bed.Spec) profile {
	mark, side := face.JointMinus, -1.0
	if edge == plusEdge {
		mark, side = face.JointPlus, 1
	}
	var row, others []int
	for i := range p.face.Z {
		switch {
		case p.face.Row == nil || p.face.Row[i] == face.NoRow:
			others = append(others, i)
		case p.face.Row[i] == mark:
			row = append(row, i)
		}
	}
	var pr profile
	switch {
	case len(row) > 1:
		pr = p.fromRow(row, side, "its joint row", spec.JointRow)
	case p.surface.scan:
		pr = p.fromScan(others, side, spec.JointRow)
	default:
		pr = p.fromColumns(others, side, spec.JointRow)
	}
	if !pr.measured && spec.Uncertainty.JointExtrapolation > 0 {
		pr.how += fmt.Sprintf("; its heights there are uncertain by %g mm more (standard uncertainty)", spec.Uncertainty.JointExtrapolation)
	}
	return pr
}

// fromRow takes readings along an edge as they stand.
func (p *piece) fromRow(row []int, side float64, what string, rule bed.JointRow) profile {
	pr := profile{measured: true}
	far := 0.0
	for _, i := range row {
		pr.knots = append(pr.knots, knot{p.face.X[i], p.face.Y[i], []term{{i, 1}}})
		far = max(far, p.short(i, side))
	}
	sort.SliceStable(pr.knots, func(a, b int) bool { return pr.knots[a].y < pr.knots[b].y })
	pr.merge()
	switch {
	case far > rule.MaxFromArris+1e-6:
		pr.measured, pr.how = false, fmt.Sprintf("%s lies up to %.1f mm from the arris, more than %g mm", what, far, rule.MaxFromArris)
	case len(pr.knots) < rule.MinStations:
		pr.measured, pr.how = false, fmt.Sprintf("%s has %s, fewer than %d", what, trouble.Count(len(pr.knots), "station", "stations"), rule.MinStations)
	}
	return pr
}

// short is how far reading i stands from the edge on the given side.
func (p *piece) short(i int, side float64) float64 {
	return float64(p.sizeX/2) - float64(side*p.face.X[i])
}

// merge makes one knot, their mean, of knots at one station.
func (pr *profile) merge() {
	var out []knot
	for lo := 0; lo < len(pr.knots); {
		hi := lo
		m := knot{}
		for hi < len(pr.knots) && pr.knots[hi].y-pr.knots[lo].y <= stationTolerance {
			hi++
		}
		share := 1 / float64(hi-lo)
		for _, k := range pr.knots[lo:hi] {
			m.x += float64(share * k.x)
			m.y += float64(share * k.y)
			for _, t := range k.terms {
				m.terms = append(m.terms, term{t.reading, t.weight * share})
			}
		}
		if hi == lo+1 {
			m = pr.knots[lo]
		}
		out = append(out, m)
		lo = hi
	}
	pr.knots = out
}

// fromColumns takes the outermost column of a grid; one that falls short of the edge is carried on in a straight line
// from the outer two.
func (p *piece) fromColumns(readings []int, side float64, rule bed.JointRow) profile {
	outer, inner := p.outerColumns(readings, side)
	short := math.Inf(-1)
	for _, i := range outer {
		short = max(short, p.short(i, side))
	}
	if short <= rule.MaxFromArris+1e-6 {
		return p.fromRow(outer, side, "its outermost column", rule)
	}
	pr := profile{how: fmt.Sprintf("its outermost column stands %.0f mm from the edge and the outer two were carried on in a straight line", short)}
	for _, i := range outer {
		if j := p.partner(inner, i); j >= 0 {
			a := knot{p.face.X[i], p.face.Y[i], []term{{i, 1}}}
			b := knot{p.face.X[j], p.face.Y[j], []term{{j, 1}}}
			pr.knots = append(pr.knots, carriedOn(a, b, float64(side*p.sizeX/2)))
		}
	}
	sort.SliceStable(pr.knots, func(a, b int) bool { return pr.knots[a].y < pr.knots[b].y })
	pr.merge()
	return pr
}

// carriedOn is the height at x of the straight line through b and a, at the y of a.
func carriedOn(a, b knot, x float64) knot {
	w := (x - a.x) / (a.x - b.x)
	out := knot{x: x, y: a.y}
	for _, t := range a.terms {
		out.terms = append(out.terms, term{t.reading, t.weight * (1 + w)})
	}
	for _, t := range b.terms {
		out.terms = append(out.terms, term{t.reading, -t.weight * w})
	}
	return out
}

// outerColumns lists the readings of the column nearest to the edge and of the next.
func (p *piece) outerColumns(readings []int, side float64) (outer, inner []int) {
	nearest := math.Inf(1)
	for _, i := range readings {
		nearest = min(nearest, p.short(i, side))
	}
	next := math.Inf(1)
	for _, i := range readings {
		switch s := p.short(i, side); {
		case s <= nearest+stationTolerance:
			outer = append(outer, i)
		default:
			next = min(next, s)
		}
	}
	for _, i := range readings {
		if s := p.short(i, side); s > nearest+stationTolerance && s <= next+stationTolerance {
			inner = append(inner, i)
		}
	}
	return outer, inner
}

// partner returns the reading of a column at the same y as reading i, or −1.
func (p *piece) partner(column []int, i int) int {
	for _, j := range column {
		if math.Abs(p.face.Y[j]-p.face.Y[i]) <= stationTolerance {
			return j
		}
	}
	return -1
}

// fromScan takes means over cells of 25 mm along a strip of 25 mm at the edge. A scan that falls short of the edge is
// carried on in a straight line from its outer two strips.
func (p *piece) fromScan(readings []int, side float64, rule bed.JointRow) profile {
	nearest := math.Inf(1)
	for _, i := range readings {
		nearest = min(nearest, p.short(i, side))
	}
	if nearest <= rule.MaxFromArris {
		pr := profile{knots: p.strip(readings, side, 0)}
		if pr.measured = len(pr.knots) >= rule.MinStations; !pr.measured {
			pr.how = fmt.Sprintf("its scan has %s along this edge, fewer than %d", trouble.Count(len(pr.knots), "place", "places"), rule.MinStations)
		}
		return pr
	}
	pr := profile{how: fmt.Sprintf("its scan ends %.0f mm from the edge and its outer two strips were carried on in a straight line", nearest)}
	inner := p.strip(readings, side, nearest+cell)
	for _, a := range p.strip(readings, side, nearest) {
		for _, b := range inner {
			if math.Abs(a.y-b.y) <= cell/2 {
				pr.knots = append(pr.knots, carriedOn(a, b, float64(side*p.sizeX/2)))
				break
			}
		}
	}
	return pr
}

// strip takes means over the cells of a strip of 25 mm that begins at the given distance from the edge.
func (p *piece) strip(readings []int, side, from float64) []knot {
	bins := max(1, int(math.Round(p.sizeY/cell)))
	width := p.sizeY / float64(bins)
	members := make([][]int, bins)
	for _, i := range readings {
		if s := p.short(i, side); s < from-1e-6 || s > from+cell {
			continue
		}
		b := int(math.Floor((p.face.Y[i] + float64(p.sizeY/2)) / width))
		b = min(max(b, 0), bins-1)
		members[b] = append(members[b], i)
	}
	var knots []knot
	for _, m := range members {
		if len(m) == 0 {
			continue
		}
		share := 1 / float64(len(m))
		k := knot{terms: make([]term, 0, len(m))}
		for _, i := range m {
			k.x += float64(share * p.face.X[i])
			k.y += float64(share * p.face.Y[i])
			k.terms = append(k.terms, term{i, share})
		}
		knots = append(knots, k)
	}
	return knots
}

// station is one place of a joint: the step there is a fixed sum over both pieces.
type station struct {
	y    float64 // bed frame
	head knot    // on the head-side piece, its own frame
	foot knot
}

// stationsOf pairs the profiles that meet at joint j of an arrangement, at the stations of both within their overlap.
func stationsOf(pieces *[3]*piece, a arrangement, j int) ([]station, [2]bool, error) {
	head, foot := pieces[a.index[j]], pieces[a.index[j+1]]
	left := head.edge(plusEdge, a.turned[j])
	right := foot.edge(minusEdge, a.turned[j+1])
	measured := [2]bool{left.measured, right.measured}
	for _, side := range []struct {
		p  *piece
		pr profile
	}{{head, left}, {foot, right}} {
		if len(side.pr.knots) < 2 {
			return nil, measured, trouble.Data("no-joint", side.p.name, "no height is known along the edge that meets the next piece",
				"read a joint row: at least nine points within 15 mm of the arris, marked joint+ or joint- in a fourth column named row")
		}
	}
	ls, rs := a.sign(j), a.sign(j+1)
	lo := max(low(left, ls), low(right, rs))
	hi := min(-low(left, -ls), -low(right, -rs))
	var ys []float64
	for _, k := range left.knots {
		ys = append(ys, float64(ls*k.y)+0) // never −0
	}
	for _, k := range right.knots {
		ys = append(ys, float64(rs*k.y)+0)
	}
	slices.Sort(ys)
	var list []station
	last := math.Inf(-1)
	for _, y := range ys {
		if y < lo-1e-6 || y > hi+1e-6 || y-last < 1e-3 {
			continue
		}
		last = y
		list = append(list, station{y: y, head: left.at(float64(ls * y)), foot: right.at(float64(rs * y))})
	}
	if len(list) == 0 {
		return nil, measured, trouble.Data("no-joint", head.name, "the readings along the joint with "+foot.name+" do not overlap",
			"read both edges over the same length")
	}
	return list, measured, nil
}

// A joint is covered when its stations reach within coverEnd of both ends of the edge and leave no gap of more than
// coverGap, mm: two pitches of the usual nine stations at most may be missing somewhere. Common practice, no source.
const (
	coverEnd = 150.0
	coverGap = 360.0
)

// covered tells whether the stations stand along the whole of an edge of the given length.
func covered(list []step, length float64) bool {
	last := float64(-length/2) - (coverGap - coverEnd)
	for _, st := range list {
		if st.y-last > coverGap {
			return false
		}
		last = st.y
	}
	return float64(length/2)-last <= coverEnd
}

// edge is the profile that a piece shows on the given side when it may be turned; still in its own frame.
func (p *piece) edge(side int, turned bool) profile {
	if turned {
		return p.edges[1-side]
	}
	return p.edges[side]
}

// low is the smallest sign·y of the knots.
func low(pr profile, sign float64) float64 {
	return min(float64(sign*pr.knots[0].y), float64(sign*pr.knots[len(pr.knots)-1].y))
}

// at reads the profile between its knots, piecewise in a straight line along y.
func (pr profile) at(y float64) knot {
	n := len(pr.knots)
	i := sort.Search(n, func(i int) bool { return pr.knots[i].y >= y })
	switch {
	case i < n && pr.knots[i].y-y < 1e-6:
		return pr.knots[i]
	case i == n:
		return pr.knots[n-1]
	case i == 0:
		return pr.knots[0]
	}
	a, b := pr.knots[i-1], pr.knots[i]
	t := (y - a.y) / (b.y - a.y)
	k := knot{x: lerp(a.x, b.x, t), y: lerp(a.y, b.y, t)}
	for _, m := range a.terms {
		k.terms = append(k.terms, term{m.reading, m.weight * (1 - t)})
	}
	for _, m := range b.terms {
		k.terms = append(k.terms, term{m.reading, m.weight * t})
	}
	return k
}
