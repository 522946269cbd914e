package beds

import "math"

// reading is a reading that may touch a plane of the zone, as the row a0·h + a1·s + a2·t ≤ b + H: h, s and t are the height and the
// two tilts of its piece, mm at half the piece's size, H is half the zone. a0 is 1 for the upper plane, −1 for the lower.
type reading struct{ a0, a1, a2, b float64 }

// crossing is one station of a joint: the step there is z + the foot side's move − the head side's. Places are shares of half the
// pieces' sizes.
type crossing struct {
	z            float64
	headU, headV float64
	footU, footV float64
}

// unknowns is the largest number of unknowns: three for each piece, and one that is wished small.
const unknowns = 10

// program is the linear program of two or three pieces in a row. The last unknown is wished small: the larger step with readings
// inside half a zone, or half the zone with steps inside a limit. Rows are known by numbers: see the kinds below.
//
// It is solved by the dual simplex method with an explicit inverse, from a basis in which the pieces lie as flat as each can; the
// value only grows, so that a solve may end as soon as it is too large to matter.
type program struct {
	pieces [3]*piece
	joints [2][]crossing
	n, d   int // pieces; unknowns: 3n + 1

	forZone bool    // half the zone is wished small
	half    float64 // half the zone allowed, with !forZone
	limit   float64 // of the steps, with forZone

	basis [unknowns]int32
	inv   [unknowns][unknowns]float64 // row k: what moves when row k of the basis gives way by 1
	x     [unknowns]float64
	a     [unknowns]float64 // a row, written out
	w     [unknowns]float64
	turns int  // exchanges
	fresh bool // inv was worked out from the basis as it is
}

// Kinds of rows, in the bits above the number of the row among its kind.
const (
	kindBits        = 20
	jointKind       = 4             // 0, 1, 2: readings of that piece; 4, 5: station/2 of that joint, either way
	floorRow  int32 = 7 << kindBits // the last unknown is not negative
)

// Precision, mm: what counts as kept, and as nothing.
const (
	kept    = 1e-13
	nothing = 1e-11
	hair    = 1e-12
)

// row writes the coefficients of a row into p.a and returns its right side.
func (p *program) row(id int32) float64 {
	p.a = [unknowns]float64{}
	last := p.d - 1
	i := int(id & (1<<kindBits - 1))
	switch kind := id >> kindBits; {
	case id == floorRow:
		p.a[last] = -1
		return 0
	case kind < jointKind:
		r := &p.pieces[kind].rows[i]
		at := 3 * kind
		p.a[at], p.a[at+1], p.a[at+2] = r.a0, r.a1, r.a2
		if p.forZone {
			p.a[last] = -1
			return r.b
		}
		return r.b + p.half
	default:
		j := int(kind - jointKind)
		c := &p.joints[j][i/2]
		sign := 1.0
		if i%2 == 1 {
			sign = -1
		}
		h, f := p.a[3*j:3*j+3], p.a[3*j+3:3*j+6]
		h[0], h[1], h[2] = -sign, -sign*c.headU, -sign*c.headV
		f[0], f[1], f[2] = sign, sign*c.footU, sign*c.footV
		if p.forZone {
			return p.limit - sign*c.z
		}
		p.a[last] = -1
		return -sign * c.z
	}
}

// worst returns the row that x breaks most, and by how much; −1 when none is broken by more than kept.
func (p *program) worst() (id int32, excess float64) {
	id, excess = -1, kept
	half := p.half
	if p.forZone {
		half = p.x[p.d-1]
	}
	for k := range p.n {
		m0, m1, m2 := p.x[3*k], p.x[3*k+1], p.x[3*k+2]
		over := half + excess
		for i := range p.pieces[k].rows {
			r := &p.pieces[k].rows[i]
			if e := r.a0*m0 + r.a1*m1 + r.a2*m2 - r.b; e > over {
				over, id = e, int32(k<<kindBits|i)
			}
		}
		excess = over - half
	}
	limit := p.limit
	if !p.forZone {
		limit = p.x[p.d-1]
	}
	for j := range p.n - 1 {
		h, f := p.x[3*j:3*j+3], p.x[3*j+3:3*j+6]
		for i := range p.joints[j] {
			c := &p.joints[j][i]
			s := c.z + f[0] + f[1]*c.footU + f[2]*c.footV - h[0] - h[1]*c.headU - h[2]*c.headV
			if e := s - limit; e > excess {
				excess, id = e, int32((jointKind+j)<<kindBits|2*i)
			}
			if e := -s - limit; e > excess {
				excess, id = e, int32((jointKind+j)<<kindBits|2*i+1)
			}
		}
	}
	if e := -p.x[p.d-1]; e > excess {
		excess, id = e, floorRow
	}
	return id, excess
}

// begin takes the basis in which each piece lies on three of the readings that hold its own smallest zone.
func (p *program) begin() {
	p.turns, p.fresh = 0, true
	last := p.d - 1
	p.basis[last] = floorRow
	if p.forZone {
		for k := range p.n {
			for c, held := range p.pieces[k].held {
				p.basis[3*k+c] = int32(k<<kindBits | held)
			}
		}
		p.refactor()
		return
	}
	p.inv = [unknowns][unknowns]float64{}
	p.x = [unknowns]float64{}
	for k := range p.n {
		q := p.pieces[k]
		for c := range 3 {
			at := 3*k + c
			p.basis[at] = int32(k<<kindBits | q.held[c])
			b := q.rows[q.held[c]].b + p.half
			for j := range 3 {
				p.inv[at][3*k+j] = q.hold[c][j]
				p.x[3*k+j] += b * q.hold[c][j]
			}
		}
	}
	p.inv[last][last] = -1
}

