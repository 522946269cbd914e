package pgtest_test

import (
	"context"
	"testing"

	"github.com/jackc/pgx/v5"

	"slatewright/internal/ledger/pgtest"
)

func ask(t *testing.T, url, sql string) (answer string, err error) {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return "", err
	}
	defer conn.Close(ctx)
	return answer, conn.QueryRow(ctx, sql).Scan(&answer)
}

func TestEachTestHasAnEmptyDatabase(t *testing.T) {
	one, two := pgtest.Start(t), pgtest.Start(t)
	for _, url := range []string{one, two} {
		got, err := ask(t, url, "select current_database()")
		if err != nil {
			t.Fatal(err)
		}
		if got == "postgres" {
			t.Error("the test was given the server's own database")
		}
	}
	if one == two {
		t.Error("two tests share one database")
	}
}

func TestServerStopsAndKeepsItsData(t *testing.T) {
	s := pgtest.StartServer(t)
	conn, err := pgx.Connect(context.Background(), s.URL)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := conn.Exec(context.Background(), "create table stone as select 'QH-0101' as id"); err != nil {
		t.Fatal(err)
	}
	s.Stop()
	if _, err := ask(t, s.URL, "select id from stone"); err == nil {
		t.Fatal("a stopped server answered")
	}
	s.Start()
	if got, err := ask(t, s.URL, "select id from stone"); err != nil || got != "QH-0101" {
		t.Fatalf("after the start: %q, %v", got, err)
	}
}
