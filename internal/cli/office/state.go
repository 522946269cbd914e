package office

import (
	"context"

	"slatewright/internal/book"
)

// state is the state of a thing in the type of its kind.
func state[S any](t book.Thing) (*S, error) {
	s, err := book.StateOf(t)
	if err != nil {
		return nil, err
	}
	return s.(*S), nil
}

// millOf is the mill's own state: its answers and its route.
func millOf(ctx context.Context, l book.Ledger) (*book.MillState, error) {
	t, err := l.Thing(ctx, book.Ref{Kind: book.KindMill, ID: l.Site()})
	if err != nil {
		return nil, err
	}
	return state[book.MillState](t)
}

// personIn is the state of a person.
func personIn(ctx context.Context, l book.Ledger, id string) (*book.PersonState, error) {
	ref, err := book.ParseRef(string(book.KindPerson) + ":" + id)
	if err != nil {
		return nil, err
	}
	t, err := l.Thing(ctx, ref)
	if err != nil {
		return nil, err
	}
	return state[book.PersonState](t)
}

// things is every thing of a kind.
func things(ctx context.Context, l book.Ledger, f book.Filter) (list []book.Thing, err error) {
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
