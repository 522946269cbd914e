package feelers

import (
	"cmp"
	"math"
	"slices"

	"slatewright/lowlp"
)

// Limits of the search for the largest zone. Beyond them the answer is a proven upper bound.
const (
	mostCorners = 60   // stations of which all foursomes are looked at
	mostShapes  = 2000 // linear programs for foursomes
	mostWork    = 6e9  // pivots times the cube of the unknowns in them: some seconds
)

// slack is what every value that is only computed in floats may be wrong by, mm.
const slack = 1e-9

// shape is three or four stations and the coefficients of their heights: how high some stand above the plane of the others, the
// positive coefficients adding up to 1. The minimum zone of heights is the largest of all shapes (linear programming duality; with a
// 3-1 contact three coefficients have one sign, with a 2-2 contact two).
type shape struct {
	at    [4]int // numbers of stations
	c     [4]float64
	n     int
	bound float64
}

// highest is the answer to the largest zone.
type highest struct {
	value  float64
	exact  bool
	solved int
	active []int   // claims that hold it
	worst  []shape // the shapes of the largest zones, largest first
	boxes  *boxes
}

// high finds the largest zone: the largest value of any shape over all heights that agree with the readings, one linear program a shape.
// Each station's height, taken by itself, is within a box; the boxes bound a shape, and shapes whose bound is below the best value are
// left out. With many stations the boxes alone bound the zone.
func (p *problem) high() (highest, error) {
	if len(p.set.open()) > 0 || p.freedoms() > 0 {
		return highest{value: math.Inf(1)}, nil
	}
	if len(p.stations) > mostCorners {
		b, err := p.roughBoxes()
		if err != nil {
			return highest{}, err
		}
		h := highest{boxes: b}
		h.value, h.active, err = p.settle(b, mostRounds)
		h.value += slack
		return h, err
	}
	b := newBoxes(len(p.stations))
	for i := range p.stations {
		if _, err := p.box(b, i); err != nil {
			return highest{}, err
		}
		if math.IsInf(b.lo[i], -1) || math.IsInf(b.hi[i], 1) {
			return highest{value: math.Inf(1)}, nil
		}
	}
	shapes := p.shapes(b.lo, b.hi)
	slices.SortStableFunc(shapes, func(a, b shape) int { return cmp.Compare(b.bound, a.bound) })
	h, err := p.search(shapes)
	h.boxes = b
	return h, err
}

// search solves shapes from the largest bound down.
func (p *problem) search(shapes []shape) (highest, error) {
	h := highest{exact: true}
	var winner *lowlp.Solution
	var asked lowlp.Problem
	var said *system
	best, rest, work := -1.0, 0.0, 0.0
	for i := range shapes {
		s := &shapes[i]
		if s.bound <= best+slack {
			break
		}
		if h.solved == mostShapes || work > mostWork {
			h.exact, rest = false, s.bound
			break
		}
		h.solved++
		q, m := p.most(*s)
		v, err := lowlp.Solve(q)
		if err != nil {
			return h, err
		}
		d := float64(q.Rows.Dim())
		work += float64(v.Pivots) * d * d * d
		if v.Status == lowlp.Unbounded {
			h.value, h.exact = math.Inf(1), false
			return h, nil
		}
		s.bound = -v.Value
		h.worst = append(h.worst, *s)
		if s.bound > best {
			best, winner, asked, said = s.bound, &v, q, m
		}
	}
	slices.SortStableFunc(h.worst, func(a, b shape) int { return cmp.Compare(b.bound, a.bound) })
	h.worst = h.worst[:min(len(h.worst), 6)]
	if winner == nil {
		return h, nil
	}
	if err := lowlp.Prove(asked, winner); err != nil {
		return h, err
	}
	h.value = max(0, rest, -winner.Bound) + slack
	for _, i := range winner.Active {
		for _, k := range said.says[i] {
			if k >= 0 && !slices.Contains(h.active, k) {
				h.active = append(h.active, k)
			}
		}
	}
	return h, nil
}

