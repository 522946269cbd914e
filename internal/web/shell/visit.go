package shell

import (
	"errors"
	"net/http"
	"net/url"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/signin"
	"slatewright/trouble"
)

// Visit is one request for a page: who asks, in which words they are answered, and when.
type Visit struct {
	*Shell
	tongue.Words
	W      http.ResponseWriter
	R      *http.Request
	Sender signin.Sender // zero for somebody who is not signed in
	Now    time.Time
	reader reader
}

// Page is what a page needs beside its data.
type Page struct {
	Name  string // of the template, as room/page
	Title string
	Here  string // the station or page that is marked in the way down the side
	Near  bool   // used at arm's length with wet gloves: everything that is touched is 20 mm high
	Told  *Told
	Code  int               // status of the answer; 200 when 0
	Uses  []string          // scripts beside the one of every page, by name
	Keep  bool              // it is kept on the tablet for opening without network
	Care  []caution.Caution // where the work that the page is about can hurt
	Data  any
}

// Told is what the program says about what was just done.
type Told struct{ Tone, What, Next string } // Tone: good, bad, doubt

// Show answers with a page; a request for a part of one (by a script) gets the part within the frame.
func (v *Visit) Show(p Page) error {
	f := v.frame(p)
	block := "page"
	if v.R.Header.Get("HX-Request") != "" {
		block = "block"
	}
	text, err := v.parts.render(p.Name, block, f)
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.W.Header().Set("Vary", "HX-Request")
	if p.Code != 0 {
		v.W.WriteHeader(p.Code)
	}
	_, _ = v.W.Write(text) // a browser that has gone cannot be told so
	return nil
}

// Redirect sends the browser to another page of the mill after a form was taken.
func (v *Visit) Redirect(to string) error {
	http.Redirect(v.W, v.R, to, http.StatusSeeOther)
	return nil
}

// Within keeps an address only when it is one of the mill's own pages.
func Within(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.Host != "" || u.Scheme != "" || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(address, "//") || strings.Contains(address, `\`) {
		return "/"
	}
	return u.RequestURI()
}

// fault is what the page of a fault shows.
type fault struct{ Title, What, Where, Next, Reference string }

// fail answers with the page of what went wrong. Somebody who must sign in first and only looks is sent there.
func (v *Visit) fail(err error) {
	p := problem.Of(err)
	if p.Status == http.StatusUnauthorized && v.R.Method == http.MethodGet {
		http.Redirect(v.W, v.R, "/sign-in?next="+url.QueryEscape(v.R.URL.RequestURI()), http.StatusSeeOther)
		return
	}
	if p.Reference != "" {
		v.Log.Error("fault", "reference", p.Reference, "method", v.R.Method, "path", v.R.URL.Path, "cause", err)
	}
	show := Page{Name: "fault", Title: v.Say("shell.fault"), Code: p.Status,
		Data: fault{Title: v.titleOf(p.Code, p.Status), What: p.Detail, Where: p.Where, Next: p.Next, Reference: p.Reference}}
	if err := v.Show(show); err != nil {
		v.Log.Error("the page of a fault cannot be shown", "path", v.R.URL.Path, "cause", err)
		http.Error(v.W, p.Detail+"\n"+p.Next, p.Status)
	}
}

// HeadOf says in the reader's language what a refusal is; its detail is the book's own.
func (v *Visit) HeadOf(p *problem.Problem) string { return v.titleOf(p.Code, p.Status) }

// titleOf heads the page of a fault: what the code says in the reader's language, else what the status means.
func (v *Visit) titleOf(code string, status int) string {
	if v.Has("refused." + code) {
		return v.Say("refused." + code)
	}
	switch status {
	case http.StatusNotFound:
		return v.Say("shell.not-there")
	case http.StatusForbidden, http.StatusUnauthorized:
		return v.Say("shell.may-not")
	case http.StatusConflict, http.StatusUnprocessableEntity, http.StatusBadRequest:
		return v.Say("shell.cannot-be-done")
	}
	return v.Say("shell.fault")
}

// NotFound is the page of an address where nothing is.
func (s *Shell) NotFound(w http.ResponseWriter, q *http.Request) {
	s.serve(w, q, Route{Least: Anybody, Do: func(v *Visit) error {
		return problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}})
}

// Refuse is the answer to a form of a specimen.
func (s *Shell) Refuse(w http.ResponseWriter, q *http.Request) {
	s.serve(w, q, Route{Least: Anybody, Do: func(v *Visit) error {
		return trouble.Data("specimen", "", v.Say("floor.specimens-text"), "")
	}})
}

// Thing reads the thing that a part of the address names.
func (v *Visit) Thing(kind book.Kind, id string) (book.Thing, any, error) {
	r, err := book.ParseRef(string(kind) + ":" + id)
	if err != nil {
		return book.Thing{}, nil, err
	}
	t, err := v.Ledger.Thing(v.R.Context(), r)
	if err != nil {
		return book.Thing{}, nil, err
	}
	state, err := book.StateOf(t)
	return t, state, err
}

// called is how a person is spoken of: as the book calls them, else by their number.
func (v *Visit) called() string {
	if v.Sender.Person == "" || v.Sender.Machine {
		return v.Sender.Person
	}
	_, state, err := v.Thing(book.KindPerson, v.Sender.Person)
	if p, ok := state.(*book.PersonState); ok && err == nil && p.Called != "" {
		return p.Called
	}
	return v.Sender.Person
}

// asProblem returns what went wrong as a page or form can show it, and whether it is of the kind that a person can mend in the
// form they sent.
func asProblem(err error) (p *problem.Problem, mendable bool) {
	if err == nil {
		return nil, false
	}
	if !errors.As(err, &p) {
		p = problem.Of(err)
	}
	return p, p.Status >= 400 && p.Status < 500 && p.Status != http.StatusUnauthorized && p.Status != http.StatusNotFound
}

// Mendable returns what a form shows of an error that whoever filled it in can mend; nil for any other.
func Mendable(err error) *problem.Problem {
	if p, ok := asProblem(err); ok {
		return p
	}
	return nil
}

// Refusal is Mendable for a form that names things: a number in it that the book does not have can be typed anew.
func Refusal(err error) *problem.Problem {
	p, mendable := asProblem(err)
	if mendable || p != nil && p.Code == "no-such-thing" {
		return p
	}
	return nil
}
