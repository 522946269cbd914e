package evidence

import (
	"encoding/json"
	"fmt"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// piecesOf returns the pieces of a set, from head to foot.
func (c checking) piecesOf(set string) ([]string, error) {
	for i := len(c.before) - 1; i >= 0; i-- {
		if a, ok := c.before[i].(*book.LayUp); ok && a.Set == set {
			return a.Pieces, nil
		}
	}
	var s book.SetState
	err := c.state(book.Ref{Kind: book.KindSet, ID: set}, &s)
	return s.Pieces, err
}

// lastTop returns the file of the last reading of a piece's playing face, which must not have expired. Whether acts that are handed in
// together with the certificate end it is the book's to say.
func (c checking) lastTop(piece string) (digest string, err error) {
	for i := len(c.before) - 1; i >= 0; i-- {
		if a, ok := c.before[i].(*book.Read); ok && a.What == "top" && a.Blob != "" && a.Thing == (book.Ref{Kind: book.KindPiece, ID: piece}) {
			return a.Blob, nil
		}
	}
	var p book.PieceState
	ref := book.Ref{Kind: book.KindPiece, ID: piece}
	if err := c.state(ref, &p); err != nil {
		return "", err
	}
	var last *book.Reading
	for i, r := range p.Readings {
		if r.What == "top" && (last == nil || r.AtMS >= last.AtMS) {
			last = &p.Readings[i]
		}
	}
	next := "read the top face of " + piece + " again, and record it with its file"
	switch {
	case last == nil || last.Blob == "":
		return "", trouble.Data("no-reading", ref.String(), "the book has no readings file of this piece's top face", next)
	case last.ExpiredBy != "":
		return "", trouble.Data("reading-expired", ref.String(), fmt.Sprintf("the last reading of its top face (entry %s) ended with the act %s (entry %s)",
			last.Entry, last.ExpiredAct, last.ExpiredBy), next)
	}
	return last.Blob, nil
}

// state reads the state of a thing.
func (c checking) state(r book.Ref, into any) error {
	t, err := c.ledger.Thing(c.ctx, r)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(t.State, into); err != nil {
		return trouble.Own("bad-state", r.String(), "the state of this thing cannot be read", "run 'slatewright rebuild --check'").Because(err)
	}
	return nil
}
