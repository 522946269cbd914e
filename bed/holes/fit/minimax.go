package fit

import (
	"math"
	"slices"
)

// Minimax is the rigid motion whose largest distance is least.
type Minimax struct {
	Motion
	Largest float64 // the largest distance under this motion, mm
	Bound   float64 // no rigid motion has a smaller one; it is lower by a hundred-millionth or less, but in odd cases
	Holders []int   // the pairs that hold it, ascending
}

// look is the search at one angle (from that of least squares): the smallest circle about what is left, and the wave
// c − a·cos φ − b·sin φ that its holders put below the answer at every angle φ.
type look struct {
	phi     float64
	d       disc
	c, a, b float64
}

// below is the bound at an angle.
func (l look) below(phi float64) float64 {
	sin, cos := math.Sincos(phi)
	return l.c - l.a*cos - l.b*sin
}

// The search ends when bound and answer differ by this share of 1 mm and the answer, or after so many looks.
const (
	near      = 5e-9
	mostLooks = 40000
)

// Smallest finds the motion whose largest distance is least, and shows that it is.
//
// At a fixed angle the best shift is the middle of the smallest circle about measured − R·nominal. The points that hold this circle
// give a bound that holds at every angle: Σ λ n·(measured − R(φ)·nominal) with Σ λ n = 0, a sine wave in φ. The search
// keeps the angles looked at, takes between two neighbours the lowest point of the higher of their waves, and looks next where that is lowest of all, until it meets the best found.
// Beyond 2·asin(f/ρ) from any angle with the answer f no angle is better, ρ the radius of the smallest circle about the nominal places.
// Weights do not count here. Errors are those of [Least].
func Smallest(pairs []Pair) (*Minimax, error) {
	even := slices.Clone(pairs)
	for i := range even {
		even[i].U = 1
	}
	start, err := Least(even)
	if err != nil {
		return nil, err
	}
	s := newSearch(start)
	first := s.look(0)
	reach := math.Pi
	if f := first.d.radius / s.rho; f < 1 {
		reach = 2 * math.Asin(f)
	}
	// A little wider, so that rounding leaves no gap at the ends.
	reach = math.Min(math.Pi, reach*(1+1e-9)+1e-12)
	looks := []look{s.look(-reach), first, s.look(reach)}
	if reach > 1 {
		looks = []look{looks[0], s.look(-reach / 2), first, s.look(reach / 2), looks[2]}
	}
	best, bound := s.narrow(looks)
	sin, cos := math.Sincos(start.Angle + best.phi)
	shift := s.to.plus(best.d.middle).minus(s.from.turned(cos, sin))
	m := &Minimax{Motion: Motion{shift.X, shift.Y, start.Angle + best.phi}, Holders: slices.Clone(best.d.holders)}
	for _, p := range pairs {
		m.Largest = math.Max(m.Largest, m.Deviation(p).Size())
	}
	m.Bound = math.Max(0, math.Min(bound, m.Largest))
	slices.Sort(m.Holders)
	return m, nil
}

// search holds the pairs about their middles, the nominal ones turned by the angle of least squares.
type search struct {
	from, to Vector
	a, b     []Vector
	rho      float64
	left     []Vector
}

func newSearch(r *Rigid) *search {
	s := &search{from: r.middle, to: r.Of(r.middle), left: make([]Vector, len(r.pairs))}
	sin, cos := math.Sincos(r.Angle)
	for _, p := range r.pairs {
		s.a = append(s.a, p.Nominal.minus(s.from).turned(cos, sin))
		s.b = append(s.b, p.Measured.minus(s.to))
	}
	s.rho = enclose(s.a).radius
	return s
}

// look looks at one angle.
func (s *search) look(phi float64) look {
	sin, cos := math.Sincos(phi)
	for i, a := range s.a {
		s.left[i] = s.b[i].minus(a.turned(cos, sin))
	}
	l := look{phi: phi, d: enclose(s.left)}
	if l.d.radius == 0 {
		return l
	}
	for k, i := range l.d.holders {
		n := s.left[i].minus(l.d.middle)
		n = n.times(l.d.shares[k] / n.Size())
		l.c += n.dot(s.b[i])
		l.a += n.dot(s.a[i])
		l.b += n.dot(s.a[i].across())
	}
	return l
}

