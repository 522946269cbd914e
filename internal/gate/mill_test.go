package gate_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"slatewright/internal/gate"
	"slatewright/internal/gate/gatetest"
	"slatewright/trouble"
)

// What people know, and the secret of the tablet at the saw.
const (
	words   = "slate under the north light"
	pin     = "8052"
	tablet  = "tablet-at-the-saw-7Q2XK"
	address = "192.0.2.7"
)

// cheap is the least that Argon2 takes: tests hash often.
var cheap = gate.Cost{MemoryKiB: 8, Passes: 1, Lanes: 1}

// mill is a gate with a clock that the test moves. Nothing in it is kept but by the store.
type mill struct {
	*gate.Gate
	store *gatetest.Memory
	now   time.Time
	opts  gate.Options
}

func newMill(t testing.TB, change ...func(*gate.Options)) *mill {
	t.Helper()
	m := &mill{store: &gatetest.Memory{}, now: time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)}
	m.opts = gate.Options{Clock: func() time.Time { return m.now }, Random: rand.NewChaCha8([32]byte{1}), Cost: cheap, Aside: func(do func()) { do() }}
	for _, f := range change {
		f(&m.opts)
	}
	m.restart()
	for _, person := range []string{"saw-1", "bench-1"} {
		if err := errors.Join(m.SetPassphrase(context.Background(), person, words+" of "+person), m.SetPIN(context.Background(), person, pin)); err != nil {
			t.Fatal(err)
		}
	}
	return m
}

// restart opens the gate anew over what is kept.
func (m *mill) restart() { m.Gate = gate.New(m.store, m.opts) }

func (m *mill) wait(d time.Duration) { m.now = m.now.Add(d) }

// in signs a person in at a tablet, which must succeed.
func (m *mill) in(t *testing.T, person, tablet string) gate.Session {
	t.Helper()
	s, err := m.SignIn(t.Context(), person, words+" of "+person, tablet, address)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// wrong tries a wrong passphrase and returns the code of the trouble.
func (m *mill) wrong(t *testing.T, person, tablet, from string) string {
	t.Helper()
	_, err := m.SignIn(t.Context(), person, "something else altogether", tablet, from)
	return code(t, err)
}

func (m *mill) identify(t *testing.T, token string) gate.Identity {
	t.Helper()
	id, err := m.Identify(t.Context(), token)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// code is the code of trouble, which must say what to do; empty when there is none.
func code(t *testing.T, err error) string {
	t.Helper()
	if err == nil {
		return ""
	}
	var said *trouble.Trouble
	if !errors.As(err, &said) || said.What == "" || said.Next == "" {
		t.Fatalf("no trouble with a next step: %v", err)
	}
	for _, secret := range []string{words, pin, tablet, "something else altogether"} {
		if strings.Contains(fmt.Sprintf("%+v %v", *said, err), secret) {
			t.Errorf("a secret stands in %q", err)
		}
	}
	return said.Code
}

func want(t *testing.T, what, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("%s: got %q, want %q", what, got, want)
	}
}

// Nothing that is kept tells a secret.
func TestNoSecretIsKept(t *testing.T) {
	m := newMill(t)
	s := m.in(t, "saw-1", tablet)
	by, err := m.Switch(t.Context(), tablet, "saw-1", pin, address)
	machine, err2 := m.NewToken(t.Context(), "scale-1", "hand", m.now.Add(time.Hour))
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	kept := fmt.Sprintf("%+v", m.store)
	for _, there := range []string{"saw-1", "argon2id", "scale-1"} {
		if !strings.Contains(kept, there) {
			t.Fatalf("%s is not found in what is kept, so nothing would be", there)
		}
	}
	for _, secret := range []string{words, "=" + pin, ":" + pin, tablet, s.Token, by.Token, machine, s.Token[4:], machine[12:]} {
		if strings.Contains(kept, secret) {
			t.Errorf("%q is kept", secret)
		}
	}
}

// Random bytes that run out are no reason to let anybody in with few of them.
func TestNoRandomBytesNoSession(t *testing.T) {
	m := newMill(t)
	m.opts.Random = strings.NewReader(strings.Repeat("x", 40)) // 32 for the token of one session
	m.restart()
	m.in(t, "saw-1", tablet)
	if s, err := m.SignIn(t.Context(), "saw-1", words+" of saw-1", tablet, address); err == nil {
		t.Errorf("a session with the token %q", s.Token)
	}
}

func TestAGateWithoutAClockIsOurOwnBug(t *testing.T) {
	for _, o := range []gate.Options{{}, {Clock: time.Now}, {Random: strings.NewReader("")}} {
		func() {
			defer func() {
				if said := fmt.Sprint(recover()); !strings.Contains(said, "our own bug") {
					t.Errorf("%+v: %v", o, said)
				}
			}()
			gate.New(&gatetest.Memory{}, o)
		}()
	}
}

// An error of the store is not taken for a wrong passphrase, and lets nobody in.
func TestAStoreThatFails(t *testing.T) {
	m := newMill(t)
	ctx, stop := context.WithCancel(t.Context())
	s := m.in(t, "saw-1", tablet)
	stop()
	m.Gate = gate.New(failing{m.store}, m.opts)
	if _, err := m.SignIn(ctx, "saw-1", words+" of saw-1", tablet, address); !errors.Is(err, errStore) {
		t.Errorf("sign in: %v", err)
	}
	if _, err := m.Identify(ctx, s.Token); !errors.Is(err, errStore) {
		t.Errorf("identify: %v", err)
	}
}

var errStore = errors.New("the store fails")

type failing struct{ gate.Store }

func (failing) Account(context.Context, string) (gate.Account, bool, error) {
	return gate.Account{}, false, errStore
}

func (failing) Session(context.Context, string) (gate.Open, bool, error) {
	return gate.Open{}, false, errStore
}
