package gauge_test

import (
	"os"
	"strings"
	"testing"

	"slatewright/gauge"
)

// The handbook's table names every kind with every component that it may state; warmth stands for four of them.
func TestTheHandbookListsEveryComponent(t *testing.T) {
	text, err := os.ReadFile("../docs/gauge.md")
	if err != nil {
		t.Fatal(err)
	}
	if len(gauge.Kinds()) == 0 {
		t.Fatal("there is no kind")
	}
	for _, kind := range gauge.Kinds() {
		_, rest, ok := strings.Cut(string(text), "\n| "+kind+" | ")
		row, _, _ := strings.Cut(rest, "\n")
		if !ok {
			t.Errorf("the handbook does not list the %s", kind)
			continue
		}
		row = strings.ReplaceAll(row, "*warmth*", "face difference, length, thickness, expansion")
		named := map[string]bool{}
		for _, name := range strings.FieldsFunc(row, func(r rune) bool { return r == ',' || r == '|' }) {
			if name = strings.TrimSpace(name); name != "" {
				named[name] = true
			}
		}
		for _, p := range gauge.Properties(kind) {
			if !named[p[0]] {
				t.Errorf("the handbook does not name %s of the %s", p[0], kind)
			}
			delete(named, p[0])
		}
		for name := range named {
			t.Errorf("the handbook names %s, which a %s does not have", name, kind)
		}
	}
}
