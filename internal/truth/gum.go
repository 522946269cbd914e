package truth

import _ "embed"

// GUMFigure is one published figure of an example on measurement uncertainty. Mark says how sure it is: "seen" was read in public test
// files that transcribe the example, "memory" was recalled; both were worked out again for the column Computed.
type GUMFigure struct {
	Example, Quantity, Mark string
	Published, Computed     float64
}

// Figures of examples of the guides of the Joint Committee for Guides in Metrology: H.1 (calibration of an end gauge) of JCGM
// 100:2008, Guide to the expression of uncertainty in measurement; 9.2 (additive model), 9.3 (mass calibration), 9.4 (comparison loss, in
// millionths) and 9.5 (end gauge) of JCGM 101:2008, Supplement 1, Propagation of distributions using a Monte Carlo method. The ends of a shortest
// interval are flat optima.
//
//go:embed gum.csv
var gumFigures string

// GUM returns the figure of an example; it panics where there is none.
func GUM(example, quantity string) GUMFigure {
	for _, row := range decisionRows(gumFigures) {
		if row[0] == example && row[1] == quantity {
			n := decisionNumbers(row[3:])
			return GUMFigure{Example: row[0], Quantity: row[1], Mark: row[2], Published: n[0], Computed: n[1]}
		}
	}
	panic("truth: no figure " + quantity + " of " + example)
}
