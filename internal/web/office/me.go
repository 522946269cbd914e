package office

import (
	"slatewright/internal/gate"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// me is the page of whoever is signed in.
type me struct {
	Wrong   *problem.Problem
	Which   string // the form that was wrong
	Machine bool   // nobody, but a program with a token
}

func showMe(v *shell.Visit) error {
	page := shell.Page{Name: "office/me", Title: v.Say("office.me"), Here: "me", Data: me{Machine: v.Sender.Machine}}
	if v.R.URL.Query().Get("kept") != "" {
		page.Told = &shell.Told{Tone: "good", What: v.Say("office.kept")}
	}
	return v.Show(page)
}

func setPIN(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	if err := v.Reaffirm(form.Get("passphrase")); err != nil {
		return meAgain(v, err, "pin")
	}
	return meAgain(v, v.Gate.SetPIN(v.R.Context(), v.Sender.Person, form.Get("pin")), "pin")
}

// setPassphrase signs the person out everywhere: whoever knew the old one is shut out.
func setPassphrase(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	if err := v.Reaffirm(form.Get("passphrase")); err != nil {
		return meAgain(v, err, "passphrase")
	}
	if err := gate.CheckPassphrase(v.Sender.Person, form.Get("new"), v.Ledger.Site(), v.Mill); err != nil {
		return meAgain(v, err, "passphrase")
	}
	return meAgain(v, v.Gate.SetPassphrase(v.R.Context(), v.Sender.Person, form.Get("new")), "passphrase")
}

// meAgain shows the page again with what was wrong, or that it is kept.
func meAgain(v *shell.Visit, err error, which string) error {
	if wrong := shell.Mendable(err); wrong != nil {
		return v.Show(shell.Page{Name: "office/me", Title: v.Say("office.me"), Here: "me", Code: wrong.Status, Data: me{wrong, which, v.Sender.Machine}})
	}
	if err != nil {
		return err
	}
	return v.Redirect("/me?kept=" + which)
}
