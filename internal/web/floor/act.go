package floor

import (
	"bytes"
	"encoding/json"
	"maps"
	"net/url"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/book/blank"
	"slatewright/internal/caution"
	"slatewright/internal/waiting"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

// weighty are the acts that cannot be taken back: stone is gone, or a promise is given. They want the code and a held button.
var weighty = map[string]bool{"reject": true, "surface": true, "slice": true, "cut": true, "resize": true, "certify": true, "ship": true}

func actNamed(word string) book.Act {
	for _, a := range book.Acts() {
		if a.Word() == word {
			return a
		}
	}
	return nil
}

// elsewhere are the acts that are no plain form: they have pages of their own.
var elsewhere = map[string]bool{"certify": true, "settle": true}

// form is an act's form.
type form struct {
	Act     string
	Entry   string
	Station book.Station
	After   string
	Rows    []row
	Code    string // what must be scanned for a weighty act; empty when it is not known yet
	Weighty bool
	File    bool
	Wrong   *problem.Problem
	Head    string // of what is wrong
	Detail  string // the same, fields by their labels
	Next    string
	More    string // address of the same form with more rows
	Picks   shell.Picks
}

func (r room) blankForm(v *shell.Visit) error {
	act, err := formOf(v)
	if err != nil {
		return err
	}
	return r.showForm(v, act, v.R.URL.Query(), nil)
}

// formOf is the act that the address names. Some acts have pages of their own, and some are not done by a form.
func formOf(v *shell.Visit) (book.Act, error) {
	act := actNamed(v.R.PathValue("act"))
	if act == nil || elsewhere[act.Word()] {
		return nil, problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}
	return act, nil
}

func (r room) showForm(v *shell.Visit, act book.Act, filled url.Values, wrong *problem.Problem) error {
	f := form{Act: act.Word(), Entry: filled.Get("_entry"), After: shell.Within(filled.Get("_after")), Wrong: wrong, Weighty: weighty[act.Word()]}
	if f.Entry == "" || wrong != nil && wrong.Code == "same-id-other-entry" {
		f.Entry = v.NewEntry()
	}
	if filled.Get("_after") == "" {
		f.After = ""
	}
	f.Station = stationOf(v, act.Word(), filled)
	rows, err := rowsOf(v, act, filled)
	if err != nil {
		return err
	}
	f.Rows = rows
	if f.Act == "match" {
		f.Picks = r.picks(v, "/do/match", filled)
	}
	f.File = slices.ContainsFunc(rows, func(r row) bool { return r.Input == "file" })
	if wrong != nil {
		f.Head, f.Detail, f.Next = v.HeadOf(wrong), called(v, rows, wrong.Detail), called(v, rows, wrong.Next)
		for i := range f.Rows {
			if f.Rows[i].Name == wrong.Where || strings.HasSuffix(wrong.Where, "."+f.Rows[i].Name) {
				f.Rows[i].Wrong = f.Detail
			}
		}
	}
	if f.Weighty {
		f.Code = about(filled)
	}
	if slices.ContainsFunc(rows, func(r row) bool { return r.Repeats }) {
		more := url.Values{}
		for name := range filled {
			if !strings.HasPrefix(name, "_") && filled.Get(name) != "" {
				more.Set(name, filled.Get(name))
			}
		}
		more.Set("_rows", itoa(repeats(filled)+3))
		f.More = "/do/" + f.Act + "?" + more.Encode()
	}
	code := 0
	if wrong != nil {
		code = wrong.Status
	}
	return v.Show(shell.Page{Name: "floor/act", Title: v.Word("act", f.Act), Here: string(f.Station), Near: true, Code: code, Data: f, Keep: !f.Weighty,
		Care: caution.OnPage(v.Words, caution.OfAct(f.Act))})
}

// about is the number of what an act is about.
func about(filled url.Values) string {
	for _, name := range []string{"piece", "slab", "block", "set", "shipment"} {
		if id := strings.TrimSpace(filled.Get(name)); id != "" {
			return id
		}
	}
	_, id, _ := strings.Cut(filled.Get("thing"), ":")
	return id
}

// stationOf is where an act is done: as the form says, where the route leads, where the thing stands, at the one station that does it
// every day, or the office.
func stationOf(v *shell.Visit, act string, filled url.Values) book.Station {
	if said := book.Station(filled.Get("_station")); slices.Contains(book.Stations(), said) {
		return said
	}
	if _, state, err := v.Thing(book.KindMill, v.Ledger.Site()); err == nil {
		for _, step := range state.(*book.MillState).Route.Steps {
			switch {
			case step.Act != act || step.To == "":
			case step.To != book.Away:
				return step.To
			case len(step.From) == 1: // it is done where the stone leaves
				return step.From[0]
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(filled)) {
		if kind, id := shell.KindOf(name), filled.Get(name); kind != "" && id != "" {
			if t, _, err := v.Thing(kind, id); err == nil {
				return t.Station
			}
		}
	}
	if r, err := book.ParseRef(filled.Get("thing")); err == nil {
		if t, _, err := v.Thing(r.Kind, r.ID); err == nil {
			return t.Station
		}
	}
	return onlyAt(act)
}

// onlyAt is the one station whose page offers an act; the office where none does, or more than one.
func onlyAt(act string) book.Station {
	at := book.Office
	for station, acts := range usual {
		if !slices.Contains(acts, act) {
			continue
		}
		if at != book.Office {
			return book.Office
		}
		at = station
	}
	return at
}

// handIn takes a form: what is wrong is shown in it, with everything that was typed.
func (r room) handIn(v *shell.Visit) error {
	act, err := formOf(v)
	if err != nil {
		return err
	}
	filled, err := v.FormWithFile("blob")
	var receipt book.Receipt
	if err == nil {
		ofKind(filled)
		receipt, err = take(v, act, filled)
	}
	if wrong := shell.Refusal(err); wrong != nil && filled != nil {
		return r.showForm(v, act, filled, wrong)
	}
	if err != nil {
		return err
	}
	return v.Redirect(after(filled, act, receipt))
}

// take makes an act of a form and hands it in.
func take(v *shell.Visit, act book.Act, filled url.Values) (book.Receipt, error) {
	if codes := filled.Get("codes"); act.Word() == "pack" && codes != "" {
		filled.Set("codes", numbers(codes))
	}
	body, err := blank.Body(act, pairs(v, act, filled))
	if err != nil {
		return book.Receipt{}, err
	}
	made, err := book.Decode(act.Word(), body)
	if err != nil {
		return book.Receipt{}, err
	}
	if weighty[act.Word()] {
		if err := v.Confirmed(filled, about(filled)); err != nil {
			return book.Receipt{}, err
		}
	}
	in := shell.Act{Entry: filled.Get("_entry"), Station: stationOf(v, act.Word(), filled), Act: made}
	if said := filled.Get("_at"); said != "" {
		if in.At, err = time.ParseInLocation("2006-01-02T15:04", said, v.Now.Location()); err != nil {
			return book.Receipt{}, problem.New("bad-value", "_at", v.Say("floor.bad-time"), v.Say("floor.bad-time-next"))
		}
		if in.At.After(v.Now.Add(5 * time.Minute)) {
			return book.Receipt{}, problem.New("clock-ahead", "_at", v.Say("floor.in-future"), v.Say("floor.bad-time-next"))
		}
	}
	if needsPassphrase(made) {
		if err := v.Reaffirm(filled.Get("_passphrase")); err != nil {
			return book.Receipt{}, err
		}
		in.Reaffirmed = true
	}
	return v.HandIn(in)
}

// numbers takes the pieces' numbers out of codes that were read from their marks, or typed.
func numbers(codes string) string {
	var list []string
	for _, code := range marks.Split(codes) {
		if mark := marks.Read(code); mark.Kind == marks.IsMark {
			code = mark.Of
		}
		list = append(list, code)
	}
	return strings.Join(list, ", ")
}

// needsPassphrase says which acts of a form want the passphrase again: a correction may touch a certificate.
func needsPassphrase(a book.Act) bool {
	_, correct := a.(*book.Correct)
	return correct
}

// after is where the browser goes when the act is in the book: where the form said, else the page of what it was about.
func after(filled url.Values, act book.Act, r book.Receipt) string {
	to := filled.Get("_after")
	if to == "" {
		var named struct{ Thing, Piece, Set, Slab, Block, Shipment string }
		_ = json.NewDecoder(bytes.NewReader(r.Entry.Body)).Decode(&named) // it is an act's own body; what it does not name is not gone to
		if to = "/"; slices.Contains(shell.Way(), r.Entry.Station) {      // the office is no stop of the stone
			to = "/station/" + string(r.Entry.Station)
		}
		for name, id := range map[book.Kind]string{book.KindPiece: named.Piece, book.KindSet: named.Set, book.KindSlab: named.Slab, book.KindBlock: named.Block, book.KindShipment: named.Shipment} {
			if id != "" {
				to = shell.Link(book.Ref{Kind: name, ID: id})
			}
		}
		if ref, err := book.ParseRef(named.Thing); err == nil {
			to = shell.Link(ref)
		}
	}
	to = shell.Within(to)
	sign := "?"
	if strings.Contains(to, "?") {
		sign = "&"
	}
	return to + sign + "did=" + url.QueryEscape(act.Word())
}

// picks are the pieces that may be matched: those that wait for it, of the size that was asked for or that the order has.
func (r room) picks(v *shell.Visit, path string, filled url.Values) shell.Picks {
	size := filled.Get("_size")
	if _, state, err := v.Thing(book.KindOrder, filled.Get("order")); err == nil {
		size = state.(*book.OrderState).Size
	}
	asked := r.queue.Ask(v.Now)
	return shell.PicksOf(path, filled, waiting.Ready(asked, size), waiting.Proposed(asked))
}
