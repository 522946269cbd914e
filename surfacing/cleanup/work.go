package cleanup

import (
	"math"

	"slatewright/lowlp"
	"slatewright/trouble"
)

// eps is the distance from 1 to the next float64.
const eps = 0x1p-52

// sampleSize is how many readings of a large face decide where the search begins. A face with no more readings is taken whole.
const sampleSize = 1024

// place is a reading: the side and its number there.
type place struct{ side, i int }

// work is the readings that matter for the planes, centred on one of them, and where they came from.
type work struct {
	of     Slab
	origin vector
	points []place
	centre []vector
	first  [2]int         // how many of each side came in at first
	known  map[place]bool // is in points
	most   float64        // largest coordinate
	warm   []int          // rows that held the planes last
}

// newWork takes all readings of a small face, or one out of each of sampleSize equal stretches of a large one. The place in the stretch is
// scattered by a fixed rule, so that a raster's line length cannot fall in step with it (Knuth, The Art of Computer Programming, vol. 3, §6.4).
func newWork(s Slab) (*work, error) {
	w := &work{of: s, origin: s.at(place{0, 0}), known: map[place]bool{}}
	for side := range sides {
		n := s.face(side).Len()
		m := min(n, sampleSize)
		for k := range m {
			i := k
			if m < n {
				lo, hi := k*n/m, (k+1)*n/m
				i = lo + int(uint64(k)*0x9E3779B97F4A7C15>>32*uint64(hi-lo)>>32)
			}
			if !w.add(place{side, i}) {
				return nil, notFinite(place{side, i})
			}
		}
		w.first[side] = m
	}
	return w, nil
}

// add takes a reading in unless it is there; false if it is not finite.
func (w *work) add(at place) bool {
	v := w.of.at(at)
	if !v.finite() {
		return false
	}
	if w.known[at] {
		return true
	}
	w.known[at] = true
	w.most = max(w.most, math.Abs(v[0]), math.Abs(v[1]), math.Abs(v[2]))
	w.points = append(w.points, at)
	w.centre = append(w.centre, v.minus(w.origin))
	return true
}

// take takes in what a pass brought out, and tells whether anything was new.
func (w *work) take(e *extremes) bool {
	had := len(w.points)
	for side := range sides {
		for _, i := range e.at[side] {
			if i >= 0 {
				w.add(place{side, i})
			}
		}
	}
	return len(w.points) > had
}

// takeAll takes in what the first pass brought out. A map that was taken whole has nothing to add.
func (w *work) takeAll(e *extremes) {
	if w.first[0] < w.of.Top.Len() || w.first[1] < w.of.Bottom.Len() {
		w.take(e)
	}
}

// rounding is more than what the arithmetic here makes of the distance of two planes: for each of the two readings that decide it less than 7 eps of the
// largest coordinate (centring √3, three products √3, two sums 2√3), with room.
func (w *work) rounding() float64 { return 16 * eps * w.most }

// between is how high the upper plane and the lower one can stand, normal n, over the origin.
func (w *work) between(n vector) (upper, lower float64) {
	upper, lower = math.Inf(1), math.Inf(-1)
	for k, v := range w.centre {
		h := v.dot(n)
		if w.points[k].side == 0 {
			upper = min(upper, h)
		} else {
			lower = max(lower, h)
		}
	}
	return upper, lower
}

// program makes the linear program of the frame: rise p along e1, q along e2, height a of the upper plane and b of the lower one; the most of a − b.
func (w *work) program(f frame) lowlp.Problem {
	r := &rows{top: make([]bool, len(w.points)), u: make([]float64, len(w.points)), v: make([]float64, len(w.points)), w: make([]float64, len(w.points))}
	for k, c := range w.centre {
		r.top[k], r.u[k], r.v[k], r.w[k] = w.points[k].side == 0, c.dot(f.e1), c.dot(f.e2), c.dot(f.n)
	}
	return r.problem(w.warm)
}

// problem is the linear program over the rows; warm are rows that are likely to hold the planes.
func (r *rows) problem(warm []int) lowlp.Problem {
	return lowlp.Problem{Cost: []float64{0, 0, -1, 1}, Rows: r, Warm: append(r.outermost(), warm...)}
}

// mostTurns bounds the turning; two turns are usual.
const mostTurns = 20

// settle turns the normal until turning it no longer brings the planes apart.
func (w *work) settle(n vector) (vector, error) {
	upper, lower := w.between(n)
	best := upper - lower
	for range mostTurns {
		f := frameOf(n)
		s, err := lowlp.Solve(w.program(f))
		if err != nil {
			return n, err
		}
		if s.Status != lowlp.Optimal || math.Abs(s.V[0])+math.Abs(s.V[1]) > 1 {
			return n, loose()
		}
		w.warm = s.Active
		next := f.turned(s.V[0], s.V[1])
		upper, lower = w.between(next)
		gain := upper - lower - best
		if gain >= -w.rounding() {
			n, best = next, upper-lower
		}
		if gain <= w.rounding() {
			return w.polish(n, best, s)
		}
	}
	return n, nil
}

