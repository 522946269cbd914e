package levels

import (
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/traverse"
)

// Zone is how flat the stations are: the minimum zone of the fitted heights, or the straightness of a single line.
type Zone struct {
	Value    float64    // mm
	U        float64    // standard uncertainty, NaN if the heights have none
	Interval [2]float64 // 95 %; from the value as fitted less what noise adds to a zone
	Draws    int
	Few      bool // too few stations: they lie in one plane whatever their heights, so the value says nothing and has no doubt
}

// draws of the heights; each costs a zone, so a large walk gets fewer.
const (
	manyDraws = 1000
	fewDraws  = 200
	largeWalk = 300
)

// Flat computes the zone and, by so many seeded draws of the heights from their covariance, its doubt.
//
// A zone is a largest difference: noise of the readings makes it larger on average, by as much as drawing from the fitted heights makes
// it larger still. So the lower end of the interval is mirrored, 2·value less the upper quantile of the draws, and the upper end is
// that quantile itself, which errs on the safe side.
func (h *Heights) Flat(seed uint64) (Zone, error) {
	v, _, _, err := traverse.Zone(h.Walk.At, h.Frame, h.Z)
	z := Zone{Value: v, U: math.NaN(), Interval: [2]float64{math.NaN(), math.NaN()}}
	z.Few = !h.Frame.Enough(len(h.Z))
	if err != nil || z.Few || math.IsNaN(h.factU) {
		return z, err
	}
	z.Draws = manyDraws
	if len(h.Z) > largeWalk {
		z.Draws = fewDraws
	}
	stream := chance.NewStream(seed)
	values := make([]float64, z.Draws)
	for k := range values {
		if values[k], err = traverse.ZoneValue(h.Walk.At, h.Frame, h.draw(stream)); err != nil {
			return z, err
		}
	}
	z.U = deviation(values)
	slices.Sort(values)
	high := values[int(0.975*float64(len(values)))]
	z.Interval = [2]float64{max(0, min(v, 2*v-high)), max(v, high)}
	return z, nil
}

// draw draws heights about the fitted ones: what solves Lᵀ·x = D^(−1/2)·(standard normal) has the covariance of the unknowns.
func (h *Heights) draw(stream *chance.Stream) []float64 {
	x := make([]float64, len(h.factor.diag))
	for i, d := range h.factor.diag {
		if d > 0 {
			x[i] = stream.Normal() / math.Sqrt(d)
		}
	}
	h.factor.back(x)
	z := make([]float64, len(h.Z))
	for i := range z {
		z[i] = x[h.spot[i]]
	}
	h.Frame.Level(z)
	for i := range z {
		z[i] = h.Z[i] + h.factU*z[i]
	}
	return z
}

func deviation(v []float64) float64 {
	mean, sum := 0.0, 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		sum += (x - mean) * (x - mean)
	}
	return math.Sqrt(sum / float64(len(v)-1))
}
