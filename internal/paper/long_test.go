package paper

import (
	"fmt"
	"strings"
	"testing"

	"slatewright/internal/picture/look"
)

const unbroken = "Plattenbearbeitungsmaschinenherstellungsgesellschaftsvertragsunterlagenverzeichnisnummer"

func longWords() Certificate {
	c := specimenCertificate()
	c.Mill += " " + unbroken
	c.Set = "QH-0007-" + strings.Repeat("0123456789", 3)
	c.Pattern += " " + unbroken
	c.Reason += " " + unbroken
	c.NotChecked = append(c.NotChecked, unbroken)
	c.Method.Support = unbroken + unbroken
	for i := range c.Pieces {
		c.Pieces[i].Serial = "P-" + unbroken
		c.Map.Pieces[i].Serial = c.Pieces[i].Serial
	}
	c.Results[2].Name = "zone of the whole bed as laid"
	c.KeyID = strings.Repeat("0123456789abcdef", 4)
	return c
}

func longRefusal() Refusal {
	r := specimenRefusal()
	r.NextStep, r.NextWhy = unbroken+" "+r.NextStep, r.NextWhy+" "+unbroken+unbroken
	for range 30 {
		r.Reasons = append(r.Reasons, unbroken+" is a reason, and a long one at that, with many words that fill more than one line of the page")
		r.Warnings = append(r.Warnings, "a warning, "+unbroken)
	}
	return r
}

func longLists() Certificate {
	c := specimenCertificate()
	for i := range 80 {
		c.Warnings = append(c.Warnings, fmt.Sprintf("warning number %d", i))
	}
	for i := len(c.Levels.Marks); i < mostMarks; i++ {
		c.Levels.Marks = append(c.Levels.Marks, LevelMark{look.Fixed(float64(i), 0), -1300 + 65*float64(i), 300, reading(0.1), reading(0.2)})
	}
	return c
}

func TestLongWordsSurvive(t *testing.T) {
	c := longWords()
	for _, size := range []Size{A4, Letter} {
		p := printOut(t, c, size)
		raw := squash(raw(t, p))
		// A word that is broken over lines is whole when the lines are read one after the other.
		if n := strings.Count(raw, unbroken); n < 6 {
			t.Errorf("%s: the long word stands whole %d times, want at least 6", size, n)
		}
		if m := lacks(raw, c.Set, c.KeyID); len(m) > 0 {
			t.Errorf("%s: lacks %q", size, m)
		}
	}
	l := longLists()
	text := printOut(t, l, A4).text()
	if m := lacks(text, l.Warnings...); len(m) > 0 {
		t.Errorf("warnings left out: %q", m)
	}
}
