package flatness

import "math"

// sampleSize is how many points of a large face decide where the search begins. A face with no more points is taken whole.
const sampleSize = 1024

// sample is some of the points, centred on one of them.
type sample struct {
	of     Points
	first  *sample // the one that the search began with: spread over the face, so that it shows its width
	origin vector
	index  []int // numbers in of
	at     []vector
	most   float64 // largest coordinate, not centred
}

// newSample takes all points of a small face, or one out of each of sampleSize equal stretches of a large one. The place in
// the stretch is scattered by a fixed rule, so that a raster's line length cannot fall in step with it.
func newSample(p Points) (*sample, error) {
	s := &sample{of: p, origin: p.at(0)}
	s.first = s
	n := p.Len()
	m := min(n, sampleSize)
	s.index = make([]int, 0, m+m/4)
	s.at = make([]vector, 0, m+m/4)
	for k := range m {
		i := k
		if m < n {
			lo, hi := k*n/m, (k+1)*n/m
			i = lo + int(scatter(k)*uint64(hi-lo)>>32)
		}
		if !s.add(i) {
			return nil, notFinite(i)
		}
	}
	return s, nil
}

// scatter is a number below 2³² that looks random: the high bits of k times 2⁶⁴ divided by the golden ratio
// (Knuth, The Art of Computer Programming, vol. 3, §6.4, Fibonacci hashing).
func scatter(k int) uint64 { return uint64(k) * 0x9E3779B97F4A7C15 >> 32 }

// add takes point i in, unless it is not finite.
func (s *sample) add(i int) bool {
	v := s.of.at(i)
	if !finite(v) {
		return false
	}
	s.most = max(s.most, math.Abs(v[0]), math.Abs(v[1]), math.Abs(v[2]))
	s.index = append(s.index, i)
	s.at = append(s.at, v.minus(s.origin))
	return true
}

// rounding is more than what the arithmetic here can make of the distance of two planes: for each of the two points that
// decide it, less than 7 eps of the largest coordinate (centring √3, three products √3, two sums 2√3, in all with room).
func (s *sample) rounding() float64 { return float64(16 * eps * s.most) }

// flat is the zone up to which a face counts as flat: four units in the last place of the largest coordinate.
func (s *sample) flat() float64 { return float64(4 * eps * s.most) }

// axes returns the least-squares frame of the sample.
func (s *sample) axes() frame {
	f := frame{e1: vector{1, 0, 0}, e2: vector{0, 1, 0}, n: vector{0, 0, 1}}
	mean := s.mean()
	for range 2 {
		var m symmetric
		for _, a := range s.at {
			d := a.minus(mean)
			c := vector{d.dot(f.e1), d.dot(f.e2), d.dot(f.n)}
			for i := range 3 {
				for j := i; j < 3; j++ {
					m[i][j] += float64(c[i] * c[j])
				}
			}
		}
		m[1][0], m[2][0], m[2][1] = m[0][1], m[0][2], m[1][2]
		values, axes := m.eigen()
		f = f.compose(axes)
		if values[1] > 1e-8*values[2] {
			break
		}
		// Of points close to a line the first turn does not see the plane; a second one, along the line, does.
	}
	return f
}

func (s *sample) mean() (mean vector) {
	for _, a := range s.at {
		mean = mean.plus(a)
	}
	return mean.times(1 / float64(len(s.at)))
}

// off is how far point i lies from the line through mean along e1.
func (s *sample) off(i int, mean vector, f frame) float64 {
	d := s.of.at(i).minus(s.origin).minus(mean)
	return d.minus(f.e1.times(d.dot(f.e1))).length()
}

// beside reports whether any point of the sample lies beside its line, by more than rounding.
func (s *sample) beside(f frame) bool {
	mean := s.mean()
	for _, i := range s.index {
		if s.off(i, mean, f) > lineRounding*eps*s.most {
			return true
		}
	}
	return false
}

// reach adds the point of the whole face that lies farthest from the sample's line, if it lies beside it.
func (s *sample) reach(f frame) bool {
	mean := s.mean()
	far, worst := -1, lineRounding*eps*s.most
	for i := range s.of.X {
		if off := s.off(i, mean, f); off > worst {
			far, worst = i, off
		}
	}
	return far >= 0 && s.add(far)
}

// directions is half the number of directions in which an outline looks for outermost points.
const directions = 8

// outline returns the points of the sample that lie outermost in the plane of f, in 16 directions.
func (s *sample) outline(f frame) (out [2 * directions]int) {
	var most [2 * directions]float64
	for k := range most {
		most[k] = math.Inf(-1)
	}
	for i, v := range s.at {
		x, y := v.dot(f.e1), v.dot(f.e2)
		for k := range directions {
			d := float64(compass[k][0]*x) + float64(compass[k][1]*y)
			if d > most[k] {
				most[k], out[k] = d, i
			}
			if -d > most[directions+k] {
				most[directions+k], out[directions+k] = -d, i
			}
		}
	}
	return out
}

// width returns a length that no direction in the plane of f is shorter than for the whole face: the smallest width of
// the sample's outline. Some of the points are never wider than all of them.
func (s *sample) width(f frame) float64 {
	var us, vs [2 * directions]float64
	for k, i := range s.outline(f) {
		us[k], vs[k] = s.at[i].dot(f.e1), s.at[i].dot(f.e2)
	}
	w, _ := narrowest(us[:], vs[:])
	return max(0, w-s.rounding())
}

// compass holds unit vectors a sixteenth of a turn apart, over half a turn; a few digits are enough.
var compass = [directions][2]float64{
	{1, 0}, {0.924, 0.383}, {0.707, 0.707}, {0.383, 0.924}, {0, 1}, {-0.383, 0.924}, {-0.707, 0.707}, {-0.924, 0.383},
}
