package paper

import (
	"strings"

	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/judge"
)

// said are the words of a paper in its language, and its figures.
type said struct{ tongue.Words }

// both is a length in both units, mm first.
func (w said) both(mm float64) string {
	return w.Number(mm, 3) + " mm (" + w.Number(look.Thou(mm), 1) + " thou)"
}

// inches is a large length in inches.
func (w said) inches(mm float64, decimals int) string { return w.Number(mm/25.4, decimals) }

// verdict is the word of a verdict.
func (w said) verdict(v judge.Verdict) string { return w.Word("verdict", v) }

// place is the name of a place in the bed.
func (w said) place(name string) string { return w.Word("place", name) }

// date writes a day that is given as YYYY-MM-DD in the order of the language. What is none stands as it was given.
func (w said) date(day string) string {
	part := strings.Split(day, "-")
	if len(part) != 3 || len(day) != len("2026-11-25") {
		return day
	}
	return w.Say("paper.date", "y", part[0], "m", part[1], "d", part[2])
}

// orNone stands in for a phrase that was not given.
func (w said) orNone(s string) string {
	if strings.TrimSpace(s) == "" {
		return w.Say("paper.not-stated")
	}
	return s
}

// gap stands between two sentences.
func (w said) gap() string {
	if w.Language() == tongue.Chinese {
		return ""
	}
	return " "
}
