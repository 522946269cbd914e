package floor

import (
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/slip"
)

// clash is an entry that is kept but not applied, and what it runs into.
type clash struct {
	Past
	Things []slip.Look
	What   string
	Next   string
	Fields []fact
	With   *Past
	Others []fact // the fields of the other
}

// conflicts lists what a person must resolve: both versions are kept, and striking either resolves it.
func conflicts(v *shell.Visit) error {
	page, err := v.Ledger.Conflicts(v.R.Context(), v.R.URL.Query().Get("after"), 50)
	if err != nil {
		return err
	}
	type data struct {
		Clashes []clash
		More    string
	}
	d := data{More: page.Next}
	for _, e := range page.Items {
		c := clash{Past: past(v.Words, e), Fields: fieldsOf(v, e)}
		var why struct{ What, Next string }
		if json.Unmarshal([]byte(e.Standing.Why), &why) == nil {
			c.What, c.Next = why.What, why.Next
		}
		if e.Standing.By > 0 {
			with, err := v.Ledger.Entries(v.R.Context(), e.Standing.By-1, 1)
			if err != nil {
				return err
			}
			if len(with) == 1 {
				other := past(v.Words, with[0])
				c.With, c.Others = &other, fieldsOf(v, with[0])
			}
		}
		for _, r := range thingsIn(e) {
			c.Things = append(c.Things, slip.Look{Ref: r, Path: shell.Link(r)})
		}
		d.Clashes = append(d.Clashes, c)
	}
	return v.Show(shell.Page{Name: "floor/conflicts", Title: v.Say("shell.conflicts"), Here: "conflicts", Data: d})
}

// fieldsOf are the fields of an entry's act in the reader's words, in the order of the alphabet.
func fieldsOf(v *shell.Visit, e book.Placed) (list []fact) {
	var body map[string]any
	if json.Unmarshal(e.Body, &body) != nil {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(body)) {
		if text := said(v.Words, e.Act, name, body[name]); text != "" {
			list = append(list, fact{Key: "field." + name, Value: text})
		}
	}
	return list
}

// said is what stands in a field: a word of the trade, a length or mass in the reader's units, the numbers of several things.
func said(w tongue.Words, act, field string, value any) string {
	switch x := value.(type) {
	case string:
		if r, err := book.ParseRef(x); err == nil && field == "thing" {
			return w.Word("kind", r.Kind) + " " + r.ID
		}
		return enumWord(w, act, field, x)
	case bool:
		if x {
			return w.Say("office.yes")
		}
		return w.Say("office.no")
	case float64:
		return amount(w, field, x)
	case []any:
		return several(w, act, field, x)
	case map[string]any:
		var parts []string
		for _, name := range slices.Sorted(maps.Keys(x)) {
			parts = append(parts, said(w, act, name, x[name]))
		}
		return strings.Join(parts, ", ")
	}
	return ""
}

func amount(w tongue.Words, field string, x float64) string {
	switch {
	case slices.Contains(small, field):
		return w.Length(x)
	case strings.HasSuffix(field, "_mm"):
		return w.Size(x)
	case strings.HasSuffix(field, "_kg"):
		return w.Mass(x)
	}
	return w.Number(x, decimalsOf(x))
}

// decimalsOf is how many decimals a number was written with, at most three.
func decimalsOf(x float64) int {
	_, part, _ := strings.Cut(strconv.FormatFloat(x, 'f', -1, 64), ".")
	return min(len(part), 3)
}

// several says a list: things that are made by their numbers, anything else one after the other.
func several(w tongue.Words, act, field string, list []any) string {
	var words []string
	for _, x := range list {
		if made, ok := x.(map[string]any); ok && made["id"] != nil {
			x = made["id"]
		}
		words = append(words, said(w, act, field, x))
	}
	return strings.Join(words, ", ")
}

// thingsIn are the things that an act names first: what it is about.
func thingsIn(e book.Placed) (list []book.Ref) {
	var named map[string]any
	if json.Unmarshal(e.Body, &named) != nil {
		return nil
	}
	for _, kind := range book.Kinds() {
		if id, ok := named[strings.ReplaceAll(string(kind), "-", "_")].(string); ok {
			list = append(list, book.Ref{Kind: kind, ID: id})
		}
	}
	if text, ok := named["thing"].(string); ok {
		if r, err := book.ParseRef(text); err == nil {
			list = append(list, r)
		}
	}
	return list
}
