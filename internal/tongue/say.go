package tongue

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
)

// Key as a value of a place in a sentence stands for what the key says.
type Key string

// forms are the plural forms that some language has, in the order in which package plural counts them.
var forms = []form{other, "zero", "one", "two", "few", "many"}

// formFor is the form that a language's rule gives a whole number.
func formFor(l Language, n int) form {
	if n < 0 {
		n = -n
	}
	return forms[plural.Cardinal.MatchPlural(language.Make(string(l)), n, 0, 0, 0, 0)]
}

// Has reports whether the catalogue has a key.
func (w Words) Has(key string) bool {
	_, there := w.catalogue()[key]
	return there
}

// Say says what a key stands for, its places filled from pairs of a name and a value. What is missing panics in tests, since it is our own
// fault, and shows as it is in the program.
func (w Words) Say(key string, pairs ...any) string {
	args := map[string]any{}
	for i := 0; i+1 < len(pairs); i += 2 {
		args[fmt.Sprint(pairs[i])] = pairs[i+1]
	}
	if len(pairs)%2 != 0 {
		fault("tongue: %s: a name has no value", key)
	}
	return w.Tell(key, args)
}

// Tell is Say for values that stand in a map already.
func (w Words) Tell(key string, args map[string]any) string {
	e, there := w.catalogue()[key]
	if !there {
		fault("tongue: no key %q in %s", key, w.Language())
		return "⟨" + key + "⟩"
	}
	return place.ReplaceAllStringFunc(e.text(w.Language(), args["n"]), func(hole string) string {
		name := hole[1 : len(hole)-1]
		value, given := args[name]
		if !given {
			fault("tongue: %s: nothing was given for %s", key, hole)
			return hole
		}
		return w.show(name, value)
	})
}

// place is a place in a sentence that is filled when it is said.
var place = regexp.MustCompile(`\{[a-z][a-z0-9_]*\}`)

// text chooses the plural form.
func (e entry) text(l Language, n any) string {
	if count, ok := whole(n); ok {
		if text := e[formFor(l, count)]; text != "" {
			return text
		}
	}
	return e[other]
}

// whole returns a value that is a whole number.
func whole(v any) (int, bool) {
	switch v := v.(type) {
	case int:
		return v, true
	case int64:
		return int(v), true
	case float64:
		return int(v), v == float64(int(v))
	}
	return 0, false
}

// strict says whether our own faults are loud: in tests.
var strict = testing.Testing()

// fault is our own bug: loud where it can be mended, quiet where people work.
func fault(format string, args ...any) {
	if strict {
		panic(fmt.Sprintf(format, args...))
	}
}

// spoken are the groups whose words are said for a value at a place of the same name.
var spoken = strings.Fields("station kind act did cause face surface joint place direction role verdict stage how table reading check sort layout state shape")

// show says a value by its type and by the name of its place.
func (w Words) show(name string, value any) string {
	switch v := value.(type) {
	case Key:
		return w.Say(string(v))
	case []string:
		return w.joined(v)
	case time.Time:
		return w.Day(v)
	case time.Duration:
		return w.Since(v)
	case float64:
		return w.quantity(name, v)
	}
	if n, ok := whole(value); ok {
		return w.quantity(name, float64(n))
	}
	text := fmt.Sprint(value)
	if key := name + "." + slug(text); slices.Contains(spoken, name) && w.Has(key) {
		return w.Say(key)
	}
	if name == "what" || name == "next" { // as the program says it in English
		return w.InWords(text)
	}
	return text
}

// slug makes a name of a key from a word of the book: "does not conform" is does-not-conform.
func slug(word string) string { return strings.ReplaceAll(word, " ", "-") }

// quantity shows a number by the unit that the name of its place ends with.
func (w Words) quantity(name string, x float64) string {
	for _, q := range []struct {
		unit string
		show func(Words, float64) string
	}{{"mm", Words.Length}, {"size", Words.Size}, {"kg", Words.Mass}, {"percent", Words.Percent}, {"chance", Words.Chance}} {
		if name == q.unit || strings.HasSuffix(name, "_"+q.unit) {
			return q.show(w, x)
		}
	}
	return w.short(x, 3)
}

// Word says the word of a group for a word of the book: Word("station", "saw"), Word("verdict", "does not conform"). A word that the
// catalogue does not have is returned as it is, for a book may hold what only this mill calls so.
func (w Words) Word(group string, word any) string {
	text := fmt.Sprint(word)
	if key := group + "." + slug(text); w.Has(key) {
		return w.Say(key)
	}
	return text
}

// Some returns the keys that begin with one of the prefixes and what they say, for the scripts of a page. Places stay in their braces; a
// plural form stands under the key, a stroke and the form's name: "bench.left|one"; a language with a single form has the bare key.
func (w Words) Some(prefixes ...string) map[string]string {
	some := map[string]string{}
	for key, e := range w.catalogue() {
		if !slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(key, p) }) {
			continue
		}
		for f, text := range e {
			if len(e) > 1 {
				some[key+"|"+string(f)] = text
			} else {
				some[key] = text
			}
		}
	}
	return some
}

// List joins words as the language does: "a, b and c".
func (w Words) List(items ...string) string {
	last := len(items) - 1
	if last < 1 {
		return w.joined(items)
	}
	return w.Say("series.last", "before", w.joined(items[:last]), "last", items[last])
}

// joined puts the language's comma between words.
func (w Words) joined(items []string) string {
	if len(items) == 0 {
		return ""
	}
	all := items[0]
	for _, next := range items[1:] {
		all = w.Say("series.comma", "before", all, "next", next)
	}
	return all
}
