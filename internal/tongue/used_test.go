package tongue

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// built are the groups whose keys are put together from data by this package or by any other, and from which.
var built = map[string]string{
	"station.":   "stations of the book",
	"kind.":      "kinds of things",
	"count.":     "kinds of things",
	"act.":       "acts of the book",
	"did.":       "acts of the book",
	"cause.":     "causes of a rejection",
	"face.":      "faces",
	"surface.":   "where a number stands",
	"joint.":     "joints of a piece",
	"place.":     "places in a bed",
	"direction.": "directions over a bed",
	"role.":      "roles",
	"verdict.":   "verdicts",
	"rule.":      "decision rules",
	"stage.":     "stages of surfacing",
	"how.":       "ways of slicing",
	"table.":     "sizes of tables",
	"reading.":   "kinds of readings",
	"check.":     "kinds of checks",
	"sort.":      "sorts of instruments",
	"layout.":    "layouts of a lining",
	"state.":     "states of a shape",
	"shape.":     "words of a shape",
	"unit.":      "units",
	"month.":     "months",
	"caution.":   "topics of package caution",
	"field.":     "fields of the acts",
	"refused.":   "codes of problems",
	"component.": "components of an instrument's reading",
	"told":       "sentences of the book and of the reckoning",
	"needs.":     "conditions of the book",
	"amount.":    "units of conditions",
	"answer.":    "the mill's answers",
}

// program reads every file of the program that may say something: sources without their tests, templates and scripts.
func program(t *testing.T) map[string]string {
	t.Helper()
	texts := map[string]string{}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "node_modules" || d.Name() == "dist" || d.Name() == "testdata"):
			return filepath.SkipDir
		case !slices.Contains([]string{".go", ".ts", ".tmpl", ".html"}, filepath.Ext(path)) || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		text, err := os.ReadFile(path)
		texts[path] = string(text)
		return err
	})
	if err != nil || len(texts) < 10 {
		t.Fatalf("%d files, %v", len(texts), err)
	}
	return texts
}

// anyKey finds what may be a key in the quotes of a source, template or script.
var anyKey = regexp.MustCompile("[\"'`]([a-z][a-z-]*\\.[a-z0-9][a-z0-9._-]*)[\"'`]")

// asked finds keys where they are said, in a source or a template, so that one that does not exist is seen before the page is.
var asked = regexp.MustCompile(`(?:\.Say|\.Tell|tongue\.Key)[ (]+"([^"]*)"`)

func TestEveryKeyIsUsed(t *testing.T) {
	c := all(t)[English]
	used, starts := map[string]bool{}, map[string]bool{}
	for _, text := range program(t) {
		for _, m := range anyKey.FindAllStringSubmatch(text, -1) {
			used[m[1]] = true
			if start(m[1]) {
				starts[m[1]] = true
			}
		}
	}
	needed := map[string]bool{}
	for _, key := range slices.Sorted(maps.Keys(c)) {
		known := used[key]
		for s := range starts {
			known = known || strings.HasPrefix(key, s)
		}
		for s := range built {
			if strings.HasPrefix(key, s) {
				known, needed[s] = true, true
			}
		}
		if !known {
			t.Errorf("nothing says %s", key)
		}
	}
	for s := range built {
		if !needed[s] {
			t.Errorf("no key begins with %s", s)
		}
	}
}

// start tells whether a text in quotes is the beginning of keys that are put together where it stands: "floor.sure-" + how.
func start(text string) bool { return strings.HasSuffix(text, "-") || strings.HasSuffix(text, ".") }

func TestEveryKeyThatIsSaidIsThere(t *testing.T) {
	c, count := all(t)[English], 0
	for path, text := range program(t) {
		for _, m := range asked.FindAllStringSubmatch(text, -1) {
			count++
			if _, there := c[m[1]]; !there && !start(m[1]) && filepath.Base(path) != "tongue.go" {
				t.Errorf("%s says %q, and there is no such key", path, m[1])
			}
		}
	}
	if count == 0 {
		t.Fatal("nothing is said anywhere")
	}
}

func TestKeysAreFound(t *testing.T) {
	for text, want := range map[string]string{
		`{{.Words.Say "floor.empty"}}`: "floor.empty", `w.Say("floor.waits", "n", 3)`: "floor.waits", `{{$.W.Tell "floor.x" .Args}}`: "floor.x",
		`tongue.Key("floor.soon")`: "floor.soon",
	} {
		if m := asked.FindStringSubmatch(text); m == nil || m[1] != want {
			t.Errorf("%s: %q", text, m)
		}
	}
	if m := anyKey.FindStringSubmatch("say(`bench.left`, 3)"); m == nil || m[1] != "bench.left" {
		t.Errorf("%q", m)
	}
}
