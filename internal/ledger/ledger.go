package ledger

import (
	"context"
	"database/sql"
	"time"

	"slatewright/internal/book"
)

// Options say how a book is opened.
type Options struct {
	Site     string           // the mill's word, [a-z0-9-]; empty reads it from a book that is there
	Create   bool             // make the book when there is none
	ReadOnly bool             // beside a running program: no lock, no writing
	Holder   string           // what holds the folder, for whoever is refused; "slatewright serve"
	Clock    func() time.Time // time.Now when nil
}

// Handles are the open database, for the rooms that keep their own tables beside the journal.
type Handles struct {
	Write, Read *sql.DB
	Postgres    bool
	Site        string
}

// Ledger keeps one mill's book. It implements book.Keeper.
type Ledger struct {
	handles Handles
	folder  string
}

var _ book.Keeper = (*Ledger)(nil)

// Open opens a mill's book: where is a folder, or the address of a PostgreSQL database that begins with postgres://.
func Open(ctx context.Context, where string, o Options) (*Ledger, error) {
	panic("ledger: not built yet")
}

// Handles returns the open database.
func (l *Ledger) Handles() Handles { return l.handles }

// Folder returns the folder of the book; it is empty on PostgreSQL.
func (l *Ledger) Folder() string { return l.folder }

// Site returns the mill's word.
func (l *Ledger) Site() string { return l.handles.Site }
