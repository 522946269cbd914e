package tongue

import (
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// all reads the catalogues of every language.
func all(t *testing.T) map[Language]catalogue {
	t.Helper()
	said := map[Language]catalogue{}
	for _, l := range Languages() {
		c, err := load(l)
		if err != nil {
			t.Fatal(err)
		}
		if len(c) == 0 {
			t.Fatalf("%s says nothing", l)
		}
		said[l] = c
	}
	return said
}

// formsOf lists the plural forms that a language uses for whole numbers: the rules repeat within 1,000, but for millions.
func formsOf(l Language) (list []form) {
	for _, n := range append(numbersTo(1000), 1000000, 2000000) {
		if f := formFor(l, n); !slices.Contains(list, f) {
			list = append(list, f)
		}
	}
	slices.Sort(list)
	return list
}

func numbersTo(most int) (list []int) {
	for n := range most {
		list = append(list, n)
	}
	return list
}

func TestEveryLanguageHasTheSameFiles(t *testing.T) {
	want, err := fs.ReadDir(files, "en")
	if err != nil || len(want) == 0 {
		t.Fatal("no English catalogue", err)
	}
	for _, l := range Languages() {
		got, err := fs.ReadDir(files, string(l))
		if err != nil {
			t.Fatal(err)
		}
		if a, b := fileNames(got), fileNames(want); !slices.Equal(a, b) {
			t.Errorf("%s has the files %q, English has %q", l, a, b)
		}
	}
}

func fileNames(list []fs.DirEntry) (names []string) {
	for _, f := range list {
		names = append(names, f.Name())
	}
	return names
}

func TestEveryLanguageSaysTheSameKeys(t *testing.T) {
	said := all(t)
	for _, l := range Languages() {
		for _, fault := range differences(said[English], said[l], l) {
			t.Errorf("%s: %s", l, fault)
		}
	}
}

// differences compares a language with English: keys, plural forms, places.
func differences(english, other catalogue, l Language) (faults []string) {
	for _, key := range slices.Sorted(maps.Keys(english)) {
		e, there := other[key]
		if !there {
			faults = append(faults, key+" is missing")
			continue
		}
		faults = append(faults, unlike(key, english[key], e, l)...)
	}
	for _, key := range slices.Sorted(maps.Keys(other)) {
		if _, there := english[key]; !there {
			faults = append(faults, key+" is not in English")
		}
	}
	return faults
}

// unlike compares what two languages say for one key. A form may leave out the number it is the form of ("one piece waits").
func unlike(key string, english, e entry, l Language) (faults []string) {
	forms := []form{other}
	if len(english) > 1 {
		forms = formsOf(l)
	}
	if got := slices.Sorted(maps.Keys(e)); !slices.Equal(got, forms) {
		faults = append(faults, key+": the plural forms are "+joined(got)+", must be "+joined(forms))
	}
	want := places(english[other])
	for f, text := range e {
		got := places(text)
		if f != other && len(english) > 1 {
			got = slices.Sorted(maps.Keys(set(append(got, "{n}"))))
		}
		if !slices.Equal(got, want) {
			faults = append(faults, key+": "+string(f)+" has the places "+strings.Join(got, " ")+", must have "+strings.Join(want, " "))
		}
		if rest := place.ReplaceAllString(text, ""); strings.ContainsAny(rest, "{}") {
			faults = append(faults, key+": a brace stands alone in "+text)
		}
	}
	if len(english) > 1 && !slices.Contains(want, "{n}") {
		faults = append(faults, key+": has plural forms and no {n}")
	}
	return faults
}

func joined(list []form) string {
	var words []string
	for _, f := range list {
		words = append(words, string(f))
	}
	return strings.Join(words, " ")
}

func places(text string) []string {
	return slices.Sorted(maps.Keys(set(place.FindAllString(text, -1))))
}

func set(list []string) map[string]bool {
	m := map[string]bool{}
	for _, x := range list {
		m[x] = true
	}
	return m
}

// A comparison that finds nothing wrong would be worth nothing.
func TestDifferencesAreSeen(t *testing.T) {
	english := catalogue{"a.one": {other: "at {station}"}, "a.many": {"one": "{n} piece", other: "{n} pieces"}}
	right := catalogue{"a.one": {other: "em {station}"}, "a.many": {"one": "uma peça", other: "{n} peças"}}
	if faults := differences(english, right, Portuguese); len(faults) != 0 {
		t.Errorf("found fault with a right catalogue: %q", faults)
	}
	for want, change := range map[string]func(c catalogue){
		"a.one is missing":                      func(c catalogue) { delete(c, "a.one") },
		"a.two is not in English":               func(c catalogue) { c["a.two"] = entry{other: "x"} },
		"must be one other":                     func(c catalogue) { c["a.many"] = entry{other: "{n} peças"} },
		"must be other":                         func(c catalogue) { c["a.one"] = entry{"one": "em {station}", other: "em {station}"} },
		"other has the places {n}, must have {": func(c catalogue) { c["a.one"] = entry{other: "em {n}"} },
		"a brace stands alone":                  func(c catalogue) { c["a.one"] = entry{other: "em {station} {"} },
	} {
		wrong := maps.Clone(right)
		change(wrong)
		if faults := differences(english, wrong, Portuguese); len(faults) != 1 || !strings.Contains(faults[0], want) {
			t.Errorf("want one fault with %q, got %q", want, faults)
		}
	}
}

// sameAsEnglish lists what other languages say with the very words of English, in which languages, and why.
var sameAsEnglish = map[string]struct{ languages, why string }{
	"sort.scanner":   {"it", "the loan word is the trade's"},
	"stage.fine":     {"it", "the same word in both"},
	"role.inspector": {"es", "the same word in both"},
	"office.pin":     {"pt it es", "the same letters everywhere"},
	"field.face":     {"pt", "the same word in both"},
	"field.blob":     {"it", "the loan word is what people say"},
	"office.no":      {"it es", "the same word in all three"},
	"amount.mm":      {"pt it es", "the same letters everywhere"},
}

func TestNothingIsLeftUntranslated(t *testing.T) {
	said, used := all(t), map[string]bool{}
	for _, l := range Languages()[1:] {
		for key, e := range said[l] {
			may := slices.Contains(strings.Fields(sameAsEnglish[key].languages), string(l))
			for f, text := range e {
				left := untranslated(said[English][key][f], text, l)
				if left && !may {
					t.Errorf("%s %s: %q is not translated", l, key, text)
				}
				used[string(l)+" "+key] = used[string(l)+" "+key] || left
			}
		}
	}
	for key, same := range sameAsEnglish {
		for _, l := range strings.Fields(same.languages) {
			if !used[l+" "+key] {
				t.Errorf("%s %s need not be listed as the same as English", l, key)
			}
		}
		if same.languages == "" || same.why == "" {
			t.Errorf("%s is listed without a language or a reason", key)
		}
	}
}

// untranslated tells whether a text is the English one, or is Chinese without a Chinese character. A text of nothing but places and signs
// has nothing to translate.
func untranslated(english, text string, l Language) bool {
	letters := func(s string) bool { return strings.ContainsFunc(place.ReplaceAllString(s, ""), unicode.IsLetter) }
	if !letters(english) {
		return false
	}
	if l == Chinese {
		return !strings.ContainsFunc(text, func(r rune) bool { return unicode.Is(unicode.Han, r) })
	}
	return text == english
}

func TestUntranslatedIsSeen(t *testing.T) {
	for _, c := range []struct {
		english, text string
		l             Language
		left          bool
	}{
		{"Saw", "Saw", Portuguese, true}, {"Saw", "Serra", Portuguese, false}, {"{day}, {time}", "{day}, {time}", Portuguese, false},
		{"Saw", "Saw!", Chinese, true}, {"Saw", "锯切", Chinese, false},
	} {
		if got := untranslated(c.english, c.text, c.l); got != c.left {
			t.Errorf("%q as %q in %s: %v", c.english, c.text, c.l, got)
		}
	}
}

// halfWidth finds a narrow mark beside a Chinese character.
var halfWidth = regexp.MustCompile(`\p{Han}[,;:?!.]|[,;:?!]\p{Han}`)

// badMarks says what is wrong with the marks of a text: Chinese has wide ones, Spanish opens what it asks and calls out, and nobody here
// writes straight quotes or three dots.
func badMarks(text string, l Language) string {
	switch {
	case l == Chinese && halfWidth.MatchString(text):
		return "a narrow mark stands beside a Chinese character"
	case l == Spanish && strings.Count(text, "?") != strings.Count(text, "¿"), l == Spanish && strings.Count(text, "!") != strings.Count(text, "¡"):
		return "what is asked or called out is not opened"
	case strings.Contains(text, "\""), strings.Contains(text, "..."):
		return "write curly quotes and a real ellipsis"
	}
	return ""
}

func TestMarksAreTheLanguages(t *testing.T) {
	for l, c := range all(t) {
		for key, e := range c {
			for _, text := range e {
				if fault := badMarks(text, l); fault != "" {
					t.Errorf("%s %s: %s: %s", l, key, fault, text)
				}
			}
		}
	}
	for text, l := range map[string]Language{"无处:须": Chinese, "Qué?": Spanish, "say \"no\"": English} {
		if badMarks(text, l) == "" {
			t.Errorf("nothing is wrong with %s", text)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	if c, err := parse([]byte("a.b: \"c # d: {n}\"\n")); err != nil || c["a.b"][other] != "c # d: {n}" {
		t.Fatal(c, err)
	}
	for text, want := range map[string]string{
		"a.b: c":                               "double quotes",
		"a.b: no":                              "double quotes",
		"a.b: 'c'":                             "double quotes",
		"a.b: [c]":                             "double quotes, or plural forms",
		"a.b: \"\"":                            "empty",
		"a.b: \" c\"":                          "begins or ends with a blank",
		"a.b: \"c\"\na.b: \"d\"":               "a.b",
		"ab: \"c\"":                            "no key",
		"A.b: \"c\"":                           "no key",
		"a.b:\n  one: \"c\"":                   "form other",
		"a.b:\n  some: \"c\"\n  other: \"d\"":  "no plural form",
		"a.b:\n  other: \"c\"\n  other: \"d\"": "twice",
		"a.b:\n  other:\n    other: \"d\"":     "double quotes",
	} {
		if c, err := parse([]byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: want an error with %q, got %v, %v", text, want, c, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte("a.b: \"c\"\na.c:\n  one: \"{n} d\"\n  other: \"{n} ds\"\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := parse(text)
		for key, e := range c {
			if err == nil && (!goodKey.MatchString(key) || e[other] == "") {
				t.Errorf("%q was read as %v", text, c)
			}
		}
	})
}
