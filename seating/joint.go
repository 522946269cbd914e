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
// means of a scan in 25 mm strips.
func (p *piece) profile(edge int, rule bed.JointRow) profile {
	mark, side := face.JointMinus, -1.0
	if edge == plusEdge {
		mark, side = face.JointPlus, 1
	}
	var row []int
	for i, r := range p.face.Row {
		if r == mark {
			row = append(row, i)
		}
	}
	switch {
	case len(row) > 1:
		return p.fromRow(row, side, rule)
	case p.surface.scan:
		return p.fromScan(side)
	}
	return p.fromColumns(side, rule)
}

// fromRow takes readings of a row as they stand.
func (p *piece) fromRow(row []int, side float64, rule bed.JointRow) profile {
	pr := profile{measured: true}
	far := 0.0
	for _, i := range row {
		pr.knots = append(pr.knots, knot{p.face.X[i], p.face.Y[i], []term{{i, 1}}})
		far = max(far, float64(p.sizeX/2)-float64(side*p.face.X[i]))
	}
	sort.SliceStable(pr.knots, func(a, b int) bool { return pr.knots[a].y < pr.knots[b].y })
	pr.merge()
	switch {
	case far > rule.MaxFromArris+1e-6:
		pr.measured, pr.how = false, fmt.Sprintf("its joint row lies up to %.1f mm from the arris, more than %g mm", far, rule.MaxFromArris)
	case len(pr.knots) < rule.MinStations:
		pr.measured, pr.how = false, fmt.Sprintf("its joint row has %d stations, fewer than %d", len(pr.knots), rule.MinStations)
	}
	return pr
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
func (p *piece) fromColumns(side float64, rule bed.JointRow) profile {
	xs := p.surface.xs
	outer, next := 0, 1
	if side > 0 {
		outer, next = len(xs)-1, len(xs)-2
	}
	short := float64(p.sizeX/2) - float64(side*xs[outer])
	if short <= rule.MaxFromArris+1e-6 {
		return p.fromRow(p.column(outer), side, rule)
	}
	pr := profile{how: fmt.Sprintf("its outermost column stands %.0f mm from the edge and the outer two were carried on in a straight line", short)}
	if len(xs) < 2 {
		return pr
	}
	inner := p.column(next)
	for _, i := range p.column(outer) {
		j := p.partner(inner, i)
		if j < 0 {
			continue
		}
		w := short / (side * (p.face.X[i] - p.face.X[j]))
		pr.knots = append(pr.knots, knot{float64(side*p.sizeX) / 2, p.face.Y[i], []term{{i, 1 + w}, {j, -w}}})
	}
	sort.SliceStable(pr.knots, func(a, b int) bool { return pr.knots[a].y < pr.knots[b].y })
	pr.merge()
	return pr
}

// column lists the readings (numbers of the face) at the station xs[c], y ascending.
func (p *piece) column(c int) []int {
	n := len(p.surface.ys)
	var at []int
	for k, crossing := range p.surface.cell {
		if crossing/n == c {
			at = append(at, p.at[k])
		}
	}
	sort.SliceStable(at, func(a, b int) bool { return p.face.Y[at[a]] < p.face.Y[at[b]] })
	return at
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

// fromScan takes means over cells of 25 mm along a strip of 25 mm at the edge. Readings in the edge band count here.
func (p *piece) fromScan(side float64) profile {
	pr := profile{}
	bins := max(1, int(math.Round(p.sizeY/cell)))
	width := p.sizeY / float64(bins)
	members := make([][]int, bins)
	far := 0.0
	for i := range p.face.Z {
		short := float64(p.sizeX/2) - float64(side*p.face.X[i])
		if short > cell || (p.face.Row != nil && p.face.Row[i] != face.NoRow) {
			continue
		}
		b := int((p.face.Y[i] + float64(p.sizeY/2)) / width)
		if b >= 0 && b < bins {
			members[b] = append(members[b], i)
			far = max(far, short)
		}
	}
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
		pr.knots = append(pr.knots, k)
	}
	pr.measured = len(pr.knots) >= bins/2+1
	if !pr.measured {
		pr.how = "its scan does not reach the edge along most of the joint"
	}
	return pr
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
