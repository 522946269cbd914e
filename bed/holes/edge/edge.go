// Package edge looks at the edges of two pieces that meet in a joint: how straight each is in plan, how square to the face, where chips are, and how far the
// joint will stand open once the two are pushed together.
//
// An edge is read against a straightedge in plan, at the arris of the playing face and, where squareness is asked, at the lower arris. A reading is
// how far the stone stands out beyond the straightedge; the straightedge need not lie square to anything. Between two readings an edge is
// taken to be straight. The package does not know height steps over a joint, and what a joint is filled with.
//
// Lengths are in mm.
package edge

import (
	"math"
	"slices"

	"slatewright/lowlp"
	"slatewright/trouble"
)

// Reading is one place along an edge.
type Reading struct {
	At          float64 // along the joint
	Top, Bottom float64 // how far the stone stands out at the two arrises
	HasBottom   bool
	U           float64 // standard uncertainty of each
	Chip        float64 // how far the top arris is broken back here; 0 = whole
}

// Edge is one edge, its readings in order along the joint.
type Edge struct {
	Name     string
	Readings []Reading
}

// New puts the readings in order. Errors are *trouble.Trouble: fewer than three, or two in one place.
func New(name string, readings []Reading) (*Edge, error) {
	e := &Edge{name, slices.Clone(readings)}
	slices.SortStableFunc(e.Readings, func(a, b Reading) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	if len(readings) < 3 {
		return nil, trouble.Data("too-few-points", name, trouble.Count(len(readings), "reading does", "readings do")+" not show whether an edge is straight", "read the edge at three places or more")
	}
	for i := 1; i < len(e.Readings); i++ {
		if e.Readings[i].At == e.Readings[i-1].At {
			return nil, trouble.Data("twice", name, "two readings of the edge are in one place", "keep one of them")
		}
	}
	return e, nil
}

// Value is a number with its standard uncertainty and where it is.
type Value struct{ Value, U, At float64 }

// Straightness is the least distance between two parallel lines in plan that hold all readings of the top arris between them, taken square to the straightedge.
func (e *Edge) Straightness() (Value, error) {
	rows := &lowlp.Dense{D: 3}
	for _, r := range e.Readings {
		rows.Add(r.Top, 1, r.At, -1)
		rows.Add(-r.Top, -1, -r.At, -1)
	}
	s, err := lowlp.Solve(lowlp.Problem{Cost: []float64{0, 0, 1}, Rows: rows})
	if err != nil {
		return Value{}, err
	}
	v := Value{Value: 2 * max(0, s.Value)}
	var sum, most float64
	for k, id := range s.Active {
		u, y := e.Readings[id/2].U, 2*s.Multipliers[k]
		sum += y * u * y * u
		if y > most {
			most, v.At = y, e.Readings[id/2].At
		}
	}
	v.U = math.Sqrt(sum)
	return v, nil
}

// Squareness is the largest difference of the two arrises at one place, with its sign: positive where the top stands out further. ok is false where the lower arris was not read.
func (e *Edge) Squareness() (v Value, ok bool) {
	for _, r := range e.Readings {
		if d := r.Top - r.Bottom; r.HasBottom && (!ok || math.Abs(d) > math.Abs(v.Value)) {
			v, ok = Value{d, r.U * math.Sqrt2, r.At}, true
		}
	}
	return v, ok
}

// Chip is the deepest chip; ok is false where none was found.
func (e *Edge) Chip() (v Value, ok bool) {
	for _, r := range e.Readings {
		if r.Chip > v.Value {
			v, ok = Value{r.Chip, r.U, r.At}, true
		}
	}
	return v, ok
}

// Gap is what a closed joint leaves open.
type Gap struct {
	Top    Value // largest at the playing face; where a chip is, the chip is not counted
	Bottom *Value
	// Touch are the places where the edges meet, and Below whether they do so at the lower arris.
	Touch []float64
	Below []bool
	// Least is the smallest that the largest opening at the face can be made by turning the pieces against each other.
	Least  Value
	AtFace [][2]float64 // place and opening along the face, pushed together
}

// knot is a place where one of the two edges was read, with how far both stand out there together.
type knot struct {
	at, top, bottom, u float64
	hasBottom          bool
}

// Closed pushes two edges together, in the middle of the joint, until they touch on both sides of it, and says what stays open: with line s + t·at for the straightedges' distance, least
// s + t·middle so that no stone overlaps at either arris. Both are read along the same direction and from the same point. Errors are *trouble.Trouble: the
// two were not read along the same stretch.
func Closed(a, b *Edge) (*Gap, error) {
	knots := meet(a, b)
	if len(knots) < 2 {
		return nil, trouble.Data("no-common-stretch", a.Name+" and "+b.Name, "the two edges were not read along the same stretch", "read both from end to end, from the same point")
	}
	middle := (knots[0].at + knots[len(knots)-1].at) / 2
	pushed, err := lay(knots, middle, nil)
	if err != nil {
		return nil, err
	}
	// Edges that touch in the middle alone can rock: of all ways to lie they are shown the evenest.
	if pushed, err = lay(knots, middle, &pushed.s); err != nil {
		return nil, err
	}
	g := &Gap{}
	g.open(knots, pushed, middle)
	least, err := lay(knots, middle, new(math.Inf(1)))
	if err != nil {
		return nil, err
	}
	g.Least = least.largest
	return g, nil
}

// laid is a line s + t·(at − middle) for the distance of two edges, and the rows of stone that hold it.
type laid struct {
	s, t    float64
	holds   []touch
	largest Value // opening at the face
}

// touch is a place where stone meets stone.
type touch struct {
	knot
	below bool
}

// lay finds the line: without a limit the one that is nearest in the middle, else, among those within the limit there, the one whose largest opening at the face is least.
func lay(knots []knot, middle float64, within *float64) (l laid, err error) {
	rows := &lowlp.Dense{D: 3} // s, t, largest opening
	var of []touch
	put := func(k knot, below bool, b float64, s, t, w float64) {
		rows.Add(b, s, t, w)
		of = append(of, touch{k, below})
	}
	cost := []float64{1, 0, 0}
	for _, k := range knots {
		y := k.at - middle
		put(k, false, -k.top, -1, -y, 0)
		if k.hasBottom {
			put(k, true, -k.bottom, -1, -y, 0)
		}
		put(k, false, k.top, 1, y, -1)
	}
	if within != nil {
		cost = []float64{0, 0, 1}
		if !math.IsInf(*within, 0) {
			put(knot{}, false, *within+1e-9, 1, 0, 0)
		}
	}
	p, err := lowlp.Solve(lowlp.Problem{Cost: cost, Rows: rows})
	if err != nil {
		return l, err
	}
	if p.Status != lowlp.Optimal {
		return l, trouble.Own("edge-lost", "edge", "two edges do not close: "+p.Status.String(), "report this")
	}
	l.s, l.t = p.V[0], p.V[1]
	for _, k := range knots {
		line := l.s + l.t*(k.at-middle)
		if line-k.top < 1e-8 {
			l.holds = append(l.holds, touch{k, false})
		} else if k.hasBottom && line-k.bottom < 1e-8 {
			l.holds = append(l.holds, touch{k, true})
		}
	}
	var sum, most float64
	for k, id := range p.Active {
		y := p.Multipliers[k]
		sum += y * y * of[id].u * of[id].u
		if y > most {
			most, l.largest.At = y, of[id].at
		}
	}
	l.largest.Value, l.largest.U = max(0, p.Value), math.Sqrt(sum)
	return l, nil
}

// open reads off what stays open. The line is held by the outermost places that touch, so its height at a place is a sum of their readings, and its uncertainty with it.
func (g *Gap) open(knots []knot, l laid, middle float64) {
	for _, h := range l.holds {
		g.Touch, g.Below = append(g.Touch, h.at), append(g.Below, h.below)
	}
	doubt := func(k knot) float64 {
		if len(l.holds) == 0 {
			return k.u
		}
		p, q := l.holds[0], l.holds[len(l.holds)-1]
		f := 0.
		if w := q.at - p.at; w > 0 {
			f = (k.at - p.at) / w
		}
		return math.Sqrt(k.u*k.u + (1-f)*(1-f)*p.u*p.u + f*f*q.u*q.u)
	}
	for i, k := range knots {
		line := l.s + l.t*(k.at-middle)
		top := line - k.top
		g.AtFace = append(g.AtFace, [2]float64{k.at, max(0, top)})
		if i == 0 || top > g.Top.Value {
			g.Top = Value{max(0, top), doubt(k), k.at}
		}
		if bottom := line - k.bottom; k.hasBottom && (g.Bottom == nil || bottom > g.Bottom.Value) {
			g.Bottom = &Value{max(0, bottom), doubt(k), k.at}
		}
	}
}

// meet lists the places where one of the edges was read, within the stretch of both.
func meet(a, b *Edge) (list []knot) {
	last := func(e *Edge) float64 { return e.Readings[len(e.Readings)-1].At }
	low, high := max(a.Readings[0].At, b.Readings[0].At), min(last(a), last(b))
	var places []float64
	for _, e := range []*Edge{a, b} {
		for _, r := range e.Readings {
			if r.At >= low && r.At <= high {
				places = append(places, r.At)
			}
		}
	}
	slices.Sort(places)
	for _, y := range slices.Compact(places) {
		p, q := a.between(y), b.between(y)
		list = append(list, knot{at: y, top: p.Top + q.Top, bottom: p.Bottom + q.Bottom, u: math.Hypot(p.U, q.U), hasBottom: p.HasBottom && q.HasBottom})
	}
	return list
}

// between reads the edge at a place within its readings, in a straight line between the two next to it. The uncertainty is the larger of the two.
func (e *Edge) between(at float64) Reading {
	i, found := slices.BinarySearchFunc(e.Readings, at, func(r Reading, at float64) int {
		switch {
		case r.At < at:
			return -1
		case r.At > at:
			return 1
		}
		return 0
	})
	if found {
		return e.Readings[i]
	}
	p, q := e.Readings[i-1], e.Readings[i]
	f := (at - p.At) / (q.At - p.At)
	return Reading{At: at, Top: p.Top + f*(q.Top-p.Top), Bottom: p.Bottom + f*(q.Bottom-p.Bottom), HasBottom: p.HasBottom && q.HasBottom, U: max(p.U, q.U)}
}
