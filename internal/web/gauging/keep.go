package gauging

import (
	"io"
	"net/url"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// largestKept bounds a study that is read again.
const largestKept = 4 << 20

// offerKeeping lets whoever may write into the book keep a study with its instrument.
func offerKeeping(v *shell.Visit, f *shell.ListForm, given shell.Lists) error {
	if !v.Sender.Role.Covers(book.Hand) {
		return nil
	}
	page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindInstrument}, "", 500)
	if err != nil || len(page.Items) == 0 {
		return err
	}
	choice := shell.ListChoice{Name: "instrument", Label: v.Say("gauging.keep-with"), Hint: v.Say("gauging.keep-hint"), Value: given.Plain.Get("instrument"), Choices: []shell.ListChoice{{}}}
	for _, t := range page.Items {
		choice.Choices = append(choice.Choices, shell.ListChoice{Value: t.ID, Label: t.ID})
	}
	if f.Entry = given.Plain.Get("_entry"); f.Entry == "" {
		f.Entry = v.NewEntry()
	}
	f.More = append(f.More, choice)
	f.Files = append(f.Files, shell.ListFile{As: "keep", Label: v.Say("gauging.keep")})
	return nil
}

// keep puts the list among the mill's files and the study into the book, with the instrument that was tried.
func (r room) keep(v *shell.Visit, q question, p asking, given shell.Lists) error {
	err := handIn(v, given)
	if wrong := shell.Refusal(err); wrong != nil {
		if offer := offerKeeping(v, &p.Form, given); offer != nil {
			return offer
		}
		v.Refill(&p.Form, given, wrong)
		return q.show(v, p, wrong.Status)
	}
	if err != nil {
		return err
	}
	return v.Redirect(shell.Link(book.Ref{Kind: book.KindInstrument, ID: given.Plain.Get("instrument")}) + "?did=read")
}

func handIn(v *shell.Visit, given shell.Lists) error {
	if !v.Sender.Role.Covers(book.Hand) {
		return problem.New("not-allowed", "", v.Say("shell.not-allowed", "role", v.Say("role."+string(book.Hand))), v.Say("shell.ask-other"))
	}
	id := given.Plain.Get("instrument")
	if id == "" {
		return problem.New("missing", "instrument", v.Say("gauging.keep-which"), v.Say("gauging.keep-which-next"))
	}
	t, _, err := v.Thing(book.KindInstrument, id)
	if err != nil {
		return err
	}
	digest, _, err := v.Blobs.Put(v.R.Context(), strings.NewReader(given.Lists["list"].Text), v.MaxUpload)
	if err != nil {
		return err
	}
	_, err = v.HandIn(shell.Act{Entry: given.Plain.Get("_entry"), Station: t.Station, Act: &book.Read{Thing: t.Ref, What: book.Study, Instruments: []string{t.ID}, Blob: digest}})
	return err
}

// kept is the list of a study that the book holds.
func kept(v *shell.Visit, entry string) (shell.Lists, error) {
	given := shell.Lists{Lists: map[string]shell.List{}, Plain: url.Values{}}
	placed, err := v.Ledger.Entry(v.R.Context(), entry)
	if err != nil {
		return given, err
	}
	act, err := book.Decode(placed.Act, placed.Body)
	if err != nil {
		return given, err
	}
	a, ok := act.(*book.Read)
	if !ok || a.What != book.Study || a.Blob == "" {
		return given, problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}
	file, _, err := v.Blobs.Open(v.R.Context(), a.Blob)
	if err != nil {
		return given, err
	}
	text, err := io.ReadAll(io.LimitReader(file, largestKept))
	if closed := file.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return given, err
	}
	given.Lists["list"] = shell.List{Name: a.Thing.ID, Text: string(text)}
	given.Plain.Set("instrument", a.Thing.ID)
	return given, nil
}
