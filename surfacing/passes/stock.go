package passes

import (
	"fmt"
	"math"
	"slices"

	"slatewright/trouble"
)

// Stock is what is to come off a face: how deep the wanted plane lies under it, mm, at least, on average and at most. The zero value
// is a face that stays as it is.
type Stock struct {
	Min, Mean, Max float64
	depth          []float64 // from a map, deepest first; nil: only the three numbers are known
	sum            []float64 // of the first so many of them
}

// Between is a stock of which only the three numbers are known. The depths between them are taken as spread with density
// k(1−u)^(k−1), u from 0 at the least to 1 at the most, where k follows from the mean: k = 1 is exact for a wedge and for a round crown, k = ½
// for a crown along one side alone. The error is a *trouble.Trouble.
func Between(least, mean, most float64) (Stock, error) {
	if !(least >= 0 && least <= mean && mean <= most) || math.IsInf(most, 0) {
		return Stock{}, trouble.Data("bad-stock", "off", fmt.Sprintf("what is to come off lies from %g to %g mm with a mean of %g mm", least, most, mean), "give least, mean and most in this order, none below zero")
	}
	if most > least && (mean == least || mean == most) {
		return Stock{}, trouble.Data("bad-stock", "off", fmt.Sprintf("the mean, %g mm, is the least or the most, and the two differ", mean), "give the mean over the face")
	}
	return Stock{Min: least, Mean: mean, Max: most}, nil
}

// OfMap is the stock of a face of which the depths are known at places that stand for equal areas, mm. The error is a *trouble.Trouble.
func OfMap(depth []float64) (Stock, error) {
	if len(depth) == 0 {
		return Stock{}, trouble.Data("bad-stock", "off", "the map is empty", "give the depth to come off at each place")
	}
	d := slices.Clone(depth)
	slices.Sort(d)
	slices.Reverse(d)
	s := Stock{Min: d[len(d)-1], Max: d[0], depth: d, sum: make([]float64, len(d)+1)}
	for i, v := range d {
		s.sum[i+1] = s.sum[i] + v
	}
	s.Mean = s.sum[len(d)] / float64(len(d))
	if !(s.Min >= 0) || math.IsInf(s.Max, 0) || math.IsNaN(s.Mean) { // sorting puts what is no number first, so last here
		return Stock{}, trouble.Data("bad-stock", "off", "a depth to come off is below zero, or no number", "put the plane under the whole face")
	}
	return s, nil
}

// deeper is the stock with a plane that lies deeper by this much.
func (s Stock) deeper(by float64) Stock {
	s.Min, s.Mean, s.Max = s.Min+by, s.Mean+by, s.Max+by
	if s.depth != nil {
		s.depth, s.sum = slices.Clone(s.depth), slices.Clone(s.sum)
		for i := range s.depth {
			s.depth[i] += by
			s.sum[i+1] += by * float64(i+1)
		}
	}
	return s
}

// Range is how far the face is from parallel to its plane, mm.
func (s Stock) Range() float64 { return s.Max - s.Min }

// Taken is the mean depth over the face, mm, that is gone when the disc stands a plunge below the face's highest place.
func (s Stock) Taken(plunge float64) float64 {
	r := s.Range()
	switch {
	case plunge <= 0:
		return 0
	case plunge >= r:
		return s.Mean - s.Max + plunge
	case s.depth != nil:
		above := s.Max - plunge // depths greater than this are cut
		n, _ := slices.BinarySearchFunc(s.depth, above, func(d, a float64) int {
			if d > a {
				return -1
			}
			return 1
		})
		return (s.sum[n] - float64(n)*above) / float64(len(s.depth))
	}
	mean := (s.Mean - s.Min) / r
	return r * mean * math.Pow(plunge/r, 1/mean)
}
