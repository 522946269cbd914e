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

// keeper keeps a study with its instrument.
type keeper struct{}

// Offer offers it to whoever may write into the book.
func (keeper) Offer(v *shell.Visit, f *shell.ListForm, given shell.Lists) error {
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

// Keep puts the list among the mill's files and the study into the book, with the instrument that was tried.
func (keeper) Keep(v *shell.Visit, given shell.Lists) (goTo string, err error) {
	return shell.Link(book.Ref{Kind: book.KindInstrument, ID: given.Plain.Get("instrument")}) + "?did=read", handIn(v, given)
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

// kept is the list of the study in the book that the address names.
func kept(v *shell.Visit, _ *shell.Asking) (given shell.Lists, found bool, err error) {
	entry := v.R.URL.Query().Get("kept")
	if entry == "" {
		return given, false, nil
	}
	given = shell.Lists{Lists: map[string]shell.List{}, Plain: url.Values{}}
	placed, err := v.Ledger.Entry(v.R.Context(), entry)
	if err != nil {
		return given, false, err
	}
	act, err := book.Decode(placed.Act, placed.Body)
	if err != nil {
		return given, false, err
	}
	a, ok := act.(*book.Read)
	if !ok || a.What != book.Study || a.Blob == "" {
		return given, false, problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}
	file, _, err := v.Blobs.Open(v.R.Context(), a.Blob)
	if err != nil {
		return given, false, err
	}
	text, err := io.ReadAll(io.LimitReader(file, largestKept))
	if closed := file.Close(); err == nil {
		err = closed
	}
	given.Lists["list"] = shell.List{Name: a.Thing.ID, Text: string(text)}
	given.Plain.Set("instrument", a.Thing.ID)
	return given, err == nil, err
}
