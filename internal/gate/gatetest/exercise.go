package gatetest

import (
	"context"
	"fmt"
	"reflect"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
)

// noon is when the exercise takes place.
var noon = time.Date(2026, 3, 2, 12, 0, 0, 123e6, time.UTC)

// Exercise checks a store. open gives an empty store, and others over the same data: as after a restart, or another program's.
func Exercise(t *testing.T, open func(t *testing.T) (again func() gate.Store)) {
	parts := []struct {
		name string
		run  func(t *testing.T, again func() gate.Store)
	}{{"accounts", accounts}, {"sessions", sessions}, {"a tablet has one session", oneOnATablet}, {"generations", generations}, {"tablets", tablets},
		{"tallies", tallies}, {"many count at once", race}, {"tokens", tokens}, {"sweep", sweep}}
	for _, p := range parts {
		t.Run(p.name, func(t *testing.T) { p.run(t, open(t)) })
	}
}

// must ends the test on an error.
func must(t *testing.T, errs ...error) {
	t.Helper()
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
}

// got returns a value that must come without an error.
func got[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		must(t, err)
		return v
	}
}

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s: got %+v, want %+v", what, got, want)
	}
}

func account(t *testing.T, s gate.Store, person string) gate.Account {
	t.Helper()
	a, found, err := s.Account(context.Background(), person)
	must(t, err)
	if found != (a != gate.Account{}) {
		t.Fatalf("account of %s: found %v with %+v", person, found, a)
	}
	return a
}

func accounts(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	same(t, "nobody", account(t, s, "saw-1"), gate.Account{})
	must(t, s.SetPIN(ctx, "saw-1", "pin"))
	first := account(t, s, "saw-1")
	same(t, "with a PIN", first, gate.Account{Person: "saw-1", PIN: "pin", Generation: first.Generation})
	must(t, s.SetPassphrase(ctx, "saw-1", "pass"))
	second := account(t, again(), "saw-1")
	same(t, "with both", second, gate.Account{Person: "saw-1", Passphrase: "pass", PIN: "pin", Generation: first.Generation + 1})
	must(t, s.SetPIN(ctx, "saw-1", "pin2"))
	same(t, "a new PIN", account(t, s, "saw-1").Generation, second.Generation)

	is := account(t, s, "saw-1")
	better := is
	better.Passphrase = "pass, better"
	must(t, s.Rehash(ctx, second, gate.Account{Passphrase: "stale", PIN: "stale"}))
	same(t, "rehashed from what was long ago", account(t, s, "saw-1"), is)
	must(t, s.Rehash(ctx, is, better))
	same(t, "rehashed", account(t, s, "saw-1"), better)
	must(t, s.NextGeneration(ctx, "nobody"))
	same(t, "still nobody", account(t, s, "nobody"), gate.Account{})
}

// session makes an open session of a person.
func session(t *testing.T, s gate.Store, person, digest, tablet string) gate.Open {
	t.Helper()
	must(t, s.SetPIN(t.Context(), person, "pin"))
	o := gate.Open{Digest: digest, Person: person, Full: tablet == "", Tablet: tablet, Generation: account(t, s, person).Generation,
		Began: noon, Seen: noon.Add(time.Millisecond), Until: noon.Add(time.Hour)}
	must(t, s.Begin(t.Context(), o))
	return o
}

// there returns the session, or the zero value.
func there(t *testing.T, s gate.Store, digest string) gate.Open {
	t.Helper()
	o, found, err := s.Session(t.Context(), digest)
	must(t, err)
	if found != (o != gate.Open{}) {
		t.Fatalf("session %s: found %v with %+v", digest, found, o)
	}
	return o
}

func sessions(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	a, b := session(t, s, "saw-1", "a", ""), session(t, s, "saw-1", "b", "")
	session(t, s, "saw-2", "c", "")
	same(t, "session", there(t, again(), "a"), a)
	same(t, "all of one person", got[[]gate.Open](t)(s.Sessions(ctx, "saw-1")), []gate.Open{a, b})
	must(t, s.Seen(ctx, "a", noon.Add(time.Minute)), s.Seen(ctx, "nothing", noon))
	a.Seen = noon.Add(time.Minute)
	same(t, "seen", there(t, s, "a"), a)
	must(t, s.End(ctx, "a"), s.End(ctx, "a"))
	same(t, "ended", there(t, s, "a"), gate.Open{})
	same(t, "the other", there(t, s, "b"), b)
}

