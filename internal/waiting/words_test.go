package waiting_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"slatewright/internal/tongue"
)

var spoken = regexp.MustCompile(`"(waiting\.(?:say|do|sure|cost|come|next)\.[a-z-]+)"`)

// Every sentence that the sources name can be said.
func TestEverySentenceHasItsWords(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	words, count := tongue.In(tongue.English, tongue.Metric), 0
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range spoken.FindAllStringSubmatch(string(text), -1) {
			if count++; !words.Has(m[1]) {
				t.Errorf("%s says %s, and there are no words for it", f, m[1])
			}
		}
	}
	if count < 100 {
		t.Fatalf("%d sentences found", count)
	}
}
