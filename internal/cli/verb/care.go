package verb

import (
	"io"

	"slatewright/internal/caution"
	"slatewright/internal/tongue"
)

// Care prints what can hurt; loads are what is lifted.
func Care(w io.Writer, topics []caution.Topic, loads ...caution.Load) {
	Section(w, "Take care")
	var rows [][2]string
	for _, c := range caution.OnPage(tongue.In(tongue.English, tongue.Metric), topics, loads...) {
		rows = append(rows, [2]string{c.Word, c.Text})
	}
	Columns(w, rows)
}
