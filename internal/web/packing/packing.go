// Package packing is the packing bench's page: three codes are scanned, in any order, and one sentence says whether the set packs, and if not, why. It also
// hands out the labels of a set's marks.
//
// It decides nothing (package sets/marks does), writes nothing into the book (the act pack does), and draws no label.
package packing

import (
	"context"
	"embed"
	"net/http"
	"slices"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

//go:embed all:pages
var pages embed.FS

// Printer prints labels as PDF, in the words of their reader, or in others where it has no letters for those.
type Printer func(marks.Sheet, tongue.Words) ([]byte, error)

// room is what the pages of this room share.
type room struct{ print Printer }

// Add puts the room's pages on a mux; without a printer they offer no paper.
func Add(s *shell.Shell, mux *http.ServeMux, print Printer) error {
	if err := s.Pages("packing", pages, "pages"); err != nil {
		return err
	}
	r := room{print}
	routes := []shell.Route{
		{Method: http.MethodGet, Path: "/packing", Least: book.Visitor, Do: check},
		{Method: http.MethodGet, Path: "/set/{number}/labels", Least: book.Visitor, Do: r.labels},
		{Method: http.MethodGet, Path: "/set/{number}/labels.pdf", Least: book.Visitor, Do: r.paper, Data: true},
	}
	for _, e := range examples() {
		routes = append(routes, shell.Route{Method: http.MethodGet, Path: e.path, Least: book.Visitor, Do: e.show, Alone: true})
	}
	s.Add(mux, routes)
	return nil
}

// shelf is the mill's book as the check asks it.
type shelf struct {
	ctx    context.Context
	ledger book.Ledger
}

// find looks a number up, whatever the case of its letters.
func (s shelf) find(kind book.Kind, number string) (book.Thing, bool, error) {
	for _, id := range slices.Compact([]string{number, strings.ToUpper(number), strings.ToLower(number)}) {
		page, err := s.ledger.Things(s.ctx, book.Filter{Kind: kind, ID: id}, "", 1)
		if err != nil {
			return book.Thing{}, false, err
		}
		if len(page.Items) > 0 {
			return page.Items[0], true, nil
		}
	}
	return book.Thing{}, false, nil
}

// Piece is a piece as the book has it.
func (s shelf) Piece(number string) (marks.Piece, bool, error) {
	t, there, err := s.find(book.KindPiece, number)
	if err != nil || !there {
		return marks.Piece{}, false, err
	}
	state, err := book.StateOf(t)
	if err != nil {
		return marks.Piece{}, false, err
	}
	return marks.Piece{Number: t.ID, Set: state.(*book.PieceState).Set, Station: string(t.Station)}, true, nil
}

// Set is a set as the book has it.
func (s shelf) Set(number string) (marks.Set, bool, error) {
	t, there, err := s.find(book.KindSet, number)
	if err != nil || !there {
		return marks.Set{}, false, err
	}
	state, err := book.StateOf(t)
	if err != nil {
		return marks.Set{}, false, err
	}
	of := state.(*book.SetState)
	return marks.Set{Number: t.ID, Pieces: of.Pieces, Parted: of.Parted != "", Packed: of.Packed, Shipment: of.Shipment}, true, nil
}
