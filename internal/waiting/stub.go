package waiting

import (
	"context"
	"time"

	"slatewright/internal/book"
)

// House is what is in the house.
type House struct{}

// NewHouse makes a house of the things in a book.
func NewHouse(site string, things []book.Thing, conflicts []book.Placed) (*House, error) {
	return &House{}, nil
}

// Ask lists what waits for a person, the costliest waiting first.
func Ask(h *House, now time.Time) []Question { return nil }

// Next lists what will be asked next, the soonest first.
func Next(h *House, now time.Time) []Coming { return nil }

// NextFor says what comes next for a thing.
func (h *House) NextFor(r book.Ref, now time.Time) Sentence { return Sentence{} }

// Measured says what the files behind readings hold, as far as it is known now.
type Measured interface {
	Flat(digest string) (Flat, bool)
	Bed(faces []string, layUp string) (Bed, bool)
}

// Flat is what is known of a face.
type Flat struct{}

// Bed is what is known of three faces as a bed.
type Bed struct{}

// Watcher keeps a house as the book has it.
type Watcher struct{}

// Follow reads the house from a book and keeps it current until the context is done.
func Follow(ctx context.Context, l book.Ledger, m Measured) (*Watcher, error) { return &Watcher{}, nil }

// House returns the house as it stands now. It does not change any more.
func (w *Watcher) House() *House { return &House{} }
