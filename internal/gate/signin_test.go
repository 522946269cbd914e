package gate_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"slatewright/internal/gate"
)

func TestSignIn(t *testing.T) {
	m := newMill(t)
	s := m.in(t, "saw-1", tablet)
	if s.Person != "saw-1" || !s.Full || !s.Until.Equal(m.now.Add(12*time.Hour)) || len(s.Token) != len("sws_")+43 {
		t.Errorf("session %+v", s)
	}
	id := m.identify(t, s.Token)
	if id.Person != "saw-1" || !id.Full || id.Machine || id.Role != "" || id.Tablet == "" || id.Session == "" {
		t.Errorf("identity %+v", id)
	}
	if other := m.in(t, "saw-1", "another-tablet-of-the-mill"); other.Token == s.Token {
		t.Error("two sessions with one token")
	}
	m.restart()
	if again := m.identify(t, s.Token); again != id {
		t.Errorf("after a restart %+v, before %+v", again, id)
	}
}

// Who is not there and whose passphrase is wrong get the same answer, for the same work.
func TestUnknownAndWrongAreTheSame(t *testing.T) {
	m := newMill(t, func(o *gate.Options) { o.Cost = gate.Cost{MemoryKiB: 4 << 10, Passes: 1, Lanes: 1} })
	if err := m.SetPIN(t.Context(), "room-1", pin); err != nil { // has no passphrase yet
		t.Fatal(err)
	}
	said := map[string]bool{}
	for i, person := range []string{"saw-1", "nobody", "room-1", "", "no name/", strings.Repeat("x", 5000), "a\x00b", "\xff"} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := m.SignIn(t.Context(), person, "something else altogether", tablet, fmt.Sprint("192.0.2.", i))
		runtime.ReadMemStats(&after)
		want(t, fmt.Sprintf("%.10q", person), code(t, err), "wrong-passphrase")
		said[err.Error()] = true
		if n := after.TotalAlloc - before.TotalAlloc; n < 4<<20 {
			t.Errorf("%.10q was answered with %d bytes of memory: nothing was hashed", person, n)
		}
	}
	if len(said) != 1 {
		t.Errorf("different answers: %v", said)
	}
}

func TestSessionsEnd(t *testing.T) {
	m := newMill(t)
	steps := []struct {
		name string
		full bool
		wait []time.Duration
		ends bool
	}{
		{"used within the idle time", true, []time.Duration{3*time.Hour + 59*time.Minute, 3*time.Hour + 59*time.Minute, 3*time.Hour + 59*time.Minute}, false},
		{"idle", true, []time.Duration{4 * time.Hour}, true},
		{"longest", true, []time.Duration{3 * time.Hour, 3 * time.Hour, 3 * time.Hour, 3 * time.Hour}, true},
		{"by PIN, used", false, []time.Duration{29 * time.Minute, 29 * time.Minute, 29 * time.Minute}, false},
		{"by PIN, idle", false, []time.Duration{30 * time.Minute}, true},
	}
	for _, c := range steps {
		s := m.in(t, "saw-1", tablet)
		if !c.full {
			var err error
			if s, err = m.Switch(t.Context(), tablet, "saw-1", pin, address); err != nil {
				t.Fatal(err)
			}
		}
		for i, d := range c.wait {
			m.wait(d)
			_, err := m.Identify(t.Context(), s.Token)
			last := i == len(c.wait)-1
			if ended := err != nil; ended != (c.ends && last) {
				t.Errorf("%s: after wait %d: %v", c.name, i, err)
			}
			if err != nil {
				want(t, c.name, code(t, err), "not-signed-in")
			}
		}
		list, err := m.Sessions(t.Context(), "saw-1")
		if err != nil || (len(list) == 0) != c.ends {
			t.Errorf("%s: %d sessions are listed, %v", c.name, len(list), err)
		}
	}
}

// Looking is no use: a page that is left open and looks each minute whether its session still holds does not hold it.
func TestAPeekKeepsNobodySignedIn(t *testing.T) {
	m := newMill(t)
	s := m.in(t, "saw-1", tablet)
	for minute := 1; minute < 4*60; minute++ {
		m.wait(time.Minute)
		if id, err := m.Peek(t.Context(), s.Token); err != nil || id.Person != "saw-1" {
			t.Fatalf("after %d minutes: %+v %v", minute, id, err)
		}
	}
	m.wait(time.Minute)
	_, err := m.Peek(t.Context(), s.Token)
	want(t, "after four hours", code(t, err), "not-signed-in")
	_, err = m.Identify(t.Context(), s.Token)
	want(t, "after four hours", code(t, err), "not-signed-in")
}

