package office

import (
	"bytes"
	"testing"

	"slatewright/cutting/sawing"
	"slatewright/cutting/slab"
	"slatewright/internal/paper"
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
)

// A sheet for the saw is asked for in the words in which it is printed: without a font for Chinese that is English.
func TestTheSheetAtTheSawSpeaksOneLanguage(t *testing.T) {
	print := sawingOrders(paper.Form{Size: paper.A4}, "Quern Hollow", true, "0")
	for reader, want := range map[tongue.Language]tongue.Language{tongue.Chinese: tongue.English, tongue.Portuguese: tongue.Portuguese} {
		var asked tongue.Language
		text, err := print(func(w tongue.Words) sawing.Sheet {
			asked = w.Language()
			s := &slab.Slab{Name: "B7-2", Outline: []slab.Point{{X: 0, Y: 0}, {X: 1000, Y: 0}, {X: 1000, Y: 500}}}
			return sawing.Sheet{Name: "B7-2", Slab: s, Plan: &slab.Plan{}, Order: &sawing.Order{}}
		}, tongue.In(reader, tongue.Metric))
		if err != nil || asked != want || !bytes.HasPrefix(text, []byte("%PDF")) {
			t.Errorf("a reader of %s gets %s: %v", reader, asked, err)
		}
	}
}

// Labels are printed for every reader, in English where there is no font for the own language, and with the banner where the mill is invented.
func TestLabelsArePrintedForEveryReader(t *testing.T) {
	sheet := marks.Sheet{Set: "QH-S1", Pieces: [3]string{"QH-1", "QH-2", "QH-3"}}
	seen := map[string]bool{}
	for _, demo := range []bool{true, false} {
		for _, l := range []tongue.Language{tongue.English, tongue.Chinese, tongue.Italian} {
			text, err := labels(paper.Form{Size: paper.A4}, "Quern Hollow", demo, "0")(sheet, tongue.In(l, tongue.Metric))
			if err != nil || !bytes.HasPrefix(text, []byte("%PDF")) {
				t.Errorf("%s: %v", l, err)
			}
			seen[string(text)] = true
		}
	}
	if len(seen) != 4 { // English for Chinese, twice
		t.Errorf("%d different papers", len(seen))
	}
}
