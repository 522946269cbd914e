package ledger

import (
	"cmp"
	"context"
	"database/sql"
	"iter"

	"slatewright/internal/book"
)

// Rebuild replays the journal and compares every derived table with what follows from it. Without check it writes those that differ
// anew, in one transaction. A broken journal is refused: nothing can be derived from it.
func (l *Ledger) Rebuild(ctx context.Context, check bool, progress func(done, total int64)) (book.RebuildReport, error) {
	done, err := l.replays.rebuild(ctx)
	if err != nil {
		return book.RebuildReport{}, err
	}
	defer done()
	r, err := l.newReplay(ctx, progress)
	if err != nil {
		return book.RebuildReport{}, l.explain(err)
	}
	defer r.close()
	var report book.RebuildReport
	if !check {
		report, err = r.rewrite(ctx)
		return report, l.explain(err)
	}
	pages := l.checkBeside(ctx)
	report, err = r.check(ctx, func(string, []string) {})
	return report, l.explain(cmp.Or(<-pages, err))
}

// checkBeside has the engine look at its pages and indexes while the journal is replayed.
func (l *Ledger) checkBeside(ctx context.Context) <-chan error {
	found := make(chan error, 1)
	go func() { found <- l.engine.Check(ctx) }()
	return found
}

// check replays most of the journal from the living book, and only the rest, and the tables, as they stand at one moment.
func (r *replay) check(ctx context.Context, differs func(table string, key []string)) (book.RebuildReport, error) {
	l := r.walk.ledger
	if err := r.run(ctx, l.read); err != nil {
		return book.RebuildReport{}, err
	}
	tx, err := l.read.begin(ctx, l.moment())
	if err != nil {
		return book.RebuildReport{}, err
	}
	defer tx.Rollback() // it only reads
	h, err := l.headFrom(ctx, tx, false)
	if err != nil {
		return book.RebuildReport{}, err
	}
	r.rebuilds = h.rebuilds
	if err := r.run(ctx, tx); err != nil {
		return book.RebuildReport{}, err
	}
	report := book.RebuildReport{Acts: r.replica.Acts(), Conflicts: r.replica.Conflicting()}
	for _, t := range derivedTables {
		of, err := t.compare(ctx, l, tx, r.replica, differs)
		if err != nil {
			return report, err
		}
		report.Tables = append(report.Tables, of)
	}
	return report, nil
}

// moment is the kind of transaction that sees the book as it stands at one moment. In SQLite every one does.
func (l *Ledger) moment() *sql.TxOptions {
	if !l.handles.Postgres {
		return nil
	}
	return &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}
}

// rewrite writes the derived tables anew that are not as they ought to be.
func (r *replay) rewrite(ctx context.Context) (report book.RebuildReport, err error) {
	l := r.walk.ledger
	if l.writer == nil {
		return report, l.onlyToRead()
	}
	pages := l.checkBeside(ctx)
	err = r.run(ctx, l.read)
	r.sick = <-pages != nil
	if err != nil {
		return report, err
	}
	tx, err := l.write.begin(ctx, nil)
	if err != nil {
		return report, err
	}
	defer tx.Rollback() // after the commit it does nothing
	d, err := l.startDraft(ctx, tx, newMemory())
	if err != nil {
		return report, err
	}
	if err := r.run(ctx, tx); err != nil {
		return report, err
	}
	report = book.RebuildReport{Acts: r.replica.Acts(), Conflicts: r.replica.Conflicting()}
	if err := r.reindex(d); err != nil {
		return report, err
	}
	for _, t := range derivedTables {
		of, err := r.rewriteTable(d, t)
		if err != nil {
			return report, err
		}
		report.Tables = append(report.Tables, of)
	}
	if err := tx.exec(ctx, "update chain set rebuilds = rebuilds + 1 where site = $1", l.number); err != nil {
		return report, err
	}
	l.turns.Add(1)
	if err := tx.Commit(); err != nil {
		return report, err
	}
	l.health.madeAnew(d.rebuilds + 1)
	l.news.announce()
	return report, nil
}

// reindex empties the tables and makes all indexes anew where the engine found something wrong: they can no longer be trusted, nor read.
func (r *replay) reindex(d *draft) error {
	if !r.sick {
		return nil
	}
	engine := r.walk.ledger.engine
	statements := []string{engine.Reindex("journal")}
	for _, t := range derivedTables {
		statements = append(statements, engine.Empty(t.name, d.number), engine.Reindex(t.name))
	}
	for _, s := range statements {
		if _, err := d.tx.ExecContext(d.ctx, s); err != nil {
			return err
		}
	}
	return nil
}

// rewriteTable writes a table anew if a row of it differs.
func (r *replay) rewriteTable(d *draft, t derived) (book.TableReport, error) {
	report, err := t.compare(d.ctx, r.walk.ledger, d.tx, r.replica, func(string, []string) {})
	if err != nil || report.Differences == 0 {
		return report, err
	}
	if _, err := d.tx.ExecContext(d.ctx, r.walk.ledger.engine.Empty(t.name, d.number)); err != nil {
		return report, err
	}
	report.Rows, err = t.fill(d, r.replica)
	return report, err
}

func sound[T any](all iter.Seq[T]) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		all(func(t T) bool { return yield(t, nil) })
	}
}

// fill writes all rows of a sequence, some hundred at a time.
func fill[T any](d *draft, all iter.Seq2[T, error], write func([]T) error) (n int64, err error) {
	var some []T
	for t, err := range all {
		if err != nil {
			return n, err
		}
		if some = append(some, t); len(some) < 10*strides[0] {
			continue
		}
		if err := write(some); err != nil {
			return n, err
		}
		n, some = n+int64(len(some)), some[:0]
	}
	return n + int64(len(some)), write(some)
}
