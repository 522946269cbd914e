package ground

import (
	"math"
	"slices"

	"slatewright/internal/picture/contour"
)

// Knot is a place along a line, S mm from its beginning, with its height.
type Knot struct{ S, Z float64 }

// Run is heights along a stretch of a line that was read: straight between neighbouring knots, of which there are two at least.
type Run []Knot

// Line is a straight line over a face.
type Line struct {
	Length float64
	from   [2]float64
	dx, dy float64 // unit direction
}

// NewLine is the line from one place to another.
func NewLine(from, to [2]float64) Line {
	l := Line{from: from, dx: to[0] - from[0], dy: to[1] - from[1]}
	l.Length = math.Hypot(l.dx, l.dy)
	l.dx, l.dy = l.dx/l.Length, l.dy/l.Length
	return l
}

// At is the place at a distance along the line.
func (l Line) At(s float64) [2]float64 { return [2]float64{l.from[0] + s*l.dx, l.from[1] + s*l.dy} }

// Over cuts the mesh along the line, exactly: each triangle gives the straight piece of the surface over it.
func (l Line) Over(m contour.Mesh) []Run {
	var pieces [][2]Knot
	triangles(m, func(t triangle) {
		if a, b, ok := l.through(t); ok {
			pieces = append(pieces, [2]Knot{a, b})
		}
	})
	slices.SortFunc(pieces, func(a, b [2]Knot) int {
		switch {
		case a[0].S < b[0].S:
			return -1
		case a[0].S > b[0].S:
			return 1
		}
		return 0
	})
	var runs []Run
	for _, p := range pieces {
		n := len(runs)
		switch {
		case n == 0 || p[0].S > runs[n-1][len(runs[n-1])-1].S+apart:
			runs = append(runs, Run{p[0], p[1]})
		case p[1].S > runs[n-1][len(runs[n-1])-1].S+apart:
			runs[n-1] = append(runs[n-1], p[1])
		}
	}
	return runs
}

// apart is how far two knots must be apart to be two, mm: more than rounding, less than anything on a face.
const apart = 1e-6

// graze is how near a node must be to a line to lie on it, mm: more than rounding.
const graze = 1e-9

// through cuts one triangle: where the line enters and leaves it.
func (l Line) through(t triangle) (in, out Knot, ok bool) {
	var s, d [3]float64 // along the line, and beside it
	for k, c := range t {
		x, y := c.x-l.from[0], c.y-l.from[1]
		s[k], d[k] = x*l.dx+y*l.dy, x*l.dy-y*l.dx
		if math.Abs(d[k]) < graze {
			d[k] = 0
		}
	}
	if min(d[0], d[1], d[2]) > 0 || max(d[0], d[1], d[2]) < 0 {
		return in, out, false
	}
	in, out = Knot{S: math.Inf(1)}, Knot{S: math.Inf(-1)}
	meet := func(k Knot) {
		if k.S < in.S {
			in = k
		}
		if k.S > out.S {
			out = k
		}
	}
	for k := range t {
		o := (k + 1) % 3
		if d[k] == 0 {
			meet(Knot{s[k], t[k].z})
		}
		if d[k]*d[o] < 0 {
			share := d[k] / (d[k] - d[o])
			meet(Knot{s[k] + share*(s[o]-s[k]), t[k].z + share*(t[o].z-t[k].z)})
		}
	}
	if !(out.S > in.S+apart) || out.S <= 0 || in.S >= l.Length {
		return in, out, false
	}
	at := func(s float64) Knot { return Knot{s, in.Z + (out.Z-in.Z)*(s-in.S)/(out.S-in.S)} }
	first, last := at(max(0, in.S)), at(min(l.Length, out.S))
	return first, last, last.S > first.S+apart
}

// HeightOn is the height at a distance along the line, NaN where it was not read.
func HeightOn(runs []Run, s float64) float64 {
	for _, r := range runs {
		if s < r[0].S-apart || s > r[len(r)-1].S+apart {
			continue
		}
		i, _ := slices.BinarySearchFunc(r, s, func(k Knot, s float64) int {
			if k.S < s {
				return -1
			}
			return 1
		})
		i = max(1, min(i, len(r)-1))
		a, b := r[i-1], r[i]
		return a.Z + (b.Z-a.Z)*(s-a.S)/(b.S-a.S)
	}
	return math.NaN()
}