// polish mends a normal that stands still beside the best. Where fewer than four readings hold the planes (a corner over a corner, say), these can turn a
// little about them for nothing, and the program ends at some further contact, past the best. The thickness normal to the planes, V/√(1+p²+q²), is
// V − V·(p²+q²)/2 to third order; its most is a nearest point of the same rows, in a frame that turns with it until p and q are 0.
func (w *work) polish(n vector, best float64, s lowlp.Solution) (vector, error) {
	if best <= 0 || w.apart(w.held(s))-best <= w.rounding() {
		return n, nil
	}
	for range mostTurns {
		f := frameOf(n)
		upper, lower := w.between(n)
		v := upper - lower
		root := math.Sqrt(v)
		p := w.program(f)
		// (V+1−(a−b))² has the slope of 2·(a−b) at a−b = V. The last term only fixes the height of the pair, where it stands.
		s, err := lowlp.Nearest(lowlp.Least{Rows: p.Rows, Warm: p.Warm,
			G: []float64{root, 0, 0, 0, 0, root, 0, 0, 0, 0, 1, -1, 0, 0, 1e-3, 1e-3}, H: []float64{0, 0, v + 1, 1e-3 * (upper + lower)}})
		if err != nil || s.Status != lowlp.Optimal {
			return n, err
		}
		w.warm = s.Active
		next := f.turned(s.V[0], s.V[1])
		upper, lower = w.between(next)
		gain := upper - lower - best
		if gain >= -w.rounding() {
			n, best = next, upper-lower
		}
		if gain < -w.rounding() || math.Abs(s.V[0])+math.Abs(s.V[1]) < 1e-12 {
			break
		}
	}
	return n, nil
}

func loose() error {
	return trouble.Data("loose-planes", "the slab", "the readings of the two faces do not lie over each other, so nothing holds the planes",
		"read both faces over the whole slab, and look at the frame of each file: the bottom is read turned over about y, so its x changes sign")
}

// held is a reading that holds a plane.
type held struct {
	k      int // in work
	weight float64
}

// prove solves the last program again, in exact numbers, and returns what holds the planes, the top's first.
func (w *work) prove(f frame) (on []held, proven bool, err error) {
	p := w.program(f)
	s, err := lowlp.Solve(p)
	if err != nil {
		return nil, false, err
	}
	if s.Status != lowlp.Optimal {
		return nil, false, loose()
	}
	if err := lowlp.Prove(p, &s); err != nil {
		return nil, false, err
	}
	w.warm = s.Active
	return w.held(s), s.Violation <= w.rounding(), nil
}

// held lists what holds the planes of a solution, the top's first.
func (w *work) held(s lowlp.Solution) (on []held) {
	for side := range sides {
		for j, k := range s.Active {
			if w.points[k].side == side && s.Multipliers[j] > 0 {
				on = append(on, held{k, s.Multipliers[j]})
			}
		}
	}
	return on
}

// without is how much thicker the planes of the frame could be without one reading.
func (w *work) without(k int, f frame, thickness float64) (float64, error) {
	p := w.program(f)
	r := p.Rows.(*rows)
	away := 1e3 // mm into the air: it holds nothing there
	if !r.top[k] {
		away = -away
	}
	r.w[k] += away
	s, err := lowlp.Solve(r.problem(nil))
	if err != nil || s.Status != lowlp.Optimal {
		return 0, err
	}
	lean := math.Sqrt(1 + s.V[0]*s.V[0] + s.V[1]*s.V[1])
	return max(0, -s.Value/lean-thickness), nil
}

// apart is the distance of the weighted mean of the upper readings from that of the lower ones. No planes inside the slab are farther apart.
func (w *work) apart(on []held) float64 {
	var mean [2]vector
	for side := range sides {
		total := 0.0
		for _, c := range on {
			if w.points[c.k].side == side {
				mean[side] = mean[side].plus(w.centre[c.k].times(c.weight))
				total += c.weight
			}
		}
		if !(total > 0) {
			return math.Inf(1)
		}
		mean[side] = mean[side].times(1 / total)
	}
	return mean[0].minus(mean[1]).length()
}

// thinnest is the first reading that holds the planes.
func (w *work) thinnest() vector {
	if len(w.warm) == 0 {
		return w.origin
	}
	return w.centre[w.warm[0]].plus(w.origin)
}