// most is the program for the largest value of a shape: the edges' lines, with planes held, and the heights of its stations are the
// unknowns.
func (p *problem) most(s shape) (lowlp.Problem, *system) {
	g := p.held
	lines := g.free()
	d := lines + s.n
	m := &system{Dense: lowlp.Dense{D: d}}
	wide := make([]float64, 2*len(p.set.Lines))
	for _, t := range p.ties {
		clear(wide)
		p.edge(wide, t[0], 1)
		p.edge(wide, t[1], -1)
		m.add(p.claims[t[0]].high-p.claims[t[1]].low, g.row(wide, s.n), t[0], t[1])
	}
	q := lowlp.Problem{Cost: make([]float64, d), Rows: m, Stop: p.set.Stop}
	for k := range s.n {
		q.Cost[lines+k] = -s.c[k]
		for _, j := range p.at[p.stations[s.at[k]]] {
			clear(wide)
			p.edge(wide, j, -1)
			row := g.row(wide, s.n)
			row[lines+k] = 1
			m.add(-p.claims[j].low, row, -1, j)
			if c := p.claims[j]; !math.IsInf(c.high, 1) {
				back := make([]float64, d)
				for i, v := range row {
					back[i] = -v
				}
				m.add(c.high, back, j, -1)
			}
		}
	}
	return q, m
}

// shapes lists every shape with the bound that the boxes give it.
func (p *problem) shapes(lo, hi []float64) []shape {
	n := len(p.stations)
	var list []shape
	take := func(s shape, ok bool) {
		if !ok {
			return
		}
		up, down := 0.0, 0.0
		for k := range s.n {
			up += max(s.c[k]*lo[s.at[k]], s.c[k]*hi[s.at[k]])
			down += max(-s.c[k]*lo[s.at[k]], -s.c[k]*hi[s.at[k]])
		}
		s.bound = up
		list = append(list, s)
		for k := range s.n {
			s.c[k] = -s.c[k]
		}
		s.bound = down
		list = append(list, s)
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			for c := b + 1; c < n; c++ {
				if s, ok := p.triple(a, b, c); ok {
					take(s, true)
				}
				for d := c + 1; d < n; d++ {
					take(p.quad(a, b, c, d))
				}
			}
		}
	}
	return list
}

// flat is the share of the square of the length of the face below which the area of a triangle is nothing.
const flat = 1e-9

// area is twice the signed area of the triangle of three stations, as a share of the square of the length of the face.
func (p *problem) area(a, b, c int) float64 {
	pa, pb, pc := p.set.At[p.stations[a]], p.set.At[p.stations[b]], p.set.At[p.stations[c]]
	v := ((pb[0]-pa[0])*(pc[1]-pa[1]) - (pb[1]-pa[1])*(pc[0]-pa[0])) / (p.frame.Length * p.frame.Length)
	if math.Abs(v) < flat {
		return 0
	}
	return v
}

// triple is the shape of three stations on a line: the middle one above the straight line through the others.
func (p *problem) triple(a, b, c int) (shape, bool) {
	if p.area(a, b, c) != 0 {
		return shape{}, false
	}
	at := [3]int{a, b, c}
	pos := func(i int) float64 {
		d := [2]float64{p.set.At[p.stations[c]][0] - p.set.At[p.stations[a]][0], p.set.At[p.stations[c]][1] - p.set.At[p.stations[a]][1]}
		if math.Abs(d[0]) >= math.Abs(d[1]) {
			return p.set.At[p.stations[i]][0] * math.Copysign(1, d[0])
		}
		return p.set.At[p.stations[i]][1] * math.Copysign(1, d[1])
	}
	slices.SortFunc(at[:], func(i, j int) int { return cmp.Compare(pos(i), pos(j)) })
	share := (pos(at[1]) - pos(at[0])) / (pos(at[2]) - pos(at[0]))
	return shape{at: [4]int{at[0], at[1], at[2]}, c: [4]float64{share - 1, 1, -share}, n: 3}, true
}

// quad is the shape of four stations, no three of which lie on a line: coefficients are the areas of the triangles of the others.
func (p *problem) quad(a, b, c, d int) (shape, bool) {
	w := [4]float64{p.area(b, c, d), -p.area(a, c, d), p.area(a, b, d), -p.area(a, b, c)}
	plus := 0.0
	for _, v := range w {
		if v == 0 {
			return shape{}, false
		}
		plus += max(v, 0)
	}
	for k := range w {
		w[k] /= plus
	}
	return shape{at: [4]int{a, b, c, d}, c: w, n: 4}, true
}
