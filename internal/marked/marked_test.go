package marked_test

import (
	"errors"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/marked"
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
	"slatewright/trouble"
)

// Every sentence of every fault is said in every language, with all that it names.
func TestEveryFaultIsSaidInEveryLanguage(t *testing.T) {
	said := map[string]string{}
	for _, l := range tongue.Languages() {
		for _, kind := range marks.FaultKinds() {
			f := marks.Fault{Kind: kind, Piece: "QH-1", Place: bed.Foot, Was: bed.Head, Set: "QH-S1", Other: "QH-S2", Others: []string{"QH-S1", "QH-S2"}, N: 5, Text: "what"}
			what, do := marked.Say(tongue.In(l, tongue.Metric), f)
			if what == "" || do == "" || what == do || strings.ContainsAny(what+do, "{}⟨") {
				t.Errorf("%s, %s: %q, %q", l, kind, what, do)
			}
			if other, twice := said[what]; twice {
				t.Errorf("%s, %s says what %s says: %s", l, kind, other, what)
			}
			said[what] = string(l) + " " + string(kind)
		}
	}
	if want := len(tongue.Languages()) * len(marks.FaultKinds()); len(said) != want {
		t.Errorf("%d sentences of %d", len(said), want)
	}
}

func TestSheets(t *testing.T) {
	three := []string{"P1", "P2", "P3"}
	if s, err := marked.SheetOf(tongue.Words{}, "S1", &book.SetState{Pieces: three}); err != nil || s.Set != "S1" || s.Pieces != [3]string(three) {
		t.Errorf("%+v %v", s, err)
	}
	for _, s := range []book.SetState{{Pieces: three, Parted: "why"}, {Pieces: three[:2]}, {}} {
		var told *trouble.Trouble
		if _, err := marked.SheetOf(tongue.Words{}, "S1", &s); !errors.As(err, &told) || told.Code != "no-labels" || told.Next == "" {
			t.Errorf("%+v: %v", s, err)
		}
	}
}

func TestLongTextsAreShortened(t *testing.T) {
	if got := marked.Shortened(strings.Repeat("石", 100)); len([]rune(got)) != 61 || !strings.HasSuffix(got, "…") {
		t.Error(got)
	}
	if got := marked.Shortened("short"); got != "short" {
		t.Error(got)
	}
}
