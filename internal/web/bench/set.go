package bench

import (
	"fmt"
	"slices"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// theSet is a set with its pieces and what the book has read of them.
type theSet struct {
	book.Thing
	state  *book.SetState
	pieces []*book.PieceState
	mill   *book.MillState
}

// setOf reads the set that an address names.
func setOf(v *shell.Visit) (s theSet, err error) {
	t, state, err := v.Thing(book.KindSet, v.R.PathValue("number"))
	if err != nil {
		return s, err
	}
	s.Thing, s.state = t, state.(*book.SetState)
	for _, id := range s.state.Pieces {
		_, state, err := v.Thing(book.KindPiece, id)
		if err != nil {
			return s, err
		}
		s.pieces = append(s.pieces, state.(*book.PieceState))
	}
	_, state, err = v.Thing(book.KindMill, v.Ledger.Site())
	if err == nil {
		s.mill = state.(*book.MillState)
	}
	return s, err
}

// last is the latest reading of a kind; false when there is none.
func last(list []book.Reading, what string) (r book.Reading, ok bool) {
	for _, x := range list {
		if x.What == what && (!ok || x.AtMS >= r.AtMS) {
			r, ok = x, true
		}
	}
	return r, ok
}

// triple is what is judged: the readings that hold, under the names that a certificate from the book gives them. What is missing or
// has expired is a problem that names the act and the reading to repeat.
func (s theSet) triple(v *shell.Visit) (t measured.Triple, err error) {
	if len(s.pieces) != len(t.Faces) {
		return t, problem.New("other-pieces", "set:"+s.ID, v.Say("bench.not-three", "n", len(s.state.Pieces)), v.Say("bench.not-three-next"))
	}
	for i, id := range s.state.Pieces {
		r, ok := last(s.pieces[i].Readings, "top")
		switch {
		case !ok || r.Blob == "":
			return t, problem.New("reading-missing", "piece:"+id, v.Say("bench.no-reading", "piece", id), v.Say("bench.read-it", "piece", id))
		case r.ExpiredBy != "":
			return t, problem.New("reading-expired", "piece:"+id, v.Say("bench.expired", "piece", id, "did", r.ExpiredAct, "day", v.Day(time.UnixMilli(r.ExpiredMS))), v.Say("bench.read-it", "piece", id))
		}
		t.Faces[i], t.Names[i] = r.Blob, id+".csv"
	}
	if r, ok := last(s.state.LayUps, "lay-up"); ok && r.ExpiredBy == "" && r.Blob != "" {
		t.LayUp, t.LayUpName = r.Blob, "lay-up of entry "+r.Entry
	}
	t.Set, t.Mill, t.Demo = s.ID, s.mill.Name, s.mill.Demo
	return t, nil
}

// places are the names of the places in a bed of three.
var places = []string{"head", "centre", "foot"}

// placeOf is the place of a piece in its set, "" when it has none.
func placeOf(v *shell.Visit, p *book.PieceState, id string) string {
	if p.Set == "" {
		return ""
	}
	_, state, err := v.Thing(book.KindSet, p.Set)
	if err != nil {
		return ""
	}
	if i := slices.Index(state.(*book.SetState).Pieces, id); i >= 0 && len(state.(*book.SetState).Pieces) == len(places) {
		return places[i]
	}
	return ""
}

// sizeOf is the size of a piece along and across the table, mm: as the book has it, else as the specification asks.
func sizeOf(p *book.PieceState, spec bed.Spec) (x, y float64) {
	x, y = spec.PieceSize()
	if p.LengthMM > 0 && p.WidthMM > 0 {
		y, x = max(p.LengthMM, p.WidthMM), min(p.LengthMM, p.WidthMM)
	}
	return x, y
}

// mm writes a length for a readings file.
func mm(x float64) string { return fmt.Sprintf("%.4g", x) }
