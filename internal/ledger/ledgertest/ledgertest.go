// Package ledgertest is the one exercise that a book must pass on every engine: what is written is there, once and in order; what
// is refused is not; what is asked is answered the same on each engine; what was damaged is found. It is imported by tests only,
// and knows no engine: a test hands it places to keep books in.
package ledgertest

import (
	"errors"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// Site is the mill whose books are exercised.
const Site = "quern-hollow"

// Place makes a new, empty place for a book. What it returns opens the book there, and makes it the first time; the test's end
// closes it.
type Place func(t *testing.T) (open func() *ledger.Ledger)

// Exercise runs the whole exercise.
func Exercise(t *testing.T, place Place) {
	for _, e := range []struct {
		name string
		run  func(*testing.T, Place)
	}{
		{"the first entries", firstEntries},
		{"the same entry again", sameAgain},
		{"a refusal writes nothing", refusalWritesNothing},
		{"all or nothing", allOrNothing},
		{"a conflict and its correction", conflictAndCorrection},
		{"eight writers", eightWriters},
		{"pages", pages},
		{"there and back", thereAndBack},
		{"those who wait are told", told},
		{"random histories", randomHistories},
		{"a changed entry", changedEntry},
		{"a forged entry", forgedEntry},
		{"a lost entry", lostEntry},
		{"changed tables", changedTables},
		{"found in the background", foundInTheBackground},
	} {
		t.Run(e.name, func(t *testing.T) { e.run(t, place) })
	}
}

// code is the code of a trouble; empty for none.
func code(err error) string {
	var said *trouble.Trouble
	switch {
	case err == nil:
		return ""
	case !errors.As(err, &said):
		return "not trouble: " + err.Error()
	case said.Next == "":
		return said.Code + " says nothing on what to do next"
	}
	return said.Code
}

// sound holds the whole book to its journal.
func sound(t *testing.T, l *ledger.Ledger, entries int64) {
	t.Helper()
	j, err := l.VerifyJournal(t.Context(), nil)
	if err != nil || len(j.Faults) > 0 || j.Entries != entries {
		t.Errorf("the journal of %d entries: %d verified, %v, %v", entries, j.Entries, j.Faults, err)
	}
	r, err := l.Rebuild(t.Context(), true, nil)
	if err != nil || r.Acts != entries || len(r.Tables) != 4 {
		t.Fatalf("the check: %+v, %v", r, err)
	}
	for _, table := range r.Tables {
		if table.Differences > 0 {
			t.Errorf("table %s: %d differences: %v", table.Table, table.Differences, table.First)
		}
	}
}

// everything reads a list page by page.
func everything[T any](t *testing.T, limit int, ask func(cursor string, limit int) (book.Page[T], error)) []T {
	t.Helper()
	var all []T
	for cursor := ""; ; {
		p, err := ask(cursor, limit)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Items) > limit || len(p.Items) == 0 && p.Next != "" {
			t.Fatalf("a page of %d when %d were asked for", len(p.Items), limit)
		}
		all = append(all, p.Items...)
		if cursor = p.Next; cursor == "" {
			return all
		}
	}
}
