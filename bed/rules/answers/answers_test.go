package answers_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/rules/answers"
)

const examples = "../../../docs/examples/bed/"

func read(t *testing.T, name, from, to string) pattern.Pattern {
	t.Helper()
	text, err := os.ReadFile(examples + name)
	if err != nil {
		t.Fatal(err)
	}
	p, err := patternfile.Read(name, strings.NewReader(strings.Replace(string(text), from, to, 1)))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The contract: problems is a list, empty where nothing is wrong, and each has rule, where and message.
func TestCheckAsJSON(t *testing.T) {
	var got struct {
		Problems []struct{ Rule, Where, Message string }
		Warnings []string
	}
	for name, n := range map[string]int{"nine-foot.yaml": 0, "nine-foot-revision-b.yaml": 5} {
		text, err := json.Marshal(answers.Checked(name, read(t, name, "", "")))
		if err != nil || strings.Contains(string(text), "null") {
			t.Fatalf("%s, %v", text, err)
		}
		if err := json.Unmarshal(text, &got); err != nil || len(got.Problems) != n {
			t.Fatalf("%s: %+v, %v", name, got, err)
		}
		for _, p := range got.Problems {
			if p.Rule == "" || p.Where == "" || p.Message == "" {
				t.Errorf("%+v", p)
			}
		}
		if approved := len(got.Warnings) == 0; approved != (n == 0) {
			t.Errorf("%s: %v", name, got.Warnings)
		}
	}
	stone := answers.Checked("nine", read(t, "nine-foot.yaml", "", "")).Stone
	if len(stone) != 3 || stone[0].Piece != "head" || math.Abs(stone[0].Mass-stone[2].Mass) > 1e-9 || stone[0].Mass < 92 || stone[0].Mass > 95.44 {
		t.Errorf("%+v", stone)
	}
	bare := answers.Checked("bare", pattern.Pattern{Name: "bare"})
	if len(bare.Warnings) != 2 || bare.Problems == nil {
		t.Errorf("%+v", bare)
	}
}

// Likes are told in one line, as far as they say the same.
func TestTold(t *testing.T) {
	before := read(t, "nine-foot.yaml", "", "")
	for name, c := range map[string]struct {
		from, to string
		of       string
		bases    []string
		count    int
		says     string
	}{
		"across":  {"[nose_x + bolt_line, 420 mm]", "[nose_x + bolt_line, 423 mm]", "hole", []string{"end-rail-2"}, 4, "moved by 3.00 mm across the table"},
		"along":   {"[nose_x + bolt_line, 420 mm]", "[nose_x + bolt_line + 2 mm, 420 mm]", "hole", []string{"end-rail-2"}, 4, "moved by 2.00 mm along the table"},
		"slant":   {"[nose_x + bolt_line, 420 mm]", "[nose_x + bolt_line + 3 mm, 424 mm]", "hole", []string{"end-rail-2"}, 4, "moved by 5.00 mm: 3.00 mm along and 4.00 mm across the table"},
		"renamed": {"name: end-rail", "name: er", "hole", []string{"er-1"}, 2, "was called end-rail-1"},
		"group":   {"countersink: {diameter: 14 mm", "countersink: {diameter: 15 mm", "hole", []string{"screw-1", "screw-2", "screw-3", "screw-4", "screw-5", "screw-6"}, 18, "counter changed from countersink 14 mm, 90.000°, from the top to countersink 15 mm, 90.000°, from the top"},
		"bed":     {`revision: "A"`, `revision: "B"`, "bed", []string{"bed"}, 1, "revision changed from A to B"},
		"nothing": {`on: "2026-11-26"}`, `}`, "bed", []string{"bed"}, 1, "approved.on changed from 2026-11-26 to nothing"},
	} {
		told := answers.Compared("a", before, "b", read(t, "nine-foot.yaml", c.from, c.to)).Told()
		if len(told) == 0 || told[0].Of != c.of || !slices.Equal(told[0].Bases, c.bases) || told[0].Count != c.count || told[0].Says != c.says {
			t.Errorf("%s: %+v", name, told)
		}
	}
	if same := answers.Compared("a", before, "b", before); len(same.Told()) != 0 || len(same.Warnings) != 0 || same.Differences == nil {
		t.Errorf("%+v", same)
	}
}

func TestCompareWarns(t *testing.T) {
	before := read(t, "nine-foot.yaml", "", "")
	moved := answers.Compared("a", before, "b", read(t, "nine-foot.yaml", "420 mm", "423 mm"))
	other := answers.Compared("a", before, "b", read(t, "eight-foot.yaml", "", ""))
	if len(moved.Warnings) != 2 || !strings.Contains(moved.Warnings[0], "they differ") || !strings.Contains(moved.Warnings[1], "approved") {
		t.Errorf("%q", moved.Warnings)
	}
	if len(other.Warnings) == 0 || !strings.Contains(other.Warnings[0], "two patterns") {
		t.Errorf("%q", other.Warnings)
	}
}
