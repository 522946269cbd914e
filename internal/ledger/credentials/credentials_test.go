package credentials_test

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib"
	_ "modernc.org/sqlite"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/gate/gatetest"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/credentials"
	"slatewright/internal/ledger/migrations"
	"slatewright/internal/ledger/pgtest"
	"slatewright/trouble"
)

// engines open the book's database of the mill quern on each engine.
var engines = map[string]func(t *testing.T) ledger.Handles{
	"SQLite": func(t *testing.T) ledger.Handles {
		where := (&url.URL{Scheme: "file", OmitHost: true, Path: filepath.Join(t.TempDir(), "book.db"),
			RawQuery: "_pragma=busy_timeout(10000)&_pragma=journal_mode(wal)&_pragma=foreign_keys(1)&_txlock=immediate"}).String()
		h := ledger.Handles{Write: connect(t, "sqlite", where, 1), Read: connect(t, "sqlite", where+"&_pragma=query_only(1)", 4), Site: "quern"}
		if _, err := migrations.Up(t.Context(), h.Write, false); err != nil {
			t.Fatal(err)
		}
		return h
	},
	"PostgreSQL": func(t *testing.T) ledger.Handles {
		db := connect(t, "pgx", pgtest.Start(t), 8)
		if _, err := migrations.Up(t.Context(), db, true); err != nil {
			t.Fatal(err)
		}
		return ledger.Handles{Write: db, Read: db, Postgres: true, Site: "quern"}
	},
}

func connect(t *testing.T, driver, where string, most int) *sql.DB {
	t.Helper()
	db, err := sql.Open(driver, where)
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(most)
	t.Cleanup(func() { db.Close() })
	return db
}

// each runs a test on each engine.
func each(t *testing.T, run func(t *testing.T, h ledger.Handles)) {
	for name, open := range engines {
		t.Run(name, func(t *testing.T) { run(t, open(t)) })
	}
}

func TestExercise(t *testing.T) {
	for name, open := range engines {
		t.Run(name, func(t *testing.T) {
			gatetest.Exercise(t, func(t *testing.T) func() gate.Store {
				h := open(t)
				return func() gate.Store { return credentials.New(h) }
			})
		})
	}
}

// Two mills in one database know nothing of each other.
func TestMillsAreApart(t *testing.T) {
	each(t, func(t *testing.T, h ledger.Handles) {
		ctx, here := t.Context(), credentials.New(h)
		h.Site = "elsewhere"
		there := credentials.New(h)
		noon := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
		token := gate.Token{Name: "scale-1", Digest: strings.Repeat("a", 64), Prefix: "swm_a", Role: book.Hand, Made: noon, Until: noon.Add(time.Hour)}
		_, tokenErr := here.AddToken(ctx, token)
		_, tallyErr := here.Recount(ctx, "lock", gate.Tally{}, gate.Tally{Tries: 1, Last: noon})
		if err := errors.Join(here.SetPassphrase(ctx, "lead-1", "hash"), there.SetPIN(ctx, "lead-1", "hash"), tokenErr, tallyErr,
			here.Know(ctx, "slab", "lead-1", 1, noon.Add(time.Hour)),
			here.Begin(ctx, gate.Open{Digest: "d", Person: "lead-1", Generation: 1, Began: noon, Seen: noon, Until: noon.Add(time.Hour)})); err != nil {
			t.Fatal(err)
		}
		for name, want := range map[string]bool{"here": true, "there": false} {
			s := map[string]*credentials.Store{"here": here, "there": there}[name]
			a, _, err := s.Account(ctx, "lead-1")
			_, session, err2 := s.Session(ctx, "d")
			_, found, err3 := s.Token(ctx, token.Digest)
			known, err4 := s.Known(ctx, "slab", "lead-1", noon)
			tally, err5 := s.Tally(ctx, "lock")
			if err := errors.Join(err, err2, err3, err4, err5); err != nil {
				t.Fatal(err)
			}
			if got := [...]bool{a.Passphrase != "", session, found, known, tally.Tries == 1}; got != [...]bool{want, want, want, want, want} {
				t.Errorf("%s: %v", name, got)
			}
		}
	})
}

// What a backup carries comes back on the other engine as well, byte for byte.
func TestDumpAndLoad(t *testing.T) {
	hash := "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"
	for from, open := range engines {
		for to, openOther := range engines {
			t.Run(from+" to "+to, func(t *testing.T) {
				ctx, s, other := t.Context(), credentials.New(open(t)), credentials.New(openOther(t))
				noon := time.Date(2026, 3, 2, 12, 0, 0, 5e6, time.UTC)
				added, err := s.AddToken(ctx, gate.Token{Name: "scale-1", Digest: strings.Repeat("ab", 32), Prefix: "swm_a_-9", Role: book.Hand, Made: noon, Until: noon.Add(time.Hour)})
				if err = errors.Join(err, s.SetPassphrase(ctx, "saw-1", hash), s.SetPIN(ctx, "lead-1", hash)); err != nil || !added {
					t.Fatal(added, err)
				}
				if err := other.SetPassphrase(ctx, "saw-1", "the hash before"); err != nil {
					t.Fatal(err)
				}
				was, _, err := other.Account(ctx, "saw-1")
				if err != nil {
					t.Fatal(err)
				}
				first, second := dump(t, s), ""
				for range 2 { // a restore may be repeated
					if err := other.Load(ctx, strings.NewReader(first)); err != nil {
						t.Fatal(err)
					}
					second = dump(t, other)
				}
				if first != second || strings.Count(first, "\n") != 3 {
					t.Errorf("got\n%s\nwant\n%s", second, first)
				}
				if is, _, err := other.Account(ctx, "saw-1"); err != nil || is.Generation <= was.Generation {
					t.Errorf("whoever was signed in still is: %+v, %v", is, err)
				}
			})
		}
	}
}

