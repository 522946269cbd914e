package work_test

import (
	"context"
	"testing"

	"slatewright/internal/jobs"
	"slatewright/internal/jobs/jobstest"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/pgtest"
	"slatewright/internal/ledger/work"
)

func open(where, site string, o jobs.Options, workers ...jobs.Worker) (jobstest.Opened, error) {
	l, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, Create: true, Holder: "a test"})
	if err != nil {
		return jobstest.Opened{}, err
	}
	q, err := work.Open(context.Background(), l.Handles(), o, workers...)
	if err != nil {
		l.Close()
		return jobstest.Opened{}, err
	}
	return jobstest.Opened{Queue: q, Store: work.NewStore(l.Handles()), Close: func() { q.Close(); l.Close() }}, nil
}

func TestMain(m *testing.M) { jobstest.Main(m, jobstest.Engine{Open: open}) }

func TestSQLite(t *testing.T) {
	jobstest.Exercise(t, jobstest.Engine{Make: func(t testing.TB) string { return t.TempDir() }, Open: open})
}

func TestPostgres(t *testing.T) {
	jobstest.Exercise(t, jobstest.Engine{Make: pgtest.Start, Open: open, Many: true})
}
