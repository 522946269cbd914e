package toolmarks

import (
	"math"
	"slices"

	"slatewright/surfacing/toolmarks/raster"
)

// harmonics is how many of them a repeating profile is given.
const harmonics = 3

// A spectrum is how well a profile that repeats explains what was read, pitch by pitch.
type spectrum struct {
	pitch []float64 // mm, falling
	log   []float64 // ln of the likelihood over that of no repetition, all maps together
}

// pitches are those that maps can show: from the finest that their lines resolve to one that stands twice on the piece; even steps of 1/pitch, four to
// each that can be told apart.
func pitches(span, finest, coarsest float64) (list []float64) {
	for f := 1 / coarsest; f <= 1/finest; f += 1 / (4 * span) {
		list = append(list, 1/f)
	}
	return list
}

// add looks at one map's profile.
func (s *spectrum) add(l *looker, y []float64) {
	white, squares, without := l.whitened(y)
	n := float64(len(l.t))
	for i, p := range s.pitch {
		logs := make([]float64, len(l.ground))
		for k := range l.ground {
			left := l.repeating(k, p, white[k], squares[k])
			logs[k] = l.ground[k].likelihood(left) - harmonics*math.Log(n)
		}
		s.log[i] += logSum(logs) - without
	}
}

// repeating is the sum of squares that a Fourier series of the pitch leaves of a whitened profile.
func (l *looker) repeating(ground int, pitch float64, white []float64, squares float64) float64 {
	cols := l.series(ground, pitch)
	for _, c := range cols {
		p := dot(c, white)
		squares -= p * p
	}
	return max(squares, 1e-300)
}

// series are the whitened sines and cosines of a pitch, made orthonormal.
func (l *looker) series(ground int, pitch float64) [][]float64 {
	key := seriesKey{ground, pitch}
	if got, ok := l.waves[key]; ok {
		return got
	}
	var cols [][]float64
	for h := 1; h <= harmonics; h++ {
		for quarter := range 2 {
			x := make([]float64, len(l.t))
			for i, t := range l.t {
				x[i] = math.Sin(2*math.Pi*float64(h)*t/pitch + math.Pi/2*float64(quarter))
			}
			x = l.ground[ground].white(x)
			before := dot(x, x)
			for _, c := range cols {
				p := dot(c, x)
				for i := range x {
					x[i] -= p * c[i]
				}
			}
			size := dot(x, x)
			if size < 1e-9*before || size == 0 {
				continue
			}
			for i := range x {
				x[i] /= math.Sqrt(size)
			}
			cols = append(cols, x)
		}
	}
	l.waves[key] = cols
	return cols
}

type seriesKey struct {
	ground int
	pitch  float64
}

// tops are the likeliest pitches, no two of them neighbours, at most n.
func (s *spectrum) tops(n int) (list []int) {
	order := raster.Order(s.log)
	slices.Reverse(order)
	for _, i := range order {
		if len(list) == n {
			break
		}
		if (i == 0 || s.log[i] >= s.log[i-1]) && (i == len(s.log)-1 || s.log[i] >= s.log[i+1]) {
			list = append(list, i)
		}
	}
	return list
}

// about is the likeliest pitch within a share of p.
func (s *spectrum) about(p, share float64) (at int, ok bool) {
	for i, x := range s.pitch {
		if math.Abs(x/p-1) < share && (!ok || s.log[i] > s.log[at]) {
			at, ok = i, true
		}
	}
	return at, ok
}

// against is another pitch than the given one that stands out far more, and is no multiple or part of it.
func (s *spectrum) against(given float64) (pitch float64, ok bool) {
	top := s.tops(1)
	if len(top) == 0 {
		return 0, false
	}
	p := s.interval(top[0]).Value
	ratio := max(p/given, given/p)
	if at, seen := s.about(given, 0.06); seen && s.log[top[0]] < s.log[at]+12 || s.log[top[0]] < 5 || math.Abs(ratio-math.Round(ratio)) < 0.1 {
		return 0, false
	}
	return p, true
}

// interval is where the pitch lies: the places about the top whose likelihood is within e^-1.35 of it (nine cases of ten), between them by a parabola.
func (s *spectrum) interval(top int) Interval {
	f := func(i int) float64 { return 1 / s.pitch[i] }
	if top == 0 || top == len(s.log)-1 {
		p := s.pitch[top]
		return Interval{p, s.pitch[min(top+1, len(s.pitch)-1)], s.pitch[max(top-1, 0)]}
	}
	a, b, c := s.log[top-1], s.log[top], s.log[top+1]
	curve := a - 2*b + c
	step := f(top+1) - f(top)
	at, half := f(top), step
	if curve < -1e-9 {
		at += step * (a - c) / (2 * curve)
		half = 2.5 * step * math.Sqrt(2*1.353/-curve) // wider than the likelihood says: tracks are no Fourier series
	}
	return Interval{1 / at, 1 / (at + half), 1 / max(at-half, 1e-6)}
}
