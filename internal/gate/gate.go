// Package gate knows who is at the door: persons by passphrase, by a short PIN on a tablet where they have signed in before, and
// machines by token. It keeps only what cannot be turned back into a secret: Argon2id hashes of passphrases and PINs, and
// SHA-256 of tokens, which are 256 random bits.
//
// It does not know what a person may do: the role stands in the book, and whoever asks the gate asks the book too. Only a
// machine's role comes from its token. It writes nothing into the journal, reads no clock and has no randomness of its own; both
// are given to it. It sends nothing and sets no cookies.
package gate

import (
	"context"
	"errors"
	"io"
	"sync"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Identity is who shows a token.
type Identity struct {
	Person  string    // the person; for a machine the name of its token
	Role    book.Role // of a machine, at most; empty for a person, whose role stands in the book
	Full    bool      // signed in with the passphrase, not with a PIN
	Machine bool
	Tablet  string // the digest by which the tablet is kept; empty when it is not known again
	Session string // the digest by which the session is kept
}

// Session is a sign-in. The token is shown this once.
type Session struct {
	Token  string
	Person string
	Until  time.Time // ends then at the latest
	Full   bool
}

// Options say how a gate works. Clock and Random must be given; the rest has defaults.
type Options struct {
	Clock  func() time.Time
	Random io.Reader // for tokens and salts: crypto/rand, unless it is a test
	Cost   Cost
	Limits Limits
	Aside  func(func()) // does what nobody waits for: in a goroutine of its own, unless it is a test
}

// Limits bound how long a sign-in lasts and how often it may be tried. The defaults are common practice, no source.
type Limits struct {
	Idle    time.Duration // a session by passphrase ends when it is not used for so long: 4 h
	IdlePIN time.Duration // a session by PIN: 30 min
	Longest time.Duration // every session ends after so long: 12 h, a long shift
	Tablet  time.Duration // a PIN serves so long after the last sign-in with the passphrase on that tablet: 30 days
	PINs    int           // wrong PINs on one tablet before the passphrase is needed again: 5
	Person  Patience      // for the tries at one person's passphrase: 5 free, then 2 s, 4 s … 15 min; forgotten after a day
	Source  Patience      // for the failures from one source, which may be a whole mill: 50 free, then 1 s … 1 min; forgotten after an hour
	Hashing int           // passphrases hashed at the same time: 2
	Waiting int           // tries that may wait for that: 32; more are told that the gate is busy
}

// defaultLimits are in force where Options say nothing.
var defaultLimits = Limits{
	Idle: 4 * time.Hour, IdlePIN: 30 * time.Minute, Longest: 12 * time.Hour, Tablet: 30 * 24 * time.Hour, PINs: 5,
	Person:  Patience{Free: 5, First: 2 * time.Second, Most: 15 * time.Minute, Forget: 24 * time.Hour},
	Source:  Patience{Free: 50, First: time.Second, Most: time.Minute, Forget: time.Hour},
	Hashing: 2, Waiting: 32,
}

// filled puts the defaults where nothing is said.
func (l Limits) filled() Limits {
	d := defaultLimits
	return Limits{or(l.Idle, d.Idle), or(l.IdlePIN, d.IdlePIN), or(l.Longest, d.Longest), or(l.Tablet, d.Tablet), or(l.PINs, d.PINs),
		or(l.Person, d.Person), or(l.Source, d.Source), or(l.Hashing, d.Hashing), or(l.Waiting, d.Waiting)}
}

func or[T comparable](given, usual T) T {
	var none T
	if given == none {
		return usual
	}
	return given
}

// Gate lets people and machines in.
type Gate struct {
	store  Store
	clock  func() time.Time
	limits Limits
	hasher *hasher
	aside  func(func())
	noting sync.Map // sessions whose use is being noted

	mu     sync.Mutex // a reader need not be safe for several at once
	random io.Reader
}

// New opens a gate over what a store keeps.
func New(s Store, o Options) *Gate {
	if s == nil || o.Clock == nil || o.Random == nil {
		panic("gate: our own bug: a gate needs a store, a clock and a source of random bytes")
	}
	g := &Gate{store: s, clock: o.Clock, limits: o.Limits.filled(), random: o.Random, aside: o.Aside}
	if g.aside == nil {
		g.aside = func(do func()) { go do() }
	}
	g.hasher = newHasher(or(o.Cost, DefaultCost), g.limits.Hashing, g.limits.Waiting, g.bytes)
	return g
}

// now is the clock's time as a store keeps it.
func (g *Gate) now() time.Time { return g.clock().UTC().Truncate(time.Millisecond) }

// bytes draws random bytes.
func (g *Gate) bytes(n int) ([]byte, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	b := make([]byte, n)
	if _, err := io.ReadFull(g.random, b); err != nil {
		return nil, errors.Join(errors.New("gate: no random bytes"), err)
	}
	return b, nil
}

// Identify tells who shows a token. One that is not known, or has ended, is trouble with the code not-signed-in.
func (g *Gate) Identify(ctx context.Context, token string) (Identity, error) {
	return g.identify(ctx, token, true)
}

// Peek is Identify that is no use of a session: what looks by itself, such as an open page, keeps nobody signed in.
func (g *Gate) Peek(ctx context.Context, token string) (Identity, error) {
	return g.identify(ctx, token, false)
}

func (g *Gate) identify(ctx context.Context, token string, used bool) (Identity, error) {
	switch kindOf(token) {
	case sessionToken:
		return g.identifySession(ctx, token, used)
	case machineToken:
		return g.identifyMachine(ctx, token)
	}
	return Identity{}, notSignedIn("this is no token")
}

func notSignedIn(what string) error {
	return trouble.Data("not-signed-in", "", what, "sign in again; a machine needs a new token from a lead")
}
