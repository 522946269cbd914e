package floor_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"slatewright/internal/web/pagetest"
)

// Who types or scans the number alone says beside it what it is; a number that names its kind is taken as it stands.
func TestAThingIsNamedByItsNumberAndItsKind(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	if page := b.Get(t, "/do/weigh").Body.String(); !strings.Contains(page, `<select name="_kind"`) || !strings.Contains(page, `<option value="piece" selected`) {
		t.Error("the form does not ask what the number is of")
	}
	for _, typed := range [][2]string{{"piece", "QH-1004"}, {"block", "piece:QH-1005"}} {
		w := b.Send(t, "/do/weigh", url.Values{"_entry": {entry()}, "_kind": {typed[0]}, "thing": {typed[1]}, "scale": {"QH-W1"}, "mass_kg": {"96.6"}})
		if w.Code != http.StatusSeeOther {
			t.Errorf("%v: %d %.300s", typed, w.Code, pagetest.Text(w.Body.String()))
		}
	}
	if w := b.Send(t, "/do/weigh", url.Values{"_entry": {entry()}, "_kind": {"slab"}, "thing": {"QH-1004"}, "scale": {"QH-W1"}, "mass_kg": {"96.6"}}); w.Code/100 != 4 {
		t.Errorf("a piece is taken for a slab: %d", w.Code)
	}
}

// What is wrong is said with the label of the field, not with the name that the book has for it.
func TestWhatIsWrongNamesTheFieldAsTheFormDoes(t *testing.T) {
	b := own.SignIn(t, mux, "surfacing-1")
	w := b.Send(t, "/do/surface", url.Values{"_entry": {entry()}, "piece": {"QH-1004"}, "machine": {"G"}, "face": {"top"}, "stage": {"rough"}, "depth_mm": {"much"}, "code": {"QH-1004"}, "held": {"yes"}})
	if text := pagetest.Text(w.Body.String()); w.Code/100 != 4 || strings.Contains(text, "depth_mm") || !strings.Contains(text, "“Depth”") {
		t.Errorf("%d %.400s", w.Code, text)
	}
}
