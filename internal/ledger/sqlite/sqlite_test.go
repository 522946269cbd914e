package sqlite_test

import (
	"path/filepath"
	"testing"
	"time"

	"slatewright/internal/ledger"
	"slatewright/internal/ledger/ledgertest"
)

func TestExercise(t *testing.T) {
	ledgertest.Exercise(t, func(t *testing.T) func() *ledger.Ledger {
		folder := filepath.Join(t.TempDir(), "mill")
		return func() *ledger.Ledger { return open(t, folder) }
	})
}

func open(t *testing.T, folder string) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(t.Context(), folder, ledger.Options{Site: ledgertest.Site, Create: true, Holder: "the exercise", CheckAfter: time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() }) // again, where the test has closed it
	return l
}
