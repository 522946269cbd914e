package floor

import (
	"net/url"
	"path"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

// scan jumps from a code to the page of what it is on. A label holds a number or an address that ends in one.
func scan(v *shell.Visit) error {
	code := codeOf(v.R.URL.Query().Get("code"))
	if code == "" {
		return v.Redirect("/find")
	}
	list, err := named(v, code)
	if err != nil {
		return err
	}
	if len(list) == 1 {
		return v.Redirect(shell.Link(list[0].Ref))
	}
	return v.Redirect("/find?q=" + url.QueryEscape(code))
}

// codeOf takes the number out of what was scanned or typed; of the mark of a set that is its piece's.
func codeOf(read string) string {
	read = strings.TrimSpace(read)
	if mark := marks.Read(read); mark.Kind == marks.IsMark {
		return mark.Of
	}
	if u, err := url.Parse(read); err == nil && u.Path != "" && (u.Scheme != "" || strings.HasPrefix(read, "/")) {
		read = path.Base(u.Path)
	}
	if _, id, ok := strings.Cut(read, ":"); ok {
		read = id
	}
	return read
}

// named are the things with exactly this number, in any kind, whatever the letters' case.
func named(v *shell.Visit, code string) ([]book.Thing, error) {
	for _, id := range []string{code, strings.ToUpper(code), strings.ToLower(code)} {
		page, err := v.Ledger.Things(v.R.Context(), book.Filter{ID: id}, "", 20)
		if err != nil {
			return nil, err
		}
		if len(page.Items) > 0 {
			return page.Items, nil
		}
	}
	return nil, nil
}

// The bounds of finding. What one question does not reach, the next one goes on with.
const (
	mostFound  = 100
	mostLooked = 2000 // things that one question looks through
)

// finding is the page of finding.
type finding struct {
	Q, Cause   string
	Kind       book.Kind
	From, To   string
	Asked      bool
	Found      []line
	More       bool   // there may be more than is shown
	On         string // address that looks on from there; "" when nothing is left
	Kinds      []book.Kind
	Causes     []string
	LostButton bool
}

// causes for which stone is rejected.
var causes = []string{"crack", "vein", "thickness", "flatness", "joint", "hole", "pocket", "chip", "glue", "mark"}

// find looks for things by a part of their number, their kind, the cause of a rejection, and when they came to where they stand.
func find(v *shell.Visit) error {
	asked := v.R.URL.Query()
	f := finding{Q: strings.TrimSpace(asked.Get("q")), Cause: asked.Get("cause"), Kind: book.Kind(asked.Get("kind")), From: asked.Get("from"), To: asked.Get("to"),
		Kinds: book.Kinds(), Causes: causes}
	f.Asked = f.Q != "" || f.Cause != "" || f.Kind != "" || f.From != "" || f.To != ""
	if f.Cause != "" && f.Kind == "" {
		f.Kind = book.KindPiece
	}
	if f.Asked {
		if err := f.look(v); err != nil {
			return err
		}
	}
	f.LostButton = f.Q != "" && len(f.Found) == 0
	return v.Show(shell.Page{Name: "floor/find", Title: v.Say("shell.find"), Here: "find", Data: f})
}

func (f *finding) look(v *shell.Visit) error {
	if f.Q != "" && f.Kind == "" && f.From == "" && f.To == "" {
		exact, err := named(v, codeOf(f.Q))
		if err != nil {
			return err
		}
		for _, t := range exact {
			if err := f.add(v, t); err != nil {
				return err
			}
		}
		if len(exact) > 0 {
			return nil // a whole number was given: nobody looks through the mill for others that hold it
		}
	}
	if f.Kind != "" && !slices.Contains(f.Kinds, f.Kind) {
		return nil
	}
	after := v.R.URL.Query().Get("after")
	if f.Q != "" && after == "" {
		if err := f.begins(v); err != nil || len(f.Found) > 0 {
			return err
		}
	}
	for looked := 0; looked < mostLooked && len(f.Found) < mostFound; {
		page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: f.Kind}, after, mostFound)
		if err != nil {
			return err
		}
		for _, t := range page.Items {
			if looked++; f.wants(v, t) {
				if err := f.add(v, t); err != nil {
					return err
				}
			}
		}
		if after = page.Next; after == "" {
			return nil
		}
	}
	on := v.R.URL.Query()
	on.Set("after", after)
	f.More, f.On = true, "/find?"+on.Encode()
	return nil
}

// begins looks by the index for things whose number begins with what was asked for. Numbers that only hold it are looked for when there
// are none.
func (f *finding) begins(v *shell.Visit) error {
	kinds := f.Kinds
	if f.Kind != "" {
		kinds = []book.Kind{f.Kind}
	}
	code := codeOf(f.Q)
	for _, begin := range slices.Compact([]string{code, strings.ToUpper(code)}) {
		for _, kind := range kinds {
			page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: kind, Begins: begin}, "", mostFound)
			if err != nil {
				return err
			}
			f.More = f.More || page.Next != ""
			for _, t := range page.Items {
				if f.wants(v, t) {
					if err := f.add(v, t); err != nil {
						return err
					}
				}
			}
		}
	}
	if len(f.Found) > mostFound {
		f.Found, f.More = f.Found[:mostFound], true
	}
	return nil
}

func (f *finding) wants(v *shell.Visit, t book.Thing) bool {
	if f.Q != "" && !strings.Contains(strings.ToLower(t.ID), strings.ToLower(codeOf(f.Q))) {
		return false
	}
	since := t.Since.In(v.Now.Location()).Format(time.DateOnly)
	if f.From != "" && since < f.From || f.To != "" && since > f.To {
		return false
	}
	return f.Cause == "" || strings.Contains(string(t.State), `"rejected":"`+f.Cause+`"`)
}

func (f *finding) add(v *shell.Visit, t book.Thing) error {
	if slices.ContainsFunc(f.Found, func(l line) bool { return l.Ref == t.Ref }) {
		return nil
	}
	facts, err := factsOf(v, t)
	if err != nil {
		return err
	}
	f.Found = append(f.Found, line{t.Ref, shell.Link(t.Ref), v.Word("station", string(t.Station)) + ", " + v.Day(t.Since), facts.line(), ""})
	return nil
}
