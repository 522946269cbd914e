// Package rough bounds the clean-up of a slab by the cheap set of the rough stage: the worst gap under a straightedge on eight lines of each face, with its
// sense, and the thickness at four corners.
//
// The nine stations where the lines begin, cross and end have unknown heights. Each reading is a bound on them, and the thickest pair of parallel planes
// is the least, and the most, that any heights which agree with all readings give. What lies between the lines is not in it; heights are not found,
// only bounded. Lengths are mm, in the piece frame.
package rough

import (
	"fmt"
	"math"

	"slatewright/lowlp"
	"slatewright/trouble"
)

// The stations, seen from the foot: three rows along the table, from the head to the foot, left row first.
const (
	HeadLeft = iota
	MiddleLeft
	FootLeft
	HeadMiddle
	Centre
	FootMiddle
	HeadRight
	MiddleRight
	FootRight
	stations
)

// Line is one of the eight lines: two ends and the station in its middle.
type Line struct {
	Name             string
	From, Middle, To int
}

// Lines are the eight lines: three along the table, three across it, two diagonals.
func Lines() []Line {
	return []Line{
		{"left along", HeadLeft, MiddleLeft, FootLeft}, {"middle along", HeadMiddle, Centre, FootMiddle}, {"right along", HeadRight, MiddleRight, FootRight},
		{"head across", HeadLeft, HeadMiddle, HeadRight}, {"middle across", MiddleLeft, Centre, MiddleRight}, {"foot across", FootLeft, FootMiddle, FootRight},
		{"head left diagonal", HeadLeft, Centre, FootRight}, {"head right diagonal", HeadRight, Centre, FootLeft},
	}
}

// Corners are the stations of the four thicknesses.
func Corners() []int { return []int{HeadLeft, HeadRight, FootLeft, FootRight} }

// Gap is the worst gap under the edge on a line, mm, above 0 for hollow (in the middle), below 0 for a crown (at both ends alike, the edge level on the
// middle). NaN was not read.
type Gap float64

// Slab is what was read.
type Slab struct {
	Corners     [4]float64 // thicknesses, in the order of Corners
	Top, Bottom [8]Gap     // in the order of Lines, each face looked at from outside
	Strip       float64    // step of the strips: a gap is up to so much more than it was read
	Caliper     float64    // limits of a caliper thickness, ±
}

// Bounds are what the readings prove.
type Bounds struct {
	// Low and High bound the thickest pair of planes that clear the nine stations. Low is −Inf where lines are missing that would bound it. Under is a lower
	// bound for planes that clear everything under the edges, wherever along them the worst gap lay.
	Low, High, Under float64
	// Top and Bottom are stations that hold the planes in the worst case.
	Top, Bottom []int
}

// place is where a station lies; ±1 are the edges.
func place(k int) (x, y float64) { return float64(k%3 - 1), float64(k/3 - 1) }

// Place is where a station lies on a piece of the size; margin is how far inside the edges the lines run.
func Place(k int, sizeX, sizeY, margin float64) (x, y float64) {
	x, y = place(k)
	return x * (sizeX/2 - margin), y * (sizeY/2 - margin)
}

// The unknowns: heights of the top, then of the bottom, three of which are 0 since the slab may lie in any way.
const unknowns = 2*stations - 3

// unknown is the number of an unknown, −1 for one that is 0.
func unknown(bottom bool, k int) int {
	if !bottom {
		return k
	}
	for i, fixed := range []int{HeadLeft, FootLeft, HeadRight} {
		if k == fixed {
			return -1
		}
		if k < fixed {
			return stations + k - i
		}
	}
	return stations + k - 3
}

// Find bounds the clean-up. The error is a *trouble.Trouble: a corner without a thickness.
func Find(s Slab) (Bounds, error) {
	for _, t := range s.Corners {
		if !(t > 0) {
			return Bounds{}, trouble.Data("no-corner", "thickness", "a corner has no thickness", "measure the thickness at all four corners")
		}
	}
	m := s.rows(unknowns)
	b := Bounds{Low: math.Inf(1), Under: math.Inf(1)}
	drop := [2][stations]float64{s.drop(s.Top), s.drop(s.Bottom)}
	var least *contacts
	for _, c := range ways() {
		low, status, err := leastOf(m, c, false)
		if err != nil {
			return Bounds{}, err
		}
		if status == lowlp.Infeasible { // a slab of even faces agrees with any gaps
			return Bounds{}, trouble.Own("rough", "rough", "no slab agrees with the readings", "report this with the readings")
		}
		if status == lowlp.Unbounded {
			low = math.Inf(-1)
		}
		if low < b.Low {
			b.Low, least = low, &c
		}
		b.Under = min(b.Under, low-c.lost(drop))
	}
	if !math.IsInf(b.Low, 0) {
		low, _, err := leastOf(m, *least, true)
		if err != nil {
			return Bounds{}, err
		}
		b.Under, b.Low = b.Under-(b.Low-low)-floats, low-floats
	}
	b.Top, b.Bottom = least.stations()
	var err error
	b.High, err = s.most()
	return b, err
}

