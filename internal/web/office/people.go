package office

import (
	"crypto/rand"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// crew is the page of people.
type crew struct {
	People []somebody
	Lead   bool
	Whose  string // whose passphrase was set anew
	Once   string // the passphrase, shown this once
	Wrong  *problem.Problem
	Head   string
}

func showPeople(v *shell.Visit) error { return crewPage(v, crew{}) }

func crewPage(v *shell.Visit, c crew) (err error) {
	if c.People, err = people(v); err != nil {
		return err
	}
	c.Lead = v.Sender.Role.Covers(book.Lead)
	page := shell.Page{Name: "office/people", Title: v.Say("shell.people"), Here: "people"}
	if c.Wrong != nil {
		c.Head, page.Code = v.HeadOf(c.Wrong), c.Wrong.Status
	}
	page.Data = c
	return v.Show(page)
}

// resetPassphrase gives somebody a new passphrase, which is shown once, and ends what they have open.
func resetPassphrase(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	t, _, err := v.Thing(book.KindPerson, form.Get("person"))
	if err == nil {
		err = v.Reaffirm(form.Get("passphrase"))
	}
	if wrong := shell.Refusal(err); wrong != nil {
		return crewPage(v, crew{Wrong: wrong})
	}
	if err != nil {
		return err
	}
	once := rand.Text()
	if err := v.Gate.SetPassphrase(v.R.Context(), t.ID, once); err != nil {
		return err
	}
	return crewPage(v, crew{Whose: t.ID, Once: once})
}
