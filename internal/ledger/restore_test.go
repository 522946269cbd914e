package ledger_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"path/filepath"
	"reflect"
	"sync"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/freight"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/credentials"
	"slatewright/internal/ledger/pgtest"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/trouble"
)

var morning = time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)

// story is half a year of a mill, told once for all tests here.
var story = sync.OnceValues(func() (*halfyear.Story, error) { return halfyear.New(24, morning, "test") })

// mill is an opened book with its files and its people's secrets.
type mill struct {
	*ledger.Ledger
	blobs book.Blobs
	creds *credentials.Store
	once  sync.Once
}

func (m *mill) shut() { m.once.Do(func() { m.Close() }) }

func openMill(t *testing.T, where, files string) *mill {
	t.Helper()
	l, err := ledger.Open(t.Context(), where, ledger.Options{Site: halfyear.Site, Create: true, Restoring: true, Holder: "test", Clock: func() time.Time { return morning }})
	if err != nil {
		t.Fatal(err)
	}
	m := &mill{Ledger: l, creds: credentials.New(l.Handles())}
	t.Cleanup(m.shut)
	b, err := blobs.Open(t.Context(), files, blobs.Access{})
	if err != nil {
		t.Fatal(err)
	}
	m.blobs = b
	return m
}

// lived is a mill with half a year in its book.
func lived(t *testing.T) *mill {
	t.Helper()
	s, err := story()
	if err != nil {
		t.Fatal(err)
	}
	m := openMill(t, filepath.Join(t.TempDir(), "mill"), t.TempDir())
	for file := range s.Blobs() {
		if _, _, err := m.blobs.Put(t.Context(), bytes.NewReader(file), 64<<20); err != nil {
			t.Fatal(err)
		}
	}
	for sub := range s.Submissions() {
		if _, err := m.Append(t.Context(), sub); err != nil {
			t.Fatalf("%s %s: %v", sub.Entry.Act, sub.Entry.Body, err)
		}
	}
	if err := m.creds.SetPassphrase(t.Context(), "lead-1", "$argon2id$v=19$m=1024,t=1,p=1$c2FsdHNhbHQ$aGFzaGhhc2hoYXNoaGFzaA"); err != nil {
		t.Fatal(err)
	}
	return m
}

func (m *mill) place(context.Context, freight.Manifest) (freight.Place, error) {
	return freight.Place{Ledger: m.Ledger, Blobs: m.blobs, Credentials: m.creds}, nil
}

func (m *mill) backup(t *testing.T) []byte {
	t.Helper()
	var out bytes.Buffer
	report, err := freight.Backup(t.Context(), m.Ledger, m.blobs, m.creds, &out, morning, nil)
	if err != nil || len(report.Missing) > 0 {
		t.Fatal(report.Missing, err)
	}
	return out.Bytes()
}

// told is everything that a book answers: its journal with standings, its things, and what reached every set.
type told struct {
	entries   []book.Placed
	things    []book.Thing
	origins   map[book.Ref][]book.Ref
	conflicts []book.Placed
	account   gate.Account
}

func (m *mill) tell(t *testing.T) told {
	t.Helper()
	all := told{origins: map[book.Ref][]book.Ref{}}
	ok := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for after := int64(0); ; {
		list, err := m.Entries(t.Context(), after, 1000)
		ok(err)
		if len(list) == 0 {
			break
		}
		all.entries = append(all.entries, list...)
		after = list[len(list)-1].Seq
	}
	for cursor := ""; ; {
		page, err := m.Things(t.Context(), book.Filter{}, cursor, 500)
		ok(err)
		all.things = append(all.things, page.Items...)
		if cursor = page.Next; cursor == "" {
			break
		}
	}
	for _, thing := range all.things {
		if thing.Kind == book.KindSet {
			origins, err := m.Origins(t.Context(), thing.Ref)
			ok(err)
			all.origins[thing.Ref] = origins
		}
	}
	page, err := m.Conflicts(t.Context(), "", 100)
	ok(err)
	all.conflicts = page.Items
	all.account, _, err = m.creds.Account(t.Context(), "lead-1")
	ok(err)
	if len(all.entries) < 500 || len(all.things) < 100 || len(all.origins) < 5 || all.account.Passphrase == "" {
		t.Fatalf("a poor book: %d entries, %d things, %d sets", len(all.entries), len(all.things), len(all.origins))
	}
	return all
}

// One mill that has lived half a year is carried in every way.
func TestCarryingABook(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and one act after the other")
	}
	m := lived(t)
	t.Run("moves", func(t *testing.T) { movesToPostgresAndBack(t, m) })
	t.Run("export", func(t *testing.T) { exportIsTheSameBook(t, m) })
	t.Run("half", func(t *testing.T) { halfRestoredPlace(t, m) })
}

// A mill moves from a folder to PostgreSQL and back: the same journal, hash for hash, the same state of everything, the same
// files; and the last backup holds what the first one held, byte for byte.
func movesToPostgresAndBack(t *testing.T, first *mill) {
	want := first.tell(t)
	backup := first.backup(t)
	second := openMill(t, pgtest.Start(t), t.TempDir())
	third := openMill(t, filepath.Join(t.TempDir(), "mill"), t.TempDir())
	from := backup
	for i, to := range []*mill{second, third} {
		report, err := freight.Restore(t.Context(), bytes.NewReader(from), to.place, nil)
		if err != nil || report.Entries != int64(len(want.entries)) {
			t.Fatalf("step %d: %+v %v", i, report, err)
		}
		if got := to.tell(t); !reflect.DeepEqual(got, want) {
			t.Errorf("step %d: the book tells something else", i)
		}
		if report, err := to.Rebuild(t.Context(), true, nil); err != nil || differences(report) > 0 {
			t.Errorf("step %d: rebuild --check: %+v %v", i, report, err)
		}
		if err := to.Whole(t.Context()); err != nil {
			t.Errorf("step %d: %v", i, err)
		}
		from = to.backup(t)
	}
	if !bytes.Equal(from, backup) {
		t.Error("the last backup is not the first")
	}
	// the restored book goes on
	e := want.entries[len(want.entries)-1].Entry
	e.ID, e.At, e.Act, e.Body = "01KDJ0000000000000000000AA", morning, "weigh", []byte(`{}`)
	if _, err := third.Append(t.Context(), book.Submission{Entry: e}); err == nil {
		t.Error("an empty weighing was taken")
	}
}

