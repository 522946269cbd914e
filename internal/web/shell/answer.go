package shell

import (
	"encoding/json"
	"html/template"

	"slatewright/internal/tongue"
)

// Answer is what a question about a list comes to, in the order in which it is read: one sentence, one picture, the figures, and what is to
// be borne in mind. The part "answer" shows it.
type Answer struct {
	Tone    string // of the sentence: good, bad, doubt, or "" where the answer is no verdict
	Says    string
	Next    string // what to do about it; may be empty
	Wide    template.HTML
	Narrow  template.HTML // the same picture, drawn for a telephone; empty: the wide one serves
	Caption string
	Behind  Table // what the picture shows, for readers that speak; shown folded
	Figures []Figure
	Plan    template.HTML // where the tables' places lie; empty where they name none
	Places  string        // what that shows
	Tables  []Table
	Notes   []string // warnings of the reckoning, in English as it has them: each is shown in the reader's language
}

// Figure is one number with its name, and what stands small below it.
type Figure struct{ Name, Value, Small string }

// Table is a table of figures.
type Table struct {
	Title   string // a heading above it; may be empty
	Caption string
	Heads   []Cell
	Rows    []Row
}

// Cell is a place in a table.
type Cell struct {
	Text   string
	Figure bool   // it stands to the right
	Small  string // below it, as the interval of a figure
}

// Row is one line of a table; its first cell heads it.
type Row struct {
	Cells  []Cell
	Chosen bool
}

// Heads makes the heads of a table: the first to the left, the others to the right.
func Heads(names ...string) (cells []Cell) {
	for i, n := range names {
		cells = append(cells, Cell{Text: n, Figure: i > 0})
	}
	return cells
}

// RowOf makes a line like Heads.
func RowOf(texts ...string) Row { return Row{Cells: Heads(texts...)} }

// With adds a figure with what stands small below it.
func (r Row) With(text, small string) Row {
	r.Cells = append(r.Cells, Cell{Text: text, Figure: true, Small: small})
	return r
}

// JSONAndCSV are the buttons with which an answer and its list can be taken away: as=json and as=csv.
func JSONAndCSV(w tongue.Words) []ListFile {
	return []ListFile{{"json", w.Say("list.json")}, {"csv", w.Say("list.csv")}}
}

// GiveJSON answers with a file of JSON as the command line prints it.
func (v *Visit) GiveJSON(name string, what any) error {
	text, err := json.MarshalIndent(what, "", "  ")
	if err != nil {
		return err
	}
	return v.Give(name, "application/json", append(text, '\n'))
}
