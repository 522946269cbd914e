package worth

import (
	"math"

	"slatewright/chance"
)

// Curve is a question as a picture: at rising true values X (mm), how dense the mill's pieces lie (share per mm), and with what probability
// each instrument accepts such a piece.
type Curve struct {
	X, Density []float64
	Passes     [][]float64 // of each instrument in the order of the question
}

// curveReach is how many standard deviations of the truth the picture shows: 1 in 2,000 pieces lies beyond at either end.
const curveReach = 3.3

// Curve looks at n places, 2 or more, from where the mill's pieces begin to where they and the limit end. A sample taken as it was read is
// smoothed with a normal kernel of Silverman's width (B. W. Silverman, Density Estimation, 1986, eq. 3.28), for the eye alone.
func (q Question) Curve(n int) Curve {
	s, _ := q.Truth.spread()
	low, high, density := s.curve()
	high = max(high, q.Limit*1.05)
	c := Curve{Passes: make([][]float64, len(q.Instruments))}
	for k := range n {
		x := low + (high-low)*float64(k)/float64(n-1)
		c.X, c.Density = append(c.X, x), append(c.Density, density(x))
		for i, in := range q.Instruments {
			c.Passes[i] = append(c.Passes[i], chance.Cumulative((q.Limit-in.Guard*in.U-x)/in.U))
		}
	}
	return c
}

// curve is where the true values lie and how dense.
func (s spread) curve() (low, high float64, density func(float64) float64) {
	bell := func(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
	if s.values == nil {
		return s.at(-curveReach), s.at(curveReach), func(x float64) float64 {
			if !s.log {
				return bell(s.from(x)) / s.sigma
			}
			if x <= 0 {
				return 0
			}
			return bell(s.from(x)) / (s.sigma * x)
		}
	}
	mean, sd := moments(s.values)
	width := 0.9 * sd * math.Pow(float64(len(s.values)), -0.2)
	if !(width > 0) {
		width = max(math.Abs(mean), 1e-6) / 1000 // all the same
	}
	low, high = s.values[0], s.values[0]
	for _, v := range s.values {
		low, high = min(low, v), max(high, v)
	}
	return low - 3*width, high + 3*width, func(x float64) (d float64) {
		for _, v := range s.values {
			d += bell((x-v)/width) / width / float64(len(s.values))
		}
		return d
	}
}
