// Package marked is what the mill says of the marks of its sets: the book as package sets/marks asks it, what is printed of a set, and what is wrong, in
// the words of whoever reads it.
//
// It decides nothing and writes nothing.
package marked

import (
	"context"
	"slices"
	"strings"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
	"slatewright/trouble"
)

// Shelf is the book as a check of codes asks it.
type Shelf struct {
	Context context.Context
	Ledger  book.Ledger
}

// find looks a number up, whatever the case of its letters.
func (s Shelf) find(kind book.Kind, number string) (t book.Thing, state any, there bool, err error) {
	for _, id := range slices.Compact([]string{number, strings.ToUpper(number), strings.ToLower(number)}) {
		page, err := s.Ledger.Things(s.Context, book.Filter{Kind: kind, ID: id}, "", 1)
		if err != nil {
			return t, nil, false, err
		}
		if len(page.Items) > 0 {
			state, err := book.StateOf(page.Items[0])
			return page.Items[0], state, err == nil, err
		}
	}
	return t, nil, false, nil
}

// Piece is a piece as the book has it.
func (s Shelf) Piece(number string) (marks.Piece, bool, error) {
	t, state, there, err := s.find(book.KindPiece, number)
	if !there {
		return marks.Piece{}, false, err
	}
	return marks.Piece{Number: t.ID, Set: state.(*book.PieceState).Set, Station: string(t.Station)}, true, nil
}

// Set is a set as the book has it.
func (s Shelf) Set(number string) (marks.Set, bool, error) {
	t, state, there, err := s.find(book.KindSet, number)
	if !there {
		return marks.Set{}, false, err
	}
	of := state.(*book.SetState)
	return marks.Set{Number: t.ID, Pieces: of.Pieces, Parted: of.Parted != "", Packed: of.Packed, Shipment: of.Shipment}, true, nil
}

// SheetOf is what is printed of a set: trouble where it was parted, or has another number of pieces than three.
func SheetOf(w tongue.Words, number string, s *book.SetState) (sheet marks.Sheet, err error) {
	if s.Parted != "" || len(s.Pieces) != len(sheet.Pieces) {
		return sheet, trouble.Data("no-labels", "set:"+number, w.Say("marks.labels-no", "set", number), w.Say("marks.labels-no-next"))
	}
	return marks.Sheet{Set: number, Pieces: [3]string(s.Pieces)}, nil
}

// Say says a fault, and what to do.
func Say(w tongue.Words, f marks.Fault) (what, do string) {
	args := map[string]any{"piece": f.Piece, "set": f.Set, "other": f.Other, "text": Shortened(f.Text), "sets": f.Others, "n": f.N, "place": "", "was": ""}
	if f.Place >= bed.Head && f.Place <= bed.Foot {
		args["place"] = f.Place.String()
	}
	if f.Kind == marks.OldPlace {
		args["was"] = tongue.Key("place." + f.Was.String())
	}
	return w.Tell("marks.fault-"+string(f.Kind), args), w.Tell("marks.do-"+string(f.Kind), args)
}

// shownText is as much of a text as is shown.
const shownText = 60

// Shortened is as much of a text as is shown.
func Shortened(text string) string {
	if list := []rune(text); len(list) > shownText {
		return string(list[:shownText]) + "…"
	}
	return text
}
