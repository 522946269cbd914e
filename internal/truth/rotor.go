package truth

import _ "embed"

// Rotor is a rotor with its permissible residual unbalance, g·mm. Published is what a standard's example prints (mark "memory": the turbine rotor of
// ISO 1940-1, now ISO 21940-11, recalled and recomputed; it compares within the share Within), NaN for constructed rows that were only worked out by U = 9549.2966 G m / n
// ("computed").
type Rotor struct {
	Mass, Speed, Grade  float64 // kg, 1/min, mm/s
	Published, Computed float64
	Within              float64
	Mark                string
}

// InchUnbalance is the factor of the same formula in U = K G W / N with U in ounce-inches, W in pounds: as a maintenance journal prints it (energy-tech.com, article
// 18389, page 3; seen), and recomputed.
const (
	InchUnbalance         = 6.015
	InchUnbalanceComputed = 6.01530
)

//go:embed rotor_balance.csv
var rotorBalanceCSV string

// Rotors returns the rotors.
func Rotors() (list []Rotor) {
	for _, row := range decisionRows(rotorBalanceCSV) {
		n := decisionNumbers(row[:6])
		list = append(list, Rotor{n[0], n[1], n[2], n[3], n[4], n[5], row[6]})
	}
	return list
}
