package gate_test

import (
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"slatewright/internal/gate"
)

// After five wrong tries each next must wait, twice as long each time up to 15 minutes. A restart forgets nothing; a try too early
// does not lengthen the wait.
func TestTriesAtAPersonAreLimited(t *testing.T) {
	m := newMill(t)
	for i := range 5 {
		want(t, fmt.Sprint("try ", i), m.wrong(t, "saw-1", "", address), "wrong-passphrase")
	}
	for _, wait := range []time.Duration{2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900} {
		m.wait(wait*time.Second - time.Millisecond)
		m.restart()
		want(t, fmt.Sprint("just before ", wait, " s"), m.wrong(t, "saw-1", "", address), "too-many")
		_, err := m.SignIn(t.Context(), "saw-1", words+" of saw-1", "", address)
		want(t, "the right one, too early", code(t, err), "too-many")
		m.wait(time.Millisecond)
		want(t, fmt.Sprint("after ", wait, " s"), m.wrong(t, "saw-1", "", address), "wrong-passphrase")
	}
	m.in(t, "bench-1", "")
	m.wait(15 * time.Minute)
	m.in(t, "saw-1", "")
	for i := range 5 {
		want(t, fmt.Sprint("try anew ", i), m.wrong(t, "saw-1", "", address), "wrong-passphrase")
	}
	want(t, "the sixth", m.wrong(t, "saw-1", "", address), "too-many")
	m.wait(24 * time.Hour)
	want(t, "a day later", m.wrong(t, "saw-1", "", address), "wrong-passphrase")
	want(t, "and again", m.wrong(t, "saw-1", "", address), "wrong-passphrase")
}

// Somebody who never rests tries fewer than 111 passphrases on the first day: 5 at once, 9 while the waits grow to 512 s, together 1022 s,
// and then one each 15 minutes.
func TestWhatADayOfTriesGives(t *testing.T) {
	m := newMill(t)
	tried := 0
	for end := m.now.Add(24 * time.Hour); m.now.Before(end); m.wait(time.Second) {
		if m.wrong(t, "saw-1", "", address) == "wrong-passphrase" {
			tried++
		}
	}
	if wanted := 5 + 9 + (86400-1022)/900; tried != wanted {
		t.Errorf("%d tries, want %d", tried, wanted)
	}
}

// A stranger's tries do not shut people out where they have signed in before, and there tries are limited as well.
func TestAStrangerShutsNobodyOut(t *testing.T) {
	m := newMill(t)
	m.in(t, "saw-1", tablet)
	for range 6 {
		m.wrong(t, "saw-1", "a-tablet-nobody-has-seen", "203.0.113.9")
	}
	want(t, "the stranger", m.wrong(t, "saw-1", "a-tablet-nobody-has-seen", "203.0.113.9"), "too-many")
	m.in(t, "saw-1", tablet)
	for range 5 {
		want(t, "a try at home", m.wrong(t, "saw-1", tablet, address), "wrong-passphrase")
	}
	want(t, "the sixth at home", m.wrong(t, "saw-1", tablet, address), "too-many")
	want(t, "another person at home", m.wrong(t, "bench-1", tablet, address), "wrong-passphrase")
}

// One source that tries many persons is slowed down, and only that source. Right ones of others do not help it.
func TestTriesFromASourceAreLimited(t *testing.T) {
	sources := [][3]string{ // the same one in other words, and another one
		{"203.0.113.9", "::ffff:203.0.113.9", "203.0.113.10"},
		{"2001:db8:1:2::1", "2001:db8:1:2:ffff::9", "2001:db8:1:3::1"},
		{"command line", "command line", "another"},
	}
	for _, s := range sources {
		m := newMill(t)
		for i := range 50 {
			if _, err := m.SignIn(t.Context(), "bench-1", words+" of bench-1", "", s[0]); err != nil {
				t.Fatal(err)
			}
			want(t, fmt.Sprint("try ", i), m.wrong(t, fmt.Sprint("person-", i), "", s[0]), "wrong-passphrase")
		}
		want(t, "the same", m.wrong(t, "person-x", "", s[1]), "too-many")
		want(t, "another", m.wrong(t, "person-x", "", s[2]), "wrong-passphrase")
		m.wait(time.Second)
		want(t, "a second later", m.wrong(t, "person-y", "", s[1]), "wrong-passphrase")
		m.wait(time.Hour)
		want(t, "an hour later", m.wrong(t, "person-z", "", s[0]), "wrong-passphrase")
		want(t, "and again", m.wrong(t, "person-z", "", s[0]), "wrong-passphrase")
	}
}

// Tries that come at once are counted one by one.
func TestTriesAtOnceAreCounted(t *testing.T) {
	m := newMill(t, func(o *gate.Options) { o.Limits.Waiting = 200 })
	var tried, refused atomic.Int64
	var group sync.WaitGroup
	for range 40 {
		group.Go(func() {
			switch m.wrong(t, "saw-1", "", address) {
			case "wrong-passphrase":
				tried.Add(1)
			case "too-many":
				refused.Add(1)
			}
		})
	}
	group.Wait()
	if tried.Load() != 5 || refused.Load() != 35 {
		t.Errorf("%d tried, %d refused; want 5 and 35", tried.Load(), refused.Load())
	}
}

// A clock that was wrong and is set back must not shut anybody out for years.
func TestAClockThatIsSetBack(t *testing.T) {
	m := newMill(t)
	right := m.now
	m.now = right.AddDate(7, 0, 0)
	for range 6 {
		m.wrong(t, "saw-1", "", address)
	}
	m.now = right
	m.wrong(t, "saw-1", "", address)
	m.wait(2 * time.Minute)
	m.in(t, "saw-1", "")
}

