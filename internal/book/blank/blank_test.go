package blank

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// hewn is an act with every sort of field.
type hewn struct {
	Thing  book.Ref          `json:"thing" doc:"What" example:"piece:A-1"`
	Names  []string          `json:"names"`
	Steps  []float64         `json:"steps_mm,omitempty"`
	Deep   *float64          `json:"deep_mm,omitempty"`
	Count  int               `json:"count"`
	Good   bool              `json:"good"`
	Due    time.Time         `json:"due"`
	Facts  *hewnFacts        `json:"facts,omitempty"`
	Parts  []hewnPart        `json:"parts"`
	Notes  map[string]string `json:"notes,omitempty"`
	Chosen string            `json:"chosen" enum:"a,b"`
	Turned []string          `json:"turned,omitzero"`
}

type hewnFacts struct {
	LengthMM float64 `json:"length_mm"`
}

type hewnPart struct {
	ID    string    `json:"id"`
	Facts hewnFacts `json:"facts"`
}

func (hewn) Word() string    { return "hew" }
func (hewn) Validate() error { return nil }

func TestFieldsAreReadFromTheAct(t *testing.T) {
	var lines []string
	for _, f := range Fields(&hewn{}) {
		line := f.Name + " " + f.Sort
		if f.Needed {
			line += " *"
		}
		lines = append(lines, line+strings.Join(f.Enum, "|")+f.Doc+f.Example)
	}
	want := `thing kind:number *Whatpiece:A-1
names list, with commas *
steps_mm list, with commas
deep_mm number
count whole number *
good yes or no *
due time *
facts.length_mm number
parts.N.id text *
parts.N.facts.length_mm number *
notes names and texts
chosen text *a|b
turned list, with commas`
	if got := strings.Join(lines, "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// pairs parts NAME=VALUE words.
func pairs(line string) (list []Pair) {
	for _, word := range strings.Fields(line) {
		name, value, _ := strings.Cut(word, "=")
		list = append(list, Pair{name, value})
	}
	return list
}

func TestPairsBecomeTheBody(t *testing.T) {
	cases := []struct{ pairs, want string }{
		{"", `{}`},
		{"thing=piece:A-1 count=3 good=yes", `{"count":3,"good":true,"thing":"piece:A-1"}`},
		{"names=A,B steps_mm=0.1,10thou deep_mm=1in", `{"deep_mm":25.4,"names":["A","B"],"steps_mm":[0.1,0.254]}`},
		{"due=2026-11-25", `{"due":"2026-11-25T00:00:00Z"}`},
		{"due=2026-11-25T14:30:00+01:00", `{"due":"2026-11-25T14:30:00+01:00"}`},
		{"facts.length_mm=1473", `{"facts":{"length_mm":1473}}`},
		{"parts.0.id=A parts.0.facts.length_mm=9 parts.1.id=B", `{"parts":[{"facts":{"length_mm":9},"id":"A"},{"id":"B"}]}`},
		{"notes.lining=full notes.a.b=c", `{"notes":{"a.b":"c","lining":"full"}}`},
		{"chosen=a=b", `{"chosen":"a=b"}`},
		{"turned=", `{"turned":[]}`},
		{"turned=A", `{"turned":["A"]}`},
	}
	for _, c := range cases {
		got, err := Body(&hewn{}, pairs(c.pairs))
		if err != nil || string(got) != c.want {
			t.Errorf("%s: got %s, %v; want %s", c.pairs, got, err, c.want)
		}
	}
}

func TestWrongPairsAreNamed(t *testing.T) {
	cases := []struct{ pairs, code, word string }{
		{"=x", "bad-field", "no field "},
		{"depth=1", "bad-field", "no field depth"},
		{"count.x=1", "bad-field", "no field count.x"},
		{"facts=1", "bad-field", "no field facts"},
		{"count=1 count=2", "twice", "count is given twice"},
		{"count=many", "bad-value", "not \"many\""},
		{"count=0x10", "bad-value", "0x10"},
		{"deep_mm=1kg", "bad-value", "1kg"},
		{"good=perhaps", "bad-value", "perhaps"},
		{"due=soon", "bad-value", "soon"},
		{"parts.1.id=A", "bad-place", "next place"},
		{"parts.x.id=A", "bad-place", `"x"`},
		{"parts=A", "bad-value", "fields of their own"},
		{"notes=A", "bad-value", "names and texts"},
	}
	for _, c := range cases {
		_, err := Body(&hewn{}, pairs(c.pairs))
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != c.code || !strings.Contains(told.What, c.word) || told.Next == "" {
			t.Errorf("%s: %v, want %s with %q", c.pairs, err, c.code, c.word)
		}
	}
}

// Whatever is typed, it becomes JSON or is refused.
func FuzzPairs(f *testing.F) {
	for _, seed := range []string{"thing=piece:A-1", "parts.0.id=A", "notes.x=1", "deep_mm=1in", "due=2026-11-25", "parts.99999999999999999999.id=x", "=.=", "parts.0=1", "steps_mm.0=1", "names.0.0=x"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, line string) {
		body, err := Body(&hewn{}, pairs(line))
		if err != nil {
			var told *trouble.Trouble
			if !errors.As(err, &told) {
				t.Fatalf("%q: %v is not trouble", line, err)
			}
			return
		}
		if !json.Valid(body) {
			t.Fatalf("%q became %q", line, body)
		}
	})
}
