package waiting

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
		rows = append(rows, fmt.Sprintf("proposal %d %s %d %v %v", p.seq, p.entry, p.at.UnixMilli(), p.pieces, p.match != nil))
	}
	slices.Sort(rows)
	return rows
}

// Furniture tells whether what answers rest on is what stands in the house.
func (h *House) Furniture() bool {
	before := h.furniture
	h.furnish()
	m := h.kinds[book.KindMill]
	return slices.Equal(before, h.furniture) && len(m) == 1 && m[0] == h.mill
}

// Lateness is the probability that so many days in so many steps end after so many days.
func Lateness(days float64, steps int, left float64) float64 {
	now := at(0)
	return way{days, steps}.late(now, way{days: left}.end(now))
}

// Standing is what a set that stands loses.
const Standing = standing

// Forgetful is the same house without what the book has answered.
func (h *House) Forgetful() *House {
	again := *h
	again.answers = newMemory()
	return &again
}
