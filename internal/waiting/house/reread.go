package house

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"slices"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// rereading reads things again, and what hangs together with them.
type rereading struct {
	ledger book.Ledger
	house  *House
	old    *House
	fresh  map[book.Kind]bool // lists that are this house's own already
	seen   map[book.Ref]bool
	queue  []book.Ref
}

// entry takes up what an entry touched; a correction also what was touched by those that it strikes out.
func (r *rereading) entry(ctx context.Context, p book.Placed) error {
	for {
		r.enqueue(TouchedBy(p.Entry)...)
		r.proposal(p)
		if p.Act != "correct" {
			return nil
		}
		var c book.Correct
		if err := json.Unmarshal(p.Body, &c); err != nil {
			return err
		}
		before, err := r.ledger.Entry(ctx, c.Entry)
		if gone(err) {
			return nil
		} else if err != nil {
			return err
		}
		p = before
	}
}

// proposal notes whether an entry proposes something, as it stands now.
func (r *rereading) proposal(p book.Placed) {
	r.house.proposals = slices.DeleteFunc(r.house.proposals, func(o Proposal) bool { return o.Entry == p.ID })
	r.house.propose(p)
}

func (r *rereading) enqueue(list ...book.Ref) {
	for _, x := range list {
		if kept[x.Kind] && !r.seen[x] {
			r.seen[x] = true
			r.queue = append(r.queue, x)
		}
	}
}

// things reads what is in the queue, and then what each of it belongs to, before and now.
func (r *rereading) things(ctx context.Context) error {
	for len(r.queue) > 0 {
		next := r.queue[0]
		r.queue = r.queue[1:]
		if t, there := r.old.Thing(next); there {
			r.enqueue(kin(t.State)...)
		}
		t, err := r.ledger.Thing(ctx, next)
		if err != nil && !gone(err) {
			return err
		}
		r.drop(next)
		if err != nil {
			continue
		}
		if err := r.take(t); err != nil {
			return err
		}
	}
	return nil
}

// drop takes a thing out of the house.
func (r *rereading) drop(x book.Ref) {
	h := r.house
	if !r.fresh[x.Kind] {
		r.fresh[x.Kind] = true
		h.kinds[x.Kind] = slices.Clone(h.kinds[x.Kind])
	}
	h.kinds[x.Kind] = slices.DeleteFunc(h.kinds[x.Kind], func(t *Thing) bool { return t.ID == x.ID })
	if x.Kind == book.KindSet {
		delete(h.sent, x.ID)
	}
}

// take puts a thing into the house where its number belongs.
func (r *rereading) take(t book.Thing) error {
	state, err := book.StateOf(t)
	if err != nil {
		return err
	}
	r.enqueue(kin(state)...)
	h := r.house
	if err := h.put(t); err != nil {
		return err
	}
	slices.SortFunc(h.kinds[t.Kind], func(a, b *Thing) int { return cmp.Compare(a.ID, b.ID) })
	return nil
}

// kin are the things that change with one: a set with its pieces, and a piece with the sets that it is or was in.
func kin(state any) (list []book.Ref) {
	switch s := state.(type) {
	case *book.PieceState:
		for _, id := range append(slices.Clone(s.Sets), s.Set) {
			if id != "" {
				list = append(list, book.Ref{Kind: book.KindSet, ID: id})
			}
		}
	case *book.SetState:
		for _, id := range s.Pieces {
			list = append(list, book.Ref{Kind: book.KindPiece, ID: id})
		}
	}
	return list
}

// gone tells that the book has no such thing or entry.
func gone(err error) bool {
	var t *trouble.Trouble
	return errors.As(err, &t) && (t.Code == "no-such-thing" || t.Code == "no-such-entry")
}
