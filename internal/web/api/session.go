package api

import (
	"context"
	"crypto/rand"
	"errors"
	"net/http"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/web/signin"
)

// Session says who is signed in.
type Session struct {
	Person  string    `json:"person" doc:"Who is signed in; for a machine the name of its token" example:"saw-1"`
	Role    book.Role `json:"role" enum:"visitor,hand,inspector,lead" doc:"What they may do"`
	Full    bool      `json:"full" doc:"Signed in with the passphrase, not with a PIN: needed to certify"`
	Machine bool      `json:"machine,omitempty"`
	Until   time.Time `json:"until,omitzero" doc:"When the session ends"`
	Token   string    `json:"token,omitempty" doc:"Only when asked for: send it as Authorization: Bearer"`
	Tablet  string    `json:"tablet,omitempty" doc:"Only when asked for: by which this device is known again when somebody switches with a PIN; keep it secret"`
}

type sessionAnswer struct {
	Cookies []http.Cookie `header:"Set-Cookie" hidden:"true"`
	Body    Session
}

var signInFails = []string{"wrong-passphrase", "wrong-pin", "passphrase-needed", "not-signed-in", "too-many"}

func (d *desk) addSession() {
	add(d, Route{Method: http.MethodPost, Path: "/session", ID: "sign-in", Tag: "sign-in", Summary: "Sign in with the passphrase",
		Text:  "A browser keeps the session in a cookie. Another program asks for the token with \"token\": true and sends it with each request. Attempts are limited.",
		Least: Anybody, Fails: signInFails, Example: map[string]any{"person": "bench-1", "passphrase": "slate under the north light"}, Answer: exampleSession(), status: http.StatusCreated}, d.signIn)
	add(d, Route{Method: http.MethodPost, Path: "/session/switch", ID: "switch-person", Tag: "sign-in", Summary: "Switch to another person with a PIN",
		Text:  "On a shared tablet, once that person has signed in there with the passphrase. A session by PIN never certifies.",
		Least: Anybody, Fails: signInFails, Example: map[string]any{"person": "saw-1", "pin": "4711"}, Answer: exampleSession(), status: http.StatusCreated}, d.switchPerson)
	add(d, Route{Method: http.MethodGet, Path: "/session", ID: "who-am-i", Tag: "sign-in", Summary: "Who is signed in",
		Text:   "And what they may do.",
		Least:  book.Visitor,
		Answer: exampleSession()}, d.whoAmI)
	add(d, Route{Method: http.MethodDelete, Path: "/session", ID: "sign-out", Tag: "sign-in", Summary: "Sign out",
		Text:   "The session ends; the tablet stays known.",
		Least:  book.Visitor,
		status: http.StatusNoContent}, d.signOut)
}

// Keeping says how a session is kept by who signs in.
type Keeping struct {
	Token  bool   `json:"token,omitempty" doc:"Answer with the token instead of cookies"`
	Tablet string `json:"tablet,omitempty" maxLength:"128" doc:"The device's secret from an earlier answer; a browser has it in a cookie"`
}

type signInInput struct {
	Body struct {
		Person     string `json:"person" minLength:"1" maxLength:"40"`
		Passphrase string `json:"passphrase" minLength:"1" maxLength:"1024" format:"password"`
		Keeping
	}
}

func (d *desk) signIn(ctx context.Context, in *signInInput) (*sessionAnswer, error) {
	q, b := asked(ctx), in.Body
	tablet := b.Keeping.tablet(q)
	if tablet == "" {
		tablet = rand.Text()
	}
	s, err := d.Gate.SignIn(ctx, b.Person, b.Passphrase, tablet, from(q))
	if err != nil {
		return nil, err
	}
	return d.begin(ctx, s, tablet, b.Keeping)
}

type switchInput struct {
	Body struct {
		Person string `json:"person" minLength:"1" maxLength:"40"`
		PIN    string `json:"pin" minLength:"1" maxLength:"12" format:"password"`
		Keeping
	}
}

func (d *desk) switchPerson(ctx context.Context, in *switchInput) (*sessionAnswer, error) {
	q, b := asked(ctx), in.Body
	tablet := b.Keeping.tablet(q)
	s, err := d.Gate.Switch(ctx, tablet, b.Person, b.PIN, from(q))
	if err != nil {
		return nil, err
	}
	return d.begin(ctx, s, tablet, b.Keeping)
}

// tablet is the secret of the device that asks.
func (k Keeping) tablet(q request) string {
	if k.Tablet != "" {
		return k.Tablet
	}
	return signin.Tablet(q.http)
}

// begin answers with a new session, if the book still knows its person.
func (d *desk) begin(ctx context.Context, s gate.Session, tablet string, keep Keeping) (*sessionAnswer, error) {
	q := asked(ctx)
	shown := q.http.Clone(ctx)
	shown.Header.Set("Authorization", "Bearer "+s.Token)
	sender, err := signin.Who(shown, d.Gate, d.Ledger)
	if err != nil {
		return nil, errors.Join(err, d.Gate.SignOut(ctx, s.Token))
	}
	out := &sessionAnswer{Body: shownSession(sender)}
	out.Body.Until = s.Until
	if keep.Token {
		out.Body.Token, out.Body.Tablet = s.Token, tablet
	} else {
		out.Cookies = signin.Cookies(q.http, s, tablet, d.Clock())
	}
	return out, nil
}

func shownSession(s signin.Sender) Session {
	return Session{Person: s.Person, Role: s.Role, Full: s.Full, Machine: s.Machine}
}

func (d *desk) whoAmI(ctx context.Context, _ *struct{}) (*answer[Session], error) {
	return &answer[Session]{shownSession(asked(ctx).sender)}, nil
}

type signedOut struct {
	Cookies []http.Cookie `header:"Set-Cookie" hidden:"true"`
}

func (d *desk) signOut(ctx context.Context, _ *struct{}) (*signedOut, error) {
	q := asked(ctx)
	return &signedOut{signin.Cleared(q.http)}, d.Gate.SignOut(ctx, q.sender.Token)
}

// from is where a request comes from.
func from(q request) string { return signin.From(q.http) }
