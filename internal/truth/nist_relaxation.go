package truth

import _ "embed"

// Relaxation is a set of readings with the certified fit of value = final + Σ amplitude·exp(−rate·x). Where the fit has no free final value it begins
// at 0, so final = −Σ amplitude.
type Relaxation struct {
	Name           string
	X, Y           []float64
	FromZero       bool
	Final, FinalSD float64
	Rates, RateSDs []float64 // the slower first
	RSS            float64
}

// Misra1a, BoxBOD and MGH17 of the Statistical Reference Datasets of the National Institute of Standards and Technology, nonlinear regression: lower,
// higher and average difficulty, certified to 11 digits. The residual sums of squares were worked out again and agree.
//
//go:embed nist_relaxation.csv
var nistRelaxation string

// Relaxations returns the sets.
func Relaxations() []Relaxation {
	sets := []Relaxation{
		{Name: "Misra1a", FromZero: true, Final: 2.3894212918e+02, FinalSD: 2.7070075241e+00, Rates: []float64{5.5015643181e-04}, RateSDs: []float64{7.2668688436e-06}, RSS: 1.2455138894e-01},
		{Name: "BoxBOD", FromZero: true, Final: 2.1380940889e+02, FinalSD: 1.2354515176e+01, Rates: []float64{5.4723748542e-01}, RateSDs: []float64{1.0455993237e-01}, RSS: 1.1680088766e+03},
		{Name: "MGH17", Final: 3.7541005211e-01, FinalSD: 2.0723153551e-03, Rates: []float64{1.2867534640e-02, 2.2122699662e-02}, RateSDs: []float64{4.4861358114e-04, 8.9471996575e-04}, RSS: 5.4648946975e-05},
	}
	for _, row := range decisionRows(nistRelaxation) {
		n := decisionNumbers(row[2:])
		for i := range sets {
			if sets[i].Name == row[0] {
				sets[i].X, sets[i].Y = append(sets[i].X, n[0]), append(sets[i].Y, n[1])
			}
		}
	}
	return sets
}
