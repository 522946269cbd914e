package postgres_test

import (
	"testing"
	"time"

	"slatewright/internal/ledger"
	"slatewright/internal/ledger/ledgertest"
	"slatewright/internal/ledger/pgtest"
)

func TestExercise(t *testing.T) {
	ledgertest.Exercise(t, func(t *testing.T) func() *ledger.Ledger {
		address := pgtest.Start(t)
		return func() *ledger.Ledger { return open(t, address) }
	})
}

func open(t *testing.T, address string) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(t.Context(), address, ledger.Options{Site: ledgertest.Site, Create: true, Holder: "the exercise", CheckAfter: time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() }) // again, where the test has closed it
	return l
}
