package answers

import (
	"strings"
	"testing"

	"slatewright/bed/holes/cause"
)

// Every kind of fault says what to do, with the sign that undoes it; no fault asks for nothing.
func TestCorrections(t *testing.T) {
	amounts := func(pairs ...any) (list []cause.Amount) {
		for i := 0; i < len(pairs); i += 2 {
			list = append(list, cause.Amount{Name: pairs[i].(string), Value: pairs[i+1].(float64)})
		}
		return list
	}
	for _, c := range []struct {
		f    cause.Finding
		says string
	}{
		{cause.Finding{Kind: cause.Shift, Amounts: amounts("x", 1.5, "y", -0.25)}, "by -1.50 mm along x and 0.25 mm along y"},
		{cause.Finding{Kind: cause.Turn, Amounts: amounts("turn", 1.2)}, "1.20 mm per m clockwise"},
		{cause.Finding{Kind: cause.Turn, Amounts: amounts("turn", -1.2)}, "1.20 mm per m counter-clockwise"},
		{cause.Finding{Kind: cause.ShiftAndTurn, Amounts: amounts("x", 1.0, "y", 0.0, "turn", 0.5)}, "0.50 mm per m clockwise about the middle, then move its zero by -1.00 mm"},
		{cause.Finding{Kind: cause.Scale, Of: "x", Amounts: amounts("scale", 0.8)}, "axis x by -0.80 mm per m"},
		{cause.Finding{Kind: cause.Scale, Amounts: amounts("scale", -0.8)}, "both axes by 0.80 mm per m"},
		{cause.Finding{Kind: cause.Mirrored}, "turn it over"},
		{cause.Finding{Kind: cause.Pin, Of: "second stop", Amounts: amounts("stands too far into the stone by", 2.0)}, "second stop of the fixture back by 2.00 mm"},
		{cause.Finding{Kind: cause.Wander, Amounts: amounts("x at the end of the run", 1.0, "y at the end of the run", -2.0)}, "1.00 mm along x and -2.00 mm along y at the end"},
		{cause.Finding{Kind: cause.Piece, Of: "head", Amounts: amounts("x", 1.0, "y", 2.0, "turn", 3.0)}, "the head piece alone lies off by 1.00 mm along x, 2.00 mm along y and 3.00 mm per m"},
		{cause.Finding{Kind: cause.OneHole, Of: "rb-3", Amounts: amounts("x", 1.0, "y", 2.0)}, "rb-3 alone is off by 1.00 mm along x and 2.00 mm along y"},
	} {
		if got := correction(c.f); !strings.Contains(got, c.says) {
			t.Errorf("%s: %q", c.f.Kind, got)
		}
	}
	if got := correction(cause.Finding{Kind: cause.None}); got != "" {
		t.Errorf("none: %q", got)
	}
}
