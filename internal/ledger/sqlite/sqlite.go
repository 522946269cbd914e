// Package sqlite opens the book of one mill in one folder: the file book.db, and book.lock, which says who has the folder. It
// knows how SQLite must be set so that what is committed stays, and turns its result codes into trouble. It does not know the
// tables.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"
	_ "modernc.org/sqlite" // the driver

	"slatewright/trouble"
)

// Options say how the folder is opened.
type Options struct {
	Create   bool   // make the folder and the file when there are none
	ReadOnly bool   // beside a running program: no lock, no writing
	Holder   string // what takes the folder, for whoever is refused
	Now      time.Time
}

// Book is an open file.
type Book struct {
	folder      string
	lock        *flock.Flock
	write, read *sql.DB
}

// applicationID stands in the file's header and tells whose file it is: the letters "slwr".
const applicationID = 0x736c7772

const readers = 4

// Open opens the folder and takes it for this program.
func Open(ctx context.Context, folder string, o Options) (*Book, error) {
	b := &Book{folder: folder}
	if err := b.there(o); err != nil {
		return nil, err
	}
	if !o.ReadOnly {
		if err := b.take(o); err != nil {
			return nil, err
		}
	}
	if err := b.connect(ctx, o); err != nil {
		b.Close()
		return nil, b.Explain(err)
	}
	return b, nil
}

func (b *Book) file() string { return filepath.Join(b.folder, "book.db") }

// there looks for the file, and makes the folder when it may.
func (b *Book) there(o Options) error {
	_, err := os.Stat(b.file())
	if err == nil {
		return nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return trouble.IO("unreadable", b.file(), "the book cannot be read", "look at the folder's permissions").Because(err)
	}
	if !o.Create {
		return trouble.IO("no-book", b.folder, "there is no book in this folder", "name the mill's folder, or make a book with `slatewright init`")
	}
	if err := os.MkdirAll(b.folder, 0o750); err != nil {
		return readOnly(b.folder).Because(err)
	}
	return nil
}

// settings hold for every connection. A commit is on the disk before it is answered: synchronous=full syncs the log at each.
func (b *Book) settings(o Options, writes bool) string {
	q := url.Values{"_pragma": {"busy_timeout(10000)", "foreign_keys(1)"}}
	if writes {
		q.Set("_txlock", "immediate")
		q["_pragma"] = append(q["_pragma"], "journal_mode(wal)", "synchronous(full)", "cache_size(-24576)", "wal_autocheckpoint(4000)")
	} else {
		q["_pragma"] = append(q["_pragma"], "query_only(1)", "cache_size(-4096)")
	}
	if o.ReadOnly {
		q.Set("mode", "ro")
		if b.still() {
			q.Set("immutable", "1")
		}
	}
	return (&url.URL{Scheme: "file", OmitHost: true, Path: b.file(), RawQuery: q.Encode()}).String()
}

// still reports that nobody can be writing: there is no log, and the folder takes none. SQLite reads such a file only when told so.
func (b *Book) still() bool {
	if _, err := os.Stat(b.file() + "-wal"); err == nil {
		return false
	}
	probe, err := os.CreateTemp(b.folder, "probe")
	if err != nil {
		return true
	}
	probe.Close()
	os.Remove(probe.Name())
	return false
}

func (b *Book) connect(ctx context.Context, o Options) (err error) {
	if b.read, err = sql.Open("sqlite", b.settings(o, false)); err != nil {
		return err
	}
	b.read.SetMaxOpenConns(readers)
	b.read.SetMaxIdleConns(readers)
	if o.ReadOnly {
		b.write = b.read
		return b.ours(ctx, o)
	}
	if b.write, err = sql.Open("sqlite", b.settings(o, true)); err != nil {
		return err
	}
	b.write.SetMaxOpenConns(1)
	b.write.SetMaxIdleConns(1)
	if err := b.ours(ctx, o); err != nil {
		return err
	}
	return b.whole(ctx)
}

