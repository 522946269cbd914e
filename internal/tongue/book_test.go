package tongue

import (
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/book"
)

// groupOf says in which group the words of a field with an enum stand, by struct and field. A field that is not here fails the test.
var groupOf = map[string]string{
	"StoneFacts.marked_on": "surface", "Slice.how": "how", "Reject.cause": "cause", "Surfaced.face": "face", "Surfaced.stage": "stage",
	"Mark.on": "surface", "Read.what": "reading", "DressJoint.joint": "joint", "Resize.to": "table", "Check.what": "check",
	"Judge.verdict": "verdict", "Appoint.role": "role", "OrderFacts.size": "table", "mark_now": "surface",
}

// fields collects the names of the fields of an act, and the words of every field with an enum, by group.
func fields(t *testing.T, typ reflect.Type, into map[string][]string) {
	for typ.Kind() == reflect.Pointer || typ.Kind() == reflect.Slice {
		typ = typ.Elem()
	}
	if typ.Kind() != reflect.Struct || !strings.HasSuffix(typ.PkgPath(), "internal/book") {
		return
	}
	for i := range typ.NumField() {
		f := typ.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name != "" && typ.Name() != "Step" && typ.Name() != "Hold" && typ.Name() != "Route" { // a route has a page of its own
			into["field"] = append(into["field"], name)
		}
		if words := f.Tag.Get("enum"); words != "" {
			g := groupOf[typ.Name()+"."+name] + groupOf[name]
			if g == "" {
				t.Errorf("%s.%s has an enum and no group of words", typ.Name(), name)
			}
			into[g] = append(into[g], strings.Split(words, ",")...)
		}
		fields(t, f.Type, into)
	}
}

// bookWords collects every word that the book gives to things, places, people and acts, by group.
func bookWords(t *testing.T) map[string][]string {
	words := map[string][]string{}
	for _, s := range book.Stations() {
		words["station"] = append(words["station"], string(s))
	}
	for _, k := range book.Kinds() {
		words["kind"] = append(words["kind"], string(k))
		words["count"] = append(words["count"], string(k))
	}
	for _, r := range book.Roles() {
		words["role"] = append(words["role"], string(r))
	}
	for _, a := range book.Acts() {
		words["act"] = append(words["act"], a.Word())
		words["did"] = append(words["did"], a.Word())
		fields(t, reflect.TypeOf(a), words)
	}
	return words
}

// more are words of those groups that no enum lists, and why.
var more = map[string]string{
	"reading.lay-up": "a lay-up is kept as a reading", "field.station": "of an entry, beside its act", "field.since": "how long a thing has stood where it stands",
}

func TestTheBooksWordsAreAllThere(t *testing.T) {
	c, words := all(t)[English], bookWords(t)
	if len(words["act"]) < 30 || len(words["cause"]) < 5 || len(words["surface"]) < 5 {
		t.Fatalf("few words: %v", words)
	}
	known := set(slices.Collect(maps.Keys(more)))
	for g, list := range words {
		for _, word := range list {
			key := g + "." + slug(word)
			known[key] = true
			if _, there := c[key]; !there {
				t.Errorf("%s is missing", key)
			}
		}
	}
	for key := range c {
		if words[group(key)] != nil && !known[key] {
			t.Errorf("%s stands for nothing in the book", key)
		}
	}
}

func TestWordFindsTheBooksWords(t *testing.T) {
	w := In(Spanish, Metric)
	for _, c := range []struct {
		group string
		word  any
		want  string
	}{{"verdict", "does not conform", "no conforme"}, {"station", book.Saw, "Sierra"}, {"table", "9 ft", "9 pies"}, {"sort", "our own jig", "our own jig"}} {
		if got := w.Word(c.group, c.word); got != c.want {
			t.Errorf("%s %v: %q, want %q", c.group, c.word, got, c.want)
		}
	}
}
