package worth

import (
	"math"
	"testing"
)

// The area under the curve is all pieces, that beyond the limit times what passes is the false accepts of the answer.
func TestTheCurveHoldsTheAnswer(t *testing.T) {
	sample := []float64{0.12, 0.15, 0.16, 0.18, 0.2, 0.21, 0.22, 0.24, 0.27, 0.31}
	for name, truth := range map[string]Truth{
		"lognormal": {Shape: Lognormal, Mean: 0.19, SD: 0.04}, "normal": {Shape: Normal, Mean: 0.19, SD: 0.04}, "as read": {Shape: AsRead, Sample: sample},
	} {
		q := Question{Limit: 0.25, Truth: truth, Instruments: []Instrument{{Name: "a", U: 0.02}, {Name: "b", U: 0.005, Guard: 1}}}
		c := q.Curve(4001)
		step := c.X[1] - c.X[0]
		var all float64
		accepts := make([]float64, 2)
		for k, x := range c.X {
			all += c.Density[k] * step
			for i := range accepts {
				if x > q.Limit {
					accepts[i] += c.Density[k] * c.Passes[i][k] * step
				}
			}
		}
		if math.Abs(all-1) > 0.003 {
			t.Errorf("%s: the area is %g", name, all)
		}
		if truth.Shape == AsRead {
			continue // smoothed for the eye
		}
		a, err := Ask(q)
		if err != nil {
			t.Fatal(err)
		}
		for i, in := range a.Assessments {
			if math.Abs(accepts[i]-in.Risk.FalseAccept) > 0.0005 {
				t.Errorf("%s: %s lets %g through on the curve and %g in the answer", name, in.Name, accepts[i], in.Risk.FalseAccept)
			}
		}
	}
}