func TestSigningOut(t *testing.T) {
	ways := map[string]func(m *mill, token string) error{
		"sign out":   func(m *mill, token string) error { return m.SignOut(context.Background(), token) },
		"revoke all": func(m *mill, _ string) error { return m.RevokeAll(context.Background(), "saw-1") },
		"another passphrase": func(m *mill, _ string) error {
			return m.SetPassphrase(context.Background(), "saw-1", words+" of saw-1")
		},
		"another on the tablet": func(m *mill, _ string) error {
			_, err := m.SignIn(context.Background(), "bench-1", words+" of bench-1", tablet, address)
			return err
		},
	}
	for name, end := range ways {
		m := newMill(t)
		s, other := m.in(t, "saw-1", tablet), m.in(t, "bench-1", "tablet-at-the-bench-4ZZ8P")
		if err := end(m, s.Token); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		_, err := m.Identify(t.Context(), s.Token)
		want(t, name, code(t, err), "not-signed-in")
		m.identify(t, other.Token)
		if err := m.SignOut(t.Context(), s.Token); err != nil {
			t.Errorf("%s, signed out once more: %v", name, err)
		}
		_, err = m.Switch(t.Context(), tablet, "saw-1", pin, address)
		forgets := name == "revoke all" || name == "another passphrase"
		if got := code(t, err); (got == "passphrase-needed") != forgets {
			t.Errorf("%s: the PIN then gives %q", name, got)
		}
	}
}

func TestTokensThatAreNone(t *testing.T) {
	m := newMill(t)
	s := m.in(t, "saw-1", tablet)
	for _, token := range []string{"", "sws_", "swm_", "x", s.Token[:len(s.Token)-1], s.Token + "A", "swm_" + s.Token[4:], strings.ToLower(s.Token), s.Token[4:], "sws_\x00"} {
		_, err := m.Identify(t.Context(), token)
		want(t, token, code(t, err), "not-signed-in")
	}
}

func FuzzIdentify(f *testing.F) {
	f.Add("sws_AAAA")
	f.Add("swm_\xff")
	m := newMill(f)
	f.Fuzz(func(t *testing.T, token string) {
		if id, err := m.Identify(t.Context(), token); err == nil {
			t.Errorf("%q is %+v", token, id)
		}
	})
}

func TestReaffirm(t *testing.T) {
	m := newMill(t)
	ctx := t.Context()
	full := m.identify(t, m.in(t, "bench-1", tablet).Token)
	if err := m.Reaffirm(ctx, full, words+" of bench-1", address); err != nil {
		t.Error(err)
	}
	want(t, "wrong", code(t, m.Reaffirm(ctx, full, words+" of saw-1", address)), "wrong-passphrase")
	s, err := m.Switch(ctx, tablet, "bench-1", pin, address)
	if err != nil {
		t.Fatal(err)
	}
	byPIN := m.identify(t, s.Token)
	if byPIN.Full || s.Full {
		t.Error("a PIN counts as the passphrase")
	}
	want(t, "by PIN", code(t, m.Reaffirm(ctx, byPIN, words+" of bench-1", address)), "not-allowed")
	secret, err := m.NewToken(ctx, "scanner-1", "inspector", m.now.Add(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	machine := m.identify(t, secret)
	want(t, "a machine", code(t, m.Reaffirm(ctx, machine, words+" of bench-1", address)), "not-allowed")
	for range 4 {
		want(t, "wrong", code(t, m.Reaffirm(ctx, full, "guess", address)), "wrong-passphrase")
	}
	want(t, "after five", code(t, m.Reaffirm(ctx, full, words+" of bench-1", address)), "too-many")
}

// When nothing can be written people still read.
func TestAFullDiskDoesNotSignOut(t *testing.T) {
	m := newMill(t)
	s := m.in(t, "saw-1", tablet)
	m.Gate = gate.New(full{m.store}, m.opts)
	m.wait(2 * time.Hour)
	m.identify(t, s.Token)
}

type full struct{ gate.Store }

func (full) Seen(context.Context, string, time.Time) error { return errors.New("no space left") }

// That a session was used is noted aside, once a minute: who asks waits for no writer.
func TestNobodyWaitsForTheNote(t *testing.T) {
	m := newMill(t)
	var aside []func()
	m.opts.Aside = func(do func()) { aside = append(aside, do) }
	m.restart()
	s := m.in(t, "saw-1", tablet)
	note := func() time.Time {
		t.Helper()
		for _, do := range aside {
			do()
		}
		aside = nil
		list, err := m.Sessions(t.Context(), "saw-1")
		if err != nil || len(list) != 1 {
			t.Fatalf("%d sessions, %v", len(list), err)
		}
		return list[0].Seen
	}
	for minute, noted := range []int{0, 1, 1} {
		m.wait(time.Minute - time.Duration(1-min(minute, 1))*time.Millisecond)
		for range 3 {
			m.identify(t, s.Token)
		}
		if len(aside) != noted {
			t.Errorf("minute %d: %d notes", minute, len(aside))
		}
		if seen := note(); noted == 1 && !seen.Equal(m.now) {
			t.Errorf("minute %d: seen %v, now %v", minute, seen, m.now)
		}
	}
}

// As the program runs it, a writer that is taken holds nobody up.
func TestAWriterThatIsTakenHoldsNobodyUp(t *testing.T) {
	m := newMill(t)
	s := m.in(t, "saw-1", tablet)
	m.opts.Aside = nil
	taken := taken{m.store, make(chan bool), make(chan error)}
	m.Gate = gate.New(taken, m.opts)
	m.wait(time.Hour)
	m.identify(t, s.Token)
	close(taken.free)
	if err := <-taken.noted; err != nil {
		t.Error(err)
	}
}

type taken struct {
	gate.Store
	free  chan bool
	noted chan error
}

func (s taken) Seen(ctx context.Context, digest string, at time.Time) error {
	<-s.free
	err := s.Store.Seen(ctx, digest, at)
	s.noted <- err
	return err
}