// ours refuses a stranger's file, and signs a new one.
func (b *Book) ours(ctx context.Context, o Options) error {
	var id, tables int64
	if err := b.write.QueryRowContext(ctx, "pragma application_id").Scan(&id); err != nil {
		return err
	}
	if id == applicationID {
		return nil
	}
	if err := b.write.QueryRowContext(ctx, "select count(*) from sqlite_master").Scan(&tables); err != nil {
		return err
	}
	if id != 0 || tables > 0 {
		return trouble.Data("not-a-book", b.file(), "the file is a database of another program", "name the mill's folder, or a folder without a book.db")
	}
	if !o.Create || o.ReadOnly {
		return trouble.IO("no-book", b.folder, "there is no book in this folder", "name the mill's folder, or make a book with `slatewright init`")
	}
	_, err := b.write.ExecContext(ctx, fmt.Sprintf("pragma application_id = %d", applicationID))
	return err
}

// whole takes the log into the file and then holds the file's length to what its header says: a page that is torn off at the end
// would otherwise be found only when somebody asks for it.
func (b *Book) whole(ctx context.Context) error {
	var busy, frames, done, pages, size int64
	if err := b.write.QueryRowContext(ctx, "pragma wal_checkpoint(truncate)").Scan(&busy, &frames, &done); err != nil {
		return err
	}
	if busy != 0 { // somebody reads; the background check looks again
		return nil
	}
	if err := b.write.QueryRowContext(ctx, "pragma page_count").Scan(&pages); err != nil {
		return err
	}
	if err := b.write.QueryRowContext(ctx, "pragma page_size").Scan(&size); err != nil {
		return err
	}
	info, err := os.Stat(b.file())
	if err != nil {
		return err
	}
	if info.Size() < pages*size {
		return broken(b.file(), "the file is shorter than it says: its end is torn off")
	}
	return nil
}

// Pools returns the one writing connection and the readers.
func (b *Book) Pools() (write, read *sql.DB) { return b.write, b.read }

// Postgres reports that this is not PostgreSQL.
func (b *Book) Postgres() bool { return false }

// Where names the book for a person.
func (b *Book) Where() string { return b.folder }

// Check asks SQLite whether the pages of the file fit together, and then whether each index fits its table. The answer for a sound
// file is nil.
func (b *Book) Check(ctx context.Context) error {
	if err := b.ask(ctx, "pragma quick_check(1)", broken(b.file(), "the pages of the file do not fit together")); err != nil {
		return err
	}
	for _, table := range []string{"thing", "touch", "standing", "reach", "journal"} {
		wrong := trouble.IO("broken-index", b.file(), "an index of the table "+table+" does not fit it",
			"make the tables and their indexes anew from the journal with `slatewright rebuild`")
		if err := b.ask(ctx, "pragma integrity_check("+table+")", wrong); err != nil {
			return err
		}
	}
	return nil
}

// ask puts one of SQLite's own checks, which answer ok.
func (b *Book) ask(ctx context.Context, check string, wrong *trouble.Trouble) error {
	var said string
	if err := b.read.QueryRowContext(ctx, check).Scan(&said); err != nil {
		return b.Explain(err)
	}
	if said != "ok" {
		return wrong.Because(errors.New(said))
	}
	return nil
}

// Reindex is the statement that makes a table's indexes anew.
func (b *Book) Reindex(table string) string { return "reindex " + table }

// Empty is the statement that empties a table of the only mill that a file keeps; without a condition SQLite throws the pages away
// unread, also broken ones.
func (b *Book) Empty(table string, _ int64) string { return "delete from " + table }

// Close closes the file and gives the folder back.
func (b *Book) Close() error {
	var errs []error
	if b.write != nil && b.write != b.read {
		errs = append(errs, b.write.Close())
	}
	if b.read != nil {
		errs = append(errs, b.read.Close())
	}
	if b.lock != nil {
		errs = append(errs, b.lock.Unlock())
	}
	return errors.Join(errs...)
}
