package office

import (
	"errors"
	"io"
	"strings"
	"testing"

	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// full is what a mill may answer.
func full() answers {
	return answers{Name: "Low Quarry", Site: "low", State: "free", Lining: "full", Surfacing: "after", Supports: "bench", Lead: "lead-1"}
}

func TestEveryQuestionMustBeAnswered(t *testing.T) {
	good := full()
	if err := good.check(); err != nil {
		t.Fatal(err)
	}
	if got := good.settled(); len(got) != len(opened.Questions) || got["surfacing"] != "after the room" || got["flatness-state"] != "free" {
		t.Errorf("settled %v", got)
	}
	for _, key := range keys {
		a := full()
		if *a.field(key) = ""; key == "called" {
			continue
		}
		var told *trouble.Trouble
		if err := a.check(); !errors.As(err, &told) || told.Code != "no-answer" || !strings.HasSuffix(told.What, ": --"+key) {
			t.Errorf("without %s: %v", key, err)
		}
	}
	for _, q := range opened.Questions {
		a := full()
		*a.field(q.Key) = "perhaps"
		var told *trouble.Trouble
		if err := a.check(); !errors.As(err, &told) || told.Code != "bad-answer" {
			t.Errorf("%s perhaps: %v", q.Key, err)
		}
	}
}

func TestFlagsCountBeforeTheFile(t *testing.T) {
	a, err := readAnswers("a.yaml", strings.NewReader("name: Low Quarry\nlining-layout: strips\n"))
	if err != nil {
		t.Fatal(err)
	}
	a.over(answers{Lining: "pads", Lead: "lead-2"})
	if a.Name != "Low Quarry" || a.Lining != "pads" || a.Lead != "lead-2" {
		t.Errorf("got %+v", a)
	}
	for _, wrong := range []string{"colour: grey", "- a", "name: [a]", "name: a\nname: b", "\x00"} {
		var told *trouble.Trouble
		if _, err := readAnswers("a.yaml", strings.NewReader(wrong)); !errors.As(err, &told) || told.Code != "bad-answers" || told.Where != "a.yaml" {
			t.Errorf("%q: %v", wrong, err)
		}
	}
	if a, err := readAnswers("a.yaml", strings.NewReader("")); err != nil || a != (answers{}) {
		t.Errorf("an empty file: %+v, %v", a, err)
	}
}

// What was given is not asked; an empty line is the usual answer; what is no answer is asked again.
func TestTheTerminalAsksForTheRest(t *testing.T) {
	a := answers{Name: "Low Quarry", Supports: "lines"}
	var asked strings.Builder
	s := &verb.Session{Stdin: strings.NewReader("\nwet\nFREE\nst\n\n\n"), Stderr: &asked}
	if err := a.ask(s); err != nil {
		t.Fatal(err)
	}
	want := answers{Name: "Low Quarry", Site: "low-quarry", State: "free", Lining: "strips", Surfacing: "after the room", Supports: "lines", Lead: "lead-1"}
	if a != want {
		t.Errorf("got %+v, want %+v", a, want)
	}
	if !strings.Contains(asked.String(), `"wet" is none of them`) || strings.Contains(asked.String(), "called") {
		t.Errorf("asked\n%s", asked.String())
	}
	if err := (&answers{}).ask(&verb.Session{Stdin: strings.NewReader("x\n"), Stderr: io.Discard}); err == nil {
		t.Error("the input ended and nobody noticed")
	}
}

func TestSlugIsAShortWord(t *testing.T) {
	for name, want := range map[string]string{"Low Quarry": "low-quarry", " North & Low ": "north-low", "Åse 7": "se-7", "": "", "--": ""} {
		if got := slug(name); got != want {
			t.Errorf("%q: got %q, want %q", name, got, want)
		}
	}
}
