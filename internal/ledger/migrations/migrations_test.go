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

// A book of the fourth step keeps every entry when the journal's table is made anew.
func TestTheJournalIsCarriedOver(t *testing.T) {
	ctx := context.Background()
	for driver, where := range map[string]string{"sqlite": filepath.Join(t.TempDir(), "book.db"), "pgx": pgtest.Start(t)} {
		db := open(t, driver, where)
		if err := migrations.UpTo(ctx, db, driver == "pgx", 4); err != nil {
			t.Fatal(err)
		}
		for _, s := range []string{
			"insert into chain (site, word, seq, hash, rebuilds) values (1, 'mill', 2, 'h', 0)",
			"insert into journal (site, seq, id, at_ms, person, station, act, body, prev, hash) values (1, 1, 'B', 5, 'lead', 'office', 'settle', '{}', 'p', 'g')",
			"insert into journal (site, seq, id, at_ms, person, station, act, body, prev, hash) values (1, 2, 'A', 6, 'saw', 'saw', 'weigh', '{1}', 'g', 'h')",
		} {
			if _, err := db.Exec(s); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := migrations.Up(ctx, db, driver == "pgx"); err != nil {
			t.Fatal(err)
		}
		got := names(t, db, "select seq || id || at_ms || person || station || act || body from journal where site = 1")
		if want := []string{"1B5leadofficesettle{}", "2A6sawsawweigh{1}"}; !slices.Equal(got, want) {
			t.Errorf("%s: %q instead of %q", driver, got, want)
		}
		if _, err := db.Exec("insert into journal (site, seq, id, at_ms, person, station, act, body, prev, hash) values (1, 3, 'A', 6, 'saw', 'saw', 'weigh', '{1}', 'g', 'h')"); err == nil {
			t.Errorf("%s: an id twice", driver)
		}
	}
}
