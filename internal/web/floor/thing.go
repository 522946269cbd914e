package floor

import (
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/slip"
)

// sheet is the page of a thing that has no page of its own kind.
type sheet struct {
	Thing  book.Thing
	At     string
	Parent slip.Look
	Facts  facts
	Next   string
	Past   []Past
	More   string // cursor of the older part
	Count  book.Count
	Reach  bool
}

// Past is one entry in the history of a thing.
type Past struct {
	Entry   string
	When    string
	Who     string
	Did     string
	Told    string
	State   string // conflict or struck; empty when it stands
	Station book.Station
}

// mostPast is how much of a history a page shows at once.
const mostPast = 100

func (r room) thing(v *shell.Visit) error {
	t, _, err := v.Thing(book.Kind(v.R.PathValue("kind")), v.R.PathValue("number"))
	if err != nil {
		return err
	}
	p := sheet{Thing: t, At: v.Word("station", string(t.Station)), Next: slip.Says(v.Words, r.queue.NextFor(v.Now, t.Ref)[0])}
	if t.Parent != (book.Ref{}) {
		p.Parent = slip.Look{Ref: t.Parent, Path: shell.Link(t.Parent)}
	}
	if p.Facts, err = factsOf(v, t); err != nil {
		return err
	}
	history, err := v.Ledger.History(v.R.Context(), t.Ref, v.R.URL.Query().Get("after"), mostPast)
	if err != nil {
		return err
	}
	p.More = history.Next
	for _, e := range history.Items {
		p.Past = append(p.Past, past(v.Words, e))
	}
	if p.Reach = t.Kind != book.KindPerson && t.Kind != book.KindMill; p.Reach {
		if p.Count, err = v.Ledger.AffectedCount(v.R.Context(), t.Ref); err != nil {
			return err
		}
	}
	return v.Show(shell.Page{Name: "floor/thing", Title: t.ID, Here: string(t.Station), Data: p})
}

func past(w tongue.Words, e book.Placed) Past {
	return Past{Entry: e.Entry.ID, When: w.Moment(e.At), Who: e.Person, Did: w.Word("did", e.Act), Told: told(w, e), State: e.Standing.State, Station: e.Station}
}

// told is what an entry says beside its act: the note or cause that a person wrote.
func told(w tongue.Words, e book.Placed) string {
	act, err := book.Decode(e.Act, e.Body)
	if err != nil {
		return ""
	}
	switch a := act.(type) {
	case *book.Reject:
		return strings.TrimSpace(w.Word("cause", a.Cause) + " " + a.Note)
	case *book.Correct:
		return a.Why
	case *book.PartSet:
		return a.Why
	case *book.Return:
		return a.Complaint
	case *book.Read:
		return strings.Join(append([]string{w.Word("reading", a.What)}, a.Instruments...), ", ")
	case *book.LeaveRoom:
		return a.Released
	}
	return ""
}
