package office

import (
	"context"
	"io"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/credentials"
)

// By says who does it. The passphrase is never an argument: others could see it there.
type By struct {
	As             string `required:"" placeholder:"PERSON" help:"Who does it: the person's name in the book."`
	PassphraseFile string `name:"passphrase-file" placeholder:"FILE" help:"File whose first line is the passphrase; - is standard input. Without it the terminal asks."`
}

// atCommandLine is where somebody signs in who types commands.
const atCommandLine = "command line"

// sign asks for the person's passphrase and returns them as the caller of one act. They are not kept signed in. The passphrase
// has just been given for this very act, so the caller may certify, if the book lets them.
func (b By) sign(ctx context.Context, s *verb.Session, g *gate.Gate) (book.Caller, error) {
	passphrase, err := s.Passphrase(b.PassphraseFile, "Passphrase of "+b.As+":")
	if err != nil {
		return book.Caller{}, err
	}
	in, err := g.SignIn(ctx, b.As, passphrase, atCommandLine, atCommandLine)
	if err != nil {
		return book.Caller{}, err
	}
	return book.Caller{Person: b.As, Role: book.Lead, Reaffirmed: true}, g.SignOut(ctx, in.Token)
}

// gateOf is the gate of an opened book.
func gateOf(s *verb.Session, l *ledger.Ledger) *gate.Gate {
	return gate.New(credentials.New(l.Handles()), gate.Options{Clock: s.Clock, Random: s.Random})
}

// newID makes the id of an entry.
func newID(s *verb.Session) (string, error) {
	id, err := ulid.New(ulid.Timestamp(s.Clock()), io.Reader(s.Random))
	return id.String(), err
}

// entryOf is an act as an entry of the journal, done now.
func entryOf(s *verb.Session, site string, a book.Act, person string, at book.Station) (book.Entry, error) {
	word, body, err := book.Encode(a)
	if err != nil {
		return book.Entry{}, err
	}
	id, err := newID(s)
	return book.Entry{ID: id, Site: site, At: s.Clock().UTC(), Person: person, Station: at, Act: word, Body: body}, err
}
