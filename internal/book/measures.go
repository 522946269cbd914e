package book

import (
	"fmt"
	"slices"
	"time"

	"slatewright/trouble"
)

// kerfRoom is by how much stone may seem to be larger than what it was cut from, mm: neither was measured better on the floor. Common practice, no
// source.
const kerfRoom = 10

// fits tells whether stone of some measures can come of stone of others, however it lay. What is not known fits.
func fits(of, in [3]float64) bool {
	slices.Sort(of[:])
	slices.Sort(in[:])
	if of[0] == 0 || in[0] == 0 {
		return true
	}
	for i := range of {
		if of[i] > in[i]+kerfRoom {
			return false
		}
	}
	return true
}

// checkCut wants each stone that an act makes to fit into the one it comes of.
func (m *moment) checkCut(from Ref, where string, list []NewStone) error {
	h, err := m.peek(from)
	if err != nil || !h.found() {
		return err
	}
	s := stone(h.state)
	for i, n := range list {
		f := n.Stone
		if !fits([3]float64{f.LengthMM, f.WidthMM, f.ThicknessMM}, [3]float64{s.LengthMM, s.WidthMM, s.ThicknessMM}) {
			return trouble.Data("does-not-fit", fmt.Sprintf("%s.%d.stone", where, i), fmt.Sprintf("%s of %g × %g × %g mm does not come of %s %s of %g × %g × %g mm", n.ID,
				f.LengthMM, f.WidthMM, f.ThicknessMM, from.Kind, from.ID, s.LengthMM, s.WidthMM, s.ThicknessMM), "measure again; if the book has the wrong measures, correct the entry that gave them")
		}
	}
	return nil
}

// bedSizes are the sizes to which a piece is cut, the smallest first.
var bedSizes = []string{"7 ft", "8 ft", "9 ft"}

// checkResize wants a piece that is in no set and does not grow.
func (m *moment) checkResize(a *Resize) error {
	if err := m.checkFree(piece(a.Piece)); err != nil {
		return err
	}
	h, err := m.peek(piece(a.Piece))
	if err != nil || !h.found() {
		return err
	}
	s := h.state.(*PieceState)
	if slices.Index(bedSizes, a.To) > slices.Index(bedSizes, s.Size) && s.Size != "" {
		return trouble.Data("does-not-fit", "to", fmt.Sprintf("piece %s was cut for %s, and is too small for %s", a.Piece, s.Size, a.To), "look at the number")
	}
	const flat = 1 // whatever the thickness, it stays
	if s.LengthMM > 0 && s.WidthMM > 0 && !fits([3]float64{a.LengthMM, a.WidthMM, flat}, [3]float64{s.LengthMM, s.WidthMM, flat}) {
		return trouble.Data("does-not-fit", "length_mm", fmt.Sprintf("piece %s of %g × %g mm cannot be cut to %g × %g mm", a.Piece, s.LengthMM, s.WidthMM, a.LengthMM, a.WidthMM), "measure again")
	}
	return nil
}

// How far from the day on which it is taken in an order may be due, in years: it may be overdue, and nobody orders for longer. What lies further
// is a slip of the year. Common practice, no source.
const (
	mostOverdue = 1
	mostAhead   = 5
)

// checkDue refuses an order whose year was mistyped.
func checkDue(o *OrderFacts, at time.Time) error {
	if o == nil || !o.Due.Before(at.AddDate(-mostOverdue, 0, 0)) && !o.Due.After(at.AddDate(mostAhead, 0, 0)) {
		return nil
	}
	return trouble.Data("out-of-range", "order.due", fmt.Sprintf("the order of %s is due on %s: from %d year before to %d years after", day(at), day(o.Due), mostOverdue, mostAhead),
		"look at the year")
}
