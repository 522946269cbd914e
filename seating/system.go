package seating

import (
	"math"

	"slatewright/cores"
	"slatewright/lowlp"
)

// step is the height difference over a joint at one station as a function of the moves: z + a·v.
type step struct {
	y float64
	z float64
	a [9]float64
}

// system is one wish as rows for lowlp. The unknowns are height, tilt x and tilt y of the three pieces in their own frames,
// and, if something is wished small, that one number last.
//
//	rows 2i, 2i+1:             reading i (of all pieces in turn) is at most half a zone above, below, z = 0
//	rows 2N+2s, 2N+2s+1:       the step at station s (of both joints in turn) is at most its limit, either way
type system struct {
	pieces [3]*piece // head, centre, foot
	steps  [2][]step

	half     float64 // half the zone allowed; +Inf: any
	halfWish bool    // half the zone is the last unknown
	limit    [2]float64
	wish     [2]bool // the limit of this joint's steps is the last unknown
}

func (s *system) wishes() bool { return s.halfWish || s.wish[0] || s.wish[1] }

// Dim returns 9, or 10 with a wish.
func (s *system) Dim() int {
	if s.wishes() {
		return 10
	}
	return 9
}

func (s *system) points() int {
	return len(s.pieces[0].z) + len(s.pieces[1].z) + len(s.pieces[2].z)
}

// limited returns those of the rows that limit anything at present.
func (s *system) limited(rows []int) []int {
	var out []int
	for _, row := range rows {
		free := !s.halfWish && math.IsInf(s.half, 1)
		if i := row/2 - s.points(); i >= 0 {
			j := 0
			if i >= len(s.steps[0]) {
				j = 1
			}
			free = !s.wish[j] && math.IsInf(s.limit[j], 1)
		}
		if !free {
			out = append(out, row)
		}
	}
	return out
}

// locate returns the piece and the number within it of reading i.
func (s *system) locate(i int) (k, local int) {
	for k := range 2 {
		if n := len(s.pieces[k].z); i >= n {
			i -= n
		} else {
			return k, i
		}
	}
	return 2, i
}

// Row writes one row.
func (s *system) Row(i int, a []float64) float64 {
	clear(a)
	sign := 1.0
	if i%2 == 1 {
		sign = -1
	}
	i /= 2
	if n := s.points(); i >= n {
		return s.stepRow(i-n, sign, a)
	}
	k, local := s.locate(i)
	p := s.pieces[k]
	a[3*k], a[3*k+1], a[3*k+2] = sign, sign*p.x[local], sign*p.y[local]
	b := float64(-sign * p.z[local])
	if s.halfWish {
		a[9] = -1
		return b
	}
	return b + s.half
}

func (s *system) stepRow(i int, sign float64, a []float64) float64 {
	j := 0
	if i >= len(s.steps[0]) {
		i -= len(s.steps[0])
		j = 1
	}
	st := s.steps[j][i]
	for c, x := range st.a {
		a[c] = sign * x
	}
	b := float64(-sign * st.z)
	if s.wish[j] {
		a[9] = -1
		return b
	}
	return b + s.limit[j]
}

// Worst scans all readings and all stations.
func (s *system) Worst(v []float64, ray bool, yield func(int, float64)) {
	if s.halfWish || s.half < math.Inf(1) {
		s.worstReadings(v, ray, yield)
	}
	s.worstSteps(v, ray, yield)
}

// Blocks of readings are small when there are few, so that one scan brings in several rows.
const (
	smallBlock   = 32
	largeBlock   = lowlp.BlockRows / 4
	manyReadings = 20_000
)

// extremes are the highest and the lowest reading of one block, moved.
type extremes struct {
	high, low     float64
	highAt, lowAt int
}

func (s *system) worstReadings(v []float64, ray bool, yield func(int, float64)) {
	half := s.half
	if s.halfWish {
		half = v[9]
	} else if ray {
		half = 0
	}
	first := 0
	for k, p := range s.pieces {
		n := len(p.z)
		block := smallBlock
		if n >= manyReadings {
			block = largeBlock
		}
		for _, e := range p.scanBlocks(v[3*k:3*k+3], ray, block) {
			if e.high > half {
				yield(2*(first+e.highAt), e.high-half)
			}
			if -e.low > half {
				yield(2*(first+e.lowAt)+1, -e.low-half)
			}
		}
		first += n
	}
}

// scanBlocks returns the extremes of each block of moved readings, on all cores when there are many blocks.
func (p *piece) scanBlocks(m []float64, ray bool, block int) []extremes {
	n := len(p.z)
	out := make([]extremes, (n+block-1)/block)
	work := func(from, to int) {
		for b := from; b < to; b++ {
			lo, hi := b*block, min((b+1)*block, n)
			if ray {
				out[b] = extremesOfRay(p.x[lo:hi], p.y[lo:hi], m)
			} else {
				out[b] = extremesOf(p.x[lo:hi], p.y[lo:hi], p.z[lo:hi], m)
			}
			out[b].highAt += lo
			out[b].lowAt += lo
		}
	}
	cores.Share(len(out), manyReadings/largeBlock, work)
	return out
}

func extremesOf(x, y, z, m []float64) extremes {
	h, tx, ty := m[0], m[1], m[2]
	e := extremes{high: math.Inf(-1), low: math.Inf(1)}
	y, z = y[:len(x)], z[:len(x)]
	for i, xi := range x {
		r := z[i] + h + float64(tx*xi) + float64(ty*y[i])
		if r > e.high {
			e.high, e.highAt = r, i
		}
		if r < e.low {
			e.low, e.lowAt = r, i
		}
	}
	return e
}

// extremesOfRay leaves the readings out: right sides count as 0.
func extremesOfRay(x, y, m []float64) extremes {
	e := extremes{high: math.Inf(-1), low: math.Inf(1)}
	for i := range x {
		r := moved(0, x[i], y[i], m)
		if r > e.high {
			e.high, e.highAt = r, i
		}
		if r < e.low {
			e.low, e.lowAt = r, i
		}
	}
	return e
}

func (s *system) worstSteps(v []float64, ray bool, yield func(int, float64)) {
	row := 2 * s.points()
	for j, steps := range s.steps {
		limit := s.limit[j]
		if s.wish[j] {
			limit = v[9]
		} else if math.IsInf(limit, 1) {
			row += 2 * len(steps)
			continue
		} else if ray {
			limit = 0
		}
		for _, st := range steps {
			d := st.at(v)
			if ray {
				d -= st.z
			}
			if d > limit {
				yield(row, d-limit)
			}
			if -d > limit {
				yield(row+1, -d-limit)
			}
			row += 2
		}
	}
}

// at is the step after the moves v.
func (st step) at(v []float64) float64 {
	d := st.z
	for c, x := range st.a {
		d += float64(x * v[c])
	}
	return d
}

// corners are the moves of the twelve corners, as terms of a sum of squares.
func (s *system) corners() []float64 {
	var g []float64
	for k, p := range s.pieces {
		for _, c := range p.corners() {
			row := make([]float64, 9)
			row[3*k], row[3*k+1], row[3*k+2] = 1, c[0], c[1]
			g = append(g, row...)
		}
	}
	return g
}