func oneOnATablet(t *testing.T, again func() gate.Store) {
	s := again()
	session(t, s, "saw-1", "a", "slab")
	other := session(t, s, "saw-1", "b", "other slab")
	loose := session(t, s, "saw-1", "c", "")
	d := session(t, s, "saw-2", "d", "slab")
	session(t, s, "saw-2", "e", "")
	for digest, want := range map[string]gate.Open{"a": {}, "b": other, "c": loose, "d": d} {
		same(t, "session "+digest, there(t, s, digest), want)
	}
}

func generations(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	for i, end := range []func() error{
		func() error { return s.NextGeneration(ctx, "saw-1") },
		func() error { return s.SetPassphrase(ctx, "saw-1", "another") },
	} {
		a, other := session(t, s, "saw-1", fmt.Sprint("a", i), ""), session(t, s, "saw-2", fmt.Sprint("b", i), "")
		must(t, s.Know(ctx, "slab", "saw-1", a.Generation, noon.Add(time.Hour)))
		must(t, end())
		same(t, "session", there(t, s, a.Digest), gate.Open{})
		same(t, "list", len(got[[]gate.Open](t)(s.Sessions(ctx, "saw-1"))), 0)
		same(t, "another's session", there(t, s, other.Digest), other)
		same(t, "known", got[bool](t)(s.Known(ctx, "slab", "saw-1", noon)), false)
		same(t, "may try", got[bool](t)(s.TryPIN(ctx, "slab", "saw-1", noon, 5)), false)
		a.Digest += " late" // whoever read the account before comes too late
		must(t, s.Begin(ctx, a))
		same(t, "late session", there(t, s, a.Digest), gate.Open{})
	}
}

func tablets(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	must(t, s.SetPIN(ctx, "saw-1", "pin"), s.SetPIN(ctx, "saw-2", "pin"))
	generation, until := account(t, s, "saw-1").Generation, noon.Add(time.Hour)
	must(t, s.Know(ctx, "slab", "saw-1", generation, until))
	for _, c := range []struct {
		tablet, person string
		at             time.Time
		want           bool
	}{{"slab", "saw-1", noon, true}, {"slab", "saw-1", until.Add(-time.Millisecond), true}, {"slab", "saw-1", until, false},
		{"slab", "saw-2", noon, false}, {"other", "saw-1", noon, false}} {
		same(t, fmt.Sprint(c), got[bool](t)(again().Known(ctx, c.tablet, c.person, c.at)), c.want)
	}
	try := func() bool { t.Helper(); return got[bool](t)(s.TryPIN(ctx, "slab", "saw-1", noon, 2)) }
	same(t, "tries", []bool{try(), try(), try(), try()}, []bool{true, true, false, false})
	must(t, s.UntryPIN(ctx, "slab", "saw-1"), s.UntryPIN(ctx, "slab", "saw-2"))
	same(t, "after one was taken back", []bool{try(), try()}, []bool{true, false})
	must(t, s.RightPIN(ctx, "slab", "saw-1"), s.RightPIN(ctx, "slab", "saw-2"), s.UntryPIN(ctx, "slab", "saw-1"))
	same(t, "after a right one", []bool{try(), try(), try()}, []bool{true, true, false})
	must(t, s.Know(ctx, "slab", "saw-1", generation, until))
	same(t, "known anew", try(), true)
	same(t, "too late", got[bool](t)(s.TryPIN(ctx, "slab", "saw-1", until, 5)), false)
}