func dump(t *testing.T, s *credentials.Store) string {
	t.Helper()
	var b bytes.Buffer
	if err := s.Dump(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A dump with one bad line changes nothing, and what is said does not repeat what stands in it.
func TestABrokenDumpIsRefusedWhole(t *testing.T) {
	const good = `{"account":{"person":"saw-1"}}` + "\n"
	lines := []string{``, `{}`, `nonsense`, `{"account":{"person":"saw-2","pin_hash":"cleartext"}}`, `{"account":{"person":"../etc"}}`,
		`{"account":{"person":"saw-2","role":"lead"}}`, `{"account":{"person":"saw-2"}} {"account":{"person":"saw-3"}}`,
		`{"account":{"person":"saw-2","passphrase_hash":"$argon2id$v=19$m=4294967295,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"}}`,
		`{"token":{"name":"scale-1","digest_sha256":"ab","prefix":"swm_a","role":"hand","made":"2026-03-02T12:00:00Z","until":"2026-03-02T12:00:00Z"}}`,
		`{"token":{"name":"scale-1","digest_sha256":"` + strings.Repeat("ab", 32) + `","prefix":"swm_a","role":"lead","made":"2026-03-02T12:00:00Z","until":"2026-03-02T12:00:00Z"}}`,
		`{"token":{"name":"scale-1","digest_sha256":"` + strings.Repeat("ab", 32) + `","prefix":"swm\u0000","role":"hand","made":"2026-03-02T12:00:00Z","until":"2026-03-02T12:00:00Z"}}`,
		`"` + strings.Repeat("long", 2000) + `"`}
	h := engines["SQLite"](t)
	s := credentials.New(h)
	for _, bad := range lines {
		err := s.Load(t.Context(), strings.NewReader(good+bad+"\n"))
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != "broken-credentials" || tr.Where != "line 2" || tr.Next == "" || strings.Contains(err.Error(), "cleartext") {
			t.Errorf("%.60s: %v", bad, err)
		}
	}
	if got := dump(t, s); got != "" {
		t.Errorf("something was kept: %s", got)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add(`{"account":{"person":"saw-1","pin_hash":"$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"}}`)
	f.Add(`{"token":{"name":"scale-1","digest_sha256":"` + strings.Repeat("ab", 32) + `","prefix":"swm_a","role":"hand","made":"2026-03-02T12:00:00Z","until":"2026-03-03T12:00:00.001Z"}}`)
	f.Fuzz(func(t *testing.T, text string) {
		list, err := credentials.Parse(strings.NewReader(text))
		if err == nil && len(list) > strings.Count(text, "\n")+1 {
			t.Errorf("%d lines of %q", len(list), text)
		}
	})
}

// What the database cannot do is said with what to do, also through all that the store adds.
func TestTroubleWithTheDatabase(t *testing.T) {
	h := engines["SQLite"](t)
	s := credentials.New(h)
	if _, err := h.Write.Exec("pragma max_page_count = 1"); err != nil { // SQLite keeps what there is and takes no more
		t.Fatal(err)
	}
	var err error
	for i := 0; i < 1000 && err == nil; i++ {
		err = s.SetPassphrase(t.Context(), fmt.Sprint("saw-", i), strings.Repeat("hash", 100))
	}
	told(t, err, "disk-full")

	server := pgtest.StartServer(t)
	db := connect(t, "pgx", server.URL, 2)
	if _, err := migrations.Up(t.Context(), db, true); err != nil {
		t.Fatal(err)
	}
	s = credentials.New(ledger.Handles{Write: db, Read: db, Postgres: true, Site: "quern"})
	server.Stop()
	_, _, err = s.Account(t.Context(), "saw-1")
	told(t, err, "book-unreachable")
	told(t, s.Sweep(t.Context(), time.Now(), time.Now()), "book-unreachable")
	server.Start()
	if _, _, err = s.Account(t.Context(), "saw-1"); err != nil {
		t.Errorf("afterwards: %v", err)
	}
}

func told(t *testing.T, err error, code string) {
	t.Helper()
	var said *trouble.Trouble
	if !errors.As(err, &said) || said.Code != code || said.Next == "" || strings.Contains(err.Error(), "hashhash") {
		t.Errorf("got %v, want %s", err, code)
	}
}
