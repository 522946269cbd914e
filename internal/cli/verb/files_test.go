package verb

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
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
	if err := WriteNew(NewFile{at("a.json"), []byte("a"), 0o600}, NewFile{at("a.pdf"), []byte("b"), 0o666}); err != nil {
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
		files []NewFile
		code  string
		where string
	}{
		"the second is in the way": {[]NewFile{{at("b.json"), []byte("x"), 0o666}, {at("a.pdf"), []byte("x"), 0o666}}, "file-exists", at("a.pdf")},
		"the second has no folder": {[]NewFile{{at("b.json"), []byte("x"), 0o666}, {at("no/b.pdf"), []byte("x"), 0o666}}, "unwritable", at("no/b.pdf")},
		"the same name twice":      {[]NewFile{{at("b.json"), []byte("x"), 0o666}, {at("b.json"), []byte("y"), 0o666}}, "file-exists", at("b.json")},
	}
	for name, c := range cases {
		err := WriteNew(c.files...)
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
	if err := WriteNew(NewFile{filepath.Join(dir, "a.json"), []byte("a"), 0o666}); err != nil {
		t.Fatal(err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{".a.json.part0", "a.json"}) {
		t.Errorf("left %q", got)
	}
}

// A file that is filled bit by bit is there whole, or not at all.
func TestStreamedFileIsWholeOrNotThere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "backup")
	half := func(w io.Writer) error {
		io.WriteString(w, "half")
		return trouble.Data("broken", "blob", "it broke", "next")
	}
	var told *trouble.Trouble
	if err := StreamNew(path, 0o600, half); !errors.As(err, &told) || told.Code != "broken" || len(listing(t, dir)) != 0 {
		t.Fatalf("%v, left %q", err, listing(t, dir))
	}
	whole := func(w io.Writer) error {
		_, err := io.WriteString(w, "whole")
		return err
	}
	if err := StreamNew(path, 0o600, whole); err != nil {
		t.Fatal(err)
	}
	if err := StreamNew(path, 0o600, half); !errors.As(err, &told) || told.Code != "broken" {
		t.Error(err)
	}
	if err := StreamNew(path, 0o600, whole); !errors.As(err, &told) || told.Code != "file-exists" {
		t.Errorf("over another: %v", err)
	}
	if text, err := os.ReadFile(path); err != nil || string(text) != "whole" || len(listing(t, dir)) != 1 {
		t.Errorf("%q, %v, left %q", text, err, listing(t, dir))
	}
}
