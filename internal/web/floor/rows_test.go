package floor

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/book/blank"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

func TestNumbersAreReadAsTheReaderWritesThem(t *testing.T) {
	depth := blank.Field{Name: "depth_mm", Sort: "number"}
	long := blank.Field{Name: "stone.length_mm", Sort: "number"}
	steps := blank.Field{Name: "steps_mm", Sort: "list, with commas"}
	mass := blank.Field{Name: "mass_kg", Sort: "number"}
	note := blank.Field{Name: "note", Sort: "text"}
	metric, inch := tongue.In(tongue.Portuguese, tongue.Metric), tongue.In(tongue.English, tongue.Inch)
	for _, c := range []struct {
		words tongue.Words
		field blank.Field
		typed string
		want  string
	}{
		{metric, depth, "0,25", "0.25"}, {metric, depth, "0.25", "0.25"}, {metric, depth, "−0,25", "-0.25"}, {metric, depth, "10 thou", "10 thou"}, {metric, depth, "much", "much"},
		{metric, long, "1473", "1473"}, {inch, long, "58", "58in"}, {inch, depth, "10", "10thou"}, {inch, depth, "0.2 mm", "0.2 mm"}, {inch, mass, "96", "96"},
		{metric, steps, "0,1; 0,2", "0.1,0.2"}, {metric, steps, "0.1, 0.2", "0.1,0.2"}, {metric, steps, "0,1", "0.1"}, {metric, steps, "0.1,0.2", "0.1,0.2"},
		{inch, steps, "3, 4", "3thou,4thou"}, {metric, note, "1,5 kg too heavy", "1,5 kg too heavy"},
	} {
		if got := asTyped(c.words, c.field, c.typed); got != c.want {
			t.Errorf("%s %q became %q, want %q", c.field.Name, c.typed, got, c.want)
		}
	}
}

// Rows of a list that stayed empty are no rows, and the order of the form is kept.
func TestRowsThatHoldSomethingAreCounted(t *testing.T) {
	v := &shell.Visit{Words: tongue.In(tongue.English, tongue.Metric)}
	filled := url.Values{"slab": {"S-1"}, "pieces.0.id": {"A"}, "pieces.0.stone.length_mm": {"1473"}, "pieces.1.id": {" "}, "pieces.2.id": {"C"}, "pieces.10.id": {"K"},
		"last": {"yes"}, "_entry": {"x"}, "code": {"S-1"}, "elsewhere": {"y"}}
	got := pairs(v, &book.Cut{}, filled)
	want := []blank.Pair{{Name: "slab", Value: "S-1"}, {Name: "pieces.0.id", Value: "A"}, {Name: "pieces.0.stone.length_mm", Value: "1473"}, {Name: "last", Value: "yes"},
		{Name: "pieces.1.id", Value: "C"}, {Name: "pieces.2.id", Value: "K"}}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
	body, err := blank.Body(&book.Cut{}, got)
	if want := `{"last":true,"pieces":[{"id":"A","stone":{"length_mm":1473}},{"id":"C"},{"id":"K"}],"slab":"S-1"}`; err != nil || string(body) != want {
		t.Errorf("%s, %v; want %s", body, err, want)
	}
}

// A check box that is needed and not ticked means no.
func TestWhatIsNotTickedIsNo(t *testing.T) {
	v := &shell.Visit{Words: tongue.In(tongue.English, tongue.Metric)}
	got := pairs(v, &book.Slice{}, url.Values{"block": {"B-1"}})
	if !slices.Contains(got, blank.Pair{Name: "last", Value: "no"}) {
		t.Errorf("%v", got)
	}
}

// Every act has a form whose fields all have words and inputs, and which the book can read back: the names are the act's own.
func TestEveryActHasAForm(t *testing.T) {
	w := tongue.In(tongue.English, tongue.Metric)
	for _, act := range book.Acts() {
		fields := blank.Fields(act)
		if elsewhere[act.Word()] {
			continue
		}
		if len(fields) == 0 {
			t.Errorf("%s has no fields", act.Word())
		}
		for _, f := range fields {
			if !w.Has("field." + lastName(f.Name)) {
				t.Errorf("%s: the field %s has no word", act.Word(), f.Name)
			}
			for _, word := range f.Enum {
				if said := enumWord(w, act.Word(), lastName(f.Name), word); said == "" || strings.Contains(said, "⟨") {
					t.Errorf("%s: the choice %s of %s has no word", act.Word(), word, f.Name)
				}
			}
		}
	}
}

func TestCodes(t *testing.T) {
	for read, want := range map[string]string{"QH-1001": "QH-1001", " QH-1001 ": "QH-1001", "piece:QH-1001": "QH-1001", "https://mill.example/piece/QH-1001": "QH-1001",
		"http://mill.example/certificate/QH-C-0042?x=1": "QH-C-0042", "/piece/QH-1001": "QH-1001", "": "", "   ": "", marks.Of("QH-S1", [3]string{"QH-1", "QH-2", "QH-3"})[2].Code(): "QH-2"} {
		if got := codeOf(read); got != want {
			t.Errorf("%q is read as %q, want %q", read, got, want)
		}
	}
}

// The act pack takes marks as they are scanned, one after the other or in one go, and numbers as they are typed.
func TestMarksBecomeNumbers(t *testing.T) {
	m := marks.Of("QH-S1", [3]string{"QH-1", "QH-2", "QH-3"})
	for read, want := range map[string]string{"QH-1, QH-2,QH-3": "QH-1, QH-2, QH-3", m[0].Code() + m[1].Code() + m[3].Code(): "QH-1, QH-2, QH-3", m[0].Code() + ", QH-2, x y": "QH-1, QH-2, x y", " ": ""} {
		if got := numbers(read); got != want {
			t.Errorf("%q becomes %q, want %q", read, got, want)
		}
	}
}

// What a conflict holds is said in the reader's words and units.
func TestFieldsAreSaid(t *testing.T) {
	es := tongue.In(tongue.Spanish, tongue.Metric)
	for _, c := range []struct {
		act, field string
		value      any
		want       string
	}{
		{"reject", "cause", "crack", es.Word("cause", "crack")},
		{"read", "what", "top", es.Word("reading", "top")},
		{"reject", "thing", "block:L1-07", es.Word("kind", "block") + " L1-07"},
		{"slice", "block", "L1-07", "L1-07"},
		{"slice", "finished", true, es.Say("office.yes")},
		{"weigh", "mass_kg", 285.1, "285,1\u00a0kg"},
		{"cut", "length_mm", 1980.0, "1980\u00a0mm"},
		{"judge", "zone_mm", 0.25, "0,250\u00a0mm"},
		{"survey", "cracks", 3.0, "3"},
		{"slice", "slabs", []any{map[string]any{"id": "A", "stone": map[string]any{"mass_kg": 1.0}}, map[string]any{"id": "B"}}, "A, B"},
		{"match", "pieces", []any{"P1", "P2"}, "P1, P2"},
	} {
		if got := said(es, c.act, c.field, c.value); got != c.want {
			t.Errorf("%s %s %v: %q, want %q", c.act, c.field, c.value, got, c.want)
		}
	}
}

// An act that no route places is done where its station's page offers it, if one station's alone does.
func TestActsOfOneStation(t *testing.T) {
	for act, want := range map[string]book.Station{"match": book.Sets, "lay-up": book.Sets, "survey": book.Quarry, "read": book.Office, "appoint": book.Office} {
		if got := onlyAt(act); got != want {
			t.Errorf("%s: %s, want %s", act, got, want)
		}
	}
}
