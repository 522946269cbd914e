package cli

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// A file that cannot be opened is told in the same words, whoever wanted to read it.
func TestEveryReaderTellsAMissingFileAlike(t *testing.T) {
	s := &verb.Session{Stdin: strings.NewReader("")}
	dir := t.TempDir()
	readers := map[string]func(string) error{
		"face":   func(name string) error { _, err := readFace(s, name); return err },
		"spec":   func(name string) error { _, err := readSpec(s, name); return err },
		"lay-up": func(name string) error { _, err := readLayUp(s, name); return err },
		"text":   func(name string) error { _, err := readText(s, name); return err },
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