func differences(r book.RebuildReport) (n int64) {
	for _, table := range r.Tables {
		n += table.Differences
	}
	return n
}

// An export makes the same book, but for what people sign in with.
func exportIsTheSameBook(t *testing.T, first *mill) {
	folder := filepath.Join(t.TempDir(), "out")
	if _, err := freight.Export(t.Context(), first.Ledger, first.blobs, folder, morning, nil); err != nil {
		t.Fatal(err)
	}
	second := openMill(t, pgtest.Start(t), t.TempDir())
	if _, err := freight.ImportExport(t.Context(), folder, second.place, nil); err != nil {
		t.Fatal(err)
	}
	want := first.tell(t)
	if _, found, err := second.creds.Account(t.Context(), "lead-1"); found || err != nil {
		t.Error("an export carried secrets", err)
	}
	if err := second.creds.SetPassphrase(t.Context(), "lead-1", want.account.Passphrase); err != nil {
		t.Fatal(err)
	}
	got := second.tell(t)
	if !reflect.DeepEqual(got, want) {
		t.Error("the book tells something else")
	}
}

// A restore that was cut leaves a place that says so, takes no other book, and is whole after the same restore again.
func halfRestoredPlace(t *testing.T, first *mill) {
	backup := first.backup(t)
	million := func(n int) []byte {
		m := openMill(t, filepath.Join(t.TempDir(), "mill"), t.TempDir())
		var list []book.Submission
		for sub := range halfyear.Million(1, n) {
			list = append(list, sub)
		}
		if _, refused, err := m.AppendAll(t.Context(), list, false); err != nil || errors.Join(refused...) != nil {
			t.Fatal(err, errors.Join(refused...))
		}
		return m.backup(t)
	}
	for name, where := range map[string]string{"sqlite": filepath.Join(t.TempDir(), "mill"), "postgres": pgtest.Start(t)} {
		files := t.TempDir()
		m := openMill(t, where, files)
		cut := io.MultiReader(bytes.NewReader(backup[:len(backup)*3/4])) // no seeker: it is not looked at first
		if _, err := freight.Restore(t.Context(), cut, m.place, nil); codeOf(err) != "cut-off" {
			t.Fatalf("%s: %v", name, err)
		}
		m.shut()
		if _, err := ledger.Open(t.Context(), where, ledger.Options{Site: halfyear.Site, Holder: "test"}); codeOf(err) != "half-restored" {
			t.Errorf("%s: a book left half done was opened: %v", name, err)
		}
		m = openMill(t, where, files)
		if err := m.Whole(t.Context()); codeOf(err) != "half-restored" {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := freight.Restore(t.Context(), bytes.NewReader(million(50)), m.place, nil); codeOf(err) != "half-restored" {
			t.Errorf("%s: another book on top: %v", name, err)
		}
		report, err := freight.Restore(t.Context(), bytes.NewReader(backup), m.place, nil)
		if err != nil || report.Already == 0 {
			t.Fatalf("%s: %+v %v", name, report, err)
		}
		if err := m.Whole(t.Context()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		m.tell(t)
		if _, err := freight.Restore(t.Context(), bytes.NewReader(backup), m.place, nil); codeOf(err) != "not-empty" {
			t.Errorf("%s: on top of a book: %v", name, err)
		}
	}
}

// What does not follow is not restored, even when its own hash is right.
func TestRestoreChecksTheChain(t *testing.T) {
	m := openMill(t, filepath.Join(t.TempDir(), "mill"), t.TempDir())
	var e book.Entry
	for sub := range halfyear.Million(1, 1) {
		e = sub.Entry
	}
	if err := m.Restore(t.Context(), []book.Entry{e}); codeOf(err) != "no-restore" {
		t.Errorf("nothing was begun: %v", err)
	}
	e.Site, e.Seq = halfyear.Site, 1
	e.Hash = book.HashOf(e)
	if _, err := m.BeginRestore(t.Context(), 1, e.Hash); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*book.Entry){
		"another number": func(e *book.Entry) { e.Seq = 2; e.Hash = book.HashOf(*e) },
		"another chain":  func(e *book.Entry) { e.Prev[0] = 1; e.Hash = book.HashOf(*e) },
		"another mill":   func(e *book.Entry) { e.Site = "elsewhere"; e.Hash = book.HashOf(*e) },
		"another hash":   func(e *book.Entry) { e.Hash[0] ^= 1 },
	} {
		bad := e
		spoil(&bad)
		if err := m.Restore(t.Context(), []book.Entry{bad}); codeOf(err) != "broken-chain" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := m.EndRestore(t.Context(), 1, e.Hash); codeOf(err) != "broken-chain" {
		t.Errorf("the end of nothing: %v", err)
	}
	if err := m.Restore(t.Context(), []book.Entry{e}); err != nil {
		t.Fatal(err)
	}
	if err := m.EndRestore(t.Context(), 1, e.Hash); err != nil {
		t.Error(err)
	}
}

func codeOf(err error) string {
	var t *trouble.Trouble
	if errors.As(err, &t) {
		return t.Code
	}
	return ""
}
