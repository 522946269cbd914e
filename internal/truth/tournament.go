package truth

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

// Figures of the tournament text on the slate and its table. Source: WPA tournament table & equipment specifications,
// November 2001 text, item on slates and its neighbours, as printed by the copies of an Indian, a Norwegian and the
// European federation. The copies print the two flatness figures with a plus sign.
//
//go:embed tournament.csv
var tournamentCSV string

// TournamentFigure is one figure of the tournament text: its value in Unit and, where the text has one, in inches.
type TournamentFigure struct {
	Item, Unit, InchForm string
	Value                float64
}

// Tournament returns the figures by item. It panics if the embedded table is broken or empty.
func Tournament() map[string]TournamentFigure {
	rows, err := csv.NewReader(strings.NewReader(tournamentCSV)).ReadAll()
	if err != nil || len(rows) < 2 {
		panic(fmt.Sprintf("truth: tournament.csv: %d rows, %v", len(rows), err))
	}
	figures := make(map[string]TournamentFigure, len(rows)-1)
	for _, row := range rows[1:] {
		value, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			panic("truth: tournament.csv: " + err.Error())
		}
		figures[row[0]] = TournamentFigure{Item: row[0], Value: value, Unit: row[2], InchForm: row[3]}
	}
	return figures
}
