package drilling

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// shifted is the example's list with every x of one feature moved.
func shifted(t *testing.T, feature string, by float64) string {
	t.Helper()
	text, n := exampleText(t, "bed-31.csv"), 0
	text = regexp.MustCompile(`(?m)^`+feature+`,([-0-9.]+),`).ReplaceAllStringFunc(text, func(line string) string {
		var x float64
		if _, err := fmt.Sscanf(strings.TrimPrefix(line, feature+","), "%g,", &x); err != nil {
			t.Fatal(err)
		}
		n++
		return fmt.Sprintf("%s,%.2f,", feature, x+by)
	})
	if n != 1 {
		t.Fatalf("%d lines of %s", n, feature)
	}
	return text
}

func TestHoles(t *testing.T) {
	spec, list, edges := exampleText(t, "nine-foot.yaml"), exampleText(t, "bed-31.csv"), exampleText(t, "edges-31.csv")
	hold(t, onHoles, []asked{
		{"one hole off", []string{"spec", spec, "measured", list}, 200, []string{"One feature is not as drawn. All bolts pass at the same time.", "Cause: one hole alone, side-rail-2fl", "100 times as long", "side-rail-2fl</text>",
			"Within 1/32 in", "Computed mass: centre"}},
		{"far off", []string{"spec", spec, "measured", shifted(t, "side-rail-2hr", 9)}, 200, []string{"2 features are not as drawn. The bolts do not all pass at the same time.", "these fight:"}},
		{"by tape", []string{"spec", spec, "measured", strings.Replace(strings.Replace(list, "# u: 0.06 mm\n", "", 1), "method: arm", "method: tape", 1)}, 200, []string{"cannot tell"}},
		{"edges", []string{"spec", spec, "measured", list, "edges", edges}, 200, []string{"The joint edges", "head/centre", "open by"}},
		{"the list to fill in", []string{"spec", spec}, 200, []string{"their names stand in the list below", "side-rail-1fr,,,", "# method: tape", "not measured"}},
		{"hardly filled in", []string{"spec", spec, "measured", "# method: arm\nfeature,x,y,diameter\nside-rail-1fr,195.27,698.78,\nside-rail-1hr,,,\nside-rail-1hl,-194.07,-699.48,\nend-rail-1f;;;\nend-rail-1h,-1333.41,-0.74,\n"}, 200,
			[]string{"3 measured features"}},
		{"a line that is wrong", []string{"spec", spec, "measured", "feature,x,y\nside-rail-1fr,,\nside-rail-1hr,x,3\n"}, 400, []string{":3"}},
		{"no such feature", []string{"spec", spec, "measured", "feature,x,y\nno-such,1,2\n"}, 400, []string{"no-such"}},
		{"too many lines", []string{"spec", spec, "measured", "feature,x,y\n" + strings.Repeat("side-rail-1fr,1,2\n", mostMeasured)}, 400, []string{"too many for a page"}},
		{"no length", []string{"spec", spec, "measured", list, "limit", "wide"}, 400, []string{"is not a length"}},
		{"no file of a pattern", []string{"spec", "pattern: [", "measured", list}, 400, []string{"told bad"}},
	})
}

// The panel at the drill is told what there is, where it lies in the reader's words, and the list that it fills in.
func TestThePanelIsToldTheDrawing(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	code, _, text := b.Ask(t, onHoles, "spec", exampleText(t, "nine-foot.yaml"), "as", "json")
	var got struct {
		Size     [2]float64 `json:"size_mm"`
		Joints   []float64  `json:"joints_mm"`
		Features []nominal  `json:"features"`
		List     string     `json:"list"`
	}
	if err := json.Unmarshal([]byte(text), &got); err != nil || code != 200 || got.Size[0] < 2000 || got.Size[1] < 1000 || len(got.Joints) != 2 {
		t.Fatalf("%d %v: %.300s", code, err, text)
	}
	ways := map[string]bool{}
	for _, f := range got.Features {
		if !strings.Contains(got.List, "\n"+quoted(f.Feature)+",,,\n") {
			t.Errorf("the list has no %s", f.Feature)
		}
		for word, is := range map[string]bool{"towards the head": f.X < 0, "towards the foot": f.X >= 0, "to the left": f.Y < 0, "to the right": f.Y >= 0} {
			if strings.Contains(f.Says, word) != is || strings.Contains(f.Says, "−") {
				t.Errorf("%s at %g, %g: %q", f.Feature, f.X, f.Y, f.Says)
			}
			ways[word] = ways[word] || is
		}
	}
	if len(ways) != 4 || ways["to the left"] != true {
		t.Errorf("%v", ways)
	}
}

// What is taken away of the empty list is a list that can be filled in: every feature once.
func TestEmptyListIsAList(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	code, _, text := b.Ask(t, onHoles, "spec", exampleText(t, "nine-foot.yaml"), "as", "csv")
	lines := strings.Split(strings.TrimSpace(text), "\n")
	if code != 200 || len(lines) < 40 || lines[1] != "feature,x,y,diameter" {
		t.Fatalf("%d, %d lines: %.200s", code, len(lines), text)
	}
	seen := map[string]bool{}
	for _, line := range lines[2:] {
		name, blank := strings.CutSuffix(line, ",,,")
		if !blank || seen[name] || name == "" {
			t.Errorf("%q", line)
		}
		seen[name] = true
	}
}

