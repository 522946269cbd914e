package slip

import (
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
)

// A question whether a face is to be ground again leads to what is believed of that face; no other question does.
func TestAFaceToGrindAgainLeadsToItsBelief(t *testing.T) {
	v := &shell.Visit{Words: tongue.In(tongue.English, tongue.Metric)}
	for kind, want := range map[waiting.Kind]string{waiting.Regrind: "/piece/QH%2F1/judge-face", waiting.Measure: ""} {
		if got := Of(v, waiting.Question{Kind: kind, Thing: book.Ref{Kind: book.KindPiece, ID: "QH/1"}}).Judged; got != want {
			t.Errorf("%s leads to %q, want %q", kind, got, want)
		}
	}
}

// A question leads to the same answer wherever it is asked: a certified set is packed where its three codes are read.
func TestAboutASetItIsPackedWhereItsCodesAreRead(t *testing.T) {
	v := &shell.Visit{Words: tongue.In(tongue.English, tongue.Metric)}
	set, piece, order := book.Ref{Kind: book.KindSet, ID: "S1"}, book.Ref{Kind: book.KindPiece, ID: "P1"}, book.Ref{Kind: book.KindOrder, ID: "O1"}
	all := []waiting.Question{{Kind: waiting.Pack, Thing: set, Also: []book.Ref{piece}, Acts: []string{"pack"}}, {Kind: waiting.Order, Thing: order, Also: []book.Ref{set}, Acts: []string{"match"}}}
	for about, want := range map[book.Ref]string{set: "/packing?set=S1", piece: "/packing?set=S1", order: "/racks"} {
		found := About(v, all, about)
		if len(found) != 1 || len(found[0].Doing) != 1 || found[0].Doing[0].Path != want {
			t.Errorf("%s: %+v, want one question that leads to %s", about, found, want)
		}
	}
}

// The mill's own prices are shown, to two digits; without them, or below one of its units a day, no amount is.
func TestWhatADayOfWaitingCosts(t *testing.T) {
	v := &shell.Visit{Words: tongue.In(tongue.English, tongue.Metric)}
	for want, c := range map[string]waiting.Cost{
		"":                                       {Money: 40},
		"Waiting costs about 43\u00a0EUR a day.": {Money: 42.7, Priced: true, Currency: "EUR"},
		"Waiting costs about 1300\u00a0crowns a day.": {Money: 1273.2, Priced: true, Currency: "crowns"},
		"Waiting costs about 1\u00a0EUR a day.":       {Money: 0.6, Priced: true, Currency: "EUR"},
	} {
		if got := Of(v, waiting.Question{Cost: c}).Money; got != want {
			t.Errorf("%+v: %q, want %q", c, got, want)
		}
	}
	if got := Of(v, waiting.Question{Cost: waiting.Cost{Money: 0.4, Priced: true, Currency: "EUR"}}).Money; got != "" {
		t.Errorf("less than half of one: %q", got)
	}
}
