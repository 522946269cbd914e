package gauge

import (
	"fmt"
	"math"

	"slatewright/chance"
	"slatewright/gauge/tables"
	"slatewright/trouble"
)

// Parted is what a reversal tells at one place: the instrument's own error and what was measured, without it.
type Parted struct {
	Own, Face float64
	U         float64 // standard uncertainty of both
}

// Consistency tells whether readings that should say the same do, by chi squared at 1 %.
type Consistency struct {
	Consistent  bool
	ChiSquared  float64
	DoF         int
	Probability float64 // of so much or more by chance
	Worst       int     // the place that fits least
	Why         string
}

// inconsistent is the probability below which readings are said to contradict each other.
const inconsistent = 0.01

func consistency(chi float64, dof, worst int) Consistency {
	c := Consistency{Consistent: true, ChiSquared: chi, DoF: dof, Probability: 1, Worst: worst}
	if dof == 0 {
		c.Why = "nothing was read twice, so a slip would not be seen"
		return c
	}
	c.Probability = 1 - tables.ChiSquared(chi, float64(dof))
	if c.Consistent = c.Probability >= inconsistent; c.Consistent {
		c.Why = fmt.Sprintf("the readings agree as their doubt allows (chi squared %.3g of %d, p = %.2g)", chi, dof, c.Probability)
	} else {
		c.Why = fmt.Sprintf("the readings contradict each other more than their doubt allows (chi squared %.3g of %d, p = %.2g)", chi, dof, c.Probability)
	}
	return c
}

// TurnEdge parts a straightedge's own shape from that of the face under it. As and Turned hold one row a pass over the same stations (mm): gaps
// under the edge as it lies, and after it was turned by half a turn about its long axis, so that what was hollow now bulges. Both are
// counted from the straight line through the first and last station, where edge and face are 0. With A and B the mean gaps the face
// stands at −(A + B)/2 and the edge at (A − B)/2, + upwards for the edge as it lies; u is the standard uncertainty of one gap. Several passes each way
// are held against each other and against u.
func TurnEdge(as, turned [][]float64, x []float64, u float64) ([]Parted, Consistency, error) {
	if err := passes(as, turned, x, u); err != nil {
		return nil, Consistency{}, err
	}
	a, chiA, worstA, mostA := overPasses(as, x, u)
	b, chiB, worstB, mostB := overPasses(turned, x, u)
	if mostB > mostA {
		worstA = worstB
	}
	out := make([]Parted, len(x))
	for i := range x {
		t := (x[i] - x[0]) / (x[len(x)-1] - x[0])
		own := 1 + (1-t)*(1-t) + t*t // variance in u² of a gap counted from the end stations
		if i == 0 || i == len(x)-1 {
			own = 0
		}
		out[i] = Parted{Own: (a[i] - b[i]) / 2, Face: -(a[i] + b[i]) / 2, U: u / 2 * math.Sqrt(own/float64(len(as))+own/float64(len(turned)))}
	}
	dof := (len(as) + len(turned) - 2) * (len(x) - 2)
	return out, consistency(chiA+chiB, dof, worstA), nil
}

func passes(as, turned [][]float64, x []float64, u float64) error {
	bad := func(what, next string) error { return trouble.Data("bad-reversal", "reversal", what, next) }
	if len(as) == 0 || len(turned) == 0 {
		return bad("one of the two ways is missing", "read the line, turn the edge about its long axis, and read it again")
	}
	if len(x) < 3 || !rising(x) || !(u > 0) {
		return bad("it needs three stations in rising order and the doubt of a reading", "read at least the two ends and the middle")
	}
	for _, row := range append(append([][]float64{}, as...), turned...) {
		if len(row) != len(x) {
			return bad("a pass does not have a reading at every station", "read what is missing")
		}
	}
	return nil
}

// overPasses averages passes after levelling each by its ends, and holds them against each other. The spread of levelled gaps is compared through
// their own covariance (1 on the diagonal, and what both ends add), inverted in closed form by undoing the levelling on a full residual: a line
// fitted to it takes two degrees of freedom a pass.
func overPasses(rows [][]float64, x []float64, u float64) (mean []float64, chi float64, worst int, most float64) {
	n := len(x)
	mean = make([]float64, n)
	raw := make([]float64, n)
	for _, row := range rows {
		for i, v := range row {
			t := (x[i] - x[0]) / (x[n-1] - x[0])
			mean[i] += (v - row[0]*(1-t) - row[n-1]*t) / float64(len(rows))
			raw[i] += v / float64(len(rows))
		}
	}
	for _, row := range rows {
		rest := make([]float64, n)
		for i, v := range row {
			rest[i] = v - raw[i]
		}
		for i, r := range withoutLine(x, rest) {
			part := r * r / (u * u)
			chi += part
			if part > most {
				most, worst = part, i
			}
		}
	}
	return mean, chi, worst, most
}

// withoutLine takes the least-squares line off.
func withoutLine(x, y []float64) []float64 {
	n := float64(len(x))
	var sx, sy, sxx, sxy float64
	for i := range x {
		sx, sy = sx+x[i]/n, sy+y[i]/n
	}
	for i := range x {
		sxx, sxy = sxx+(x[i]-sx)*(x[i]-sx), sxy+(x[i]-sx)*(y[i]-sy)
	}
	out := make([]float64, len(x))
	for i := range x {
		out[i] = y[i] - sy - sxy/sxx*(x[i]-sx)
	}
	return out
}

// TurnLevel parts a level's zero error from the slope under it: at each place it is read as it stands (forward) and after half a turn about the
// upright (back), in the same unit. The slope is (forward − back)/2 and the zero (forward + back)/2; u is the standard uncertainty of one
// reading. The zero is one and the same at all places, so the places are held against each other. It returns the slopes, the mean zero with its
// standard uncertainty, and the consistency.
func TurnLevel(forward, back []float64, u float64) (slopes []Parted, zero, uZero float64, c Consistency, err error) {
	if len(forward) == 0 || len(forward) != len(back) || !(u > 0) {
		return nil, 0, 0, c, trouble.Data("bad-reversal", "reversal", "every place needs a reading both ways, and their doubt", "read, turn the level end for end on the same place, and read again")
	}
	n := float64(len(forward))
	for i := range forward {
		own := (forward[i] + back[i]) / 2
		slopes = append(slopes, Parted{Own: own, Face: (forward[i] - back[i]) / 2, U: u / math.Sqrt2})
		zero += own / n
	}
	chi, worst, most := 0.0, 0, -1.0
	for i, s := range slopes {
		part := (s.Own - zero) * (s.Own - zero) / (u * u / 2)
		chi += part
		if part > most {
			most, worst = part, i
		}
	}
	c = consistency(chi, len(forward)-1, worst)
	return slopes, zero, u / math.Sqrt2 / math.Sqrt(n), c, nil
}

// ZeroDiffers tells whether a zero error is more than its doubt can make of nothing, at 95 %.
func ZeroDiffers(zero, u float64) bool { return math.Abs(zero) > chance.Quantile(0.975)*u }
