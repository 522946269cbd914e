// Package specimen is the mill's book in states that a page must bear and that the demo's book is not in: empty, with one thing of
// each kind, with long names, looked at by a visitor, or failing. Pages shown over it are specimens: how a page looks in that state, with
// invented data. It takes no act.
package specimen

import (
	"context"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// State is a state of a book that pages are shown in.
type State string

// The states. Full is the demo's book as it is; Offline is the same on a tablet that has lost the mill and keeps what is not yet sent, which the
// scripts show; before a Visitor everybody is a visitor.
const (
	Full    State = "full"
	One     State = "one"
	Empty   State = "empty"
	Long    State = "long"
	Visitor State = "visitor"
	Offline State = "offline"
	Failing State = "failing"
)

// States lists the states.
func States() []State { return []State{Full, One, Empty, Long, Visitor, Offline, Failing} }

// Of returns a book in a state: its people and settings are the real one's, so that one can be signed in.
func Of(s State, l book.Ledger) book.Ledger {
	switch s {
	case Empty:
		return shelf{l, 0}
	case One:
		return shelf{l, 1}
	case Long:
		return long{still{l}}
	case Visitor:
		return visited{still{l}}
	case Failing:
		return broken{l}
	}
	return still{l}
}

// still is the book as it is, but takes nothing.
type still struct{ book.Ledger }

func notHere() error {
	return trouble.Data("specimen", "", "this is a specimen of a page: it takes no acts", "go to the page itself")
}

// Append refuses.
func (still) Append(context.Context, book.Submission) (book.Receipt, error) {
	return book.Receipt{}, notHere()
}

// AppendAll refuses.
func (still) AppendAll(context.Context, []book.Submission, bool) ([]book.Receipt, []error, error) {
	return nil, nil, notHere()
}

// shelf has at most so many things of each kind, persons and the mill apart.
type shelf struct {
	book.Ledger
	most int
}

func (shelf) Append(context.Context, book.Submission) (book.Receipt, error) {
	return book.Receipt{}, notHere()
}

func (shelf) AppendAll(context.Context, []book.Submission, bool) ([]book.Receipt, []error, error) {
	return nil, nil, notHere()
}

// always are the kinds that every book has.
func always(k book.Kind) bool { return k == book.KindPerson || k == book.KindMill }

// Thing knows persons, the mill, and where there may be things, all of them.
func (s shelf) Thing(ctx context.Context, r book.Ref) (book.Thing, error) {
	if s.most == 0 && !always(r.Kind) {
		return book.Thing{}, trouble.Data("no-such-thing", r.String(), "there is no "+string(r.Kind)+" "+r.ID, "look again")
	}
	return s.Ledger.Thing(ctx, r)
}

// Things gives the first few of each kind.
func (s shelf) Things(ctx context.Context, f book.Filter, cursor string, limit int) (book.Page[book.Thing], error) {
	page, err := s.Ledger.Things(ctx, f, cursor, limit)
	if err != nil || always(f.Kind) {
		return page, err
	}
	var few []book.Thing
	seen := map[book.Kind]int{}
	for _, t := range page.Items {
		if always(t.Kind) || seen[t.Kind] < s.most {
			few = append(few, t)
			seen[t.Kind]++
		}
	}
	return book.Page[book.Thing]{Items: few}, nil
}

// Stations counts what is there.
func (s shelf) Stations(ctx context.Context) (map[book.Station]map[book.Kind]int, error) {
	counted, err := s.Ledger.Stations(ctx)
	for _, kinds := range counted {
		for k, n := range kinds {
			kinds[k] = min(n, s.most)
		}
	}
	return counted, err
}

// Conflicts gives none of an empty book.
func (s shelf) Conflicts(ctx context.Context, cursor string, limit int) (book.Page[book.Placed], error) {
	page, err := s.Ledger.Conflicts(ctx, cursor, limit)
	page.Items, page.Next = page.Items[:min(s.most, len(page.Items))], ""
	return page, err
}

// visited is a book in which everybody is a visitor.
type visited struct{ still }

// Thing knows people as visitors.
func (v visited) Thing(ctx context.Context, r book.Ref) (book.Thing, error) {
	t, err := v.Ledger.Thing(ctx, r)
	if r.Kind == book.KindPerson && err == nil {
		t.State = with(t.State, "role", func(string) string { return string(book.Visitor) })
	}
	return t, err
}

// broken fails whatever is asked but who is who.
type broken struct{ book.Ledger }

func failing() error {
	return trouble.IO("disk", "", "the book's disk does not answer", "look whether the disk is there and not full, then try again")
}

func (b broken) Thing(ctx context.Context, r book.Ref) (book.Thing, error) {
	if always(r.Kind) {
		return b.Ledger.Thing(ctx, r)
	}
	return book.Thing{}, failing()
}

func (broken) Append(context.Context, book.Submission) (book.Receipt, error) {
	return book.Receipt{}, failing()
}

func (broken) AppendAll(context.Context, []book.Submission, bool) ([]book.Receipt, []error, error) {
	return nil, nil, failing()
}

func (b broken) Things(ctx context.Context, f book.Filter, cursor string, limit int) (book.Page[book.Thing], error) {
	if always(f.Kind) {
		return b.Ledger.Things(ctx, f, cursor, limit)
	}
	return book.Page[book.Thing]{}, failing()
}

func (broken) Stations(context.Context) (map[book.Station]map[book.Kind]int, error) {
	return nil, nil // the frame shows no counts
}

func (broken) History(context.Context, book.Ref, string, int) (book.Page[book.Placed], error) {
	return book.Page[book.Placed]{}, failing()
}

func (broken) Entries(context.Context, int64, int) ([]book.Placed, error) { return nil, failing() }

func (broken) Entry(context.Context, string) (book.Placed, error) {
	return book.Placed{}, failing()
}

func (broken) Conflicts(context.Context, string, int) (book.Page[book.Placed], error) {
	return book.Page[book.Placed]{}, failing()
}

func (broken) Affected(context.Context, book.Ref, string, int) (book.Page[book.Reach], error) {
	return book.Page[book.Reach]{}, failing()
}

func (broken) AffectedCount(context.Context, book.Ref) (book.Count, error) {
	return book.Count{}, failing()
}

func (broken) Origins(context.Context, book.Ref) ([]book.Ref, error) { return nil, failing() }
