package cleanup

import (
	"fmt"
	"math"

	"slatewright/gauge/tables"
	"slatewright/trouble"
)

// Caliper is a thickness read at a place of the piece.
type Caliper struct{ X, Y, T float64 }

// U are standard uncertainties of one reading: of either map, and of a caliper. 0 is not known.
type U struct{ Top, Bottom, Caliper float64 }

// Tied is how the bottom's map lies under the top's.
type Tied struct {
	Lift Lift // of the bottom, to be put into the Slab
	// Covariance of Lift's Height, Along and Across; Fit is in it.
	Covariance [3][3]float64
	Left       []float64 // of each caliper, what it reads above the tied maps, mm
	// Fit is the factor by which the doubts were made larger because the calipers agree worse than their uncertainties allow; 1 if they do not.
	Fit   float64
	Spare int // readings beyond the three that are needed

	x, y float64 // middle of the calipers
}

// LeastCalipers tie two maps; 4 to 8 show when one of them is wrong.
const LeastCalipers = 3

// narrow is the least share of the longest distance between two calipers that another must lie beside their line.
const narrow = 0.05

// Tie lays the bottom's map, in the piece frame but for a height and two tilts that nobody knows, under the top's by caliper thicknesses: weighted least
// squares with three unknowns. The height of a map at a caliper is that of the readings around it, with what it lacks of certainty. Three calipers tell
// nothing of their own agreement; from four, what is left is held against the uncertainties (χ², 95 %), and where it is too large all doubts grow with it.
//
// One pass over all readings. The error is a *trouble.Trouble: fewer than three calipers (few-calipers), or on a line (calipers-on-a-line), or where
// a map has no readings around them (no-reading-near).
func Tie(s Slab, calipers []Caliper, u U) (*Tied, error) {
	if err := checkCalipers(calipers); err != nil {
		return nil, err
	}
	places := make([][2]float64, len(calipers))
	for i, c := range calipers {
		places[i] = [2]float64{c.X, c.Y}
	}
	tops, bottoms := around(s.Top, places), around(s.Bottom, places)
	t := &Tied{Fit: 1, Spare: len(calipers) - 3}
	for _, c := range calipers {
		t.x, t.y = t.x+c.X/float64(len(calipers)), t.y+c.Y/float64(len(calipers))
	}
	rows := make([][]float64, len(calipers))
	values, weights := make([]float64, len(calipers)), make([]float64, len(calipers))
	for i, c := range calipers {
		top, ut, okTop := height(tops[i], u.Top)
		bottom, ub, okBottom := height(bottoms[i], u.Bottom)
		if !okTop || !okBottom {
			return nil, noReadingNear(c)
		}
		rows[i] = []float64{1, (c.X - t.x) / lengths, (c.Y - t.y) / lengths}
		values[i] = top - bottom - c.T
		weights[i] = 1 / math.Max(square(u.Caliper)+square(ut)+square(ub), square(leastU))
	}
	c, inverse, rest, ok := fitted(rows, values, weights)
	if !ok {
		return nil, onALine()
	}
	t.take(c, inverse, rest, u)
	for i, q := range calipers {
		t.Left = append(t.Left, t.Lift.At(q.X, q.Y)-values[i])
	}
	return t, nil
}

const (
	lengths = 1000 // mm: unit of places within the fit
	leastU  = 1e-6 // mm: below this nothing counts as doubt, and weights stay finite
)

func square(v float64) float64 { return v * v }

// take puts the fit into the frame of the piece.
func (t *Tied) take(c []float64, inverse [][]float64, rest float64, u U) {
	if t.Spare > 0 && rest > tables.ChiSquaredPoint(0.95, float64(t.Spare)) {
		t.Fit = math.Sqrt(rest/float64(t.Spare)) * tables.StudentPoint(0.975, float64(t.Spare)) / 1.96
	}
	along, across := c[1]/lengths, c[2]/lengths
	t.Lift = Lift{c[0] - along*t.x - across*t.y, along, across}
	// δHeight = δc₀ − (δc₁·x + δc₂·y)/lengths
	turn := [3][3]float64{{1, -t.x / lengths, -t.y / lengths}, {0, 1.0 / lengths, 0}, {0, 0, 1.0 / lengths}}
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				for l := range 3 {
					t.Covariance[i][j] += square(t.Fit) * turn[i][k] * inverse[k][l] * turn[j][l]
				}
			}
		}
	}
	if u == (U{}) && t.Fit == 1 {
		t.Covariance = [3][3]float64{}
	}
}

// UAt is the standard uncertainty of the thickness at a place that comes from the tie.
func (t *Tied) UAt(x, y float64) float64 {
	g := [3]float64{1, x, y}
	sum := 0.0
	for i := range 3 {
		for j := range 3 {
			sum += g[i] * t.Covariance[i][j] * g[j]
		}
	}
	return math.Sqrt(max(0, sum))
}

// Worst is the caliper that agrees least, by its number; −1 without any to spare.
func (t *Tied) Worst() int {
	worst := -1
	for i, d := range t.Left {
		if t.Spare > 0 && (worst < 0 || math.Abs(d) > math.Abs(t.Left[worst])) {
			worst = i
		}
	}
	return worst
}

func checkCalipers(calipers []Caliper) error {
	if n := len(calipers); n < LeastCalipers {
		return trouble.Data("few-calipers", "thickness", fmt.Sprintf("%s; after turning the slab over, the height and two tilts between the maps are not known", trouble.Count(n, "caliper thickness is given", "caliper thicknesses are given")),
			fmt.Sprintf("measure the thickness by caliper at %s at least, not on one line, best 4 to 8 near the corners and edges, and write each as '# thickness: x y t'",
				trouble.Count(LeastCalipers-n, "more place", "more places")))
	}
	far, a, b := 0.0, 0, 0
	for i := range calipers {
		for j := range i {
			if d := math.Hypot(calipers[i].X-calipers[j].X, calipers[i].Y-calipers[j].Y); d > far {
				far, a, b = d, i, j
			}
		}
	}
	beside := 0.0
	for _, c := range calipers {
		p, q := calipers[a], calipers[b]
		beside = max(beside, math.Abs((c.X-p.X)*(q.Y-p.Y)-(c.Y-p.Y)*(q.X-p.X)))
	}
	if !(beside > narrow*far*far) {
		return onALine()
	}
	return nil
}

func onALine() error {
	return trouble.Data("calipers-on-a-line", "thickness", "the caliper places lie on one line, so the slab may be turned about it",
		"measure the thickness at one place more, well beside that line; best 4 to 8 near the corners and edges")
}
