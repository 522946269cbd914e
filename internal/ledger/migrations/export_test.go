package migrations

import (
	"context"
	"database/sql"
)

// UpTo brings a database to an older step.
func UpTo(ctx context.Context, db *sql.DB, postgres bool, step int64) error {
	p, err := provider(db, postgres)
	if err == nil {
		_, err = p.UpTo(ctx, step)
	}
	return err
}
