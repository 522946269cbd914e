package ledger

import (
	"iter"
	"path/filepath"
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
