package shell

import (
	"testing"

	"slatewright/internal/book"
)

// The way from a question to its act fills in what is known.
func TestWaysToActs(t *testing.T) {
	piece, set := book.Ref{Kind: book.KindPiece, ID: "QH-1/2"}, book.Ref{Kind: book.KindSet, ID: "S-1"}
	for _, c := range []struct {
		act   string
		thing book.Ref
		also  []book.Ref
		want  string
	}{
		{"surface", piece, nil, "/do/surface?piece=QH-1%2F2"},
		{"weigh", piece, nil, "/do/weigh?thing=piece%3AQH-1%2F2"},
		{"reject", book.Ref{Kind: book.KindSlab, ID: "L-1"}, nil, "/do/reject?thing=slab%3AL-1"},
		{"certify", set, nil, "/set/S-1/certify"},
		{"ship", set, nil, "/do/ship?sets=S-1"},
		{"match", book.Ref{Kind: book.KindOrder, ID: "O-1"}, []book.Ref{{Kind: book.KindPiece, ID: "A"}, {Kind: book.KindPiece, ID: "B"}}, "/do/match?order=O-1&pieces=A%2C+B"},
		{"lay-up", set, nil, "/set/S-1/lay-up"},
		{"lay-up", book.Ref{Kind: book.KindOrder, ID: "O-1"}, []book.Ref{{Kind: book.KindPiece, ID: "A"}}, "/lay-up?order=O-1&pieces=A"},
		{"read", piece, nil, "/bench/QH-1%2F2"},
		{"no-such-act", piece, nil, "/piece/QH-1%2F2"},
	} {
		if got := ActPath(c.act, c.thing, c.also); got != c.want {
			t.Errorf("%s of %s: %s, want %s", c.act, c.thing, got, c.want)
		}
	}
}
