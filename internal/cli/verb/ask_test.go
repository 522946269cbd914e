package verb

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"slatewright/trouble"
)

func TestPassphraseIsTheFirstLine(t *testing.T) {
	dir := t.TempDir()
	for text, want := range map[string]string{"stone wall\n": "stone wall", "stone wall": "stone wall", " a \r\nb\n": " a ", "\n": "", "": ""} {
		file := filepath.Join(dir, "secret")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if got, err := (&Session{}).NewPassphrase(file, ""); err != nil || got != want {
			t.Errorf("%q in a file: %q, %v", text, got, err)
		}
		if text == "" {
			continue
		}
		s := &Session{Stdin: iotest.OneByteReader(strings.NewReader(text))}
		if got, err := s.Passphrase("-", ""); err != nil || got != want {
			t.Errorf("%q on standard input: %q, %v", text, got, err)
		}
	}
}

// A line is taken without what follows it: that belongs to the next question.
func TestLinesAreTakenOneByOne(t *testing.T) {
	s := &Session{Stdin: strings.NewReader("Quern Hollow\nfree\n"), Stderr: io.Discard}
	for _, want := range []string{"Quern Hollow", "free"} {
		if got, err := s.Ask("?"); err != nil || got != want {
			t.Errorf("got %q, %v; want %q", got, err, want)
		}
	}
	var told *trouble.Trouble
	if _, err := s.Ask("?"); !errors.As(err, &told) || told.Code != "no-answer" {
		t.Errorf("at the end: %v", err)
	}
}

func TestNobodyIsAskedWithoutATerminal(t *testing.T) {
	s := &Session{Stdin: strings.NewReader("secret\n"), Stderr: io.Discard}
	var told *trouble.Trouble
	if _, err := s.Passphrase("", "?"); !errors.As(err, &told) || told.Code != "no-passphrase" || told.Kind != trouble.KindUsage {
		t.Errorf("got %v", err)
	}
}
