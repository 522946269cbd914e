// Package credentials keeps what the gate knows in the book's database: hashes of passphrases and PINs, sessions, tablets, tallies
// of tries, and machines' tokens. One SQL text serves SQLite and PostgreSQL. It decides nothing, and sees no secret: package gate
// hands it hashes and digests.
package credentials

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/postgres"
	"slatewright/internal/ledger/sqlite"
)

// Store is the gate's store in one mill's book.
type Store struct {
	write, read *sql.DB
	site        string
	explain     func(error) error // turns what the engine says into trouble
}

var _ gate.Store = (*Store)(nil)

// New returns the store of the book that is open.
func New(h ledger.Handles) *Store {
	s := &Store{h.Write, h.Read, h.Site, new(sqlite.Book).Explain}
	if h.Postgres {
		s.explain = new(postgres.Book).Explain
	}
	return s
}

// Site is the mill's word.
func (s *Store) Site() string { return s.site }

// failed says what to do, or else what was being done. Arguments are never part of it.
func (s *Store) failed(doing string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("credentials: %s: %w", doing, s.explain(err))
}

// change runs one statement and tells whether it met a row. The mill is $1.
func (s *Store) change(ctx context.Context, doing, query string, args ...any) (bool, error) {
	r, err := s.write.ExecContext(ctx, query, append([]any{s.site}, args...)...)
	if err != nil {
		return false, s.failed(doing, err)
	}
	n, err := r.RowsAffected()
	return n > 0, s.failed(doing, err)
}

// one reads at most one row.
func (s *Store) one(ctx context.Context, doing, query string, args []any, into ...any) (found bool, err error) {
	err = s.read.QueryRowContext(ctx, query, append([]any{s.site}, args...)...).Scan(into...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, s.failed(doing, err)
}

// all reads every row.
func all[T any](ctx context.Context, s *Store, doing, query string, args []any, scan func(func(...any) error) (T, error)) (list []T, err error) {
	rows, err := s.read.QueryContext(ctx, query, append([]any{s.site}, args...)...)
	if err != nil {
		return nil, s.failed(doing, err)
	}
	defer rows.Close()
	for rows.Next() {
		row, err := scan(rows.Scan)
		if err != nil {
			return nil, s.failed(doing, err)
		}
		list = append(list, row)
	}
	return list, s.failed(doing, rows.Err())
}

// together does several things in one transaction.
func (s *Store) together(ctx context.Context, doing string, do func(tx *sql.Tx) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return s.failed(doing, err)
	}
	defer tx.Rollback() // after a commit it does nothing
	if err := do(tx); err != nil {
		return s.failed(doing, err)
	}
	return s.failed(doing, tx.Commit())
}

func moment(ms int64) time.Time { return time.UnixMilli(ms).UTC() }
