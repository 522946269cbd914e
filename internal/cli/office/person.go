package office

import (
	"context"
	"fmt"
	"io"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// Person holds the verbs about the people of the mill.
type Person struct {
	Add   PersonAdd   `cmd:"" help:"Who may use the book from now on?"`
	Role  PersonRole  `cmd:"" help:"What may somebody do from now on?"`
	Reset PersonReset `cmd:"" help:"What if a passphrase is forgotten or known to others?"`
	List  PersonList  `cmd:"" help:"Who may do what?"`
}

// owner is who changes people from the command line: a lead who signs, or whoever owns the book's folder or its database. That
// is the way back in when nobody can sign in any more; the journal shows it.
type owner struct {
	As             string `placeholder:"LEAD" help:"The lead who does it, by passphrase. Without it you act as owner of the book's folder or database."`
	PassphraseFile string `name:"passphrase-file" placeholder:"FILE" help:"File whose first line is the lead's passphrase; - is standard input."`
}

// ownerText is what the help of each verb says of it.
const ownerText = `

			Without --as you act as the owner of the book: whoever may write in its folder or its database may, also when nobody can sign in
			any more. While a server runs on a folder, the lead does this
			through the server instead: on its pages (People), or by its interface (docs/api.md), which alone has tokens.`

// theOwner is who stands in the journal when nobody signed: whoever owns the book's folder or its database.
const theOwner = "owner"

// caller signs the lead, or is the owner.
func (o owner) caller(ctx context.Context, s *verb.Session, g *gate.Gate) (book.Caller, error) {
	if o.As == "" {
		return book.Caller{Person: theOwner, Role: book.Lead, System: true}, nil
	}
	return opened.By(o).Sign(ctx, s, g)
}

// appoint hands in the act.
func (o owner) appoint(ctx context.Context, s *verb.Session, l *ledger.Ledger, a *book.Appoint) error {
	caller, err := o.caller(ctx, s, opened.GateOf(s, l))
	if err != nil {
		return err
	}
	return opened.HandIn(s, l, caller, book.Office, a)
}

// PersonAdd appoints a person who is not in the book yet.
type PersonAdd struct {
	Person       string `arg:"" help:"A short name that tells what the person does, such as saw-1."`
	Role         string `required:"" enum:"visitor,hand,inspector,lead" help:"What the person may do: visitor, hand, inspector or lead."`
	Called       string `placeholder:"WORDS" help:"As shown on pages: first hand at the saw."`
	New          string `name:"new-passphrase-file" placeholder:"FILE" help:"File whose first line is the person's passphrase. Without it the terminal asks."`
	owner        `embed:""`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (PersonAdd) About() verb.About {
	return verb.About{
		Text: `Takes a person into the book and sets the first passphrase. People are called by what they do, not by their own names: the journal is
			kept for ever, and copies of it travel. A visitor reads; a hand records work; an inspector also reads for certificates, judges and
			certifies; the lead decides the rest.` + ownerText,
		Examples: []verb.Example{
			{"slatewright person add saw-1 --role hand", "the terminal asks for the passphrase, twice"},
			{"slatewright person add bench-1 --role inspector --new-passphrase-file first.txt --as lead-1", "by a lead who signs"},
		},
	}
}

type personReport struct {
	Person string    `json:"person"`
	Role   book.Role `json:"role,omitempty"`
	Did    string    `json:"did"`
	Notes  []string  `json:"warnings"`
}

// Run appoints the person.
func (v PersonAdd) Run(s *verb.Session) (verb.Report, error) {
	return v.Writing(s, "person add", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		if _, err := opened.PersonIn(ctx, l, v.Person); err == nil || v.Person == theOwner {
			return nil, trouble.Data("there-already", v.Person, "this person is in the book already", "use 'person role' or 'person reset', or give another name")
		}
		g := opened.GateOf(s, l)
		if err := g.MayBePerson(ctx, v.Person); err != nil {
			return nil, err
		}
		passphrase, err := s.NewPassphrase(v.New, "Passphrase for "+v.Person+":")
		if err != nil {
			return nil, err
		}
		if err := checkPassphrase(ctx, l, v.Person, passphrase); err != nil {
			return nil, err
		}
		if err := v.appoint(ctx, s, l, &book.Appoint{Person: v.Person, Role: book.Role(v.Role), Called: v.Called}); err != nil {
			return nil, err
		}
		return &personReport{v.Person, book.Role(v.Role), "is in the book", []string{}}, g.SetPassphrase(ctx, v.Person, passphrase)
	})
}

// checkPassphrase says whether a person of this mill may have a passphrase, before anything is written.
func checkPassphrase(ctx context.Context, l *ledger.Ledger, person, passphrase string) error {
	mill, err := opened.MillOf(ctx, l)
	if err != nil {
		return err
	}
	return gate.CheckPassphrase(person, passphrase, mill.Name, l.Site())
}

// PersonRole changes what a person may do.
type PersonRole struct {
	Person       string `arg:"" help:"The person's name in the book."`
	Role         string `arg:"" help:"visitor, hand, inspector or lead; gone for somebody who has left the mill."`
	Called       string `placeholder:"WORDS" help:"As shown on pages from now on."`
	owner        `embed:""`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (PersonRole) About() verb.About {
	return verb.About{
		Text: `Changes what a person may do. Somebody who has left the mill is gone: nothing more is taken from them and they are signed out
			everywhere; what they did stays in the book.` + ownerText,
		Examples: []verb.Example{
			{"slatewright person role saw-1 inspector", "from now on"},
			{"slatewright person role saw-2 gone --as lead-1", "has left the mill"},
		},
	}
}

// Run appoints the person anew.
func (v PersonRole) Run(s *verb.Session) (verb.Report, error) {
	return v.Writing(s, "person role", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		was, err := opened.PersonIn(ctx, l, v.Person)
		if err != nil {
			return nil, err
		}
		a := &book.Appoint{Person: v.Person, Role: book.Role(v.Role), Called: v.Called, Gone: v.Role == "gone"}
		if a.Gone {
			a.Role = was.Role
		}
		if a.Called == "" {
			a.Called = was.Called
		}
		if err := v.appoint(ctx, s, l, a); err != nil || !a.Gone {
			return &personReport{v.Person, a.Role, "may do what a " + v.Role + " may", []string{}}, err
		}
		return &personReport{v.Person, a.Role, "is gone", []string{}}, opened.GateOf(s, l).RevokeAll(ctx, v.Person)
	})
}

// PersonReset sets a new passphrase.
type PersonReset struct {
	Person       string `arg:"" help:"The person's name in the book."`
	PIN          bool   `name:"pin" help:"Set the short PIN instead, with which the person takes over a shared tablet after a full sign-in on it."`
	New          string `name:"new-passphrase-file" placeholder:"FILE" help:"File whose first line is the new passphrase, or PIN. Without it the terminal asks."`
	owner        `embed:""`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (PersonReset) About() verb.About {
	return verb.About{
		Text: `Sets a new passphrase and signs the person out everywhere. With --pin it sets the short PIN, which never certifies.` + ownerText,
		Examples: []verb.Example{
			{"slatewright person reset lead-1", "the lead's passphrase is lost: the owner of the folder sets a new one"},
			{"slatewright person reset saw-1 --pin", "a PIN for the shared tablet"},
		},
	}
}

// Run sets it.
func (v PersonReset) Run(s *verb.Session) (verb.Report, error) {
	return v.Writing(s, "person reset", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		if _, err := opened.PersonIn(ctx, l, v.Person); err != nil {
			return nil, err
		}
		g := opened.GateOf(s, l)
		if err := v.allowed(ctx, s, l, g); err != nil {
			return nil, err
		}
		what, set := "passphrase", g.SetPassphrase
		if v.PIN {
			what, set = "PIN", g.SetPIN
		}
		secret, err := s.NewPassphrase(v.New, "New "+what+" for "+v.Person+":")
		if err != nil {
			return nil, err
		}
		if !v.PIN {
			if err := checkPassphrase(ctx, l, v.Person, secret); err != nil {
				return nil, err
			}
		}
		if err := set(ctx, v.Person, secret); err != nil {
			return nil, err
		}
		return &personReport{Person: v.Person, Did: "has a new " + what + " and is signed out everywhere", Notes: []string{}}, g.RevokeAll(ctx, v.Person)
	})
}

// allowed holds a lead who signs to being one; the owner may.
func (o owner) allowed(ctx context.Context, s *verb.Session, l *ledger.Ledger, g *gate.Gate) error {
	if o.As == "" {
		return nil
	}
	if _, err := o.caller(ctx, s, g); err != nil {
		return err
	}
	p, err := opened.PersonIn(ctx, l, o.As)
	if err == nil && (p.Gone || !p.Role.Covers(book.Lead)) {
		err = trouble.Data("not-allowed", o.As, "only a lead may do this", "ask a lead, or act as owner of the book without --as")
	}
	return err
}

// PersonList lists the people.
type PersonList struct {
	opened.Place `embed:""`
}

// About is the help of the verb.
func (PersonList) About() verb.About {
	return verb.About{
		Text:     `Lists everybody in the book with what they may do. It reads beside a running server.`,
		Examples: []verb.Example{{"slatewright person list", "everybody"}},
	}
}

type peopleReport struct {
	People []personLine `json:"people"`
}

type personLine struct {
	Person string    `json:"person"`
	Role   book.Role `json:"role"`
	Called string    `json:"called"`
	Gone   bool      `json:"gone"`
}

// Run asks the book.
func (v PersonList) Run(s *verb.Session) (verb.Report, error) {
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		r := &peopleReport{People: []personLine{}}
		people, err := opened.Things(ctx, l, book.Filter{Kind: book.KindPerson})
		if err != nil {
			return nil, err
		}
		for _, t := range people {
			p, err := opened.State[book.PersonState](t)
			if err != nil {
				return nil, err
			}
			r.People = append(r.People, personLine{t.ID, p.Role, p.Called, p.Gone})
		}
		return r, nil
	})
}

func (r *peopleReport) Outcome() verb.Outcome { return verb.Done }

func (r *peopleReport) Print(w io.Writer) {
	for _, p := range r.People {
		role := string(p.Role)
		if p.Gone {
			role += ", gone"
		}
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("  %-20s  %-15s  %s", p.Person, role, p.Called), " "))
	}
}

func (r *personReport) Outcome() verb.Outcome { return verb.Done }

func (r *personReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s %s\n", r.Person, r.Did)
	verb.PrintWarnings(w, r.Notes)
}
