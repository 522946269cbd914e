// Package migrations holds the tables of a mill's book as numbered steps, the same numbers for SQLite and PostgreSQL, and
// brings a database to the newest. It knows no row: what is written into the tables is the business of those who own them.
//
// A step is one file, NNNNN_name.sql, in the words that both engines know. Two things are said to both and mean something to one:
//
//	collate "C"            PostgreSQL: texts in the order of their bytes, which is SQLite's order anyway
//	/* without rowid */    SQLite: the table is its primary key; a comment elsewhere
//
// Where that does not do, the step is two files, NNNNN_name.sqlite.sql and NNNNN_name.postgres.sql.
package migrations

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"log/slog"
	"strconv"
	"strings"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

//go:embed *.sql
var files embed.FS

var forSQLite = strings.NewReplacer(` collate "C"`, "", "/* without rowid */", "without rowid")

// Schema is the state of a database's tables.
type Schema struct {
	Has    int64 // the number of its newest step; 0 for none
	Newest int64 // the newest that this program knows
}

// Up brings the database to the newest step, unless it is newer than this program: the answer says so, and nothing is changed.
func Up(ctx context.Context, db *sql.DB, postgres bool) (Schema, error) {
	p, err := provider(db, postgres)
	if err != nil {
		return Schema{}, err
	}
	s, err := schema(ctx, p)
	if err != nil || s.Has >= s.Newest {
		return s, err
	}
	if _, err := p.Up(ctx); err != nil {
		return s, err
	}
	return schema(ctx, p)
}

// Look tells the state of a database that has been brought up before.
func Look(ctx context.Context, db *sql.DB, postgres bool) (Schema, error) {
	p, err := provider(db, postgres)
	if err != nil {
		return Schema{}, err
	}
	return schema(ctx, p)
}

func schema(ctx context.Context, p *goose.Provider) (s Schema, err error) {
	s.Has, s.Newest, err = p.GetVersions(ctx)
	return s, err
}

// Table is where a database remembers its steps.
const Table = "migration"

func provider(db *sql.DB, postgres bool) (*goose.Provider, error) {
	steps, err := steps(postgres)
	if err != nil {
		return nil, err
	}
	options := []goose.ProviderOption{goose.WithTableName(Table), goose.WithGoMigrations(steps...), goose.WithDisableGlobalRegistry(true),
		goose.WithSlog(slog.New(slog.DiscardHandler))}
	if !postgres {
		return goose.NewProvider(goose.DialectSQLite3, db, nil, options...)
	}
	// Several programs may begin on one new database at the same moment.
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectPostgres, db, nil, append(options, goose.WithSessionLocker(locker))...)
}

func steps(postgres bool) ([]*goose.Migration, error) {
	dir, err := files.ReadDir(".")
	if err != nil {
		return nil, err
	}
	var steps []*goose.Migration
	for _, f := range dir {
		if strings.HasSuffix(f.Name(), ".sqlite.sql") && postgres || strings.HasSuffix(f.Name(), ".postgres.sql") && !postgres {
			continue
		}
		number, _, _ := strings.Cut(f.Name(), "_")
		version, err := strconv.ParseInt(number, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("migrations: %s has no number", f.Name())
		}
		text, err := files.ReadFile(f.Name())
		if err != nil {
			return nil, err
		}
		steps = append(steps, step(version, string(text), postgres))
	}
	return steps, nil
}

// step runs a file as one text. There are no steps back: an older program refuses a newer book, and a backup is the way back.
func step(version int64, text string, postgres bool) *goose.Migration {
	text, _, _ = strings.Cut(text, "-- +goose Down")
	if !postgres {
		text = forSQLite.Replace(text)
	}
	up := func(ctx context.Context, tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, text)
		return err
	}
	return goose.NewGoMigration(version, &goose.GoFunc{RunTx: up}, nil)
}
