package answers

import (
	"slatewright/bed"
	"slatewright/sets"
)

// exchange looks for what could change places with the pieces of each set.
func (m *Matched) exchange(a Ask, racks *sets.Racks, p sets.Plan) error {
	_, share := a.shares()
	for s := range m.Sets {
		if a.Exchanges < 1 || a.Stop != nil && a.Stop(share) {
			return nil
		}
		found, err := racks.Exchanges(p, s, a.Exchanges)
		if err != nil {
			return err
		}
		m.Sets[s].Exchanges = Exchanged(m.Question, found)
	}
	return nil
}

// Exchanged names exchanges of a set.
func Exchanged(q sets.Question, found [3][]sets.Exchange) []Exchange {
	out := []Exchange{}
	for place, list := range found {
		for _, e := range list {
			x := Exchange{Place: bed.Place(place).String(), Out: q.Pieces[e.Out].ID, In: q.Pieces[e.In].ID, MoreCost: e.More}
			if e.From >= 0 {
				number := e.From + 1
				x.FromSet = &number
			}
			out = append(out, x)
		}
	}
	return out
}

// acts are the words of the kinds of change.
var acts = map[sets.Act]string{sets.Regrind: "regrind", sets.Recut: "recut", sets.OneMore: "one more"}

// FreeingStopped is the warning that not all was tried that could free sets.
const FreeingStopped = "what one more would free was not tried to the end: the time was over"

// free asks what one more would free.
func (m *Matched) free(a Ask, racks *sets.Racks, p sets.Plan) error {
	if a.Freeing.Most < 1 {
		return nil
	}
	_, share := a.shares()
	a.Freeing.Stop = a.stop(share)
	a.Freeing.Note = func(warning string) { m.Warnings = append(m.Warnings, warning) }
	found, err := racks.Free(p, a.Freeing)
	if err != nil {
		return err
	}
	if a.Stop != nil && a.Stop(share) {
		m.Warnings = append(m.Warnings, FreeingStopped)
	}
	for _, f := range found {
		out := Freed{MoreSets: f.More, Orders: f.Orders, MoreCost: f.Cost, Proven: f.Proven, Changes: []Change{}}
		for _, c := range f.Changes {
			one := Change{Act: acts[c.Act], Place: c.Place, Size: c.Size}
			if c.Piece >= 0 {
				one.Piece = m.Question.Pieces[c.Piece].ID
			}
			out.Changes = append(out.Changes, one)
		}
		m.OneMore = append(m.OneMore, out)
	}
	return nil
}
