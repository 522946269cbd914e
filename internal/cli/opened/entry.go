package opened

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
)

// Entry is one entry of the journal as it is told.
type Entry struct {
	Seq       int64           `json:"seq"`
	ID        string          `json:"id"`
	Site      string          `json:"site"`
	At        time.Time       `json:"at"`
	Person    string          `json:"person"`
	Station   book.Station    `json:"station"`
	Act       string          `json:"act"`
	Body      json.RawMessage `json:"body"`
	Hash      string          `json:"hash"`
	Effective *time.Time      `json:"effective_at,omitempty"` // where a correction moved it
	Standing  string          `json:"standing,omitempty"`     // conflict or struck; empty in good standing
	By        int64           `json:"by_seq,omitempty"`       // the entry that struck it or that it conflicts with
	Why       json.RawMessage `json:"why,omitempty"`
	zone      *time.Location
}

// Tell is an entry as it is told, its times in the mill's zone.
func Tell(s *verb.Session, p book.Placed) Entry {
	r := Entry{Seq: p.Seq, ID: p.ID, Site: p.Site, At: p.Entry.At, Person: p.Person, Station: p.Station, Act: p.Act, Body: p.Body,
		Hash: p.Hash.String(), Standing: p.Standing.State, By: p.Standing.By, zone: s.Clock().Location()}
	if !p.At.IsZero() && !p.At.Equal(p.Entry.At) {
		r.Effective = &p.At
	}
	if json.Valid([]byte(p.Standing.Why)) {
		r.Why = json.RawMessage(p.Standing.Why)
	}
	return r
}

// Outcome is Done.
func (Entry) Outcome() verb.Outcome { return verb.Done }

// Print writes the entry in two or more lines: who, when and what, then the fields of the act.
func (r Entry) Print(w io.Writer) {
	fmt.Fprintf(w, "%6d  %s  %-9s  %s: %s%s\n", r.Seq, Minute(r.At, r.zone), r.Station, r.Person, r.Act, r.mark())
	if text := words(r.Body); text != "" {
		io.WriteString(w, verb.Wrap(text, "        ", "        ", verb.Width))
	}
	if why := reasonIn(r.Why); why != "" {
		io.WriteString(w, verb.Wrap(why, "        why: ", "             ", verb.Width))
	}
}

// mark says when an entry is not simply in force.
func (r Entry) mark() string {
	text := ""
	if r.Effective != nil {
		text = ", stands at " + Minute(*r.Effective, r.zone)
	}
	switch {
	case r.Standing == "":
	case r.By > 0:
		text += fmt.Sprintf("  [%s, by %d]", r.Standing, r.By)
	default:
		text += "  [" + r.Standing + "]"
	}
	return text
}

// Minute is a time to the minute in the mill's zone.
func Minute(at time.Time, zone *time.Location) string { return at.In(zone).Format("2006-01-02 15:04") }

// words is a JSON object for people: its fields in their order, with commas between.
func words(object []byte) string {
	dec := json.NewDecoder(bytes.NewReader(object))
	dec.UseNumber()
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return ""
	}
	return strings.Join(fieldWords(dec, ""), ", ")
}

// fieldWords reads the rest of an object and gives its fields, each with its name.
func fieldWords(dec *json.Decoder, before string) (list []string) {
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return list
		}
		list = append(list, valueWords(dec, before+fmt.Sprint(key))...)
	}
	_, _ = dec.Token() // the end of the object; what is broken was refused before it came here
	return list
}

// valueWords reads one value.
func valueWords(dec *json.Decoder, name string) []string {
	t, err := dec.Token()
	switch {
	case err != nil:
		return nil
	case t == json.Delim('{'):
		return fieldWords(dec, name+".")
	case t == json.Delim('['):
		return listWords(dec, name)
	}
	return []string{readable(name) + " " + single(t)}
}

// listWords reads the rest of a list: single values stand side by side, objects one after the other.
func listWords(dec *json.Decoder, name string) []string {
	var singles, list []string
	for dec.More() {
		t, err := dec.Token()
		switch {
		case err != nil:
			return list
		case t == json.Delim('{'):
			list = append(list, fieldWords(dec, name+".")...)
		case t == json.Delim('['):
			list = append(list, listWords(dec, name)...)
		default:
			singles = append(singles, single(t))
		}
	}
	_, _ = dec.Token()
	if len(singles) > 0 {
		list = append(list, readable(name)+" "+strings.Join(singles, " "))
	}
	return list
}

// readable is a field's name as it is read aloud: "stone.length_mm" is "stone length mm".
func readable(name string) string { return strings.NewReplacer("_", " ", ".", " ").Replace(name) }

func single(t json.Token) string {
	switch v := t.(type) {
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case nil:
		return "none"
	case string:
		if len(v) == 64 && strings.Trim(v, "0123456789abcdef") == "" {
			return v[:12] + "…" // a digest: the first figures tell it from others
		}
		return v
	}
	return fmt.Sprint(t)
}

// reasonIn is what a refusal kept as JSON says.
func reasonIn(why []byte) string {
	var t struct{ What, Next string }
	if json.Unmarshal(why, &t) != nil || t.What == "" {
		return ""
	}
	if t.Next == "" {
		return t.What
	}
	return t.What + "; " + t.Next
}
