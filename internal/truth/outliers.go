package truth

import (
	_ "embed"
	"strconv"
	"strings"
)

// Extremes are values whose farthest are taken away one after another: how far each lay from the mean of those left, in standard deviations, and what it would stay
// below with 95 % by chance.
type Extremes struct{ Values, Deviates, Critical []float64 }

//go:embed outliers.csv
var outliersCSV string

// Rosner returns the 54 values of B. Rosner, Percentage points for a generalized ESD many-outlier procedure, Technometrics 25, 1983, 165, with the ten deviates and
// critical values that NIST/SEMATECH e-Handbook 1.3.5.17.3 prints for them: three outliers (all from memory; the deviates were worked out again from the values and
// agree within one of the last digit).
func Rosner() Extremes {
	row := table("outliers.csv", outliersCSV)[0]
	var lists [3][]float64
	for i := range lists {
		for _, s := range strings.Fields(row[i+1]) {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				panic("own fault: outliers.csv: " + err.Error())
			}
			lists[i] = append(lists[i], x)
		}
	}
	return Extremes{lists[0], lists[1], lists[2]}
}
