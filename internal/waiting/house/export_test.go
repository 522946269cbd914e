package house

import (
	"fmt"
	"regexp"
	"slices"

	"slatewright/internal/book"
)

// relied is a hint in a state that may be later than it must.
var relied = regexp.MustCompile(`"relied_ms":[0-9]+,?`)

// Rows writes down what a house holds, so that two can be compared.
func (h *House) Rows() (rows []string) {
	for _, k := range book.Kinds() {
		for _, t := range h.kinds[k] {
			rows = append(rows, fmt.Sprintf("%s at %s since %d of %s, entry %d at %d: %s", t.Ref, t.Station, t.Since.UnixMilli(), t.Parent, t.Seq, t.At.UnixMilli(), relied.ReplaceAll(t.Thing.State, nil)))
		}
	}
	for id, s := range h.sent {
		rows = append(rows, fmt.Sprintf("sent %s %+v", id, s))
	}
	for _, c := range h.conflicts {
		rows = append(rows, fmt.Sprintf("conflict %d %s by %d", c.Seq, c.ID, c.Standing.By))
	}
	for _, p := range h.proposals {
		rows = append(rows, fmt.Sprintf("proposal %d %s %d %v %v", p.Seq, p.Entry, p.At.UnixMilli(), p.Pieces, p.Match != nil))
	}
	slices.Sort(rows)
	return rows
}

// FurnitureHolds tells whether what answers rest on is what stands in the house.
func (h *House) FurnitureHolds() bool {
	before := h.furniture
	h.furnish()
	m := h.kinds[book.KindMill]
	return slices.Equal(before, h.furniture) && len(m) == 1 && m[0] == h.mill
}
