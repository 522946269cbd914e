package truth

import _ "embed"

// Roll is a width that is ordered from the stock of a one-dimensional problem.
type Roll struct{ Width, Demand int }

//go:embed cutting_stock.csv
var cuttingStock string

// CuttingStock returns the well-known example of rolls of 5600 mm (the stock is seen in a public encyclopaedia; the table of widths and its optimum of 73 rolls with
// 0.401 % waste are from memory and were worked out again by an integer programme over its 308 ways to cut a roll, which agrees).
func CuttingStock() (stock, optimum int, rolls []Roll) {
	for _, r := range table("cutting_stock.csv", cuttingStock) {
		stock = whole(r[0])
		rolls = append(rolls, Roll{whole(r[1]), whole(r[2])})
	}
	return stock, 73, rolls
}
