package office

import (
	"crypto/rand"
	"net/http"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/signin"
)

// demoPassphrase opens the invented mill, and nothing else: it is told on its own page.
const demoPassphrase = "quern hollow is invented"

// door is the page of signing in.
type door struct {
	Next     string
	Person   string // as typed
	Wrong    *problem.Problem
	People   []somebody // only of the invented mill: a stranger is not told who works where
	Tablet   bool       // it is known again: a PIN may serve
	SelfMade bool       // the mill's certificate is to be trusted first
	Demo     string     // the invented mill's passphrase
}

// somebody is a person as the pages speak of them.
type somebody struct {
	ID, Called string
	Role       book.Role
	Gone       bool
}

func showSignIn(v *shell.Visit) error {
	return showDoor(v, door{Next: shell.Within(v.R.URL.Query().Get("next"))}, 0)
}

func showDoor(v *shell.Visit, d door, code int) (err error) {
	d.Tablet, d.SelfMade = signin.Tablet(v.R) != "", v.SelfMade
	if v.Demo {
		d.Demo = demoPassphrase
		if d.People, err = people(v); err != nil {
			return err
		}
	}
	return v.Show(shell.Page{Name: "office/sign-in", Title: v.Say("office.sign-in"), Near: true, Code: code, Data: d})
}

// people lists who is in the mill, in the order of their numbers.
func people(v *shell.Visit) (list []somebody, err error) {
	for cursor := ""; ; {
		page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindPerson}, cursor, 200)
		if err != nil {
			return nil, err
		}
		for _, t := range page.Items {
			state, err := book.StateOf(t)
			if err != nil {
				return nil, err
			}
			p := state.(*book.PersonState)
			called := p.Called
			if called == "" {
				called = t.ID
			}
			list = append(list, somebody{t.ID, called, p.Role, p.Gone})
		}
		if cursor = page.Next; cursor == "" {
			return list, nil
		}
	}
}

// signIn opens a session by passphrase.
func signIn(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	tablet := signin.Tablet(v.R)
	if tablet == "" {
		tablet = rand.Text()
	}
	person := strings.TrimSpace(form.Get("person"))
	s, err := v.Gate.SignIn(v.R.Context(), person, form.Get("passphrase"), tablet, signin.From(v.R))
	return begin(v, s, err, tablet, door{Next: shell.Within(form.Get("next")), Person: person})
}

// switchPerson opens a session by PIN on a tablet that is known.
func switchPerson(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	tablet := signin.Tablet(v.R)
	person := strings.TrimSpace(form.Get("person"))
	s, err := v.Gate.Switch(v.R.Context(), tablet, person, form.Get("pin"), signin.From(v.R))
	return begin(v, s, err, tablet, door{Next: shell.Within(form.Get("next")), Person: person})
}

// begin keeps a new session in the browser, or shows the door again with what was wrong.
func begin(v *shell.Visit, s gate.Session, err error, tablet string, d door) error {
	if d.Wrong = shell.Mendable(err); d.Wrong != nil {
		return showDoor(v, d, d.Wrong.Status)
	}
	if err != nil {
		return err
	}
	for _, c := range signin.Cookies(v.R, s, tablet, v.Now) {
		http.SetCookie(v.W, &c)
	}
	return v.Redirect(d.Next)
}

func signOut(v *shell.Visit) error {
	if err := v.Gate.SignOut(v.R.Context(), v.Sender.Token); err != nil {
		return err
	}
	for _, c := range signin.Cleared(v.R) {
		http.SetCookie(v.W, &c)
	}
	return v.Redirect("/sign-in")
}
