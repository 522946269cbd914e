package cutting

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"slices"
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
		return Add(frame, mux, nil)
	})
}

// The examples are those of the handbook: docs/examples/ROOM/FILE stands here as ROOM-FILE.
func TestExamplesAreTheHandbooks(t *testing.T) {
	rooms := []string{"layer", "leaves", "recovery", "slab"}
	files, err := os.ReadDir("examples")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d examples, %v", len(files), err)
	}
	for _, f := range files {
		mine, err := os.ReadFile("examples/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		same := slices.ContainsFunc(rooms, func(room string) bool {
			theirs, err := os.ReadFile("../../../docs/examples/" + room + "/" + f.Name())
			return err == nil && string(theirs) == string(mine)
		})
		if !same {
			t.Errorf("%s stands in no folder of the handbook's examples as it is here", f.Name())
		}
	}
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

// examplesOf are the lists of a question's first example, as pairs of field and text.
func examplesOf(t *testing.T, file map[string]string, plain map[string]string) (pairs []string) {
	t.Helper()
	for field, name := range file {
		text, err := os.ReadFile("examples/" + name)
		if err != nil {
			t.Fatal(err)
		}
		pairs = append(pairs, field, string(text))
	}
	for field, typed := range plain {
		pairs = append(pairs, field, typed)
	}
	return pairs
}

// Every question's example can be taken away as JSON; a question without a list is asked again.
func TestEveryQuestionIsAnsweredAndRefused(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, q := range questions() {
		e := q.Examples[0]
		code, _, text := b.Ask(t, q.Path, append(examplesOf(t, e.Files, e.Plain), "as", "json")...)
		if code != http.StatusOK || !json.Valid([]byte(text)) {
			t.Errorf("%s: %d %.200s", q.Path, code, text)
		}
		if code, text, _ := b.Ask(t, q.Path); code/100 != 4 {
			t.Errorf("%s: %d without a list: %.200s", q.Path, code, text)
		}
	}
}

// carries lists by hand, once more, what can hurt in the work that each page is about: a page that loses a caution fails.
var carries = map[string][]caution.Topic{
	at + "/layer":    {caution.Faces, caution.Lifting, caution.Dust, caution.Machines, caution.Wet},
	at + "/recovery": {caution.Faces, caution.Lifting},
	at + "/leaves":   {caution.Lifting, caution.Dust, caution.Machines, caution.Wet},
	onMarking:        {caution.Lifting, caution.Dust, caution.Machines, caution.Wet},
}

func TestPagesCarryTheirCautions(t *testing.T) {
	for _, q := range questions() {
		must, listed := carries[q.Path]
		if !listed {
			t.Errorf("%s is not in the list: say what can hurt", q.Path)
		}
		for _, topic := range must {
			if !slices.Contains(q.Care, topic) {
				t.Errorf("%s does not carry %s", q.Path, topic)
			}
		}
	}
}
