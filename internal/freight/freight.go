// Package freight carries a mill's book in and out: lists that people keep elsewhere are imported, everything is exported for
// spreadsheets and for other programs, and a running book is backed up into one file and restored from it.
//
// It goes through the same gate as everybody: an imported row becomes an act, and the book admits or refuses it. What is
// restored is the journal, verbatim; everything else is derived from it anew. The package opens no database and knows no
// engine, reads no clock, asks nobody for a passphrase, and keeps nothing itself.
package freight

import (
	"context"
	"errors"
	"io"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Progress is told how far a long piece of freight has come. total is 0 while it is not known. A nil Progress is told nothing.
type Progress func(done, total int64)

func (p Progress) tell(done, total int64) {
	if p != nil {
		p(done, total)
	}
}

// Credentials keeps what people sign in with, apart from the journal. Dump writes all of it; Load reads that into a keeper that
// holds none, or the same once more. What they are is its own business: freight carries them closed.
type Credentials interface {
	Dump(ctx context.Context, w io.Writer) error
	Load(ctx context.Context, r io.Reader) error
}

// Restorer is a ledger into which a journal is carried back, entry for entry, with the numbers and hashes it had.
type Restorer interface {
	Site() string
	// BeginRestore makes a place ready for a journal of so many entries that ends in head, and marks it as half restored until
	// EndRestore. A place that holds anything is refused, except what an earlier restore of the same journal left half done: then
	// after is the number of the last entry that is already there.
	BeginRestore(ctx context.Context, entries int64, head book.Digest) (after int64, err error)
	// Restore appends entries verbatim, in one transaction.
	Restore(ctx context.Context, entries []book.Entry) error
	// EndRestore checks that the journal ends as announced, sees that all that follows from it is derived, and takes the mark away.
	EndRestore(ctx context.Context, entries int64, head book.Digest) error
}

// Place is where a book is restored into. Credentials may be nil: then nobody can sign in until somebody is given a passphrase.
type Place struct {
	Ledger      Restorer
	Blobs       book.Blobs
	Credentials Credentials
}

// OpenPlace makes or opens the place for the book that a manifest describes. It is called once, after the manifest was read.
type OpenPlace func(ctx context.Context, m Manifest) (Place, error)

// Manifest says what an export or a backup holds.
type Manifest struct {
	Format    string `json:"format"` // Backup or Export
	Version   int    `json:"version"`
	Site      string `json:"site"`
	Entries   int64  `json:"entries"`
	Head      string `json:"head"` // hash of the last entry, in hexadecimal
	Blobs     int64  `json:"blobs"`
	BlobBytes int64  `json:"blob_bytes"`
	MadeAt    string `json:"made_at"` // RFC 3339
}

// RestoreReport is what a restore or the import of an export has done, or the check of a backup has found.
type RestoreReport struct {
	Manifest
	Credentials bool         `json:"credentials"`
	Already     int64        `json:"entries_already_there"` // from a restore that had stopped half-way
	Missing     []book.Fault `json:"missing,omitempty"`     // files that could not be read when it was made
}

// located puts a place before the one that trouble names.
func located(err error, where string) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		return err
	}
	at := *t
	if at.Where = where; t.Where != "" {
		at.Where += ", " + t.Where
	}
	return &at
}
