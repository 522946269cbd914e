// Package shell is the frame of every page: the way of the stone down its side, the strip with the field for scanned codes, the
// reader's language, units and light, the look, and the walls that stand around a page. It turns a form into an act and hands
// it in, and an error into a page that says what to do next.
//
// It has no page of its own but that of a fault, and those in which rooms ask questions about lists. It decides nothing about the trade (the book does), checks no passphrase (the
// gate does), and computes nothing.
package shell

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"net/http"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/measured/kept"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/signin"
	"slatewright/trouble"
)

// Gate is what pages ask of a gate.
type Gate interface {
	SignIn(ctx context.Context, person, passphrase, tablet, from string) (gate.Session, error)
	Switch(ctx context.Context, tablet, person, pin, from string) (gate.Session, error)
	Identify(ctx context.Context, token string) (gate.Identity, error)
	Peek(ctx context.Context, token string) (gate.Identity, error)
	Reaffirm(ctx context.Context, id gate.Identity, passphrase, from string) error
	SignOut(ctx context.Context, token string) error
	RevokeAll(ctx context.Context, person string) error
	SetPassphrase(ctx context.Context, person, passphrase string) error
	SetPIN(ctx context.Context, person, pin string) error
}

// Config is what the pages work with. Scripts may be nil: then every page works without.
type Config struct {
	Ledger    book.Ledger
	Blobs     book.Blobs
	Gate      Gate
	Clock     func() time.Time
	Log       *slog.Logger
	Mill      string // its name
	Demo      bool
	Specimen  string // the state that this is a specimen of; "" for the mill's own pages
	SelfMade  bool   // connections are protected by a certificate of the mill's own, which tablets must be told to trust
	MaxUpload int64
	Scripts   Scripts
	Waiting   func() int   // how many questions wait, for the number beside the first page; nil: none is shown
	Head      func() int64 // the journal's place that this program has seen; nil: pages do not say it
	Answers   *kept.Shelf  // what was worked out for questions; nil: a shelf of its own
}

// Scripts are the page scripts as they were bundled, by their plain names; what there is not has no address.
type Scripts interface {
	Path(name string) string // address of a script below /static/
	Files() fs.FS            // what is served there
}

// Anybody may open a route with this least role, signed in or not.
const Anybody book.Role = ""

// Route is one page, or what a form is sent to.
type Route struct {
	Method, Path string
	Least        book.Role
	Do           func(*Visit) error
	Data         bool // it answers with data for scripts or with a file, not with a page
	Alone        bool // it looks at what is given and at nothing in the book: one mill's page is as another's
}

// Shell serves pages in their frame.
type Shell struct {
	Config
	parts  *parts
	static *static
	routes []Route
	tally  tally
}

// New makes the frame.
func New(c Config) (*Shell, error) {
	s := &Shell{Config: c, static: newStatic(c.Scripts)}
	if s.Answers == nil {
		s.Answers = NewAnswers()
	}
	s.parts = newParts()
	return s, s.parts.err()
}

// Add puts routes on a mux, each behind the sign-in and the least role that it names.
func (s *Shell) Add(mux *http.ServeMux, routes []Route) {
	for _, r := range routes {
		s.routes = append(s.routes, r)
		mux.HandleFunc(r.Method+" "+r.Path, func(w http.ResponseWriter, q *http.Request) { s.serve(w, q, r) })
	}
}

// AddOwn puts what belongs to the frame itself on a mux: static files, and the reader's choices.
func (s *Shell) AddOwn(mux *http.ServeMux) {
	mux.Handle("GET /static/", s.static)
	mux.HandleFunc("GET /manifest.webmanifest", s.manifest)
	mux.HandleFunc("GET /sw.js", s.worker)
	s.Add(mux, []Route{{Method: http.MethodPost, Path: "/reader", Least: Anybody, Do: chooseReader}})
}

// Routes lists every route that was added.
func (s *Shell) Routes() []Route { return s.routes }

// serve lets a visitor in and answers, with a page of the fault when it fails.
func (s *Shell) serve(w http.ResponseWriter, q *http.Request, r Route) {
	s.setHeaders(w)
	v := &Visit{Shell: s, W: w, R: q, Now: s.Clock()}
	v.readReader()
	err := v.letIn(r)
	if err == nil {
		err = r.Do(v)
	}
	if err != nil {
		v.fail(err)
	}
}

// policy is what a page may load: its own files and nothing else, no script or style within it.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

func (s *Shell) setHeaders(w http.ResponseWriter) {
	w.Header().Set("Content-Security-Policy", policy)
	w.Header().Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
}

// letIn asks who this is and whether they may see the page. Somebody who is not signed in and only looks is sent to sign in.
func (v *Visit) letIn(r Route) (err error) {
	v.Sender, err = signin.Who(v.R, v.Shell.Gate, v.Shell.Ledger)
	if t := (*trouble.Trouble)(nil); err != nil && r.Least == Anybody && errors.As(err, &t) && t.Code == "not-signed-in" {
		v.Sender, err = signin.Sender{}, nil
	}
	if err != nil || r.Least == Anybody {
		return err
	}
	if !v.Sender.Role.Covers(r.Least) {
		return problem.New("not-allowed", "", v.Say("shell.not-allowed", "role", v.Say("role."+string(r.Least))), v.Say("shell.ask-other"))
	}
	return nil
}
