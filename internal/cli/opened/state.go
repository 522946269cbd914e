package opened

import (
	"context"

	"slatewright/internal/book"
)

// State is the state of a thing in the type of its kind.
func State[S any](t book.Thing) (*S, error) {
	s, err := book.StateOf(t)
	if err != nil {
		return nil, err
	}
	return s.(*S), nil
}

// MillOf is the mill's own state: its answers and its route.
func MillOf(ctx context.Context, l book.Ledger) (*book.MillState, error) {
	t, err := l.Thing(ctx, book.Ref{Kind: book.KindMill, ID: l.Site()})
	if err != nil {
		return nil, err
	}
	return State[book.MillState](t)
}

// PersonIn is the state of a person.
func PersonIn(ctx context.Context, l book.Ledger, id string) (*book.PersonState, error) {
	ref, err := book.ParseRef(string(book.KindPerson) + ":" + id)
	if err != nil {
		return nil, err
	}
	t, err := l.Thing(ctx, ref)
	if err != nil {
		return nil, err
	}
	return State[book.PersonState](t)
}

// Things is every thing of a kind.
func Things(ctx context.Context, l book.Ledger, f book.Filter) (list []book.Thing, err error) {
	for cursor := ""; ; {
		page, err := l.Things(ctx, f, cursor, 500)
		if err != nil {
			return nil, err
		}
		list = append(list, page.Items...)
		if cursor = page.Next; cursor == "" {
			return list, nil
		}
	}
}
