package replica

import (
	"cmp"
	"slices"
	"time"

	"slatewright/internal/book"
)

// Thing returns the state of a thing.
func (r *Replica) Thing(ref book.Ref) (book.Thing, bool, error) {
	n, ok := r.index[ref]
	if !ok || !r.slots[n].there {
		return book.Thing{}, false, nil
	}
	s := r.slots[n]
	text, err := r.spool.get(&s.state)
	return r.thing(s, text), true, err
}

func (r *Replica) thing(s *slot, state []byte) book.Thing {
	t := book.Thing{Ref: s.ref, Station: s.station, Since: fromMS(s.sinceMS), At: fromMS(s.atMS), Seq: s.seq, State: state}
	if s.parent != none {
		t.Parent = r.slots[s.parent].ref
	}
	return t
}

// History returns every entry that touches a thing.
func (r *Replica) History(ref book.Ref) ([]book.Placed, error) {
	n, ok := r.index[ref]
	if !ok {
		return nil, nil
	}
	return r.placed(r.slots[n].touches)
}

// Conflicts returns the entries in conflict that touch a thing.
func (r *Replica) Conflicts(ref book.Ref) ([]book.Placed, error) {
	n, ok := r.index[ref]
	if !ok || len(r.seen[n]) == 0 {
		return nil, nil
	}
	var found []touch
	for _, t := range r.slots[n].touches {
		if slices.Contains(r.seen[n], t.seq()) && r.stands[t.seq()].State == book.InConflict {
			found = append(found, t)
		}
	}
	return r.placed(found)
}

func (r *Replica) placed(touches []touch) ([]book.Placed, error) {
	seqs := make([]int64, len(touches))
	for i, t := range touches {
		seqs[i] = t.seq()
	}
	entries, err := r.source.Numbered(seqs)
	if err != nil {
		return nil, err
	}
	all := make([]book.Placed, len(touches))
	for i, t := range touches {
		all[i] = book.Placed{Entry: entries[i], At: r.at(t.seq()), Part: t.part(), Standing: r.stands[t.seq()]}
	}
	slices.SortFunc(all, func(a, b book.Placed) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	return all, nil
}

func (r *Replica) at(seq int64) time.Time { return fromMS(r.entries[seq].atMS) }

func fromMS(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// Entry returns one entry.
func (r *Replica) Entry(id string) (book.Placed, bool, error) {
	e, found, err := r.source.Called(id)
	if err != nil || !found || e.Seq >= int64(len(r.entries)) {
		return book.Placed{}, false, err
	}
	return book.Placed{Entry: e, At: r.at(e.Seq), Standing: r.stands[e.Seq]}, true, nil
}

// Children returns the things that came from a thing.
func (r *Replica) Children(parent book.Ref) ([]book.Ref, error) {
	n, ok := r.index[parent]
	if !ok {
		return nil, nil
	}
	return r.refs(r.born[n]), nil
}

// ReachOf returns the origins of a target.
func (r *Replica) ReachOf(target book.Ref) ([]book.Reach, error) {
	n, ok := r.index[target]
	if !ok {
		return nil, nil
	}
	var all []book.Reach
	for _, origin := range r.refs(r.slots[n].origins) {
		all = append(all, book.Reach{Origin: origin, Target: target, Rank: int(r.slots[n].rank)})
	}
	return all, nil
}

func (r *Replica) refs(numbers []int32) []book.Ref {
	all := make([]book.Ref, len(numbers))
	for i, n := range numbers {
		all[i] = r.slots[n].ref
	}
	slices.SortFunc(all, compareRefs)
	return all
}

func compareRefs(a, b book.Ref) int {
	return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.ID, b.ID))
}
