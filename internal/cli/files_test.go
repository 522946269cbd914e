package cli

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatewright/trouble"
)

// listing is every name in a folder, hidden ones too.
func listing(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestNewFilesAreWrittenTogetherOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	if err := writeNew(newFile{at("a.json"), []byte("a"), 0o600}, newFile{at("a.pdf"), []byte("b"), 0o666}); err != nil {
		t.Fatal(err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"a.json", "a.pdf"}) {
		t.Fatalf("left %q", got)
	}
	for name, want := range map[string]string{"a.json": "a", "a.pdf": "b"} {
		if text, err := os.ReadFile(at(name)); err != nil || string(text) != want {
			t.Errorf("%s holds %q, %v", name, text, err)
		}
	}
	if info, err := os.Stat(at("a.json")); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	cases := map[string]struct {
		files []newFile
		code  string
		where string
	}{
		"the second is in the way": {[]newFile{{at("b.json"), []byte("x"), 0o666}, {at("a.pdf"), []byte("x"), 0o666}}, "file-exists", at("a.pdf")},
		"the second has no folder": {[]newFile{{at("b.json"), []byte("x"), 0o666}, {at("no/b.pdf"), []byte("x"), 0o666}}, "unwritable", at("no/b.pdf")},
		"the same name twice":      {[]newFile{{at("b.json"), []byte("x"), 0o666}, {at("b.json"), []byte("y"), 0o666}}, "file-exists", at("b.json")},
	}
	for name, c := range cases {
		err := writeNew(c.files...)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Kind != trouble.KindIO || told.Code != c.code || told.Where != c.where {
			t.Errorf("%s: %v", name, err)
		}
		if got := listing(t, dir); !slices.Equal(got, []string{"a.json", "a.pdf"}) {
			t.Fatalf("%s: left %q", name, got)
		}
	}
	if text, err := os.ReadFile(at("a.pdf")); err != nil || string(text) != "b" {
		t.Errorf("what was in the way now holds %q, %v", text, err)
	}
}

// What an earlier run that was killed left behind is no hindrance.
func TestLeftoverOfAKilledRunIsNoHindrance(t *testing.T) {
	dir := t.TempDir()
	stale := filepath.Join(dir, ".a.json.part0")
	if err := os.WriteFile(stale, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := writeNew(newFile{filepath.Join(dir, "a.json"), []byte("a"), 0o666}); err != nil {
		t.Fatal(err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{".a.json.part0", "a.json"}) {
		t.Errorf("left %q", got)
	}
}

// A file that cannot be opened is told in the same words, whoever wanted to read it.
func TestEveryReaderTellsAMissingFileAlike(t *testing.T) {
	s := &session{Stdin: strings.NewReader("")}
	dir := t.TempDir()
	readers := map[string]func(string) error{
		"face":   func(name string) error { _, err := s.face(name); return err },
		"spec":   func(name string) error { _, err := s.spec(name); return err },
		"lay-up": func(name string) error { _, err := s.layUp(name); return err },
		"text":   func(name string) error { _, err := s.text(name); return err },
		"key":    func(name string) error { _, err := certifyVerb{Key: name}.key(s); return err },
		"public": func(name string) error { _, err := verifyVerb{Key: name}.check(s); return err },
	}
	for file, next := range map[string]string{
		filepath.Join(dir, "absent"): "check the name: there is no such file",
		dir:                          "check that the file is there and may be read",
	} {
		want := ""
		for who, read := range readers {
			var told *trouble.Trouble
			if err := read(file); !errors.As(err, &told) {
				t.Fatalf("%s of %s: %v", who, file, err)
			}
			got := strings.Join([]string{told.Code, told.What, told.Where, told.Next}, "|")
			if told.Kind != trouble.KindIO || told.Code != "unreadable" || told.Where != file || told.Next != next {
				t.Errorf("%s of %s: %q", who, file, got)
			}
			if want == "" {
				want = got
			}
			if got != want {
				t.Errorf("%s says %q, another %q", who, got, want)
			}
		}
	}
}
