package beds

import (
	"math"

	"slatewright/seating"
)

// line is a floor of the larger step at a joint of two pieces over half the zone of the bed: at half zones of h and more, up to the next line's,
// the step is s + g·(half − h). Lines fall and flatten: the step is convex in the zone, and each line, carried on, is a floor everywhere.
type line struct{ h, s, g float64 }

// lines is the step at one joint, as far as the two pieces alone say: nil knows nothing, and the step may be 0.
type lines []line

// at is the floor at half a zone.
func (f lines) at(half float64) float64 {
	for k := len(f) - 1; k >= 0; k-- {
		if l := f[k]; k == 0 || l.h <= half {
			return max(0, l.s+l.g*(half-l.h))
		}
	}
	return 0
}

// reaches is the smallest half zone, from the given one up, at which the floor is no more than step; +Inf: none.
func (f lines) reaches(step, half float64) float64 {
	if len(f) == 0 {
		return half
	}
	for k, l := range f[1:] {
		if l.s <= step { // it is reached on the line before, or was already
			return f[k].reaches(step, half)
		}
	}
	return f[len(f)-1].reaches(step, half)
}

// reaches is the same for a line carried on.
func (l line) reaches(step, half float64) float64 {
	switch {
	case l.s+l.g*(half-l.h) <= step:
		return half
	case l.g >= 0:
		return math.Inf(1)
	}
	return max(half, l.h+(step-l.s)/l.g)
}

// loose is how far below the step a floor may lie, as a share of it, for the sake of fewer lines.
const loose = 1e-3

// fewer leaves lines out where those that stay, carried on, lose no more than loose. The first stays.
func (f lines) fewer() lines {
	n := 1
	for k := 0; k < len(f)-1; {
		last := f[n-1]
		next, at := k+1, f[k+1].h
		for j := k + 2; j < len(f); j++ {
			h, low := last.cross(f[j])
			if high := f[k:].at(h); low < high-loose*high {
				break
			}
			next, at = j, h
		}
		l := f[next]
		f[n] = line{at, l.s + l.g*(at-l.h), l.g}
		n++
		k = next
	}
	return f[:n]
}

// cross is where a flatter line takes over, and the height there.
func (l line) cross(m line) (h, s float64) {
	h = m.h
	if l.g < m.g {
		h = min(max(l.h+(m.s-l.s-m.g*(m.h-l.h))/(l.g-m.g), l.h), m.h)
	}
	return h, max(l.s+l.g*(h-l.h), m.s+m.g*(h-m.h))
}

// trace appends the floor of a joint of two pieces to list: program p has the pieces and the joint. It begins at the larger of the own zones and ends
// at half a zone of most.
func (p *program) trace(list lines, most float64) lines {
	p.n, p.d, p.forZone = 2, 7, false
	p.half = max(p.pieces[0].zone, p.pieces[1].zone)/2 + seating.Hold/2
	p.begin()
	if p.solve(math.Inf(1)) != solved {
		return list
	}
	first := len(list)
	for range exchanges {
		way := p.widening()
		l := line{p.half, p.x[p.d-1], way[p.d-1]}
		if l.g > -1e-12 {
			l.g = 0
		}
		switch n := len(list); {
		case n > first && l.h-list[n-1].h <= 1e-12:
			list[n-1] = l
		default:
			list = append(list, l)
		}
		if l.g == 0 {
			break
		}
		far, id := p.next(&way)
		if id < 0 || p.half+far >= most {
			break
		}
		for j := range p.d {
			p.x[j] += far * way[j]
		}
		p.half += far
		leave, fine := p.entering(id)
		if !fine && p.refactor() {
			leave, fine = p.entering(id)
		}
		if leave < 0 {
			break
		}
		p.exchange(leave, id, 0)
		if (!fine || p.turns%32 == 0) && !p.refactor() {
			break
		}
	}
	return list[:first+len(list[first:].fewer())]
}

// widening is how x moves when half the zone grows by 1 and the rows of the basis stay met.
func (p *program) widening() (way [unknowns]float64) {
	for k := range p.d {
		if int(p.basis[k]>>kindBits) < jointKind {
			for j := range p.d {
				way[j] += p.inv[k][j]
			}
		}
	}
	return way
}

// next is the row that is met first on the way, and how far off it is; −1: none.
func (p *program) next(way *[unknowns]float64) (far float64, id int32) {
	const flat = 1e-12
	far, id = math.Inf(1), -1
	x := &p.x
	for k := range p.n {
		o := 3 * k
		for i := range p.pieces[k].rows {
			r := &p.pieces[k].rows[i]
			if fall := r.a0*way[o] + r.a1*way[o+1] + r.a2*way[o+2] - 1; fall > flat {
				room := max(0, r.b+p.half-r.a0*x[o]-r.a1*x[o+1]-r.a2*x[o+2])
				if room < far*fall {
					far, id = room/fall, int32(k<<kindBits|i)
				}
			}
		}
	}
	for i := range p.joints[0] {
		c := &p.joints[0][i]
		over := func(x *[unknowns]float64) float64 {
			return x[3] + x[4]*c.footU + x[5]*c.footV - x[0] - x[1]*c.headU - x[2]*c.headV
		}
		at, by := c.z+over(x), over(way)
		if fall := by - way[6]; fall > flat {
			if room := max(0, x[6]-at); room < far*fall {
				far, id = room/fall, int32(jointKind<<kindBits|2*i)
			}
		}
		if fall := -by - way[6]; fall > flat {
			if room := max(0, x[6]+at); room < far*fall {
				far, id = room/fall, int32(jointKind<<kindBits|2*i+1)
			}
		}
	}
	if fall := -way[6]; fall > flat {
		if room := max(0, x[6]); room < far*fall {
			far, id = room/fall, floorRow
		}
	}
	return far, id
}
