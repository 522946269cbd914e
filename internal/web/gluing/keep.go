package gluing

import (
	"io"
	"net/url"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// largestKept bounds a list that is read again.
const largestKept = 4 << 20

// keeper keeps a list with its batch, so that what waits can go by it.
type keeper struct{}

// Offer offers it to whoever may write into the book.
func (keeper) Offer(v *shell.Visit, f *shell.ListForm, given shell.Lists) error {
	if !v.Sender.Role.Covers(book.Hand) {
		return nil
	}
	batches, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindBoardBatch}, "", 500)
	if err != nil {
		return err
	}
	instruments, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindInstrument}, "", 500)
	if err != nil {
		return err
	}
	batch := shell.ListChoice{Name: "batch", Label: v.Say("gluing.keep-with"), Hint: v.Say("gluing.keep-hint"), Value: given.Plain.Get("batch"), Choices: []shell.ListChoice{{}}}
	for _, t := range batches.Items {
		batch.Choices = append(batch.Choices, shell.ListChoice{Value: t.ID, Label: t.ID})
	}
	scale := shell.ListChoice{Name: "scale", Label: v.Say("gluing.keep-scale"), Value: given.Plain.Get("scale"), Choices: []shell.ListChoice{{}}}
	for _, t := range instruments.Items {
		state, err := book.StateOf(t)
		if err != nil {
			return err
		}
		if s, ok := state.(*book.InstrumentState); ok && s.Sort == "scale" {
			scale.Choices = append(scale.Choices, shell.ListChoice{Value: t.ID, Label: t.ID})
		}
	}
	if len(batch.Choices) == 1 || len(scale.Choices) == 1 {
		return nil
	}
	if f.Entry = given.Plain.Get("_entry"); f.Entry == "" {
		f.Entry = v.NewEntry()
	}
	f.More = append(f.More, batch, scale)
	f.Files = append(f.Files, shell.ListFile{As: "keep", Label: v.Say("gluing.keep")})
	return nil
}

// Keep puts the list among the mill's files and the reading of its sample board into the book.
func (keeper) Keep(v *shell.Visit, given shell.Lists) (goTo string, err error) {
	return batchPath + "?batch=" + url.QueryEscape(given.Plain.Get("batch")), handIn(v, given)
}

func handIn(v *shell.Visit, given shell.Lists) error {
	if !v.Sender.Role.Covers(book.Hand) {
		return problem.New("not-allowed", "", v.Say("shell.not-allowed", "role", v.Say("role."+string(book.Hand))), v.Say("shell.ask-other"))
	}
	batch, scale := given.Plain.Get("batch"), given.Plain.Get("scale")
	if batch == "" || scale == "" {
		return problem.New("missing", "batch", v.Say("gluing.keep-which"), v.Say("gluing.keep-which-next"))
	}
	t, _, err := v.Thing(book.KindBoardBatch, batch)
	if err != nil {
		return err
	}
	digest, _, err := v.Blobs.Put(v.R.Context(), strings.NewReader(given.Lists["list"].Text), v.MaxUpload)
	if err != nil {
		return err
	}
	_, err = v.HandIn(shell.Act{Entry: given.Plain.Get("_entry"), Station: t.Station, Act: &book.Read{Thing: t.Ref, What: "moisture", Instruments: []string{scale}, Blob: digest}})
	return err
}

// fetch is the list that the book holds with the batch that the address names; nothing where it holds none.
func fetch(v *shell.Visit, _ *shell.Asking) (given shell.Lists, there bool, err error) {
	batch := v.R.URL.Query().Get("batch")
	if batch == "" {
		return given, false, nil
	}
	given = shell.Lists{Lists: map[string]shell.List{}, Plain: url.Values{}}
	t, _, err := v.Thing(book.KindBoardBatch, batch)
	if err != nil {
		return given, false, err
	}
	state, err := book.StateOf(t)
	if err != nil {
		return given, false, err
	}
	s, ok := state.(*book.BatchState)
	if !ok || s.Weighed == "" {
		return given, false, nil
	}
	file, _, err := v.Blobs.Open(v.R.Context(), s.Weighed)
	if err != nil {
		return given, false, err
	}
	text, err := io.ReadAll(io.LimitReader(file, largestKept))
	if closed := file.Close(); err == nil {
		err = closed
	}
	given.Lists["list"] = shell.List{Name: batch, Text: string(text)}
	given.Plain.Set("batch", batch)
	return given, err == nil, err
}
