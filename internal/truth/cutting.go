package truth

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

// CuttingItem is an item of a published cutting instance, laid one way only. Most is −1 where copies are not limited.
type CuttingItem struct{ Length, Width, Most, Value int }

// CuttingInstance is a published problem of cutting a rectangle, with its optimum.
type CuttingInstance struct {
	Name          string
	Guillotine    bool // the optimum is that of edge-to-edge cuts; otherwise of any cuts, which edge-to-edge cuts reach here
	Length, Width int
	Items         []CuttingItem
	Optimum       int
}

//go:embed cutting_instances.csv
var cuttingCSV string

//go:embed cutting_results.csv
var cuttingResultsCSV string

// CuttingInstances returns Herz (J. C. Herz, IBM Journal of Research and Development 16, 1972, 462), gcut1 to 6 (J. E. Beasley, Algorithms for
// unconstrained two-dimensional guillotine cutting, Journal of the Operational Research Society 36, 1985, 297), ngcut1 to 6 (J. E. Beasley, An exact
// two-dimensional non-guillotine cutting tree search procedure, Operations Research 33, 1985, 49) and cgcut1 (N. Christofides and C. Whitlock, An
// algorithm for two-dimensional cutting problems, Operations Research 25, 1977, 30), as the OR-Library has them (seen); the optima are from memory and were
// worked out again by a dynamic programme, an integer programme or enumeration, which agree.
func CuttingInstances() []CuttingInstance {
	var list []CuttingInstance
	for _, r := range table("cutting_results.csv", cuttingResultsCSV) {
		list = append(list, CuttingInstance{Name: r[0], Guillotine: !strings.Contains(r[1], "non-guillotine"), Optimum: whole(r[2])})
	}
	for _, r := range table("cutting_instances.csv", cuttingCSV) {
		for i := range list {
			if c := &list[i]; c.Name == r[0] {
				most := -1
				if r[7] != "" {
					most = whole(r[7])
				}
				c.Length, c.Width = whole(r[2]), whole(r[3])
				c.Items = append(c.Items, CuttingItem{whole(r[5]), whole(r[6]), most, whole(r[8])})
			}
		}
	}
	return list
}

func table(name, text string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) < 2 {
		panic(fmt.Sprintf("own fault: %s: %v", name, err))
	}
	return rows[1:]
}

func whole(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		panic(fmt.Sprintf("own fault: %v", err))
	}
	return n
}
