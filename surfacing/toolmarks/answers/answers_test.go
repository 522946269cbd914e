package answers_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/sheet"
	"slatewright/surfacing/toolmarks"
	"slatewright/surfacing/toolmarks/answers"
	"slatewright/trouble"
)

func text(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile("../../../docs/examples/surfacing/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func one(t *testing.T, name, text string) []answers.Source {
	t.Helper()
	list, err := answers.InOne(name, text)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

var machine = toolmarks.Facts{Diameter: 400, Pitch: 200}

// The invented machine of the example leans by 20 µm over 26.795 mm (746.4 µm/m); its keys are a contract.
func TestLeaning(t *testing.T) {
	r, err := answers.Of(one(t, "list", text(t, "toolmarks-leaning.csv")), answers.Question{Feed: "x", Facts: machine})
	if err != nil {
		t.Fatal(err)
	}
	if r.State != answers.Marked || r.Cause == nil || *r.Cause != "lean-along" || len(r.Marks) != 1 || r.HiddenUM != nil {
		t.Fatalf("%+v", r)
	}
	if lean := r.Marks[0].Along; lean.From > 746.4 || lean.To < 746.4 || math.Abs(lean.Value-746.4) > 0.1*746.4 {
		t.Errorf("lean %+v", lean)
	}
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range strings.Fields("maps feed disc_mm pitch_given_mm turn_mm limit_um state first_cause marks pitch_mm hidden_um cannot_see trends warnings cause says found above_limit " +
		"strength_um probability cause_probability along_um_per_m across_um_per_m correct formula looks_alike try_first") {
		if !strings.Contains(string(b), `"`+key+`":`) {
			t.Errorf("no %s", key)
		}
	}
}

// Several maps stand one behind the other, say how they lay, and tell since when.
func TestSince(t *testing.T) {
	list := one(t, "list", text(t, "toolmarks-since.csv"))
	if len(list) != 11 || list[0].Start != "-" || list[1].Start != "+" || list[0].Place != "left" {
		t.Fatalf("%d maps, %+v", len(list), list[0])
	}
	for _, s := range list {
		for _, w := range s.Face.Warnings {
			if strings.Contains(w, "start") {
				t.Errorf("%q", w)
			}
		}
	}
	r, err := answers.Of(list, answers.Question{Feed: "x", Facts: toolmarks.Facts{Diameter: 400}})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Trends) != 1 || r.Trends[0].State != "step" || *r.Trends[0].Date < "2026-06-29" || *r.Trends[0].Date > "2026-07-13" {
		t.Errorf("%+v", r.Trends)
	}
	var across *answers.Span
	for _, m := range r.Marks {
		if m.Cause == "lean-across" {
			across = m.Across
		}
	}
	if across == nil || math.Abs(across.Value-90) > 9 { // 18 µm over 200 mm, lower towards +y
		t.Errorf("across %+v", across)
	}
}

// A piece that lay turned shows the same machine the other way round.
func TestTurned(t *testing.T) {
	list := one(t, "list", text(t, "toolmarks-since.csv"))[8:9]
	ask := func(turned bool) float64 {
		list[0].Turned = turned
		r, err := answers.Of(list, answers.Question{Feed: "x", Facts: machine})
		if err != nil || len(r.Marks) == 0 || r.Marks[0].Across == nil {
			t.Fatalf("%v, %+v", err, r)
		}
		return r.Marks[0].Across.Value
	}
	if a, b := ask(false), ask(true); a < 30 || math.Abs(a+b) > 0.15*a {
		t.Errorf("%g, turned %g", a, b)
	}
}

func TestRefused(t *testing.T) {
	good := text(t, "toolmarks-leaning.csv")
	for code, f := range map[string]func() error{
		"no-feed": func() error { _, err := answers.Of(one(t, "l", good), answers.Question{}); return err },
		"bad-limit": func() error {
			_, err := answers.Of(one(t, "l", good), answers.Question{Feed: "x", Limit: -1})
			return err
		},
		"bad-start": func() error {
			_, err := answers.Of(one(t, "l", "# start: up\n"+good), answers.Question{Feed: "x"})
			return err
		},
		"bad-date": func() error {
			s := one(t, "l", good)
			s[0].Date = "yesterday"
			_, err := answers.Of(s, answers.Question{Feed: "x"})
			return err
		},
		"bad-turned": func() error { return list("file,turned\na.csv,perhaps\n") },
		"no-file":    func() error { return list("file,start\n,+\n") },
		"bad-title":  func() error { return list("file,weather\na.csv,wet\n") },
		"bad-passes": func() error { _, err := answers.OrderOf("both"); return err },
	} {
		var wrong *trouble.Trouble
		if err := f(); !errors.As(err, &wrong) || wrong.Code != code {
			t.Errorf("want %s, got %v", code, err)
		}
	}
}

func list(text string) error {
	s, err := sheet.Read("list.csv", strings.NewReader(text))
	if err != nil {
		return err
	}
	_, err = answers.List(s, func(name string) (*face.Face, error) { return face.ReadCSV(name, strings.NewReader("x,y,z\n0,0,0\n")) })
	return err
}

// Whatever is pasted is taken apart or refused with a place, and never more than once.
func FuzzInOne(f *testing.F) {
	for _, s := range []string{"", "x,y,z\n1,2,3\n# date: 2026-01-01\nx,y,z\n4,5,6\n", "# start: +\n# turned: yes\nx,y,z\n1,2,3", "#\n#\n#", "x,y,z\n# a\n# b\n", "\ufeff# size: 1 x 2 m\nx;y;z\n1,5;2;3\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		list, err := answers.InOne("list", text)
		var wrong *trouble.Trouble
		if err != nil && !errors.As(err, &wrong) {
			t.Errorf("%v", err)
		}
		n := 0
		for _, s := range list {
			n += s.Face.Len()
		}
		if n > strings.Count(text, "\n")+strings.Count(text, "\r")+1 {
			t.Errorf("%d readings in %q", n, text)
		}
	})
}
