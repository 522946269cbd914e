package cli

import (
	"os"
	"strings"
	"testing"
)

func TestVersionIsTheNewestInTheChangelog(t *testing.T) {
	text, err := os.ReadFile("../../CHANGELOG.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, found := strings.Cut(string(text), "\n## ")
	newest, _, _ := strings.Cut(after, "\n")
	if !found || strings.Fields(newest)[0] != Version {
		t.Errorf("the newest change is of %q, and the program calls itself %s", newest, Version)
	}
}
