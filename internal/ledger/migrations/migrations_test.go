package migrations_test

import (
	"context"
	"database/sql"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib"
	_ "modernc.org/sqlite"

	"slatewright/internal/ledger/migrations"
	"slatewright/internal/ledger/pgtest"
)

func open(t *testing.T, driver, where string) *sql.DB {
	t.Helper()
	db, err := sql.Open(driver, where)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func names(t *testing.T, db *sql.DB, query string) []string {
	t.Helper()
	rows, err := db.Query(query)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	slices.Sort(all)
	return all
}

// Both engines must come to the same tables with the same columns, by the same numbers.
func TestBothEnginesHaveTheSameTables(t *testing.T) {
	ctx := context.Background()
	lite := open(t, "sqlite", filepath.Join(t.TempDir(), "book.db"))
	grown := open(t, "pgx", pgtest.Start(t))
	a, err := migrations.Up(ctx, lite, false)
	if err != nil {
		t.Fatal(err)
	}
	b, err := migrations.Up(ctx, grown, true)
	if err != nil {
		t.Fatal(err)
	}
	if a != b || a.Has != a.Newest || a.Has < 1 {
		t.Errorf("SQLite stands at %+v, PostgreSQL at %+v", a, b)
	}
	inLite := names(t, lite, `select m.name || '.' || c.name from sqlite_master m join pragma_table_info(m.name) c
		where m.type = 'table' and m.name not like 'sqlite%' and m.name <> 'migration'`)
	inGrown := names(t, grown, `select table_name || '.' || column_name from information_schema.columns
		where table_schema = current_schema() and table_name <> 'migration' and table_name not like 'river%'`)
	if len(inLite) < 30 || !slices.Equal(inLite, inGrown) {
		t.Errorf("columns differ:\nSQLite     %s\nPostgreSQL %s", strings.Join(inLite, " "), strings.Join(inGrown, " "))
	}
}

func TestUpTwiceChangesNothingAndANewerBookIsLeftAlone(t *testing.T) {
	ctx := context.Background()
	db := open(t, "sqlite", filepath.Join(t.TempDir(), "book.db"))
	first, err := migrations.Up(ctx, db, false)
	if err != nil {
		t.Fatal(err)
	}
	again, err := migrations.Up(ctx, db, false)
	if err != nil || again != first {
		t.Fatalf("the second time: %+v, %v", again, err)
	}
	if _, err := db.Exec("insert into " + migrations.Table + " (version_id, is_applied) values (99999, true)"); err != nil {
		t.Fatal(err)
	}
	newer, err := migrations.Up(ctx, db, false)
	if err != nil || newer.Has != 99999 || newer.Newest != first.Newest {
		t.Errorf("a newer book: %+v, %v", newer, err)
	}
}