// floats is what a program that was solved in floats may be off by, mm: heights are some tens of mm. Every reading is widened by as much, so that
// readings which agree exactly do so in floats too.
const floats = 1e-9

// rows are the readings as bounds on the unknowns, in a system of d of them.
func (s Slab) rows(d int) *lowlp.Dense {
	m := &lowlp.Dense{D: d}
	between := func(low, high float64, terms ...term) {
		a := make([]float64, d)
		for _, t := range terms {
			if i := unknown(t.bottom, t.station); i >= 0 {
				a[i] += t.by
			}
		}
		m.Add(high+floats, a...)
		for i := range a {
			a[i] = -a[i]
		}
		m.Add(floats-low, a...)
	}
	for i, k := range Corners() {
		between(s.Corners[i]-s.Caliper, s.Corners[i]+s.Caliper, term{false, k, 1}, term{true, k, -1})
	}
	for i, l := range Lines() {
		if low, high, known := s.rise(s.Top[i]); known {
			between(low, high, term{false, l.Middle, 1}, term{false, l.From, -0.5}, term{false, l.To, -0.5})
		}
		if low, high, known := s.rise(s.Bottom[i]); known { // seen from outside, its heights are turned
			between(-high, -low, term{true, l.Middle, 1}, term{true, l.From, -0.5}, term{true, l.To, -0.5})
		}
	}
	return m
}

type term struct {
	bottom  bool
	station int
	by      float64
}

// rise is how far the middle of a line stands above the line between its ends.
func (s Slab) rise(gap Gap) (low, high float64, known bool) {
	g := float64(gap)
	switch {
	case g != g:
		return 0, 0, false
	case g > 0:
		return -g - s.Strip, 0, true
	case g < 0:
		return 0, -g + s.Strip, true
	}
	return -s.Strip, s.Strip, true
}

// drop is how far the face can lie, beside a station, inside the lines that end there: the worst gap of a hollow line may be anywhere along it.
func (s Slab) drop(gaps [8]Gap) (d [stations]float64) {
	for i, l := range Lines() {
		if low, _, known := s.rise(gaps[i]); known {
			for _, k := range []int{l.From, l.To} {
				d[k] = max(d[k], -low)
			}
		}
	}
	return d
}

// leastOf is the least thickness that a set of contacts can have.
func leastOf(m *lowlp.Dense, c contacts, prove bool) (float64, lowlp.Status, error) {
	cost := make([]float64, unknowns)
	for side := range 2 {
		for k, w := range c.weight[side] {
			if i := unknown(side == 1, k); i >= 0 {
				cost[i] += w * float64(1-2*side)
			}
		}
	}
	p := lowlp.Problem{Cost: cost, Rows: m}
	s, err := lowlp.Solve(p)
	if err != nil || s.Status != lowlp.Optimal {
		return 0, s.Status, err
	}
	if prove {
		if err := lowlp.Prove(p, &s); err != nil {
			return 0, s.Status, err
		}
		return s.Bound, s.Status, nil
	}
	return s.Value, s.Status, nil
}

// most is the most that any heights allow: heights and planes are looked for together.
func (s Slab) most() (float64, error) {
	const d = unknowns + 4
	m := s.rows(d)
	for k := range stations {
		x, y := place(k)
		for side := range 2 {
			a := make([]float64, d)
			sign := float64(1 - 2*side)
			if i := unknown(side == 1, k); i >= 0 {
				a[i] = -sign
			}
			a[unknowns], a[unknowns+1], a[unknowns+2+side] = sign*x, sign*y, sign
			m.Add(0, a...)
		}
	}
	cost := make([]float64, d)
	cost[unknowns+2], cost[unknowns+3] = -1, 1
	p := lowlp.Problem{Cost: cost, Rows: m}
	sol, err := lowlp.Solve(p)
	if err != nil {
		return 0, err
	}
	if sol.Status != lowlp.Optimal {
		return 0, trouble.Own("rough", "rough", fmt.Sprintf("the upper bound came back %s", sol.Status), "report this with the readings")
	}
	if err := lowlp.Prove(p, &sol); err != nil {
		return 0, err
	}
	return -sol.Bound, nil
}
