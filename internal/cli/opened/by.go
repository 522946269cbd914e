package opened

import (
	"context"
	"time"

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

// Sign asks for the person's passphrase and returns them as the caller of one act. They are not kept signed in. The passphrase
// has just been given for this very act, so the caller may certify, if the book lets them.
func (b By) Sign(ctx context.Context, s *verb.Session, g *gate.Gate) (book.Caller, error) {
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

// GateOf is the gate of an opened book.
func GateOf(s *verb.Session, l *ledger.Ledger) *gate.Gate {
	return gate.New(credentials.New(l.Handles()), gate.Options{Clock: s.Clock, Random: s.Random})
}

// NewID makes the id of an entry.
func NewID(s *verb.Session, at time.Time) (string, error) {
	id, err := ulid.New(ulid.Timestamp(at), s.Random)
	return id.String(), err
}

// submissions are acts as entries of the journal, done now, one after the other: a millisecond apart, since time is their order.
func submissions(s *verb.Session, site string, c book.Caller, at book.Station, acts ...book.Act) (list []book.Submission, err error) {
	now := s.Clock().UTC().Truncate(time.Millisecond)
	for _, a := range acts {
		e := book.Entry{Site: site, At: now, Person: c.Person, Station: at}
		if e.Act, e.Body, err = book.Encode(a); err != nil {
			return nil, err
		}
		if e.ID, err = NewID(s, now); err != nil {
			return nil, err
		}
		list = append(list, book.Submission{Entry: e, Caller: c})
		now = now.Add(time.Millisecond)
	}
	return list, nil
}

// HandIn hands in acts that stand or fall together, and tells the first refusal.
func HandIn(s *verb.Session, l book.Ledger, c book.Caller, at book.Station, acts ...book.Act) error {
	list, err := submissions(s, l.Site(), c, at, acts...)
	if err != nil {
		return err
	}
	return AppendAll(s, l, list)
}

// AppendAll hands in entries that stand or fall together, and tells the first refusal.
func AppendAll(s *verb.Session, l book.Ledger, list []book.Submission) error {
	_, refusals, err := l.AppendAll(s.Context, list, false)
	for _, r := range refusals {
		if r != nil {
			return r
		}
	}
	return err
}
