package truth

import _ "embed"

// RangeFactor is how wide n normal draws lie on average (D2) and by how much that varies (D3), in standard deviations. Published is the
// printed factor, 0 where none was seen.
type RangeFactor struct {
	N                 int
	Published, D2, D3 float64
}

// The factors d₂ and d₃ of control charts: the standard factor table (seen for n = 2 to 20, three decimals; as in ASTM STP 15D, 1976),
// and the same computed to six decimals, which agree with the print within 0.0007.
//
//go:embed range_factors.csv
var rangeFactors string

// RangeFactors returns the factors from n = 2 on.
func RangeFactors() []RangeFactor {
	var list []RangeFactor
	for _, row := range decisionRows(rangeFactors) {
		n := decisionNumbers(row)
		f := RangeFactor{N: int(n[0]), D2: n[2], D3: n[3]}
		if row[1] != "" {
			f.Published = n[1]
		}
		list = append(list, f)
	}
	return list
}
