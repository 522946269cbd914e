package truth

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

// What published rules of games say of fields, stone and pockets. Sources, all read in stored copies:
//
//   - wpa: the pocket section of the text of Tournament, as printed by the Norwegian copy and one on a page about pocket sizes; "tolerance 1
//     deg" stands beside both cut angles.
//   - dbu: the German federation's norm for pool, as an encyclopaedia's article on the pool table sums it up.
//   - umb: UMB carom equipment rules, article 11, in two copies.
//   - wpbsa: WPBSA/IBSF rules of snooker, section 1, as quoted by a German page of rules.
//
//go:embed tables.csv
var tablesCSV string

// TableFigures returns the figures of one set of rules (wpa, dbu, umb or wpbsa) by item. It panics if the embedded table is broken or has none.
func TableFigures(rules string) map[string]TournamentFigure {
	rows, err := csv.NewReader(strings.NewReader(tablesCSV)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("truth: tables.csv: %v", err))
	}
	figures := map[string]TournamentFigure{}
	for _, row := range rows[1:] {
		if row[0] != rules {
			continue
		}
		value, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			panic("truth: tables.csv: " + err.Error())
		}
		figures[row[1]] = TournamentFigure{Item: row[1], Value: value, Unit: row[3], InchForm: row[4]}
	}
	if len(figures) == 0 {
		panic("truth: tables.csv has nothing of " + rules)
	}
	return figures
}
