package opened

import (
	"context"
	"fmt"
	"strings"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Find returns the one thing that a person means: kind:number, or a number that only one kind of thing bears.
func Find(ctx context.Context, l book.Ledger, name string) (book.Thing, error) {
	if strings.Contains(name, ":") {
		ref, err := book.ParseRef(name)
		if err != nil {
			return book.Thing{}, err
		}
		return l.Thing(ctx, ref)
	}
	page, err := l.Things(ctx, book.Filter{ID: name}, "", len(book.Kinds()))
	switch {
	case err != nil:
		return book.Thing{}, err
	case len(page.Items) == 1:
		return page.Items[0], nil
	case len(page.Items) == 0:
		return book.Thing{}, trouble.Data("no-such-thing", name, "the book has nothing with this number",
			"look at the mark again; if a piece has lost its number, run 'slatewright lost --help'")
	}
	var refs []string
	for _, t := range page.Items {
		refs = append(refs, t.Ref.String())
	}
	return book.Thing{}, trouble.Data("many-things", name, fmt.Sprintf("%d things bear this number: %s", len(refs), strings.Join(refs, ", ")),
		"say which, as in "+refs[0])
}
