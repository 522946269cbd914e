// Package gluing has the verbs about linings: may a batch of boards be glued today, and what does a coupon of the mill tell.
//
// It parses, asks package lining/answers, and shows; it computes nothing and reads no book.
package gluing

import (
	"fmt"
	"math"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/lining/answers"
	"slatewright/measure"
	"slatewright/sheet"
)

// Lining holds the verbs about linings.
type Lining struct {
	Glue   Glue   `cmd:"" help:"May this batch of boards be glued today, and in which layout?"`
	Coupon Coupon `cmd:"" help:"What does a bonded coupon bend for 1 % of humidity?"`
}

func readSheet(s *verb.Session, name string) (*sheet.Sheet, error) {
	return verb.Read(s, name, sheet.Read)
}

// between prints a value with its limits.
func between(s answers.Span, decimals int, unit string) string {
	return fmt.Sprintf("%s%s (%s to %s)", measure.Decimal(s.Value, decimals), unit, measure.Decimal(s.Low, decimals), measure.Decimal(s.High, decimals))
}

// Limits are rounded outwards, so that a printed one is never narrower than the true one.
func up(v float64) string   { return measure.Decimal(math.Ceil(v*1000-1e-6)/1000, 3) }
func down(v float64) string { return measure.Decimal(math.Floor(v*1000+1e-6)/1000, 3) }

// signed puts a + before what is above 0.
func signed(text string) string {
	if strings.HasPrefix(text, "-") || strings.Trim(text, "0.") == "" {
		return text
	}
	return "+" + text
}