func tallies(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	none, one, two := gate.Tally{}, gate.Tally{Tries: 1, Last: noon}, gate.Tally{Tries: 2, Last: noon.Add(time.Millisecond)}
	steps := []struct {
		was, now gate.Tally
		want     bool
		is       gate.Tally
	}{
		{one, two, false, none}, {none, none, true, none}, {none, one, true, one}, {none, two, false, one}, {two, one, false, one}, {two, none, false, one},
		{one, two, true, two}, {one, none, false, two}, {two, none, true, none},
	}
	for i, c := range steps {
		same(t, fmt.Sprint("step ", i), got[bool](t)(s.Recount(ctx, "lock", c.was, c.now)), c.want)
		same(t, fmt.Sprint("after step ", i), got[gate.Tally](t)(again().Tally(ctx, "lock")), c.is)
		same(t, "another lock", got[gate.Tally](t)(s.Tally(ctx, "other")), none)
	}
}

// race lets many count the same try and the same PIN: each is counted by exactly one.
func race(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	must(t, s.SetPIN(ctx, "saw-1", "pin"))
	must(t, s.Know(ctx, "slab", "saw-1", account(t, s, "saw-1").Generation, noon.Add(time.Hour)))
	const most = 3
	var counted, tried, added atomic.Int64
	var group sync.WaitGroup
	for i := range 12 {
		group.Go(func() {
			mine := again()
			done, err := mine.Recount(ctx, "lock", gate.Tally{}, gate.Tally{Tries: 1, Last: noon})
			may, err2 := mine.TryPIN(ctx, "slab", "saw-1", noon, most)
			made, err3 := mine.AddToken(ctx, aToken("scale-1", fmt.Sprint("digest", i)))
			for flag, n := range map[*atomic.Int64]bool{&counted: done, &tried: may, &added: made} {
				if n {
					flag.Add(1)
				}
			}
			if err != nil || err2 != nil || err3 != nil {
				t.Error(err, err2, err3)
			}
		})
	}
	group.Wait()
	same(t, "counted, tried, added", []int64{counted.Load(), tried.Load(), added.Load()}, []int64{1, most, 1})
}

func aToken(name, digest string) gate.Token {
	return gate.Token{Name: name, Role: book.Hand, Prefix: "swm_ab", Made: noon, Until: noon.Add(time.Hour), Digest: digest}
}

func tokens(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	second, first := aToken("scale-2", "d2"), aToken("scale-1", "d1")
	same(t, "added", got[bool](t)(s.AddToken(ctx, second)), true)
	same(t, "added", got[bool](t)(s.AddToken(ctx, first)), true)
	same(t, "a name twice", got[bool](t)(s.AddToken(ctx, aToken("scale-1", "d3"))), false)
	same(t, "by name", got[[]gate.Token](t)(again().Tokens(ctx)), []gate.Token{first, second})
	for digest, want := range map[string]gate.Token{"d1": first, "d2": second, "d3": {}, "": {}} {
		is, found, err := s.Token(ctx, digest)
		must(t, err)
		same(t, "token "+digest, is, want)
		same(t, "found "+digest, found, want != gate.Token{})
	}
	same(t, "dropped", got[bool](t)(s.DropToken(ctx, "scale-1")), true)
	same(t, "dropped again", got[bool](t)(s.DropToken(ctx, "scale-1")), false)
	same(t, "left", got[[]gate.Token](t)(s.Tokens(ctx)), []gate.Token{second})
}

func sweep(t *testing.T, again func() gate.Store) {
	ctx, s := t.Context(), again()
	o := session(t, s, "saw-1", "a", "slab")
	must(t, s.Know(ctx, "slab", "saw-1", o.Generation, o.Until))
	must(t, errOf(s.Recount(ctx, "lock", gate.Tally{}, gate.Tally{Tries: 1, Last: noon})))
	must(t, s.Sweep(ctx, o.Until.Add(-time.Millisecond), noon))
	same(t, "session", there(t, s, "a"), o)
	same(t, "tablet", got[bool](t)(s.Known(ctx, "slab", "saw-1", noon)), true)
	same(t, "tries", got[gate.Tally](t)(s.Tally(ctx, "lock")).Tries, 1)
	must(t, s.Sweep(ctx, o.Until, noon.Add(time.Millisecond)))
	same(t, "swept session", there(t, s, "a"), gate.Open{})
	same(t, "swept tablet", got[bool](t)(s.Known(ctx, "slab", "saw-1", noon)), false)
	same(t, "swept tries", got[gate.Tally](t)(s.Tally(ctx, "lock")).Tries, 0)
}

func errOf(_ bool, err error) error { return err }