func TestPattern(t *testing.T) {
	spec := exampleText(t, "nine-foot.yaml")
	near := strings.Replace(spec, "  edge: 30 mm", "  edge: 60 mm", 1)
	if near == spec {
		t.Fatal("the example has no clearance of 30 mm from the edge")
	}
	hold(t, onPattern, []asked{
		{"whole", []string{"spec", spec}, 200, []string{"The drawing keeps all 12 rules.", "nine-foot, revision A: pieces 3, pockets 6", "Piece: head", "weigh it", "from above: the playing face", "⌀"}},
		{"below", []string{"spec", spec, "piece", "2", "face", "bottom"}, 200, []string{"Piece: centre, seen from below: the picture is mirrored", "from below: mirrored", "1:1 template"}},
		{"five", []string{"spec", exampleText(t, "snooker-twelve-foot.yaml"), "piece", "5"}, 200, []string{"pieces 5"}},
		{"no such piece", []string{"spec", spec, "piece", "4"}, 400, []string{"This bed has 3 pieces."}},
		{"a broken rule", []string{"spec", near}, 200, []string{"The drawing breaks rules in", "What is wrong", `class="due"`}},
		{"a broken file", []string{"spec", spec + "\nholse: 3\n"}, 400, []string{`id="wrong"`, "holse"}},
	})
	many := func(rows int) string { // 240 holes a row
		more := ""
		for k := range rows {
			more += fmt.Sprintf("\n  - name: many%d\n    kind: accessory\n    diameter: 1 mm\n    from: top\n    row: {from: [10 mm, %d mm], to: [1200 mm, %d mm], count: 60}\n", k, 50+20*k, 50+20*k)
		}
		return strings.Replace(spec, "\njoints:", more+"\njoints:", 1)
	}
	hold(t, onPattern, []asked{
		{"more than a page shows", []string{"spec", many(4)}, 400, []string{"at most 1000 holes", "slatewright bed check"}},
		{"many on sheets", []string{"spec", many(3), "as", "pdf"}, 200, []string{"%PDF"}},
		{"what it still shows", []string{"spec", many(1)}, 200, []string{"holes 284"}},
	})
	b := own.SignIn(t, mux, "visitor-1")
	for as, begins := range map[string]string{"pdf": "%PDF", "svg": "<svg", "dxf": "999", "template": "%PDF", "csv": "mark,feature"} {
		code, _, text := b.Ask(t, onPattern, "spec", spec, "piece", "1", "face", "bottom", "as", as)
		if code != 200 || !strings.HasPrefix(text, begins) || (as == "svg" || as == "dxf") && !strings.Contains(strings.ToLower(text), "invented data") {
			t.Errorf("%s: %d %.60q", as, code, text)
		}
	}
}

// From below the bed is mirrored along the table: what lay left lies right, and the sides stay.
func TestBelowIsMirrored(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	ends := func(face string) (head, foot int) {
		_, _, page := b.Ask(t, onPattern, "spec", exampleText(t, "nine-foot.yaml"), "face", face)
		wide := page[strings.Index(page, `viewBox="0 0 700`):]
		return strings.Index(wide, ">head<"), strings.Index(wide, ">foot<")
	}
	if head, foot := ends("top"); head < 0 || foot < head {
		t.Errorf("from above head %d, foot %d", head, foot)
	}
	if head, foot := ends("bottom"); foot < 0 || head < foot {
		t.Errorf("from below head %d, foot %d", head, foot)
	}
}

func TestCompare(t *testing.T) {
	old, young := exampleText(t, "nine-foot.yaml"), exampleText(t, "nine-foot-revision-b.yaml")
	hold(t, onCompare, []asked{
		{"two revisions", []string{"before", old, "after", young}, 200, []string{"The two differ in 11 points.", "revision A to B", "A · added", "R · removed", "M · moved", "counter:", "revision A, old"}},
		{"the same", []string{"before", old, "after", old}, 200, []string{"Nothing differs."}},
		{"two patterns", []string{"before", old, "after", exampleText(t, "snooker-twelve-foot.yaml")}, 200, []string{"These are two patterns, nine-foot and snooker-twelve-foot"}},
		{"one only", []string{"before", old}, 400, []string{"No list was given"}},
	})
	b := own.SignIn(t, mux, "visitor-1")
	for as, begins := range map[string]string{"pdf": "%PDF", "svg": "<svg", "dxf": "999", "csv": "what,of,feature"} {
		code, _, text := b.Ask(t, onCompare, "before", old, "after", young, "as", as)
		if code != 200 || !strings.HasPrefix(text, begins) || (as == "svg" || as == "dxf") && !strings.Contains(strings.ToLower(text), "invented data") {
			t.Errorf("%s: %d %.60q", as, code, text)
		}
	}
}
