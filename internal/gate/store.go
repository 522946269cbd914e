package gate

import (
	"context"
	"time"

	"slatewright/internal/book"
)

// Account is what is kept of a person.
type Account struct {
	Person     string
	Passphrase string // hash; empty when none is set
	PIN        string // hash; empty when none is set
	Generation int64  // sessions and tablets of an earlier generation have ended
}

// Open is an open session.
type Open struct {
	Digest     string // of the token
	Person     string
	Full       bool
	Tablet     string // digest; empty when it is not known again
	Generation int64
	Began      time.Time
	Seen       time.Time // when it was last used, to the minute
	Until      time.Time
}

// Token is a machine's token without its secret.
type Token struct {
	Name   string
	Role   book.Role
	Prefix string // how the token begins, so that one is told from another
	Made   time.Time
	Until  time.Time
	Digest string `json:"-"`
}

// Tally counts the tries at one lock since the last that was right.
type Tally struct {
	Tries int
	Last  time.Time
}

// Store keeps what the gate knows. It decides nothing. Times are whole milliseconds, UTC; something that is not there is found ==
// false, or the zero value, not an error.
type Store interface {
	Site() string // the mill's word

	Account(ctx context.Context, person string) (a Account, found bool, err error)
	SetPassphrase(ctx context.Context, person, hash string) error // makes the account when there is none; the next generation begins
	SetPIN(ctx context.Context, person, hash string) error        // makes the account when there is none
	Rehash(ctx context.Context, was, now Account) error           // writes the new hashes where the old ones still stand
	NextGeneration(ctx context.Context, person string) error

	// Begin adds a session and ends what else is open on its tablet, if that is named.
	Begin(ctx context.Context, o Open) error
	Session(ctx context.Context, digest string) (o Open, found bool, err error) // of the person's generation now
	Seen(ctx context.Context, digest string, at time.Time) error
	End(ctx context.Context, digest string) error
	Sessions(ctx context.Context, person string) ([]Open, error) // of the person's generation now; the oldest first

	// Know remembers until when a person may use the PIN on a tablet, and that no wrong one was tried. Known is false afterwards, and
	// in a later generation.
	Know(ctx context.Context, tablet, person string, generation int64, until time.Time) error
	Known(ctx context.Context, tablet, person string, at time.Time) (bool, error)
	// TryPIN counts a try, if the person is known there and fewer than most were counted; UntryPIN takes one back, RightPIN forgets them.
	TryPIN(ctx context.Context, tablet, person string, at time.Time, most int) (may bool, err error)
	UntryPIN(ctx context.Context, tablet, person string) error
	RightPIN(ctx context.Context, tablet, person string) error

	Tally(ctx context.Context, lock string) (Tally, error)
	// Recount writes a tally if the one that is kept is still was; a zero tally is kept as none.
	Recount(ctx context.Context, lock string, was, now Tally) (bool, error)

	AddToken(ctx context.Context, t Token) (added bool, err error) // false when the name is taken
	Token(ctx context.Context, digest string) (t Token, found bool, err error)
	Tokens(ctx context.Context) ([]Token, error) // by name
	DropToken(ctx context.Context, name string) (dropped bool, err error)

	// Sweep takes away sessions and tablets that ended before now, and tallies that were last counted before tallied.
	Sweep(ctx context.Context, now, tallied time.Time) error
}
