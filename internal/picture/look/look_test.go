package look

import (
	"bytes"
	"math"
	"regexp"
	"testing"

	"slatewright/internal/picture/ink"
	"slatewright/judge"
)

// Contrast of the words on the deepest tints, by the formula of WCAG 2.1: at least 4.5 to 1.
func TestWordsCanBeReadOnEveryGround(t *testing.T) {
	for _, c := range []ink.Colour{LowTint, HighTint, MidTint, Unread} {
		if k := contrast(Stone, c); k < 4.5 {
			t.Errorf("words on %v have a contrast of %.1f", c, k)
		}
	}
	for _, c := range []ink.Colour{Good, Bad, Doubt, Soft} {
		if k := contrast(c, Page); k < 4.5 {
			t.Errorf("%v on paper has a contrast of %.1f", c, k)
		}
	}
	if k := contrast(Stone, Stone); k != 1 {
		t.Errorf("a colour on itself has a contrast of %g", k)
	}
}

// contrast is the ratio of relative luminances (WCAG 2.1, definitions of contrast ratio and relative luminance).
func contrast(a, b ink.Colour) float64 {
	lum := func(c ink.Colour) float64 {
		lin := func(v uint8) float64 {
			if s := float64(v) / 255; s > 0.03928 {
				return math.Pow((s+0.055)/1.055, 2.4)
			}
			return float64(v) / 255 / 12.92
		}
		return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
	}
	x, y := lum(a)+0.05, lum(b)+0.05
	return math.Max(x, y) / math.Min(x, y)
}

var colours = regexp.MustCompile(`#[0-9a-f]{6}|<title>[^<]*</title>`)

// Whoever sees no colours must still tell the verdicts apart.
func TestVerdictMarksDifferInShape(t *testing.T) {
	shapes := map[string]judge.Verdict{}
	for _, v := range []judge.Verdict{judge.Conforms, judge.DoesNotConform, judge.CannotTell} {
		var b bytes.Buffer
		if err := VerdictSVG(&b, v); err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(b.Bytes(), []byte(v.String())) {
			t.Errorf("the mark of %s does not say so to who cannot see it", v)
		}
		shape := colours.ReplaceAllString(b.String(), "")
		if other, taken := shapes[shape]; taken {
			t.Errorf("%s and %s look alike", v, other)
		}
		shapes[shape] = v
	}
	if Colour(judge.Conforms) == Colour(judge.DoesNotConform) || Colour(judge.CannotTell) == Colour(judge.Conforms) {
		t.Error("two verdicts have one colour")
	}
}

// The banner is as wide as it is told, and its words keep within it.
func TestBannerKeepsItsWidth(t *testing.T) {
	for _, w := range []float64{178, 60} {
		s := &widest{SVG: *ink.NewSVG()}
		if h := DrawBanner(s, "invented data, not a real certificate", 10, 5, w, Banner); h <= 0 || h > 20 {
			t.Errorf("%g mm wide, %g mm high", w, h)
		}
		if s.words == 0 || s.words > w-8 {
			t.Errorf("words of %g mm in a banner of %g mm", s.words, w)
		}
	}
}

// widest is a sheet that remembers its widest words.
type widest struct {
	ink.SVG
	words float64
}

func (s *widest) Text(at ink.Point, words string, t ink.Type) {
	s.words = max(s.words, s.Width(words, t))
	s.SVG.Text(at, words, t)
}
