package api

import (
	"context"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/trouble"
)

func (d *desk) addPeople() {
	const note = " Your own needs the one you have; a lead sets anybody's. A person is taken into the book with the act appoint."
	add(d, Route{Method: http.MethodPut, Path: "/people/{person}/passphrase", ID: "set-passphrase", Tag: "sign-in", Summary: "Set a passphrase",
		Text: "The person is signed out everywhere." + note, Least: book.Visitor, Fails: []string{"no-such-thing", "wrong-passphrase", "passphrase-needed", "weak-passphrase", "bad-id", "bad-pin", "name-taken", "broken-thing", "too-many"},
		Example: map[string]any{"new": "slate under the north light", "passphrase": "the one until now"}, status: http.StatusNoContent}, d.setPassphrase)
	add(d, Route{Method: http.MethodPut, Path: "/people/{person}/pin", ID: "set-pin", Tag: "sign-in", Summary: "Set a PIN for shared tablets",
		Text: "A PIN never certifies." + note, Least: book.Visitor, Fails: []string{"no-such-thing", "wrong-passphrase", "passphrase-needed", "weak-passphrase", "bad-id", "bad-pin", "name-taken", "broken-thing", "too-many"},
		Example: map[string]any{"new": "4711", "passphrase": "slate under the north light"}, status: http.StatusNoContent}, d.setPIN)
	add(d, Route{Method: http.MethodDelete, Path: "/people/{person}/sessions", ID: "sign-out-everywhere", Tag: "sign-in", Summary: "Sign a person out everywhere",
		Text: "For a tablet that is lost, or somebody who leaves.", Least: book.Lead, Fails: []string{"no-such-thing", "bad-id", "broken-thing"}, status: http.StatusNoContent}, d.revokeAll)
}

// Somebody names a person in a path.
type Somebody struct {
	Person string `path:"person" maxLength:"40" doc:"The person's name in the book" example:"saw-1"`
}

type secretInput struct {
	Somebody
	Body struct {
		New        string `json:"new" minLength:"1" maxLength:"1024" format:"password" doc:"The new one"`
		Passphrase string `json:"passphrase,omitempty" maxLength:"1024" format:"password" doc:"The passphrase until now; a lead leaves it out for others"`
	}
}

func (d *desk) setPassphrase(ctx context.Context, in *secretInput) (*struct{}, error) {
	if err := d.maySet(ctx, in); err != nil {
		return nil, err
	}
	if err := d.guessable(ctx, in.Person, in.Body.New); err != nil {
		return nil, err
	}
	if err := d.Gate.SetPassphrase(ctx, in.Person, in.Body.New); err != nil {
		return nil, err
	}
	return nil, d.Gate.RevokeAll(ctx, in.Person)
}

// guessable refuses a passphrase that is little more than what the mill is called; the gate knows only its word.
func (d *desk) guessable(ctx context.Context, person, passphrase string) error {
	_, m, err := d.settled(ctx)
	if err != nil {
		return err
	}
	return gate.CheckPassphrase(person, passphrase, m.Name, d.Ledger.Site())
}

func (d *desk) setPIN(ctx context.Context, in *secretInput) (*struct{}, error) {
	if err := d.maySet(ctx, in); err != nil {
		return nil, err
	}
	return nil, d.Gate.SetPIN(ctx, in.Person, in.Body.New)
}

// maySet lets people change their own secrets, with the passphrase again, and a lead those of anybody in the book.
func (d *desk) maySet(ctx context.Context, in *secretInput) error {
	q := asked(ctx)
	if q.sender.Machine {
		return trouble.Data("not-allowed", "", "a machine sets no passphrase", "let a person do it")
	}
	if in.Person == q.sender.Person {
		return d.Gate.Reaffirm(ctx, q.sender.Identity, in.Body.Passphrase, from(q))
	}
	if !q.sender.Role.Covers(book.Lead) {
		return trouble.Data("not-allowed", "person", "only a lead sets another person's", "ask a lead")
	}
	return d.known(ctx, in.Person)
}

func (d *desk) known(ctx context.Context, person string) error {
	ref, err := book.ParseRef(string(book.KindPerson) + ":" + person)
	if err != nil {
		return err
	}
	_, err = d.Ledger.Thing(ctx, ref)
	return err
}

func (d *desk) revokeAll(ctx context.Context, in *Somebody) (*struct{}, error) {
	if err := d.known(ctx, in.Person); err != nil {
		return nil, err
	}
	return nil, d.Gate.RevokeAll(ctx, in.Person)
}
