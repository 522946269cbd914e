package specimen

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"

	"slatewright/internal/book"
)

// long is the book of a mill that has long names: every number of a thing is nearly as long as a number may be, and so is what people
// are called.
type long struct{ still }

const (
	short  = "QH-"
	longer = "QUERN-HOLLOW-LOWER-QUARRY-2026-"
)

// LongMill is a long name of a mill.
const LongMill = "Quern Hollow Slate Quarries and Surfacing Mills of the Upper and Lower Valley"

// called is added to what people are called.
const called = ", who answers for surfacing, matching and shipping of the lower works as well"

func out(s string) string { return strings.ReplaceAll(s, short, longer) }

func in(s string) string { return strings.ReplaceAll(s, longer, short) }

func text(b []byte) []byte { return bytes.ReplaceAll(b, []byte(short), []byte(longer)) }

func (long) ref(r book.Ref) book.Ref   { return book.Ref{Kind: r.Kind, ID: out(r.ID)} }
func (long) asked(r book.Ref) book.Ref { return book.Ref{Kind: r.Kind, ID: in(r.ID)} }

func (l long) thing(t book.Thing) book.Thing {
	t.Ref, t.Parent, t.State = l.ref(t.Ref), l.ref(t.Parent), text(t.State)
	if t.Kind == book.KindPerson {
		t.State = with(t.State, "called", func(name string) string { return name + called })
	}
	return t
}

// with changes one text of a state; a state without it stays as it is.
func with(state []byte, field string, change func(string) string) []byte {
	fields := map[string]any{}
	if json.Unmarshal(state, &fields) != nil {
		return state
	}
	was, there := fields[field].(string)
	if !there {
		return state
	}
	fields[field] = change(was)
	changed, err := json.Marshal(fields)
	if err != nil {
		return state
	}
	return changed
}

func placed(p book.Placed) book.Placed {
	p.Body = text(p.Body)
	return p
}

// each makes a page of others.
func each[T any](page book.Page[T], as func(T) T) book.Page[T] {
	items := make([]T, len(page.Items))
	for i, x := range page.Items {
		items[i] = as(x)
	}
	return book.Page[T]{Items: items, Next: page.Next}
}

func (l long) Thing(ctx context.Context, r book.Ref) (book.Thing, error) {
	t, err := l.Ledger.Thing(ctx, l.asked(r))
	return l.thing(t), err
}

func (l long) Things(ctx context.Context, f book.Filter, cursor string, limit int) (book.Page[book.Thing], error) {
	f.Parent, f.ID = l.asked(f.Parent), in(f.ID)
	page, err := l.Ledger.Things(ctx, f, cursor, limit)
	return each(page, l.thing), err
}

func (l long) History(ctx context.Context, r book.Ref, cursor string, limit int) (book.Page[book.Placed], error) {
	page, err := l.Ledger.History(ctx, l.asked(r), cursor, limit)
	return each(page, placed), err
}

func (l long) Entries(ctx context.Context, after int64, limit int) ([]book.Placed, error) {
	list, err := l.Ledger.Entries(ctx, after, limit)
	return each(book.Page[book.Placed]{Items: list}, placed).Items, err
}

func (l long) Entry(ctx context.Context, id string) (book.Placed, error) {
	p, err := l.Ledger.Entry(ctx, id)
	return placed(p), err
}

func (l long) Conflicts(ctx context.Context, cursor string, limit int) (book.Page[book.Placed], error) {
	page, err := l.Ledger.Conflicts(ctx, cursor, limit)
	return each(page, placed), err
}

func (l long) Affected(ctx context.Context, origin book.Ref, cursor string, limit int) (book.Page[book.Reach], error) {
	page, err := l.Ledger.Affected(ctx, l.asked(origin), cursor, limit)
	return each(page, func(r book.Reach) book.Reach {
		r.Origin, r.Target = l.ref(r.Origin), l.ref(r.Target)
		return r
	}), err
}

func (l long) AffectedCount(ctx context.Context, origin book.Ref) (book.Count, error) {
	return l.Ledger.AffectedCount(ctx, l.asked(origin))
}

func (l long) Origins(ctx context.Context, target book.Ref) ([]book.Ref, error) {
	list, err := l.Ledger.Origins(ctx, l.asked(target))
	return each(book.Page[book.Ref]{Items: list}, l.ref).Items, err
}
