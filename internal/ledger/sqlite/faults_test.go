package sqlite_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/ledgertest"
	"slatewright/trouble"
)

// submission is an act of the program itself at a mill in these tests.
func submission(t *testing.T, n int, a book.Act) book.Submission {
	t.Helper()
	word, body, err := book.Encode(a)
	if err != nil {
		t.Fatal(err)
	}
	id := ulid.ULID{}
	_ = id.SetTime(uint64(1767596400000 + n*60000)) // 2026-01-05 07:00 UTC and n minutes; it is far from too large
	e := book.Entry{ID: id.String(), At: ulid.Time(id.Time()), Person: "lead-1", Station: book.Office, Act: word, Body: body}
	return book.Submission{Entry: e, Caller: book.Caller{System: true}}
}

// acts are the first acts of a mill: some stone with long notes.
func acts(n int) []book.Act {
	list := []book.Act{&book.Settle{Name: "Quern Hollow", Answers: map[string]string{}, Demo: true}, &book.Appoint{Person: "lead-1", Role: book.Lead}}
	for i := range n {
		list = append(list, &book.TakeIn{Thing: book.Ref{Kind: book.KindPiece, ID: fmt.Sprint("P", i)}, Note: strings.Repeat("slate ", 60), Stone: &book.StoneFacts{MassKg: 90}})
	}
	return list
}

