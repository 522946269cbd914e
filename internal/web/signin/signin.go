// Package signin says who sends a request: the person of a session, by cookie or token, or a machine by its token. It sets and
// clears the cookies. It checks no passphrase (the gate does) and decides nothing about what a role may do (the book does).
package signin

import (
	"context"
	"errors"
	"net"
	"net/http"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/trouble"
)

// The cookies. The session's holds a token; the tablet's holds the secret by which the gate knows the device again.
const (
	sessionCookie = "slatewright_session"
	tabletCookie  = "slatewright_tablet"
)

// tabletKept is how long a device is known again: common practice for a shared tablet, no source.
const tabletKept = 365 * 24 * time.Hour

// Identifier is what of a gate is asked here.
type Identifier interface {
	Identify(ctx context.Context, token string) (gate.Identity, error)
	Peek(ctx context.Context, token string) (gate.Identity, error)
}

// ByItself is the header of a question that an open page asks by itself: it is no use of a session, and keeps nobody signed in.
const ByItself = "Slatewright-By-Itself"

// byItself tells whether nobody did anything: a page looks again by itself, or listens for news.
func byItself(r *http.Request) bool {
	return r.Method == http.MethodGet && (r.Header.Get(ByItself) != "" || strings.HasSuffix(r.URL.Path, "/live"))
}

// Teller is what of a book is asked here.
type Teller interface {
	Thing(ctx context.Context, r book.Ref) (book.Thing, error)
}

// Sender is who sends a request.
type Sender struct {
	gate.Identity
	Token string    // the token that was shown
	Role  book.Role // what the sender may do now, as the book says; empty for somebody who has left the mill
}

// Who finds the sender of a request. Without a good token it is trouble with the code not-signed-in.
func Who(r *http.Request, g Identifier, b Teller) (Sender, error) {
	token := Token(r)
	if token == "" {
		return Sender{}, notSignedIn("nobody is signed in")
	}
	identify := g.Identify
	if byItself(r) {
		identify = g.Peek
	}
	id, err := identify(r.Context(), token)
	if err != nil {
		return Sender{}, err
	}
	s := Sender{Identity: id, Token: token, Role: id.Role}
	if !id.Machine {
		s.Role, err = roleOf(r.Context(), b, id.Person)
	}
	if err == nil && s.Role == "" {
		err = notSignedIn(id.Person + " is not with the mill any more")
	}
	return s, err
}

func notSignedIn(what string) error {
	return trouble.Data("not-signed-in", "", what, "sign in with POST /api/v1/session, or send Authorization: Bearer and a token")
}

// roleOf asks the book what a person may do. Somebody who is not in it or has left may do nothing.
func roleOf(ctx context.Context, b Teller, person string) (book.Role, error) {
	t, err := b.Thing(ctx, book.Ref{Kind: book.KindPerson, ID: person})
	if tr := (*trouble.Trouble)(nil); errors.As(err, &tr) && tr.Code == "no-such-thing" {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	state, err := book.StateOf(t)
	if err != nil {
		return "", err
	}
	if p := state.(*book.PersonState); !p.Gone {
		return p.Role, nil
	}
	return "", nil
}

// Token returns what a request shows: the bearer token if it has one, else the session's cookie.
func Token(r *http.Request) string {
	if shown := r.Header.Get("Authorization"); shown != "" {
		scheme, token, _ := strings.Cut(shown, " ")
		if !strings.EqualFold(scheme, "Bearer") {
			return ""
		}
		return strings.TrimSpace(token)
	}
	return cookie(r, sessionCookie)
}

// Tablet returns the secret of the device, if it has one.
func Tablet(r *http.Request) string { return cookie(r, tabletCookie) }

func cookie(r *http.Request, name string) string {
	if c, err := r.Cookie(name); err == nil {
		return c.Value
	}
	return ""
}

// From returns the address a request comes from, without its port: attempts are counted by it.
func From(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// Cookies returns the cookies of a new session on a tablet.
func Cookies(r *http.Request, s gate.Session, tablet string, now time.Time) []http.Cookie {
	return []http.Cookie{
		made(r, sessionCookie, s.Token, int(s.Until.Sub(now).Seconds())),
		made(r, tabletCookie, tablet, int(tabletKept.Seconds())),
	}
}

// Cleared returns the cookie that ends a session in the browser. The tablet stays known.
func Cleared(r *http.Request) []http.Cookie { return []http.Cookie{made(r, sessionCookie, "", -1)} }

// made is never readable for scripts. It goes along when a page is opened from a label's code, but not with a form of another site.
func made(r *http.Request, name, value string, seconds int) http.Cookie {
	return http.Cookie{Name: name, Value: value, Path: "/", MaxAge: seconds, HttpOnly: true, Secure: Secure(r), SameSite: http.SameSiteLaxMode}
}

// secured marks a request whose sender speaks TLS to a proxy that is trusted.
type secured struct{}

// Secured marks a request as protected on its way by a proxy. Whether that is to be believed is the caller's to know.
func Secured(r *http.Request) *http.Request {
	return r.WithContext(context.WithValue(r.Context(), secured{}, true))
}

// Secure tells whether a request came protected: by TLS to the program, or to a trusted proxy before it.
func Secure(r *http.Request) bool { return r.TLS != nil || r.Context().Value(secured{}) != nil }
