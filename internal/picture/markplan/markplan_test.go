package markplan_test

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"slatewright/internal/picture/markplan"
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
)

// The picture is well-formed, the same twice, and names every piece, place and letter in the reader's language.
func TestThePlanNamesAll(t *testing.T) {
	pieces := [3]string{"QH-1", "<QH>-2", "QH-3"}
	for _, l := range tongue.Languages() {
		w := tongue.In(l, tongue.Metric)
		svg, err := markplan.SVG(w, "QH-S1", pieces, "a & b")
		if err != nil {
			t.Fatal(err)
		}
		var text strings.Builder
		for d := xml.NewDecoder(strings.NewReader(string(svg))); ; {
			x, err := d.Token()
			if err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", l, err)
			}
			if c, ok := x.(xml.CharData); ok {
				text.Write(c)
				text.WriteByte(' ')
			}
		}
		want := append([]string{"a & b", w.Say("marks.you-stand"), w.Word("place", "head"), w.Word("place", "centre"), w.Word("place", "foot")}, pieces[:]...)
		for _, s := range want {
			if !strings.Contains(text.String(), s) {
				t.Errorf("%s: no %q in %s", l, s, text.String())
			}
		}
		for _, letter := range marks.Letters("QH-S1") {
			if n := strings.Count(" "+text.String(), " "+letter+" "); n != 2 {
				t.Errorf("%s: %s stands %d times", l, letter, n)
			}
		}
		if again, err := markplan.SVG(w, "QH-S1", pieces, "a & b"); err != nil || again != svg {
			t.Errorf("%s: another picture the second time: %v", l, err)
		}
	}
}
