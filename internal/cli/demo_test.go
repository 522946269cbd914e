package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"slatewright/certificate"
	"slatewright/internal/cli/office"
	"slatewright/internal/cli/verb"
	"slatewright/internal/rehearsal"
)

// What the invented mill writes on its readings is the mark by which a certificate knows them.
func TestReadingsOfTheInventedMillBearTheMark(t *testing.T) {
	if rehearsal.Notice != certificate.Invented {
		t.Errorf("the mill writes %q, the certificate knows %q", rehearsal.Notice, certificate.Invented)
	}
}

// The demo takes away what an earlier one left, and nothing that it does not make itself.
func TestDemoClearsOnlyItsOwn(t *testing.T) {
	dir := t.TempDir()
	own := []string{"QH-S01.json", "QH-S07.pdf", "QH-S03-refusal.pdf", "maps/QH-S01.svg", "readings/QH-0101.csv", "readings/QH-S01-layup.csv"}
	others := []string{"QH-S1.json", "QH-0001.json", "AB-S01.pdf", "QH-S01.txt", "maps/QH-S01.png", "readings/QH-0412.csv", "readings/mine.csv", "more/QH-S01.json", "notes.md"}
	for _, name := range append(slices.Clone(own), others...) {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte("x"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, "QH-S09.json"), 0o777); err != nil { // a folder is nobody's paper
		t.Fatal(err)
	}
	if err := (&demo{verb: demoVerb{Out: dir}}).clear(); err != nil {
		t.Fatal(err)
	}
	for _, name := range own {
		if _, err := os.Stat(filepath.Join(dir, name)); err == nil {
			t.Errorf("%s is still there", name)
		}
	}
	for _, name := range append(others, "QH-S09.json") {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Errorf("%s is gone", name)
		}
	}
	if err := (&demo{verb: demoVerb{Out: filepath.Join(dir, "absent")}}).clear(); err != nil {
		t.Errorf("a folder that is not there yet: %v", err)
	}
}

// The table shows the steps as they were measured where the set was laid up, not as they were foretold.
func TestTableOfTheDemoShowsWhatWasMeasured(t *testing.T) {
	s := &verb.Session{Stdin: strings.NewReader(""), Stderr: io.Discard}
	answer, err := demoVerb{Out: t.TempDir(), Seed: rehearsal.DemoSeed, Pieces: 7, NoBook: true}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	r := answer.(*demoReport)
	var b strings.Builder
	r.Print(&b)
	looked := 0
	for _, set := range r.Sets {
		if set.Basis != certificate.BasisLaidUp {
			continue
		}
		looked++
		results := set.desk.Results() // six predicted, then the two measured steps
		measured := fmt.Sprintf("%6.3f  %6.3f  %s", results[6].Value, results[7].Value, set.Verdict)
		if !strings.Contains(b.String(), measured) || results[6].Value == results[3].Value {
			t.Errorf("no %q in\n%s", measured, b.String())
		}
	}
	if looked == 0 {
		t.Error("no set was laid up")
	}
}

// Whoever ran the demo reads last how its pages are opened: by the address that serve takes when nothing is said, and the folder that
// it then takes, or the one where the book is.
func TestTheDemoEndsByTellingHowToOpenThePages(t *testing.T) {
	listen, ok := reflect.TypeFor[office.Serve]().FieldByName("Listen")
	if at := "http://" + listen.Tag.Get("default"); !ok || at != pagesAddress {
		t.Errorf("serve listens at %s, the demo names %s", at, pagesAddress)
	}
	out, ok := reflect.TypeFor[demoVerb]().FieldByName("Out")
	if !ok || out.Tag.Get("default") != usualOut {
		t.Errorf("the demo's folder is %q", out.Tag.Get("default"))
	}
	for folder, start := range map[string]string{usualOut: "serve --demo\n", "elsewhere": "serve --demo elsewhere/mill\n"} {
		var told strings.Builder
		(&demoReport{Out: folder, Book: folder + "/" + bookFolder}).Print(&told)
		paragraphs := strings.Split(strings.TrimSpace(told.String()), "\n\n")
		if last := paragraphs[len(paragraphs)-1]; !strings.Contains(last, "slatewright "+start) || !strings.Contains(last, pagesAddress) || !strings.Contains(last, office.DemoPassphrase) {
			t.Errorf("%s: the demo ends with %q", folder, last)
		}
	}
}
