package flatness

import (
	"math"
	"slices"
)

// slab is two parallel planes that hold a sample, normal to f.n, at distances low and high from the sample's origin.
type slab struct {
	f         frame
	low, high float64
	on        []contact
	beyond    float64 // how far points outside the sample lie beyond the two planes, together
	scans     int
}

// search finds the slab; s is the sample that holds it.
func search(p Points) (s *sample, b slab, err error) {
	if err := p.check(4); err != nil {
		return nil, slab{}, err
	}
	s, err = newSample(p)
	if err != nil {
		return nil, slab{}, err
	}
	f := s.axes()
	if !s.beside(f) {
		if !s.reach(f) {
			return nil, slab{}, onALine()
		}
		f = s.axes()
	}
	if len(s.at) >= p.Len() {
		b, err = s.settle(f)
		return s, b, err
	}
	return s.grow(f)
}

// grow finds the slab of a large face. Each scan adds at least one point to the sample, so it ends; two scans are usual.
func (s *sample) grow(f frame) (*sample, slab, error) {
	b, err := s.once(f)
	if err != nil {
		return nil, slab{}, err
	}
	t := s.narrowed(s.bandAlong(b.f.n))
	s = s.holding(b)
	for scans := 1; ; scans++ {
		e := t.scan(s.of)
		if e.broken >= 0 {
			return nil, slab{}, notFinite(e.broken)
		}
		if scans > 1 && max(e.above, e.below) <= s.rounding() {
			b.beyond, b.scans = e.above+e.below, scans
			return s, b, nil
		}
		if err = s.take(e); err != nil {
			return nil, slab{}, err
		}
		if b, err = s.settle(b.f); err != nil {
			return nil, slab{}, err
		}
		t = s.bandAlong(b.f.n)
	}
}

// holding returns the contacts, which hold the planes, and the outline, which keeps so few points from being seen from
// the side; or the whole sample if it is flat.
func (s *sample) holding(b slab) *sample {
	if len(b.on) == 0 {
		return s
	}
	few := &sample{of: s.of, first: s.first, origin: s.origin, most: s.most}
	for _, c := range b.on {
		few.add(s.index[c.i])
	}
	for _, i := range s.outline(b.f) {
		if !slices.Contains(few.index, s.index[i]) {
			few.add(s.index[i])
		}
	}
	return few
}

// take adds what a scan brought out.
func (s *sample) take(e *extremes) error {
	known := slices.Clone(s.index[:min(4+2*directions, len(s.index))]) // the first scan may find these again
	for cell := range e.high {
		for _, i := range [2]int{e.high[cell], e.low[cell]} {
			if i >= 0 && !slices.Contains(known, i) && !s.add(i) {
				return notFinite(i)
			}
		}
	}
	return nil
}

// heights returns the sample as seen in the frame.
func (s *sample) heights(f frame) *level {
	n := len(s.at)
	all := make([]float64, 3*n)
	l := &level{u: all[:n], v: all[n : 2*n], w: all[2*n:]}
	for i, a := range s.at {
		l.u[i], l.v[i], l.w[i] = a.dot(f.e1), a.dot(f.e2), a.dot(f.n)
	}
	return l
}

// once solves the zone along f.n and returns the slab of the answer; of a flat sample the slab along f.n.
func (s *sample) once(f frame) (slab, error) {
	if b := s.slab(f, nil); b.high-b.low <= s.flat() {
		return b, nil
	}
	p, q, on, err := s.heights(f).solve(nil)
	if err != nil {
		return slab{}, err
	}
	return s.slab(f.turned(p, q), on), nil
}

// slab returns the planes normal to f.n that just hold the sample.
func (s *sample) slab(f frame, on []contact) slab {
	b := slab{f: f, low: math.Inf(1), high: math.Inf(-1), on: on}
	for _, a := range s.at {
		w := a.dot(f.n)
		b.low, b.high = min(b.low, w), max(b.high, w)
	}
	return b
}

// mostTurns bounds the turning; two turns are usual.
const mostTurns = 60

// settle turns the frame until turning it no longer brings the planes closer. Where the answer is not unique it would turn
// for ever between equals: it stops at the first that is not better. Of two that are equal to within rounding the later
// one is taken: it touches as many points as can hold it.
func (s *sample) settle(f frame) (slab, error) {
	b := s.slab(f, nil)
	if b.high-b.low <= s.flat() {
		return b, nil
	}
	for range mostTurns {
		p, q, on, err := s.heights(b.f).solve(b.on)
		if err != nil {
			return slab{}, err
		}
		b.on = on
		next := s.slab(b.f.turned(p, q), on)
		gain := b.high - b.low - (next.high - next.low)
		if gain >= -s.flat() {
			b = next
		}
		if gain <= s.flat() {
			break
		}
	}
	return b, nil
}
