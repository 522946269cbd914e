// Package ledger keeps a mill's book: the journal of acts, chained by hashes, and the tables derived from it in the same
// transaction. A folder holds it in SQLite, or a PostgreSQL database that several programs share; one SQL text serves both. What
// may happen is decided by package book alone: here entries and states are stored, found, verified and counted.
//
// The package keeps no blobs, no passwords and no jobs; rooms beside it do, in the same database.
package ledger

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"database/sql"

	"slatewright/internal/book"
	"slatewright/internal/ledger/postgres"
	"slatewright/internal/ledger/sqlite"
)

// Options say how a book is opened.
type Options struct {
	Site     string           // the mill's word, [a-z0-9-]; empty reads it from a book that is there
	Create   bool             // make the book when there is none
	ReadOnly bool             // beside a running program: no lock, no writing
	Holder   string           // what holds the folder, for whoever is refused; "slatewright serve"
	Clock    func() time.Time // time.Now when nil

	CheckAfter time.Duration // how long after the start the check in the background begins; three seconds when 0

	Log *slog.Logger // where our own faults are noted; slog.Default() when nil

	Restoring bool // opened by a restore, which alone may open a book that one left half done
}

// Handles are the open database, for the rooms that keep their own tables beside the journal. On SQLite the writing pool is one
// connection: a transaction on it keeps the journal waiting.
type Handles struct {
	Write, Read *sql.DB
	Postgres    bool
	Site        string
}

// engine is what SQLite and PostgreSQL do differently.
type engine interface {
	Pools() (write, read *sql.DB)
	Postgres() bool
	Where() string                         // for a person
	Explain(error) error                   // the driver's codes as trouble
	Again(error) bool                      // a transaction that failed so, before its commit, may be tried once more
	Check(ctx context.Context) error       // the engine's own look at its pages and indexes
	Reindex(table string) string           // the statement that makes a table's indexes anew
	Empty(table string, site int64) string // the statement that takes a mill's rows out of a table
	Close() error
}

// Ledger keeps one mill's book. It implements book.Keeper.
type Ledger struct {
	engine  engine
	handles Handles
	folder  string
	number  int64 // of the site within the database
	write   *statements
	read    *statements
	writer  *writer // nil when opened to read only
	news    news
	health  health
	log     *slog.Logger
	replays replays
	turns   atomic.Int64 // how often the book was changed beside the writer; counted before the commit
	ending  context.CancelFunc
	close   func() error // closeAll, once
	running sync.WaitGroup
}

var _ book.Keeper = (*Ledger)(nil)

// Open opens a mill's book: where is a folder, or the address of a PostgreSQL database that begins with postgres://. A check of
// the whole book then runs in the background.
func Open(ctx context.Context, where string, o Options) (*Ledger, error) {
	if o.Clock == nil {
		o.Clock = time.Now
	}
	l, err := reach(ctx, where, o)
	if err != nil {
		return nil, err
	}
	l.replays.turn = make(chan struct{}, 1)
	l.log = cmp.Or(o.Log, slog.Default())
	l.handles.Write, l.handles.Read = l.engine.Pools()
	l.handles.Postgres = l.engine.Postgres()
	l.write, l.read = prepareOn(l.handles.Write), prepareOn(l.handles.Read)
	if err := l.settle(ctx, o); err != nil {
		return nil, errors.Join(l.explain(err), l.engine.Close())
	}
	if err := l.Whole(ctx); err != nil && !o.Restoring {
		return nil, errors.Join(err, l.engine.Close())
	}
	if err := l.checkHead(ctx); err != nil {
		l.health.shut(l.explain(err))
	}
	l.begin(o)
	return l, nil
}

func reach(ctx context.Context, where string, o Options) (*Ledger, error) {
	if strings.HasPrefix(where, "postgres://") || strings.HasPrefix(where, "postgresql://") {
		b, err := postgres.Open(ctx, where, o.Create)
		return &Ledger{engine: b}, err
	}
	b, err := sqlite.Open(ctx, where, sqlite.Options{Create: o.Create, ReadOnly: o.ReadOnly, Holder: o.Holder, Now: o.Clock()})
	return &Ledger{engine: b, folder: where}, err
}

// begin starts what runs until Close: the writer, the watch for what other programs write, the check in the background.
func (l *Ledger) begin(o Options) {
	ctx, end := context.WithCancel(context.Background())
	l.ending = end
	l.close = sync.OnceValue(l.closeAll)
	if !o.ReadOnly {
		l.writer = newWriter(l)
		l.running.Go(l.writer.run)
		l.running.Go(func() { l.checkInBackground(ctx, cmp.Or(o.CheckAfter, checkAfter)) })
	}
	if o.ReadOnly || l.handles.Postgres {
		l.running.Go(func() { l.watch(ctx) })
	}
}

// Handles returns the open database.
func (l *Ledger) Handles() Handles { return l.handles }

// Folder returns the folder of the book; it is empty on PostgreSQL.
func (l *Ledger) Folder() string { return l.folder }

// Site returns the mill's word.
func (l *Ledger) Site() string { return l.handles.Site }

// Close ends what runs, after the writes that have begun, and closes the database. The second time it does nothing.
func (l *Ledger) Close() error {
	return l.close()
}

func (l *Ledger) closeAll() error {
	l.ending()
	if l.writer != nil {
		l.writer.end()
	}
	l.running.Wait()
	if l.writer != nil {
		l.writer.ended()
	}
	return errors.Join(l.write.close(), l.read.close(), l.engine.Close())
}
