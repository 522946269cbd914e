package ledger

import (
	"database/sql"
	"iter"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"slatewright/internal/rehearsal/halfyear"
)

// What the writer remembers of tables that were wrong does not outlive them.
func TestMemoryEndsWithARebuild(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "mill")
	open := func() *Ledger {
		l, err := Open(t.Context(), folder, Options{Site: halfyear.Site, Create: true, CheckAfter: time.Hour})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { l.Close() })
		return l
	}
	l := open()
	next, stop := iter.Pull(halfyear.Million(1, 450))
	defer stop()
	write := func(n int) {
		t.Helper()
		for range n {
			s, _ := next()
			if _, err := l.Append(t.Context(), s); err != nil {
				t.Fatal(err)
			}
		}
	}
	write(250) // the first stone is being worked on
	l.Close()
	l = open()
	if _, err := l.handles.Write.Exec(`update thing set state = replace(state, '"length_mm":', '"length_mm":1') where kind = 'piece'`); err != nil {
		t.Fatal(err)
	}
	write(100)
	r, err := l.Rebuild(t.Context(), false, nil)
	if err != nil || r.Tables[0].Differences == 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	write(100)
	if r, err = l.Rebuild(t.Context(), true, nil); err != nil {
		t.Fatal(err)
	}
	for _, table := range r.Tables {
		if table.Differences > 0 {
			t.Errorf("%+v", table)
		}
	}
}

// A writer that finds the head of the chain moved writes nothing on what it remembers, and begins again.
func TestOvertaken(t *testing.T) {
	l, err := Open(t.Context(), t.TempDir(), Options{Site: halfyear.Site, Create: true, CheckAfter: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	for s := range halfyear.Million(1, 20) {
		before := l.writer.memory.head
		if _, err := l.Append(t.Context(), s); err != nil {
			t.Fatal(err)
		}
		if l.writer.memory.head.seq%5 == 0 {
			l.writer.memory.head = before // as if another had written the last
		}
	}
	r, err := l.VerifyJournal(t.Context(), nil)
	if err != nil || r.Entries != 20 || len(r.Faults) > 0 {
		t.Errorf("%+v, %v", r, err)
	}
}

// No question that is asked again and again may be answered by sorting the journal.
func TestNothingSortsTheJournal(t *testing.T) {
	l, err := Open(t.Context(), t.TempDir(), Options{Site: halfyear.Site, Create: true, CheckAfter: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	for text, args := range map[string][]any{
		stretchQuery: {1, 2, 3},
		historyQuery + " and (t.at_ms, t.id) > ($3, $4) order by t.at_ms, t.id limit $5": {1, "piece:P1", 2, "x", 3},
		entryQuery + " and j.seq > $2 order by j.seq limit $3":                           {1, 2, 3},
		entryQuery + " and j.id = $2":                                                    {1, "x"},
		lastQuery:                                                                        {1},
	} {
		steps, err := collect(t.Context(), l.read, func(rows *sql.Rows) (step string, err error) {
			var n int
			return step, rows.Scan(&n, &n, &n, &step)
		}, "explain query plan "+text, args...)
		if err != nil || len(steps) == 0 {
			t.Fatalf("%s: %d steps, %v", text, len(steps), err)
		}
		if way := strings.Join(steps, "; "); strings.Contains(way, "TEMP B-TREE") {
			t.Errorf("%s\nis answered by\n%s", text, way)
		}
	}
}

// A shelf keeps what was last used and no more than about its size.
func TestShelf(t *testing.T) {
	s := newShelf[int, int](10)
	for i := range 1000 {
		s.put(i, i)
		if v, ok := s.get(7); i >= 7 && (!ok || v != 7) {
			t.Fatalf("what is used all the time was lost at %d", i)
		}
		if kept := len(s.new) + len(s.aged); kept > 11 {
			t.Fatalf("%d are kept", kept)
		}
	}
	if _, ok := s.get(900); ok {
		t.Error("what was not used for long is kept")
	}
	if v, ok := s.get(999); !ok || v != 999 {
		t.Error("the last is lost")
	}
	s.clear()
	if _, ok := s.get(999); ok {
		t.Error("kept after clearing")
	}
}