// outcome is how a solve ended.
type outcome int

const (
	solved   outcome = iota
	beyond           // the value exceeds the bound that was given
	never            // the rows cannot be met
	lostPath         // rounding or going in circles: ask package seating
)

// exchanges is the largest number of exchanges of a solve; about 20 are usual.
const exchanges = 400

// solve runs from the present basis until no row is broken, or the value exceeds bound.
func (p *program) solve(bound float64) outcome {
	last := p.d - 1
	for polished, again := false, false; ; {
		if p.x[last] > bound {
			return beyond
		}
		id, excess := p.worst()
		if id < 0 {
			switch {
			case !polished:
				p.polish()
				polished = true
			case p.sound():
				return solved
			case again || !p.refactor():
				return lostPath
			default: // rounding heaped up on the way: once more, from the basis itself
				again, polished = true, false
			}
			continue
		}
		if p.turns >= exchanges {
			return lostPath
		}
		leave, fine := p.entering(id)
		if !fine && !p.fresh { // a hair of rounding may have been taken for an exchange, or for none
			if !p.refactor() {
				return lostPath
			}
			continue
		}
		if leave < 0 {
			return never
		}
		p.exchange(leave, id, excess)
		polished = false
		if (!fine || p.turns%32 == 0) && !p.refactor() {
			return lostPath
		}
	}
}

// entering writes the row as a sum w of the basis and returns the place that makes room for it, or −1. It is not fine when the place hardly
// can, or none can.
func (p *program) entering(id int32) (leave int, fine bool) {
	p.row(id)
	last, d := p.d-1, p.d
	top := 0.0
	for k := range d {
		s := 0.0
		for j := range d {
			s += p.a[j] * p.inv[k][j]
		}
		p.w[k] = s
		top = max(top, math.Abs(s))
	}
	leave = -1
	limit := math.Inf(1) // the multipliers may fall below 0 by a hair, so that a large exchange can be preferred (Harris 1973)
	for k, w := range p.w[:d] {
		if w > nothing*top {
			limit = min(limit, (max(0, -p.inv[k][last])+hair)/w)
		}
	}
	for k, w := range p.w[:d] {
		if w > nothing*top && max(0, -p.inv[k][last]) <= limit*w && (leave < 0 || w > p.w[leave]) {
			leave = k
		}
	}
	return leave, leave >= 0 && p.w[leave] > 1e-6*top
}

// exchange puts a row that is broken by excess in the place of another.
func (p *program) exchange(leave int, id int32, excess float64) {
	d := p.d
	p.turns++
	p.fresh = false
	p.basis[leave] = id
	out := &p.inv[leave]
	by := 1 / p.w[leave]
	for j := range d {
		out[j] *= by
		p.x[j] -= excess * out[j]
	}
	for k := range d {
		if w := p.w[k]; k != leave && w != 0 {
			row := &p.inv[k]
			for j := range d {
				row[j] -= w * out[j]
			}
		}
	}
}

// refactor works out the inverse and x anew from the basis (Gauss and Jordan, with the largest pivots); false when it is singular.
func (p *program) refactor() bool {
	var m [unknowns][2 * unknowns]float64
	d := p.d
	var b [unknowns]float64
	for k := range d {
		b[k] = p.row(p.basis[k])
		copy(m[k][:d], p.a[:d])
		m[k][d+k] = 1
	}
	for c := range d {
		best := c
		for k := c + 1; k < d; k++ {
			if math.Abs(m[k][c]) > math.Abs(m[best][c]) {
				best = k
			}
		}
		m[c], m[best] = m[best], m[c]
		pivot := m[c][c]
		if !(math.Abs(pivot) > 1e-12) {
			return false
		}
		for j := c; j < 2*d; j++ {
			m[c][j] /= pivot
		}
		for k := range d {
			if f := m[k][c]; k != c && f != 0 {
				for j := c; j < 2*d; j++ {
					m[k][j] -= f * m[c][j]
				}
			}
		}
	}
	for j := range d { // m is now the inverse, its row j the unknown j
		s := 0.0
		for k := range d {
			p.inv[k][j] = m[j][d+k]
			s += m[j][d+k] * b[k]
		}
		p.x[j] = s
	}
	p.fresh = true
	return true
}

// polish takes out what rounding left in the rows of the basis.
func (p *program) polish() {
	var r [unknowns]float64
	for k := range p.d {
		r[k] = p.row(p.basis[k])
		for j := range p.d {
			r[k] -= p.a[j] * p.x[j]
		}
	}
	for k := range p.d {
		for j := range p.d {
			p.x[j] += p.inv[k][j] * r[k]
		}
	}
}

// sound checks the end of a solve: multipliers that are not negative balance the wish, and the rows of the basis are met.
func (p *program) sound() bool {
	last := p.d - 1
	var sum [unknowns]float64
	sum[last] = 1
	for k := range p.d {
		b := p.row(p.basis[k])
		l := -p.inv[k][last]
		if l < -1e-9 {
			return false
		}
		for j := range p.d {
			b -= p.a[j] * p.x[j]
			sum[j] += l * p.a[j]
		}
		if math.Abs(b) > 1e-11 {
			return false
		}
	}
	for _, s := range sum[:p.d] {
		if math.Abs(s) > 1e-9 {
			return false
		}
	}
	return true
}
