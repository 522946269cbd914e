package gate

import (
	"context"
	"errors"
	"testing"
	"time"

	"slatewright/trouble"
)

func newTestHasher(places, waiting int) *hasher {
	return newHasher(Cost{8, 1, 1}, places, waiting, func(n int) ([]byte, error) { return make([]byte, n), nil })
}

// While the places are taken a few wait, the rest are told so at once, and who gives up waiting is not hashed.
func TestFewAreHashedAtATime(t *testing.T) {
	h := newTestHasher(2, 1)
	ctx := t.Context()
	var leave [2]func()
	for i := range leave {
		var err error
		if leave[i], err = h.enter(ctx); err != nil {
			t.Fatal(err)
		}
	}
	ctx, giveUp := context.WithCancel(ctx)
	waits := make(chan error)
	go func() {
		_, _, err := h.matches(ctx, "", "secret")
		waits <- err
	}()
	for h.waiting.Load() != 1 {
	}
	_, err := h.make(t.Context(), "secret")
	var said *trouble.Trouble
	if !errors.As(err, &said) || said.Code != "busy" {
		t.Errorf("a fourth: %v", err)
	}
	giveUp()
	if err := <-waits; !errors.Is(err, context.Canceled) {
		t.Errorf("the third gave up: %v", err)
	}
	leave[0]()
	made, err := h.make(t.Context(), "secret")
	if err != nil {
		t.Fatal(err)
	}
	leave[1]()
	for secret, want := range map[string]bool{"secret": true, "Secret": false} {
		if ok, better, err := h.matches(t.Context(), made, secret); ok != want || better != "" || err != nil {
			t.Errorf("%s: %v, %q, %v", secret, ok, better, err)
		}
	}
	if len(h.places) != 0 || h.waiting.Load() != 0 {
		t.Errorf("%d places are taken and %d wait, with nobody there", len(h.places), h.waiting.Load())
	}
}

// Without a hash nothing matches, not even what the hash of nobody would be of.
func TestNobodyMatches(t *testing.T) {
	h := newTestHasher(1, 1)
	kept := hash{h.cost, make([]byte, saltSize), make([]byte, hashSize)}
	kept.sum = kept.of("secret")
	h.nobody = func() (hash, error) { return kept, nil }
	if ok, _, err := h.matches(t.Context(), "", "secret"); ok || err != nil {
		t.Errorf("nobody is let in: %v, %v", ok, err)
	}
	if _, _, err := h.matches(t.Context(), "$argon2id$nonsense", "secret"); !errors.Is(err, errHash) {
		t.Errorf("a hash that cannot be read: %v", err)
	}
}

// A sign-in that could not be tried, because too many were at it, is not counted against the person.
func TestWhatWasNotTriedIsNotCounted(t *testing.T) {
	for name, cause := range map[string]error{"busy": busy(), "given up": context.Canceled} {
		tallies := &counting{tallies: map[string]Tally{}}
		g := New(tallies, Options{Clock: clock, Random: zeros{}, Cost: Cost{8, 1, 1}})
		g.hasher.nobody = func() (hash, error) { return hash{}, cause }
		for range 10 {
			if _, err := g.SignIn(t.Context(), "saw-1", "guess", "", "192.0.2.7"); !errors.Is(err, cause) {
				t.Fatalf("%s: %v", name, err)
			}
		}
		if tallies.most != 2 || len(tallies.tallies) != 0 {
			t.Errorf("%s: at most %d locks were counted, and are now: %v", name, tallies.most, tallies.tallies)
		}
	}
}

// When as many wait as may, nobody else is counted: a crowd does not keep the one who writes busy.
func TestACrowdIsNotCounted(t *testing.T) {
	tallies := &counting{tallies: map[string]Tally{}}
	g := New(tallies, Options{Clock: clock, Random: zeros{}, Cost: Cost{8, 1, 1}})
	g.hasher.waiting.Store(g.hasher.most)
	for name, try := range map[string]func() (Session, error){
		"passphrase": func() (Session, error) { return g.SignIn(t.Context(), "saw-1", "guess", "", "192.0.2.7") },
		"PIN": func() (Session, error) {
			return g.Switch(t.Context(), "a tablet that is known", "saw-1", "8052", "192.0.2.7")
		},
	} {
		_, err := try()
		if said := (*trouble.Trouble)(nil); !errors.As(err, &said) || said.Code != "busy" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if tallies.most != 0 {
		t.Errorf("%d locks were counted", tallies.most)
	}
}

func clock() time.Time { return time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC) }

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { return len(p), nil }

// counting keeps tallies and knows nobody.
type counting struct {
	Store
	tallies map[string]Tally
	most    int
}

func (*counting) Account(context.Context, string) (Account, bool, error) {
	return Account{}, false, nil
}

func (c *counting) Tally(_ context.Context, lock string) (Tally, error) { return c.tallies[lock], nil }

func (c *counting) Recount(_ context.Context, lock string, _, now Tally) (bool, error) {
	c.tallies[lock] = now
	if c.most = max(c.most, len(c.tallies)); now == (Tally{}) {
		delete(c.tallies, lock)
	}
	return true, nil
}

func TestWaitsAreToldInWords(t *testing.T) {
	for d, want := range map[time.Duration]string{time.Millisecond: "a second", time.Second: "a second", 1001 * time.Millisecond: "2 seconds",
		119 * time.Second: "119 seconds", 2 * time.Minute: "2 minutes", 15*time.Minute - time.Second: "15 minutes"} {
		if got := inWords(d); got != want {
			t.Errorf("%v: %q, want %q", d, got, want)
		}
	}
}
