package evidence

import (
	"context"
	"errors"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// watched is a ledger whose acts are held against their files before it takes them.
type watched struct {
	book.Ledger
	blobs book.Blobs
	demo  func() bool
}

// Watch returns the ledger with a check of every act before it is taken, so that doors need not think of it. demo says whether the
// mill's data are invented. What the program itself hands in (Caller.System) was checked when it was first taken.
func Watch(l book.Ledger, b book.Blobs, demo func() bool) book.Ledger { return &watched{l, b, demo} }

// Append checks one act and hands it on.
func (w *watched) Append(ctx context.Context, s book.Submission) (book.Receipt, error) {
	if _, err := w.check(ctx, s, nil); err != nil {
		return book.Receipt{}, err
	}
	return w.Ledger.Append(ctx, s)
}

// AppendAll checks all of them and hands them on, or returns what is wrong with each.
func (w *watched) AppendAll(ctx context.Context, list []book.Submission, dryRun bool) ([]book.Receipt, []error, error) {
	var before []book.Act
	refused, some := make([]error, len(list)), false
	for i, s := range list {
		act, err := w.check(ctx, s, before)
		if err != nil {
			var t *trouble.Trouble
			if !errors.As(err, &t) {
				return nil, nil, err
			}
			refused[i], some = err, true
		}
		if act != nil {
			before = append(before, act)
		}
	}
	receipts, more, err := w.Ledger.AppendAll(ctx, list, dryRun || some) // so that all that is wrong is told at once
	if err != nil || !some {
		return receipts, more, err
	}
	for i, err := range more {
		if refused[i] == nil {
			refused[i] = err
		}
	}
	return nil, refused, nil
}

// check holds one submission against its files. It returns the act if that names any; what cannot be read as an act is the book's to
// refuse.
func (w *watched) check(ctx context.Context, s book.Submission, before []book.Act) (book.Act, error) {
	if !withFiles[s.Entry.Act] || s.Caller.System {
		return nil, nil
	}
	act, err := book.Decode(s.Entry.Act, s.Entry.Body)
	if err != nil {
		return nil, nil
	}
	if stored, err := w.stored(ctx, s.Entry.ID); stored || err != nil {
		return act, err
	}
	return act, checking{ctx, w.blobs, w.Ledger, w.demo(), before}.act(act)
}

// withFiles are the acts that name files, by their words.
var withFiles = func() map[string]bool {
	words := map[string]bool{}
	for _, a := range []book.Act{&book.Read{}, &book.LayUp{}, &book.Judge{}, &book.Certify{}, &book.Survey{}, &book.Calibrate{}, &book.Correct{}} {
		words[a.Word()] = true
	}
	return words
}()

// stored reports whether the entry is in the book already: sent again it is answered as the first time, whatever has changed since.
func (w *watched) stored(ctx context.Context, id string) (bool, error) {
	_, err := w.Ledger.Entry(ctx, id)
	var t *trouble.Trouble
	switch {
	case err == nil:
		return true, nil
	case errors.As(err, &t) && (t.Code == "no-such-thing" || t.Code == "no-such-entry"):
		return false, nil
	}
	return false, err
}
