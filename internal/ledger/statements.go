package ledger

import (
	"context"
	"database/sql"
	"errors"
	"sync"
)

// statements are the SQL texts that were prepared on one pool. There are few: a text is made of constants.
type statements struct {
	pool   *sql.DB
	mu     sync.Mutex
	ready  map[string]*sql.Stmt
	wanted []string // met within a transaction, to be prepared before the next
}

func prepareOn(pool *sql.DB) *statements {
	return &statements{pool: pool, ready: map[string]*sql.Stmt{}}
}

// prepare prepares a text once. The lock is not held while it waits for a connection: the transaction that has the only one may want to
// know a text.
func (s *statements) prepare(ctx context.Context, text string) (*sql.Stmt, error) {
	if stmt := s.lookUp(text); stmt != nil {
		return stmt, nil
	}
	stmt, err := s.pool.PrepareContext(ctx, text)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if first, ok := s.ready[text]; ok {
		return first, stmt.Close()
	}
	s.ready[text] = stmt
	return stmt, nil
}

func (s *statements) lookUp(text string) *sql.Stmt {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ready[text]
}

// known returns a prepared text; one that is not prepared yet is noted.
func (s *statements) known(text string) (*sql.Stmt, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	stmt, ok := s.ready[text]
	if !ok {
		s.wanted = append(s.wanted, text)
	}
	return stmt, ok
}

func (s *statements) prepareWanted(ctx context.Context) error {
	s.mu.Lock()
	wanted := s.wanted
	s.wanted = nil
	s.mu.Unlock()
	for _, text := range wanted {
		if _, err := s.prepare(ctx, text); err != nil {
			return err
		}
	}
	return nil
}

func (s *statements) close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	var errs []error
	for _, stmt := range s.ready {
		errs = append(errs, stmt.Close())
	}
	return errors.Join(errs...)
}

// asker puts a question to the database: to a pool, or within a transaction.
type asker interface {
	query(ctx context.Context, text string, args ...any) (*sql.Rows, error)
}

func (s *statements) query(ctx context.Context, text string, args ...any) (*sql.Rows, error) {
	stmt, err := s.prepare(ctx, text)
	if err != nil {
		return nil, err
	}
	return stmt.QueryContext(ctx, args...)
}

// transaction is a transaction over prepared statements.
type transaction struct {
	*sql.Tx
	on   *statements
	mine map[string]*sql.Stmt
}

func (s *statements) begin(ctx context.Context, o *sql.TxOptions) (*transaction, error) {
	if err := s.prepareWanted(ctx); err != nil {
		return nil, err
	}
	tx, err := s.pool.BeginTx(ctx, o)
	if err != nil {
		return nil, err
	}
	return &transaction{Tx: tx, on: s, mine: map[string]*sql.Stmt{}}, nil
}

// prepare prepares a new text within the transaction: the pool may have no other connection.
func (t *transaction) prepare(ctx context.Context, text string) (stmt *sql.Stmt, err error) {
	if stmt, ok := t.mine[text]; ok {
		return stmt, nil
	}
	if pooled, ok := t.on.known(text); ok {
		stmt = t.StmtContext(ctx, pooled)
	} else if stmt, err = t.PrepareContext(ctx, text); err != nil {
		return nil, err
	}
	t.mine[text] = stmt
	return stmt, nil
}

func (t *transaction) query(ctx context.Context, text string, args ...any) (*sql.Rows, error) {
	stmt, err := t.prepare(ctx, text)
	if err != nil {
		return nil, err
	}
	return stmt.QueryContext(ctx, args...)
}

func (t *transaction) exec(ctx context.Context, text string, args ...any) error {
	_, err := t.change(ctx, text, args...)
	return err
}

// change reports how many rows were changed.
func (t *transaction) change(ctx context.Context, text string, args ...any) (int64, error) {
	stmt, err := t.prepare(ctx, text)
	if err != nil {
		return 0, err
	}
	r, err := stmt.ExecContext(ctx, args...)
	if err != nil {
		return 0, err
	}
	return r.RowsAffected()
}

// collect reads all rows of a question.
func collect[T any](ctx context.Context, a asker, scan func(*sql.Rows) (T, error), text string, args ...any) ([]T, error) {
	rows, err := a.query(ctx, text, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		x, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, x)
	}
	return all, rows.Err()
}
