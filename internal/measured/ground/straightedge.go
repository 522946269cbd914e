package ground

import "math"

// rockShare is how near its rests must be, as a share of its length, for a straightedge to rock. Common practice, no source.
const rockShare = 0.1

// Straightedge is how a rigid straightedge lies: where its ends are and where it touches, and the largest gap beneath it.
type Straightedge struct {
	Ends  [2]Knot
	Rests []Knot  // two places, or one on which it balances
	Rocks bool    // it touches only about its middle, so that either end can be pressed down
	Gap   float64 // at right angles to it
	GapAt Knot    // the stone there
}

// Lay lays a straightedge over all the knots, which are in order along the line, two at least. It weighs the same all along, so it
// comes to lie on that side of the convex hull of the stone that is beneath its middle.
func Lay(knots []Knot) Straightedge {
	top := upperHull(knots)
	first, last := top[0], top[len(top)-1]
	middle := (first.S + last.S) / 2
	i := 1
	for i < len(top)-1 && top[i].S < middle-apart {
		i++
	}
	rests := []Knot{top[i-1], top[i]}
	base, slope := rests[0], steep(rests[0], rests[1])
	if i < len(top)-1 && math.Abs(top[i].S-middle) <= apart { // it balances on one place: as level between its neighbours as can be
		rests, base = []Knot{top[i]}, top[i]
		slope = (slope + steep(top[i], top[i+1])) / 2
	}
	height := func(s float64) float64 { return base.Z + slope*(s-base.S) }
	e := Straightedge{Rests: rests, Rocks: rests[len(rests)-1].S-rests[0].S < rockShare*(last.S-first.S)}
	for k, end := range [2]float64{first.S, last.S} {
		e.Ends[k] = Knot{end, height(end)}
	}
	e.GapAt = rests[0]
	for _, k := range knots {
		if gap := (height(k.S) - k.Z) / math.Sqrt(1+slope*slope); gap > e.Gap {
			e.Gap, e.GapAt = gap, k
		}
	}
	return e
}

// At is the height of the straightedge's lower side at a distance along the line, NaN beyond its ends.
func (e Straightedge) At(s float64) float64 {
	a, b := e.Ends[0], e.Ends[1]
	if s < a.S-apart || s > b.S+apart {
		return math.NaN()
	}
	return a.Z + steep(a, b)*(s-a.S)
}

func steep(a, b Knot) float64 { return (b.Z - a.Z) / (b.S - a.S) }

// upperHull is the upper side of the convex hull of knots in order (Andrew's monotone chain, 1979), of at least two.
func upperHull(knots []Knot) []Knot {
	var top []Knot
	for _, k := range knots {
		for len(top) >= 2 {
			a, b := top[len(top)-2], top[len(top)-1]
			if (b.S-a.S)*(k.Z-a.Z)-(b.Z-a.Z)*(k.S-a.S) < 0 {
				break
			}
			top = top[:len(top)-1]
		}
		top = append(top, k)
	}
	return top
}
