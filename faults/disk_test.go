package faults_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// written makes a book of some acts and returns its folder.
func written(t *testing.T, acts int) string {
	t.Helper()
	where := t.TempDir()
	found(t, where)
	l := open(t, where)
	defer shut(t, l)
	for n := 1; n <= acts; n++ {
		for s := range senders {
			if _, err := l.Append(context.Background(), submission(s, n)); err != nil {
				t.Fatal(err)
			}
		}
	}
	return where
}

// told wants trouble that names a place and a next step.
func told(t *testing.T, err error, what string) {
	t.Helper()
	var tr *trouble.Trouble
	if !errors.As(err, &tr) || tr.Next == "" || tr.Code == "" {
		t.Errorf("%s: want trouble that says what to do, got %v", what, err)
		return
	}
	t.Logf("%s: %v", what, err)
}

func TestSecondProgramOnOneFolder(t *testing.T) {
	where := written(t, 1)
	first := open(t, where)
	defer shut(t, first)
	_, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, Holder: "another", Clock: clock})
	told(t, err, "second program")
	if err == nil || !strings.Contains(err.Error(), "faults") {
		t.Errorf("the refusal does not say who holds the book: %v", err)
	}
	reader, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, ReadOnly: true, Holder: "reader", Clock: clock})
	if err != nil {
		t.Fatalf("a reader beside the program: %v", err)
	}
	defer shut(t, reader)
	if _, err := reader.Thing(context.Background(), book.Ref{Kind: book.KindPiece, ID: pieceOf(0)}); err != nil {
		t.Error(err)
	}
	_, err = reader.Append(context.Background(), submission(0, 2))
	told(t, err, "append by a reader")
}

// flip turns over one bit of the database file in the middle of the given text, and reports whether it was there.
func flip(t *testing.T, where, text string) bool {
	t.Helper()
	path := filepath.Join(where, "book.db")
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(content, []byte(text))
	if i < 0 {
		return false
	}
	content[i+len(text)/2] ^= 1
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	return true
}

// A byte of a journal entry that flips is found when the entry is read, and the chain says where.
func TestFlippedByteInTheJournal(t *testing.T) {
	where := written(t, 20)
	if !flip(t, where, `"scale":"SCALE-1","mass_kg":50.013`) {
		t.Fatal("the entry's text is not in the database file")
	}
	l := open(t, where)
	defer l.Close()
	j, err := l.VerifyJournal(context.Background(), nil)
	if err != nil || len(j.Faults) == 0 || j.Faults[0].Where == "" || j.Faults[0].Next == "" {
		t.Fatalf("the walk along the chain did not name it: %+v, %v", j, err)
	}
	t.Logf("%+v", j.Faults[0])
	broken := 0
	for s := range senders {
		if _, err := l.Entry(context.Background(), idOf(s, 13)); err != nil {
			broken++
			told(t, err, "reading the entry")
		}
	}
	if broken == 0 {
		t.Error("a broken entry was served")
	}
}

// A byte that flips in a derived table is found by the check, and the rebuild mends it.
func TestFlippedByteInADerivedTable(t *testing.T) {
	where := written(t, 3)
	if !flip(t, where, `"mass_kg":50.003,`) && !flip(t, where, `"mass_kg":50.003}`) {
		t.Fatal("the state's text is not in the database file")
	}
	l := open(t, where)
	defer l.Close()
	r, err := l.Rebuild(context.Background(), true, nil)
	if err != nil {
		told(t, err, "the check") // the flip fell into the journal's copy
		return
	}
	differences := int64(0)
	for _, table := range r.Tables {
		differences += table.Differences
	}
	if differences == 0 {
		t.Fatalf("the check found nothing: %+v", r)
	}
	if _, err := l.Rebuild(context.Background(), false, nil); err != nil {
		t.Fatal(err)
	}
	sound(t, l)
}

// A page that was torn off is found, not read over.
func TestTornPage(t *testing.T) {
	where := written(t, 60)
	path := filepath.Join(where, "book.db")
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, info.Size()-1500); err != nil {
		t.Fatal(err)
	}
	l, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, Holder: "faults", Clock: clock})
	if err != nil {
		told(t, err, "opening")
		return
	}
	defer l.Close()
	j, err := l.VerifyJournal(context.Background(), nil)
	r, err2 := l.Rebuild(context.Background(), true, nil)
	switch {
	case err != nil:
		told(t, err, "the chain")
	case err2 != nil:
		told(t, err2, "the check")
	case len(j.Faults) == 0 && whole(r):
		t.Error("a torn page was not found")
	}
}

func whole(r book.RebuildReport) bool {
	for _, table := range r.Tables {
		if table.Differences > 0 {
			return false
		}
	}
	return true
}

func TestReadOnlyFolder(t *testing.T) {
	if os.Geteuid() == 0 {
		where := readOnlyMount(t, written(t, 1))
		_, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, Holder: "faults", Clock: clock})
		told(t, err, "a folder that cannot be written")
		return
	}
	where := written(t, 1)
	if err := os.Chmod(where, 0o500); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(where, 0o700)
	if err := os.Chmod(filepath.Join(where, "book.db"), 0o400); err != nil {
		t.Fatal(err)
	}
	_, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, Holder: "faults", Clock: clock})
	told(t, err, "a folder that cannot be written")
}

// A disk that fills up refuses acts, loses none, and takes them again when there is room.
func TestFullDisk(t *testing.T) {
	where := smallDisk(t, "2m")
	found(t, where)
	l := open(t, where)
	ballast := filepath.Join(where, "ballast")
	if err := fill(ballast); err != nil {
		t.Fatal(err)
	}
	acknowledged, refused := 0, false
	for n := 1; n < 5000 && !refused; n++ {
		if _, err := l.Append(context.Background(), submission(0, n)); err != nil {
			told(t, err, "an act on a full disk")
			refused = true
		} else {
			acknowledged = n
		}
	}
	if !refused {
		t.Fatal("the disk did not fill up")
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	for n := acknowledged + 1; n <= acknowledged+3; n++ {
		if _, err := l.Append(context.Background(), submission(0, n)); err != nil {
			t.Errorf("with room again: %v", err)
		}
	}
	if got := countOf(t, l, 0); got != acknowledged+3 {
		t.Errorf("%d acts in the book, want %d", got, acknowledged+3)
	}
	sound(t, l)
	shut(t, l)
}

// fill writes until the disk is full.
func fill(path string) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	block := make([]byte, 4096)
	for {
		if _, err := f.Write(block); err != nil {
			return nil
		}
	}
}
