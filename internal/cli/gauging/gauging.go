// Package gauging has the verbs about instruments: how well they repeat, what their doubt is made of, when they are due, and what a better
// one would be worth.
//
// It parses, asks the packages under gauge, and shows; it computes nothing and reads no book.
package gauging

import (
	"io"
	"math"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/sheet"
)

// Gauge holds the verbs about instruments.
type Gauge struct {
	Study    Study    `cmd:"" help:"How well does an instrument repeat, and do people agree?"`
	Worth    Worth    `cmd:"" help:"What would a better instrument be worth?"`
	Budget   Budget   `cmd:"" help:"What is the doubt of a reading made of?"`
	Due      Due      `cmd:"" help:"When is the next calibration due?"`
	Reversal Reversal `cmd:"" help:"What is the instrument's own error, and what is the face?"`
	Bench    Bench    `cmd:"" help:"What is left of the readings when the bench's own shape is taken off?"`
}

func readSheet(s *verb.Session, name string) (*sheet.Sheet, error) {
	return verb.Read(s, name, sheet.Read)
}

// digits prints x with so many digits that count, and no exponent.
func digits(x float64, n int) string {
	switch {
	case math.IsNaN(x):
		return "-"
	case math.IsInf(x, 0):
		return "infinite"
	case x == 0:
		return "0"
	}
	decimals := n - 1 - int(math.Floor(math.Log10(math.Abs(x))))
	if decimals < 0 {
		unit := math.Pow(10, float64(-decimals))
		x, decimals = math.Round(x/unit)*unit, 0
	}
	return measure.Decimal(x, min(decimals, 12))
}

// percent prints a share.
func percent(x float64) string {
	switch x *= 100; {
	case math.IsNaN(x):
		return "-"
	case x < 1:
		return measure.Decimal(x, 2) + " %"
	}
	return measure.Decimal(x, 1) + " %"
}

// sentence writes text wrapped and indented.
func sentence(w io.Writer, text string) { io.WriteString(w, verb.Wrap(text, "  ", "  ", verb.Width)) }
