package cli_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var link = regexp.MustCompile(`\]\(([^)]+)\)`)

// Every link from a page to a file of this project leads somewhere.
func TestLinksOfPagesLeadSomewhere(t *testing.T) {
	pages, err := filepath.Glob("../../docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	more, err := filepath.Glob("../../*.md")
	if err != nil {
		t.Fatal(err)
	}
	links := 0
	for _, page := range append(pages, more...) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range link.FindAllStringSubmatch(string(text), -1) {
			to, _, _ := strings.Cut(m[1], "#")
			if to == "" || strings.Contains(to, "://") {
				continue
			}
			links++
			if _, err := os.Stat(filepath.Join(filepath.Dir(page), to)); err != nil {
				t.Errorf("%s links to %s, which is not there", page, to)
			}
		}
	}
	if links == 0 {
		t.Fatal("no page has a link")
	}
}
