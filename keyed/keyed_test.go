package keyed

import (
	"errors"
	"strings"
	"testing"

	"slatewright/trouble"
)

// shelf is a file for these tests.
type shelf struct {
	name  string
	open  bool
	count int
	cups  []cup
}

type cup struct{ size string }

func read(text string) (shelf, error) {
	var s shelf
	f := New("shelf.yaml", Kind{Code: "bad-shelf", Least: "write at least name", One: "one file holds one shelf", What: "give a shelf", Item: `begin each item with "- size: …"`})
	text1 := func(into *string) Take {
		return f.Scalar("a word", func(s string) error { *into = s; return nil })
	}
	err := f.Read([]byte(text), []Key{Of("name", text1(&s.name)), Of("inside", f.Group(Of("open", f.Yes(&s.open)), Of("count", f.Count("3", 9, &s.count)))),
		Of("cups", Each(f, &s.cups, func(c *cup) []Key { return []Key{Of("size", text1(&c.size))} }))})
	if err == nil && s.name == "wrong" {
		err = f.AtLine(trouble.Data("odd", "cups[2].size.more", "is odd", "mend it"))
	}
	return s, err
}

func TestReadsWhatIsThere(t *testing.T) {
	s, err := read("name: a\ninside: {open: yes, count: 4}\ncups:\n  - size: small\n  - size: large\n")
	if err != nil || s.name != "a" || !s.open || s.count != 4 || len(s.cups) != 2 || s.cups[1].size != "large" {
		t.Errorf("%+v, %v", s, err)
	}
}

// TestFaults asks for what is said of each fault, and on which line.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ text, where, what, next string }{
		{"", "shelf.yaml", "the file is empty", "write at least name"},
		{"# nothing\n", "shelf.yaml", "the file is empty", "write at least name"},
		{strings.Repeat(" ", LongestFile+1), "shelf.yaml", "longer than 1 MiB", "give a shelf"},
		{"name: [\n", "shelf.yaml:2", "not YAML", "indent with spaces"},
		{"name: a\n---\nname: b\n", "shelf.yaml:2", "more follows", "one file holds one shelf"},
		{"- a\n", "shelf.yaml:1", "the file does not hold keys", "write name, inside, cups"},
		{"colour: a\n", "shelf.yaml:1", `the file has no key "colour"`, "known here: name, inside, cups"},
		{"nam: a\n", "shelf.yaml:1", `the file has no key "nam"`, "did you mean name?"},
		{"[a]: b\n", "shelf.yaml:1", "a key that is not a word", "known here: name, inside, cups"},
		{"name: a\ninside:\n  shut: no\n", "shelf.yaml:3", `inside has no key "shut"`, "known here: open, count"},
		{"name: a\nname: b\n", "shelf.yaml:2", "name is given twice, first on line 1", "keep one"},
		{"name:\n", "shelf.yaml:1", "name: no value", "such as a word"},
		{"name: !!str 3\n", "shelf.yaml:1", "name: a value with a tag (!!str)", "such as a word"},
		{"name: [3]\n", "shelf.yaml:1", "name: a list or keys where one value is wanted", "such as a word"},
		{"inside: {open: perhaps}\n", "shelf.yaml:1", `inside.open: "perhaps" is neither yes nor no`, "write it like yes"},
		{"inside: {count: 10}\n", "shelf.yaml:1", `"10" is not a whole number up to 9`, "write it like 3"},
		{"inside: {count: -1}\n", "shelf.yaml:1", "not a whole number", "write it like 3"},
		{"cups: 3\n", "shelf.yaml:1", "cups is not a list", "begin each item"},
		{"name: a\ncups:\n  - size: small\n  - colour: red\n", "shelf.yaml:4", `cups[2] has no key "colour"`, "known here: size"},
		{"name: wrong\ncups:\n  - size: small\n  - size: large\n", "shelf.yaml:4", "cups[2].size.more: is odd", "mend it"},
		{"name: &a b\ninside: *a\n", "shelf.yaml:2", "inside: refers to another place of the file", "write the value itself"},
		{"inside: 3\n", "shelf.yaml:1", "inside does not hold keys", "write open, count"},
		{"name: a\n---\nname: [\n", "shelf.yaml:4", "not YAML", "indent with spaces"},
	} {
		_, err := read(c.text)
		f := new(trouble.Trouble)
		if !errors.As(err, &f) || f.Code != "bad-shelf" || f.Where != c.where || !strings.Contains(f.What, c.what) || !strings.Contains(f.Next, c.next) {
			t.Errorf("%.40q: %+v", c.text, err)
		}
	}
}

// FuzzRead gives any bytes: they are read, or refused by name.
func FuzzRead(f *testing.F) {
	f.Add("name: a\ninside: {open: yes, count: 4}\ncups:\n  - size: small\n")
	f.Add("name: &a [*a]\n")
	f.Fuzz(func(t *testing.T, text string) {
		if _, err := read(text); err != nil {
			if f := new(trouble.Trouble); !errors.As(err, &f) || f.Next == "" || !strings.HasPrefix(f.Where, "shelf.yaml") {
				t.Errorf("%+v", err)
			}
		}
	})
}
