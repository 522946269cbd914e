package drilling

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/caution"
	"slatewright/internal/web/pagetest"
)

var (
	own *pagetest.Mill
	mux = http.NewServeMux()
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(_ context.Context, mill *pagetest.Mill) error {
		own = mill
		frame, err := mill.Frame()
		if err != nil {
			return err
		}
		return Add(frame, mux)
	})
}

// The examples are those of the handbook, to the byte.
func TestExamplesAreTheHandbooks(t *testing.T) {
	files, err := os.ReadDir("examples")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d examples, %v", len(files), err)
	}
	for _, f := range files {
		same := slices.ContainsFunc([]string{"bed", "holes"}, func(room string) bool {
			theirs, err := os.ReadFile("../../../docs/examples/" + room + "/" + f.Name())
			return err == nil && string(theirs) == exampleText(t, f.Name())
		})
		if !same {
			t.Errorf("%s stands in no folder of the handbook's examples as it is here", f.Name())
		}
	}
}

func exampleText(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Every question is asked for and answered in every language; its example has one picture in two widths.
func TestEveryPageInEveryLanguage(t *testing.T) {
	pages := map[string]int{at: 0}
	for _, q := range questions() {
		pages[q.Path] = 0
		for _, e := range q.Examples {
			if e.Path == "" {
				e.Path = q.Path + "/example"
			}
			pages[e.Path] = 2
		}
	}
	own.HoldQuestions(t, mux, pages)
}

// Every question's example can be taken away as JSON; a question without a file is asked again; every page carries its cautions.
func TestEveryQuestionIsAnsweredAndRefused(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, q := range questions() {
		for _, topic := range []caution.Topic{caution.Machines, caution.Dust, caution.Lifting, caution.Wet} {
			if !slices.Contains(q.Care, topic) {
				t.Errorf("%s does not carry %s", q.Path, topic)
			}
		}
		pairs := []string{"as", "json"}
		for field, file := range q.Examples[0].Files {
			pairs = append(pairs, field, exampleText(t, file))
		}
		code, _, text := b.Ask(t, q.Path, pairs...)
		if code != http.StatusOK || !json.Valid([]byte(text)) {
			t.Errorf("%s: %d %.200s", q.Path, code, text)
		}
		if code, text, _ := b.Ask(t, q.Path); code/100 != 4 {
			t.Errorf("%s: %d without a file: %.200s", q.Path, code, text)
		}
	}
}

// asked is one question with what its answer says, or is refused with.
type asked struct {
	name  string
	pairs []string
	code  int
	says  []string
}

func hold(t *testing.T, path string, list []asked) {
	t.Helper()
	b := own.SignIn(t, mux, "visitor-1")
	for _, c := range list {
		code, text, page := b.Ask(t, path, c.pairs...)
		text = strings.Join(strings.Fields(text+page), " ")
		if code/100 != c.code/100 {
			t.Errorf("%s: %d %.400s", c.name, code, text)
		}
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: nothing says %q", c.name, want)
			}
		}
	}
}