// mill makes a book with some stone in a new folder and closes it.
func mill(t *testing.T, stones int) (folder string) {
	t.Helper()
	folder = filepath.Join(t.TempDir(), "mill")
	l := open(t, folder)
	for i, a := range acts(stones) {
		if _, err := l.Append(t.Context(), submission(t, i, a)); err != nil {
			t.Fatal(err)
		}
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return folder
}

// refused opens a folder that must be refused with a code, and returns what was said.
func refused(t *testing.T, folder, code string, o ledger.Options) string {
	t.Helper()
	l, err := ledger.Open(t.Context(), folder, o)
	if err == nil {
		l.Close()
		t.Fatalf("opened; want %s", code)
	}
	var said *trouble.Trouble
	if !errors.As(err, &said) || said.Code != code || said.Next == "" {
		t.Fatalf("want %s: %v", code, err)
	}
	return err.Error()
}

func TestSecondProgramIsToldWhoHasTheFolder(t *testing.T) {
	folder := mill(t, 1)
	l := open(t, folder)
	said := refused(t, folder, "book-held", ledger.Options{Holder: "second"})
	for _, word := range []string{"the exercise", fmt.Sprint("process ", os.Getpid()), "since 20"} {
		if !strings.Contains(said, word) {
			t.Errorf("%q does not say %q", said, word)
		}
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	open(t, folder)
}

func TestReadOnlyBesideARunningProgram(t *testing.T) {
	folder := mill(t, 3)
	l := open(t, folder)
	beside, err := ledger.Open(t.Context(), folder, ledger.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer beside.Close()
	news := beside.Changed()
	if _, err := l.Append(t.Context(), submission(t, 50, acts(9)[10])); err != nil {
		t.Fatal(err)
	}
	<-news
	if _, err := beside.Thing(t.Context(), book.Ref{Kind: book.KindPiece, ID: "P8"}); err != nil {
		t.Errorf("what the other program wrote: %v", err)
	}
	_, err = beside.Append(t.Context(), submission(t, 51, acts(10)[11]))
	if said := (*trouble.Trouble)(nil); !errors.As(err, &said) || said.Code != "only-to-read" {
		t.Errorf("an append: %v", err)
	}
	if r, err := beside.Rebuild(t.Context(), true, nil); err != nil || r.Acts != 6 {
		t.Errorf("a check: %+v, %v", r, err)
	}
}

func TestStrangersAreLeftAlone(t *testing.T) {
	stranger := t.TempDir()
	db, err := sql.Open("sqlite", filepath.Join(stranger, "book.db"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("create table theirs (x)"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	before, err := os.ReadFile(filepath.Join(stranger, "book.db"))
	if err != nil {
		t.Fatal(err)
	}
	refused(t, stranger, "not-a-book", ledger.Options{Site: ledgertest.Site, Create: true})
	if after, err := os.ReadFile(filepath.Join(stranger, "book.db")); err != nil || !bytes.Equal(after[100:], before[100:]) {
		t.Errorf("the stranger's tables were changed: %v", err)
	}
	text := t.TempDir()
	if err := os.WriteFile(filepath.Join(text, "book.db"), bytes.Repeat([]byte("no database\n"), 500), 0o600); err != nil {
		t.Fatal(err)
	}
	refused(t, text, "not-a-book", ledger.Options{Site: ledgertest.Site, Create: true})
	refused(t, t.TempDir(), "no-book", ledger.Options{Site: ledgertest.Site})
	refused(t, filepath.Join(t.TempDir(), "new"), "which-site", ledger.Options{Create: true})
	refused(t, filepath.Join(t.TempDir(), "new"), "bad-site", ledger.Options{Site: "Quern Hollow", Create: true})
	refused(t, mill(t, 1), "other-site", ledger.Options{Site: "another-mill", Create: true})
}

func TestNewerBookIsLeftAlone(t *testing.T) {
	folder := mill(t, 1)
	l := open(t, folder)
	if _, err := l.Handles().Write.Exec("insert into migration (version_id, is_applied) values (99999, true)"); err != nil {
		t.Fatal(err)
	}
	l.Close()
	refused(t, folder, "newer-book", ledger.Options{})
	refused(t, folder, "newer-book", ledger.Options{ReadOnly: true})
}

// A disk that is full refuses; when there is room again the same entries are taken, and nothing is there twice.
func TestDiskFull(t *testing.T) {
	folder := mill(t, 1)
	l := open(t, folder)
	var pages int
	if err := l.Handles().Write.QueryRow("pragma page_count").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	limit := func(n int) {
		if _, err := l.Handles().Write.Exec(fmt.Sprintf("pragma max_page_count = %d", n)); err != nil {
			t.Fatal(err)
		}
	}
	limit(pages + 20)
	var left []book.Submission
	for i, a := range acts(400)[3:] {
		s := submission(t, 10+i, a)
		if _, err := l.Append(t.Context(), s); err != nil {
			if said := (*trouble.Trouble)(nil); !errors.As(err, &said) || said.Code != "disk-full" || said.Next == "" {
				t.Fatalf("%v", err)
			}
			left = append(left, s)
		}
	}
	if len(left) == 0 {
		t.Fatal("the disk was never full")
	}
	if _, err := l.Thing(t.Context(), book.Ref{Kind: book.KindPiece, ID: "P1"}); err != nil {
		t.Errorf("reading on a full disk: %v", err)
	}
	limit(1 << 20)
	for _, s := range left {
		if r, err := l.Append(t.Context(), s); err != nil || r.Repeated {
			t.Fatalf("with room again: %+v, %v", r, err)
		}
	}
	r, err := l.Rebuild(t.Context(), true, nil)
	if err != nil || r.Acts != 402 {
		t.Fatalf("%+v, %v", r, err)
	}
	for _, table := range r.Tables {
		if table.Differences > 0 {
			t.Errorf("%+v", table)
		}
	}
}

func TestTornEnd(t *testing.T) {
	folder := mill(t, 40)
	file := filepath.Join(folder, "book.db")
	info, err := os.Stat(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(file, info.Size()-1000); err != nil {
		t.Fatal(err)
	}
	refused(t, folder, "broken-book", ledger.Options{})
}

// A log whose last frame is torn, as after a loss of power in the middle of a write, was never acknowledged: the rest is there.
func TestTornLog(t *testing.T) {
	folder := mill(t, 1)
	l := open(t, folder)
	for i, a := range acts(30)[3:] {
		if _, err := l.Append(t.Context(), submission(t, 10+i, a)); err != nil {
			t.Fatal(err)
		}
	}
	copied := t.TempDir() // as the disk has it while the program runs
	for _, name := range []string{"book.db", "book.db-wal"} {
		text, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		if name == "book.db-wal" {
			text = text[:len(text)-700]
		}
		if err := os.WriteFile(filepath.Join(copied, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	torn := open(t, copied)
	r, err := torn.Rebuild(t.Context(), true, nil)
	if err != nil || r.Acts != 31 { // all but the last
		t.Fatalf("%+v, %v", r, err)
	}
	if j, err := torn.VerifyJournal(t.Context(), nil); err != nil || len(j.Faults) > 0 {
		t.Errorf("%+v, %v", j, err)
	}
	if _, err := torn.Append(t.Context(), submission(t, 100, acts(31)[32])); err != nil {
		t.Error(err)
	}
}

// An index that does not fit its table is found, and made anew with the tables.
func TestIndexThatDoesNotFit(t *testing.T) {
	folder := mill(t, 5)
	l := open(t, folder)
	hide := func(statements ...string) {
		for _, s := range statements {
			if _, err := l.Handles().Write.Exec(s); err != nil {
				t.Fatal(err)
			}
		}
		l.Close()
		l = open(t, folder)
	}
	hide("create table hidden as select * from sqlite_master where name = 'thing_station'", "pragma writable_schema = on",
		"delete from sqlite_master where name = 'thing_station'")
	hide("update thing set station = 'room' where id = 'P1'") // the index does not hear of it
	hide("pragma writable_schema = on", "insert into sqlite_master select * from hidden")
	_, err := l.Rebuild(t.Context(), true, nil)
	if said := (*trouble.Trouble)(nil); !errors.As(err, &said) || said.Code != "broken-index" || !strings.Contains(said.Next, "rebuild") {
		t.Fatalf("%v", err)
	}
	if _, err := l.Rebuild(t.Context(), false, nil); err != nil {
		t.Fatal(err)
	}
	if r, err := l.Rebuild(t.Context(), true, nil); err != nil || r.Acts != 7 {
		t.Errorf("%+v, %v", r, err)
	}
	if at, err := l.Stations(t.Context()); err != nil || at[book.Room][book.KindPiece] != 0 {
		t.Errorf("%v, %v", at, err)
	}
}

// A flipped byte anywhere in the file is refused, named by a check, or changes nothing that can be asked for.
func TestFlippedByte(t *testing.T) {
	folder := mill(t, 200)
	sound, err := os.ReadFile(filepath.Join(folder, "book.db"))
	if err != nil {
		t.Fatal(err)
	}
	told, named := tell(t, folder)
	if named || !strings.Contains(told, "P199") {
		t.Fatal("the book does not tell its stone")
	}
	draw := rand.New(rand.NewPCG(1, 2))
	found := 0
	for range 150 {
		at := draw.IntN(len(sound))
		broken := bytes.Clone(sound)
		broken[at] ^= 1 << draw.IntN(8)
		place := filepath.Join(t.TempDir(), "mill")
		if err := os.Mkdir(place, 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(place, "book.db"), broken, 0o600); err != nil {
			t.Fatal(err)
		}
		switch now, named := tell(t, place); {
		case named:
			found++
		case now != told:
			t.Errorf("byte %d: the book tells something else and nothing is named", at)
		}
	}
	if found < 50 {
		t.Errorf("only %d of 150 flips were found: this tries little", found)
	}
}

// tell writes down what a book tells, and reports whether something wrong was named on the way.
func tell(t *testing.T, folder string) (told string, named bool) {
	t.Helper()
	ctx := context.Background()
	l, err := ledger.Open(ctx, folder, ledger.Options{Site: ledgertest.Site, Holder: "test"})
	if err != nil {
		if said := (*trouble.Trouble)(nil); !errors.As(err, &said) {
			t.Errorf("not trouble: %v", err)
		}
		return "", true
	}
	defer l.Close()
	var b strings.Builder
	things, err := l.Things(ctx, book.Filter{}, "", 1000)
	named = err != nil
	for _, x := range things.Items {
		history, err := l.History(ctx, x.Ref, "", 1000)
		named = named || err != nil
		fmt.Fprintf(&b, "%s %s %s %+v\n", x.Ref, x.Station, x.State, history.Items)
	}
	stations, err := l.Stations(ctx)
	named = named || err != nil
	fmt.Fprint(&b, stations)
	j, err := l.VerifyJournal(ctx, nil)
	named = named || err != nil || len(j.Faults) > 0
	r, err := l.Rebuild(ctx, true, nil)
	named = named || err != nil || len(l.Faults()) > 0
	for _, table := range r.Tables {
		named = named || table.Differences > 0
	}
	return b.String(), named
}
