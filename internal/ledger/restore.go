package ledger

import (
	"context"
	"database/sql"
	"fmt"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// A restore carries a journal back, entry for entry, as it was. While it runs, and after it was interrupted, a row says that the
// book is not whole and how its journal is to end.

// BeginRestore makes a book without entries ready for a journal of so many entries that ends in head, and marks it as half
// restored. A book with entries is refused, except one that a restore of the same journal left half done: then after is the
// number of the last entry that is there.
func (l *Ledger) BeginRestore(ctx context.Context, entries int64, head book.Digest) (after int64, err error) {
	err = l.underRestore(ctx, func(d *draft, m *mark) error {
		after = d.seq
		switch {
		case m == nil && d.seq > 0:
			return trouble.Data("not-empty", l.engine.Where(), "there is a book already, with "+trouble.Count(d.seq, "entry", "entries"), "restore into a new folder or an empty database")
		case m == nil:
			return d.tx.exec(ctx, "insert into restoring (site, entries, head) values ($1, $2, $3)", l.number, entries, head[:])
		case m.entries != entries || m.head != head:
			return l.half(*m, "restore that one again, or take a new folder or an empty database")
		}
		return nil
	})
	return after, err
}

// Restore appends entries to the journal as they were written the first time, in one transaction. What follows from them is
// derived at the end, all at once.
func (l *Ledger) Restore(ctx context.Context, entries []book.Entry) error {
	return l.underRestore(ctx, func(d *draft, m *mark) error {
		if m == nil {
			return trouble.Own("no-restore", l.engine.Where(), "no restore was begun", "report it")
		}
		for _, e := range entries {
			if e.Site != d.site || e.Seq != d.seq+1 || e.Prev != d.hash || book.HashOf(e) != e.Hash {
				return trouble.Data("broken-chain", fmt.Sprintf("entry %d", e.Seq), fmt.Sprintf("entry %d does not follow entry %d of the book", e.Seq, d.seq),
					"restore into a new folder or an empty database, from a sound backup")
			}
			if err := d.take(book.Outcome{Entry: e}); err != nil {
				return err
			}
		}
		return nil
	})
}

// EndRestore checks that the journal ends as was announced, derives the tables from it, and takes the mark away.
func (l *Ledger) EndRestore(ctx context.Context, entries int64, head book.Digest) error {
	ends := func(d *draft, m *mark) error {
		if m == nil || m.entries != entries || m.head != head || d.seq != entries || d.hash != head {
			return trouble.Data("broken-chain", fmt.Sprintf("entry %d", d.seq), "the journal does not end as it should", "restore again from a sound backup")
		}
		return nil
	}
	if err := l.underRestore(ctx, ends); err != nil {
		return err
	}
	if _, err := l.Rebuild(ctx, false, nil); err != nil {
		return err
	}
	return l.underRestore(ctx, func(d *draft, m *mark) error {
		if err := ends(d, m); err != nil {
			return err
		}
		return d.tx.exec(ctx, "delete from restoring where site = $1", l.number)
	})
}

// Whole refuses a book that a restore has left half done.
func (l *Ledger) Whole(ctx context.Context) error {
	marks, err := collect(ctx, l.read, scanMark, markQuery, l.number)
	if err != nil {
		return l.explain(err)
	}
	if len(marks) > 0 {
		return l.half(marks[0], "run the same `slatewright restore` again: it goes on where it stopped")
	}
	return nil
}

func (l *Ledger) half(m mark, next string) error {
	return trouble.Data("half-restored", l.engine.Where(), fmt.Sprintf("a restore of %s stopped half-way here, and the book is not whole", trouble.Count(m.entries, "entry", "entries")), next)
}

// mark says how the journal is to end.
type mark struct {
	entries int64
	head    book.Digest
}

const markQuery = "select entries, head from restoring where site = $1"

func scanMark(rows *sql.Rows) (m mark, err error) {
	var head []byte
	err = rows.Scan(&m.entries, &head)
	copy(m.head[:], head)
	return m, err
}

// underRestore does something in one transaction at the head of the chain; nil stands for no mark.
func (l *Ledger) underRestore(ctx context.Context, do func(*draft, *mark) error) error {
	if l.writer == nil {
		return trouble.Usage("read-only", l.engine.Where(), "the book was opened to read only", "open it to write")
	}
	w := &writer{ledger: l, memory: newMemory()} // beside the one that serves submissions, which sees by the head that it was overtaken
	tx, err := l.write.begin(ctx, nil)
	if err != nil {
		return l.explain(err)
	}
	if err := w.restore(ctx, tx, do); err != nil {
		_ = tx.Rollback() // the error that led here is the one to tell
		return l.explain(err)
	}
	l.news.announce()
	return nil
}

func (w *writer) restore(ctx context.Context, tx *transaction, do func(*draft, *mark) error) error {
	d, err := w.ledger.startDraft(ctx, tx, w.memory)
	if err != nil {
		return err
	}
	marks, err := collect(ctx, tx, scanMark, markQuery, w.ledger.number)
	if err != nil {
		return err
	}
	var m *mark
	if len(marks) > 0 {
		m = &marks[0]
	}
	if err := do(d, m); err != nil {
		return err
	}
	w.ledger.turns.Add(1)
	return w.commit(d)
}
