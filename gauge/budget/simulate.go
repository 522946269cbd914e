package budget

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"slatewright/chance"
	"slatewright/gauge/tables"
	"slatewright/trouble"
)

// Simulation is the answer of drawn numbers.
type Simulation struct {
	Value               float64 // mean
	U                   float64 // standard deviation
	Low, High           float64 // coverage interval with equal tails
	ShortLow, ShortHigh float64 // the shortest interval of the same probability
	Tolerance           float64 // to which Value, U, Low and High are stable, at two standard errors; a fifth of the tolerance of Compare
	Stable              bool    // the tolerance was reached before MostDraws
	Draws               int
	Seed                uint64
}

// MostDraws is where a simulation stops also if it is not stable yet.
const MostDraws = 3000000

// FewestDoF is the least number of degrees of freedom of a normal input that can be drawn: Student's t has no finite variance below.
const FewestDoF = 3

// Simulate propagates distributions (JCGM 101:2008, 7.2 to 7.9): blocks of draws until mean, standard deviation and both ends of the
// interval are stable to a fifth of ½·10ˡ, where u = c·10ˡ with a whole number c of that many digits, 1 or 2 (7.9.2, 8.2). A normal
// input with degrees of freedom is drawn from Student's t (6.4.9). The same seed gives the same answer.
func (q Quantity) Simulate(confidence float64, digits int, seed uint64) (*Simulation, error) {
	if err := q.Check(); err != nil {
		return nil, err
	}
	for _, in := range q.Inputs {
		if in.Kind == Normal && in.U > 0 && in.dof() < FewestDoF {
			return nil, trouble.Data("too-few-readings", in.Name, fmt.Sprintf("%g degrees of freedom: the spread of so few readings has no mean that drawn numbers could find",
				in.DoF), fmt.Sprintf("read at least %d times", FewestDoF+1))
		}
	}
	block := max(10000, int(math.Ceil(100/(1-confidence))))
	s := &Simulation{Seed: seed}
	root, factor := chance.NewStream(seed), q.factor()
	var all []float64
	var figures [4][]float64 // of each block: mean, standard deviation, low, high
	for len(all)+block <= MostDraws {
		part := q.draw(root.Split(strconv.Itoa(len(figures[0]))), factor, block)
		all = append(all, part...)
		mean, sd := moments(part)
		slices.Sort(part)
		low, high := tails(part, confidence)
		for i, v := range [4]float64{mean, sd, low, high} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, trouble.Data("not-finite", q.Name, "some inputs within their doubt give no finite result", "look at the component with the widest limits")
			}
			figures[i] = append(figures[i], v)
		}
		s.Value, s.U = moments(all)
		s.Tolerance = Tolerance(s.U, digits) / 5
		if s.Stable = stable(figures, s.Tolerance); s.Stable {
			break
		}
	}
	slices.Sort(all)
	s.Draws = len(all)
	s.Low, s.High = tails(all, confidence)
	s.ShortLow, s.ShortHigh = shortest(all, confidence)
	return s, nil
}

// Tolerance is half of the last digit of a standard uncertainty that is printed with this many digits (JCGM 101, 7.9.2).
func Tolerance(u float64, digits int) float64 {
	if !(u > 0) {
		return 0
	}
	place := math.Floor(math.Log10(u)) - float64(digits-1)
	if math.Round(u/math.Pow(10, place)) >= math.Pow(10, float64(digits)) { // 9.96 is 10
		place++
	}
	return math.Pow(10, place) / 2
}

// stable tells whether two standard errors of each figure's average over the blocks are below the tolerance.
func stable(figures [4][]float64, tolerance float64) bool {
	n := len(figures[0])
	if n < 2 {
		return false
	}
	for _, f := range figures {
		if _, sd := moments(f); 2*sd/math.Sqrt(float64(n)) > tolerance {
			return false
		}
	}
	return true
}

// draw makes n values of the quantity.
func (q Quantity) draw(s *chance.Stream, factor [][]float64, n int) []float64 {
	out, x, z := make([]float64, n), make([]float64, len(q.Inputs)), make([]float64, len(q.Inputs))
	for k := range out {
		for i, in := range q.Inputs {
			z[i] = in.standard(s)
		}
		for i, in := range q.Inputs {
			v := z[i]
			if len(q.Correlations) > 0 {
				v = 0
				for j, l := range factor[i][:i+1] {
					v += l * z[j]
				}
			}
			x[i] = in.Value + in.U*v
		}
		out[k] = q.Of(x)
	}
	return out
}

// standard draws a deviation in standard uncertainties.
func (in Input) standard(s *chance.Stream) float64 {
	switch {
	case in.Kind == Exact || in.U == 0:
		return 0
	case in.Kind == Rectangular:
		return math.Sqrt(3) * (2*s.Float64() - 1)
	case in.Kind == Triangular:
		return math.Sqrt(6) * (s.Float64() + s.Float64() - 1)
	case in.Kind == Arcsine:
		return math.Sqrt2 * math.Sin(2*math.Pi*s.Float64())
	case math.IsInf(in.dof(), 1):
		return s.Normal()
	}
	return s.Normal() / math.Sqrt(tables.DrawChiSquared(s, in.DoF)/in.DoF)
}

func moments(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(max(len(x)-1, 1)))
}

// tails cuts equal tails off sorted values (JCGM 101, 7.7).
func tails(sorted []float64, confidence float64) (low, high float64) {
	q := int(confidence*float64(len(sorted)) + 0.5)
	r := (len(sorted) - q + 1) / 2
	r = min(max(r, 1), len(sorted)-q)
	return sorted[r-1], sorted[r+q-1]
}

// shortest finds the shortest stretch of sorted values that holds the share.
func shortest(sorted []float64, confidence float64) (low, high float64) {
	q := int(confidence*float64(len(sorted)) + 0.5)
	at := 0
	for r := range len(sorted) - q {
		if sorted[r+q]-sorted[r] < sorted[at+q]-sorted[at] {
			at = r
		}
	}
	return sorted[at], sorted[at+q]
}