// narrow looks between the given angles, which are in order and hold the answer between them, until bound and answer meet. Where the answer is level over a
// range of angles this takes many looks; after mostLooks the bound is as good as it is.
func (s *search) narrow(looks []look) (best look, bound float64) {
	best = looks[0]
	lows := make([]low, len(looks)) // of what lies before each look
	for k, l := range looks {
		if l.d.radius < best.d.radius {
			best = l
		}
		if k > 0 {
			lows[k] = s.lowest(looks[k-1], l)
		}
	}
	for {
		at := 1
		for k := 2; k < len(lows); k++ {
			if lows[k].value < lows[at].value {
				at = k
			}
		}
		l := lows[at]
		if len(looks) >= mostLooks || best.d.radius-l.value <= near*(1+best.d.radius) || l.phi <= looks[at-1].phi || l.phi >= looks[at].phi {
			return best, l.value
		}
		next := s.look(l.phi)
		if next.d.radius < best.d.radius {
			best = next
		}
		looks = slices.Insert(looks, at, next)
		lows = slices.Insert(lows, at, s.lowest(looks[at-1], next))
		lows[at+1] = s.lowest(next, looks[at+1])
	}
}

// low is the lowest that the answer can be between two looks, and where.
type low struct{ phi, value float64 }

// lowest finds, between two looks, where the higher of their waves is lowest: at an end, where they cross, or where one of them turns. Where the same two points hold both, the
// half of their distance is the answer all between.
func (s *search) lowest(l, r look) low {
	if samePair(l.d.holders, r.d.holders) {
		return s.pair(l.d.holders[0], l.d.holders[1], l.phi, r.phi)
	}
	b := low{l.phi, math.Inf(1)}
	try := func(x float64) {
		if x < l.phi || x > r.phi {
			return
		}
		if v := math.Max(l.below(x), r.below(x)); v < b.value {
			b = low{x, v}
		}
	}
	try(l.phi)
	try(r.phi)
	for _, x := range turns(l.a, l.b) {
		try(x)
	}
	for _, x := range turns(r.a, r.b) {
		try(x)
	}
	for _, x := range crossings(l.c-r.c, l.a-r.a, l.b-r.b) {
		try(x)
	}
	return b
}

func samePair(a, b []int) bool {
	return len(a) == 2 && len(b) == 2 && (a[0] == b[0] && a[1] == b[1] || a[0] == b[1] && a[1] == b[0])
}

// pair is the least half distance of what is left at two points, between two angles: |Δb − R(φ)Δa|/2, least where R(φ)Δa points along Δb.
func (s *search) pair(i, j int, from, to float64) low {
	a, b := s.a[i].minus(s.a[j]), s.b[i].minus(s.b[j])
	half := func(phi float64) float64 {
		sin, cos := math.Sincos(phi)
		return b.minus(a.turned(cos, sin)).Size() / 2
	}
	best := low{from, half(from)}
	for _, phi := range []float64{to, math.Atan2(a.cross(b), a.dot(b))} {
		if v := half(phi); phi >= from && phi <= to && v < best.value {
			best = low{phi, v}
		}
	}
	return best
}

// turns are the angles in (−π, π] at which a·cos φ + b·sin φ is largest and least.
func turns(a, b float64) []float64 {
	if a == 0 && b == 0 {
		return nil
	}
	x := math.Atan2(b, a)
	return []float64{x, wrapped(x + math.Pi)}
}

// crossings are the angles in (−π, π] at which a·cos φ + b·sin φ = c, in a form that keeps its digits for small angles: with t = tan(φ/2),
// (a + c)·t² − 2b·t + (c − a) = 0.
func crossings(c, a, b float64) []float64 {
	root := b*b - (a+c)*(c-a)
	if root < 0 {
		return nil
	}
	q := b + math.Copysign(math.Sqrt(root), b)
	var all []float64
	if q != 0 {
		all = append(all, 2*math.Atan((c-a)/q))
	}
	if a+c != 0 {
		all = append(all, 2*math.Atan(q/(a+c)))
	}
	return all
}

func wrapped(x float64) float64 {
	if x > math.Pi {
		return x - 2*math.Pi
	}
	return x
}
