package truth

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// PlateCoefficient is one row of the classical tables of thin plates: a is the short side along x, b the long one, D =
// E·t³/(12(1−ν²)). Published is NaN where nothing was printed; old tables carry slips in the last digit (0.00485 for b/a = 1.1
// against 0.00487; Roark 0.1110 for b/a = 2 against 0.1106), so tests hold to Computed, worked out by series, superposition and
// Ritz's method, and to Published loosely.
//
// Sources: S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (from memory); W. C. Young and R. G. Budynas,
// Roark's Formulas for Stress and Strain, Table 11.4 case 1 (seen); a five-digit plate table (seen). Mark says which row is which.
type PlateCoefficient struct {
	Case                string
	Ratio, Nu           float64 // b/a, +Inf for a strip; NaN: any ν
	Published, Computed float64
	Mark                string
}

//go:embed plate_coefficients.csv
var plateCSV string

// PlateCoefficients returns the rows of a case, such as ss_uniform_centre_deflection.
func PlateCoefficients(name string) []PlateCoefficient {
	rows, err := csv.NewReader(strings.NewReader(plateCSV)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("own fault: plate_coefficients.csv: %v", err))
	}
	number := func(s string) float64 {
		if s == "" {
			return math.NaN()
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic(fmt.Sprintf("own fault: plate_coefficients.csv: %v", err))
		}
		return v
	}
	var list []PlateCoefficient
	for _, r := range rows[1:] {
		if r[0] == name {
			list = append(list, PlateCoefficient{Case: r[0], Ratio: number(r[1]), Nu: number(r[2]), Published: number(r[3]), Computed: number(r[4]), Mark: r[5]})
		}
	}
	return list
}

// The places of two supports under a beam that carries its own weight, as a share of its length from each end, closed forms: ends level
// (G. B. Airy, Memoirs of the Royal Astronomical Society 15, 1846: (1 − 1/√3)/2), least shortening of the neutral line (F. W. Bessel: 0.2203), least
// sag (0.2232: middle and ends equally low).
const (
	AiryPoints     = 0.2113
	BesselPoints   = 0.2203
	LeastSagPoints = 0.2232
)

// TwoLayer is a strip of two layers of which one grows, after S. Timoshenko, Analysis of bi-metal thermostats, Journal of the Optical Society
// of America 11, 1925, 233.
type TwoLayer struct {
	Thickness, Modulus [2]float64 // of the layer at rest and of the one that grows, mm and MPa
	Strain             float64    // growth
	Curvature          float64    // 1/mm
	Mark               string
}

// TwoLayers returns a printed example (3 m long, 300 mm high, equal layers, 5e-6 and 10e-6 per K, 50 K: an end moves 5.625 mm,
// seen) and a made-up one of slate on board, worked out by the formula and by the equilibrium of a composite beam, which agree.
func TwoLayers() []TwoLayer {
	return []TwoLayer{
		{[2]float64{150, 150}, [2]float64{200000, 200000}, 2.5e-4, 5.625 * 2 / (3000 * 3000), "seen"},
		{[2]float64{25.4, 19.05}, [2]float64{48360, 3000}, 1e-3, 1.281042e-05, "computed"},
	}
}
