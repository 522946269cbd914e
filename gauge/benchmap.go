package gauge

import (
	"fmt"
	"math"
	"slices"

	"slatewright/trouble"
)

// BenchMap is what a bench, or the bridge over it, adds to a dial at the crossings of a grid: what the dial would read there over a true plane, with
// what is known of the errors of that. Where the dial's stand rides on the bench, a high place of the bench makes it read low, so the heights
// of a level walk come in with the other sign.
type BenchMap struct {
	X, Y   []float64   // of the grid's lines, rising, mm
	Height [][]float64 // at X[i], Y[k], mm
	// Covariance of the heights in the order i·len(Y) + k, mm²; from a level walk it says how errors hang together.
	Covariance [][]float64
}

// Check refuses a map that is none.
func (m *BenchMap) Check() error {
	bad := func(what string) error {
		return trouble.Data("bad-bench-map", "bench map", what, "measure the bench anew, or correct the file")
	}
	n := len(m.X) * len(m.Y)
	if len(m.X) < 2 || len(m.Y) < 2 || !rising(m.X) || !rising(m.Y) || len(m.Height) != len(m.X) || len(m.Covariance) != n {
		return bad("it needs two rising lines each way, a height at each crossing and their covariance")
	}
	for _, row := range m.Height {
		if len(row) != len(m.Y) {
			return bad("a height is missing")
		}
	}
	for i, row := range m.Covariance {
		if len(row) != n || !(row[i] >= 0) {
			return bad("the covariance is not square, or a variance is negative")
		}
		for k := range row {
			if other := m.Covariance[k]; len(other) != n || math.Abs(row[k]-other[i]) > 1e-9*(row[i]+other[k]) || !(row[k]*row[k] <= row[i]*other[k]*(1+1e-9)) {
				return bad("the covariance cannot be: it is not symmetric, or two errors hang together more than fully")
			}
		}
	}
	return nil
}

func rising(x []float64) bool {
	return slices.IsSortedFunc(x, func(a, b float64) int {
		if a < b {
			return -1
		}
		return 1
	})
}

// Subtract takes the bench off dial readings at these places (mm): the map at a place is bilinear between the four crossings around it. u is
// the standard uncertainty of one reading, independent of the others. It returns the heights and their covariance W·C·Wᵀ + u²·1, where row i of
// W holds the shares of the crossings in reading i. A place off the map is refused.
func (m *BenchMap) Subtract(places [][2]float64, readings []float64, u float64) (heights []float64, covariance [][]float64, err error) {
	if err := m.Check(); err != nil {
		return nil, nil, err
	}
	shares := make([][]part, len(places))
	heights = make([]float64, len(places))
	for i, at := range places {
		if shares[i], err = m.parts(at); err != nil {
			return nil, nil, err
		}
		heights[i] = readings[i]
		for _, p := range shares[i] {
			heights[i] -= p.share * m.Height[p.crossing/len(m.Y)][p.crossing%len(m.Y)]
		}
	}
	covariance = make([][]float64, len(places))
	for i := range covariance {
		covariance[i] = make([]float64, len(places))
		for k := range covariance[i] {
			for _, a := range shares[i] {
				for _, b := range shares[k] {
					covariance[i][k] += a.share * b.share * m.Covariance[a.crossing][b.crossing]
				}
			}
		}
		covariance[i][i] += u * u
	}
	return heights, covariance, nil
}

// part is a crossing's share in the height at a place.
type part struct {
	crossing int
	share    float64
}

func (m *BenchMap) parts(at [2]float64) ([]part, error) {
	i, a := cell(m.X, at[0])
	k, b := cell(m.Y, at[1])
	if i < 0 || k < 0 {
		return nil, trouble.Data("off-the-map", fmt.Sprintf("x %g y %g", at[0], at[1]), "the bench was not measured there", "lay the piece inside the map, or measure more of the bench")
	}
	n := len(m.Y)
	return []part{{i*n + k, (1 - a) * (1 - b)}, {(i+1)*n + k, a * (1 - b)}, {i*n + k + 1, (1 - a) * b}, {(i+1)*n + k + 1, a * b}}, nil
}

// cell finds the stretch of lines that holds x, and how far along it x lies; −1 where none does.
func cell(lines []float64, x float64) (int, float64) {
	if !(x >= lines[0] && x <= lines[len(lines)-1]) {
		return -1, 0
	}
	i, found := slices.BinarySearch(lines, x)
	if !found || i == len(lines)-1 {
		i--
	}
	return i, (x - lines[i]) / (lines[i+1] - lines[i])
}
