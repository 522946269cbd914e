package levels

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func TestDistributionsAgainstAnotherLibrary(t *testing.T) {
	for _, n := range []int{1, 2, 3, 7, 30, 200, 1900} {
		for _, q := range []float64{1e-6, 0.01, 0.3, 0.5, 0.9, 0.99, 1 - 1e-6} {
			chi := distuv.ChiSquared{K: float64(n)}
			x := chi.Quantile(q)
			if got := chiSquare(x, n); math.Abs(got-chi.CDF(x)) > 1e-10 {
				t.Errorf("chi-square %d at %g: %g, want %g", n, x, got, chi.CDF(x))
			}
			if got := chiQuantile(q, n); math.Abs(got-x) > 1e-6*x {
				t.Errorf("chi-square %d quantile %g: %g, want %g", n, q, got, x)
			}
			student := distuv.StudentsT{Sigma: 1, Nu: float64(n)}
			y := math.Abs(student.Quantile(q))
			if got, want := studentTail(y, n), 2*student.CDF(-y); math.Abs(got-want) > 1e-10+1e-7*want {
				t.Errorf("t %d at %g: %g, want %g", n, y, got, want)
			}
		}
	}
}
