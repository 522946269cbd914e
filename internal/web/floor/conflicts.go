package floor

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

// clash is an entry that is kept but not applied, and what it runs into.
type clash struct {
	Past
	Things []look
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
			c.Things = append(c.Things, look{r, shell.Link(r)})
		}
		d.Clashes = append(d.Clashes, c)
	}
	return v.Show(shell.Page{Name: "floor/conflicts", Title: v.Say("shell.conflicts"), Here: "conflicts", Data: d})
}

// fieldsOf are the fields of an entry's act as they stand in it, in the order of the alphabet.
func fieldsOf(v *shell.Visit, e book.Placed) (list []fact) {
	var body map[string]any
	if json.Unmarshal(e.Body, &body) != nil {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(body)) {
		text, err := json.Marshal(body[name])
		if err != nil || string(text) == `""` {
			continue
		}
		list = append(list, fact{Key: "field." + name, Value: strings.Trim(string(text), `"`)})
	}
	return list
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