func TestPINs(t *testing.T) {
	m := newMill(t)
	ctx := t.Context()
	by := func(tablet, person, pin string) string {
		_, err := m.Switch(ctx, tablet, person, pin, address)
		return code(t, err)
	}
	want(t, "nobody has signed in here", by(tablet, "saw-1", pin), "passphrase-needed")
	m.in(t, "saw-1", tablet)
	m.in(t, "bench-1", tablet)
	want(t, "here", by(tablet, "saw-1", pin), "")
	want(t, "the other", by(tablet, "bench-1", pin), "")
	want(t, "elsewhere", by("tablet-at-the-bench-4ZZ8P", "saw-1", pin), "passphrase-needed")
	want(t, "nowhere", by("", "saw-1", pin), "passphrase-needed")
	want(t, "unknown", by(tablet, "nobody", pin), "passphrase-needed")
	for range 4 {
		want(t, "wrong", by(tablet, "saw-1", "9999"), "wrong-pin")
	}
	want(t, "right after four", by(tablet, "saw-1", pin), "")
	for range 5 {
		want(t, "wrong", by(tablet, "saw-1", "9999"), "wrong-pin")
	}
	m.wait(48 * time.Hour)
	m.restart()
	m.in(t, "bench-1", tablet) // sweeps what has ended
	want(t, "right after five, two days later", by(tablet, "saw-1", pin), "passphrase-needed")
	want(t, "the other", by(tablet, "bench-1", pin), "")
	m.in(t, "saw-1", tablet)
	want(t, "after the passphrase", by(tablet, "saw-1", pin), "")
	m.wait(30 * 24 * time.Hour)
	want(t, "30 days later", by(tablet, "saw-1", pin), "passphrase-needed")
}

// A name that anybody could give is no tablet: the command line signs in under one.
func TestAShortNameIsNoTablet(t *testing.T) {
	m := newMill(t)
	s := m.in(t, "saw-1", "command line")
	if id := m.identify(t, s.Token); id.Tablet != "" {
		t.Errorf("tablet %q", id.Tablet)
	}
	m.in(t, "saw-1", "command line")
	m.identify(t, s.Token) // ends no session either
	_, err := m.Switch(t.Context(), "command line", "saw-1", pin, address)
	want(t, "PIN", code(t, err), "passphrase-needed")
}

func TestAPersonWithoutAPIN(t *testing.T) {
	m := newMill(t)
	if err := m.SetPassphrase(t.Context(), "room-1", words+" of room-1"); err != nil {
		t.Fatal(err)
	}
	m.in(t, "room-1", tablet)
	for _, pin := range []string{"", pin} {
		_, err := m.Switch(t.Context(), tablet, "room-1", pin, address)
		want(t, "PIN "+pin, code(t, err), "passphrase-needed")
	}
}

// Another name of the tablet at each try helps nobody, and a new passphrase from a lead lets the person in at once.
func TestOtherTabletsAreNoWayRound(t *testing.T) {
	m := newMill(t)
	m.in(t, "saw-1", tablet)
	for i := range 5 {
		want(t, "try", m.wrong(t, "saw-1", fmt.Sprint("a-tablet-nobody-has-seen-", i), address), "wrong-passphrase")
	}
	want(t, "the sixth", m.wrong(t, "saw-1", "a-tablet-nobody-has-seen-6", address), "too-many")
	if err := m.SetPassphrase(t.Context(), "saw-1", words+" of saw-1"); err != nil {
		t.Fatal(err)
	}
	m.in(t, "saw-1", "")
}

// When what is kept cannot be read no PIN and no passphrase was tried: nothing is counted, and no wait begins anew.
func TestOurOwnFaultsAreNotCounted(t *testing.T) {
	m := newMill(t)
	ctx := t.Context()
	m.in(t, "saw-1", tablet)
	good, _, err := m.store.Account(ctx, "saw-1")
	if err != nil {
		t.Fatal(err)
	}
	keep := func(a gate.Account, now gate.Account) {
		t.Helper()
		if err := m.store.Rehash(ctx, a, now); err != nil {
			t.Fatal(err)
		}
	}
	torn := good
	torn.Passphrase, torn.PIN = "torn", "torn"
	for range 5 {
		want(t, "wrong", m.wrong(t, "saw-1", tablet, address), "wrong-passphrase")
	}
	m.wait(2 * time.Second)
	keep(good, torn)
	for range 10 {
		if _, err := m.Switch(ctx, tablet, "saw-1", pin, address); err == nil || strings.Contains(err.Error(), "passphrase-needed") {
			t.Fatalf("by PIN: %v", err)
		}
		if _, err := m.SignIn(ctx, "saw-1", words+" of saw-1", tablet, address); err == nil || strings.Contains(err.Error(), "tries") {
			t.Fatalf("by passphrase: %v", err)
		}
	}
	keep(torn, good)
	if _, err := m.Switch(ctx, tablet, "saw-1", pin, address); err != nil {
		t.Error(err)
	}
	m.in(t, "saw-1", tablet)
}

// Who is told to wait was not tried, and does not use up what the others at the same source may try.
func TestWhoMustWaitDoesNotCountAtTheSource(t *testing.T) {
	m := newMill(t)
	for range 5 {
		m.wrong(t, "saw-1", "", address)
	}
	for range 60 {
		want(t, "saw-1", m.wrong(t, "saw-1", "", address), "too-many")
	}
	want(t, "bench-1", m.wrong(t, "bench-1", "", address), "wrong-passphrase")
}
