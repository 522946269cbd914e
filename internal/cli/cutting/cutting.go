// Package cutting has the verbs about cutting: a quarry layer into blocks, a block into leaves, and what is lost on the way from rock to stone.
//
// It parses, asks the packages below cutting, and shows; it reckons nothing and reads no book.
package cutting

import (
	"io"

	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/internal/tongue"
	"slatewright/measure"
)

// mm prints a length to a tenth of what a rule shows.
func mm(x float64) string { return measure.Decimal(x, 2) }

// care prints what can hurt; loads are what is lifted.
func care(w io.Writer, topics []caution.Topic, loads ...caution.Load) {
	verb.Section(w, "Take care")
	var rows [][2]string
	for _, c := range caution.OnPage(tongue.In(tongue.English, tongue.Metric), topics, loads...) {
		rows = append(rows, [2]string{c.Word, c.Text})
	}
	verb.Columns(w, rows)
}
