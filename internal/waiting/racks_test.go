package waiting_test

import (
	"fmt"
	"slices"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/waiting"
)

// rack is what stands in the house, in a few words.
func rack(t *testing.T, m *mason) string {
	t.Helper()
	racks := waiting.Racks(m.house(known{}), m.now)
	if len(racks) == 0 {
		return ""
	}
	r := racks[0]
	said := r.Size
	for _, p := range r.Pieces {
		said += " " + p.ID
		if p.Reading.Blob == "" || p.State() == nil {
			t.Errorf("%s has no readings: %+v", p.ID, p.Reading)
		}
	}
	for _, o := range r.Proposed {
		said += fmt.Sprint(" ", o.Pieces)
	}
	for _, w := range r.Wants {
		said += fmt.Sprintf(" %s wants %d", w.Order, w.Sets)
	}
	return said
}

// What waits at the racks: loose pieces whose readings hold, those that are proposed among them, and what orders still want.
func TestRacks(t *testing.T) {
	m := masonry(t)
	m.pieces(three...)
	if got := rack(t, m); got != "" {
		t.Errorf("pieces that nobody read stand at the racks: %s", got)
	}
	m.read(three...)
	ids := slices.Sorted(slices.Values(three))
	all := " " + ids[0] + " " + ids[1] + " " + ids[2]
	if got, want := rack(t, m), "9 ft"+all+" O1 wants 2"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	m.do(&book.Match{Pieces: three, StepMM: 0.02, Order: "O1"})
	if got, want := rack(t, m), "9 ft"+all+" ["+three[0]+" "+three[1]+" "+three[2]+"] O1 wants 2"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	m.do(&book.LayUp{Set: "S1", Pieces: three, Bench: "BENCH", StepsMM: []float64{0.02, 0.02}, Order: "O1"})
	if got := rack(t, m); got != "" {
		t.Errorf("a set that was laid up stands at the racks: %s", got)
	}
	m.do(&book.Drill{Piece: three[2], Pattern: "nine-foot", Holes: 8}, &book.PartSet{Set: "S1", Why: "the centre piece chipped"})
	m.read(three...)
	if got, want := rack(t, m), "9 ft "+three[0]+" "+three[1]+" "+three[2]+" O1 wants 2"; got != want {
		t.Errorf("of a set that was parted: %q, want %q", got, want)
	}
}
