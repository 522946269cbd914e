package surfacing

import (
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"testing"
)

func example(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestCleanupSaysWhatTheVerbSays asks for one slab in every way that its answer can come out.
func TestCleanupSaysWhatTheVerbSays(t *testing.T) {
	top, bottom := example(t, "cleanup-top.csv"), example(t, "cleanup-bottom.csv")
	b := own.SignIn(t, mux, "visitor-1")
	ask := func(more ...string) (int, string) {
		code, text, _ := b.Ask(t, onCleanup, append([]string{"top", top, "bottom", bottom}, more...)...)
		return code, text
	}
	for _, c := range []struct {
		more []string
		says []string
	}{
		{nil, []string{"A clean-up is possible: 26.700", "no damage depth is taken off"}},
		{[]string{"finish", "25.4 mm", "damage", "0.3 mm"}, []string{"possible at 25.400", "Take as much off both faces"}},
		{[]string{"finish", "26.5 mm", "damage", "0,3"}, []string{"No clean-up is possible at 26.500", "is missing", "stone is missing"}},
		{[]string{"finish", "26.7 mm"}, []string{"Cannot tell"}},
		{[]string{"finish", "26 mm", "least", "25.9 mm", "reserve", "0.3 mm"}, []string{"It is not allowed", "the mill keeps a reserve of 0.300 mm"}},
		{[]string{"least", "26.6 mm", "reserve", "0.06 mm"}, []string{"It is the last cut"}},
	} {
		code, text := ask(c.more...)
		if code != http.StatusOK {
			t.Errorf("%q: %d", c.more, code)
		}
		for _, says := range c.says {
			if !strings.Contains(strings.ReplaceAll(text, "\u00a0", " "), says) {
				t.Errorf("%q does not say %q", c.more, says)
			}
		}
	}
	_, text := ask("finish", "25.4 mm", "as", "json")
	var got struct {
		Verdict string
		Finish  float64 `json:"finish_mm"`
	}
	if err := json.Unmarshal([]byte(text), &got); err != nil || got.Verdict != "possible" || got.Finish != 25.4 {
		t.Errorf("%+v, %v", got, err)
	}
	for what, fields := range map[string][]string{
		"reserve without least": {"top", top, "bottom", bottom, "reserve", "0.2 mm"},
		"no length":             {"top", top, "bottom", bottom, "finish", "thick"},
		"not tied":              {"top", strings.ReplaceAll(top, "# thickness:", "# thick:"), "bottom", bottom},
		"the wrong way round":   {"top", bottom, "bottom", top},
		"no readings":           {"top", "# size: 914 x 1473 mm\n"},
	} {
		if code, _, _ := b.Ask(t, onCleanup, fields...); code/100 != 4 {
			t.Errorf("%s: %d", what, code)
		}
	}
	if code, _, _ := b.Ask(t, onCleanup, "top", top); code != http.StatusOK {
		t.Errorf("one face: %d", code)
	}
}

func TestRoughAndSetPages(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	list := example(t, "cleanup-rough.csv")
	code, text, _ := b.Ask(t, onRough, "list", list, "sizes", "25.4, 28 mm", "damage", "0.3 mm")
	if code != http.StatusOK || !strings.Contains(text, "2 of 3 slabs surely give") && !strings.Contains(text, "3 of 3 slabs surely give") {
		t.Errorf("%d %.900s", code, text)
	}
	for what, fields := range map[string][]string{
		"no sense":  {"list", strings.Replace(list, "+0.30", "0.30", 1)},
		"no size":   {"list", list, "sizes", "thick"},
		"too many":  {"list", list + strings.Repeat("x,30,30,30,30\n", mostRough)},
		"no finish": {"list", list, "sizes", "1 2 3 4 5 6 7 8 9 10 11 12 13"},
	} {
		if code, _, _ := b.Ask(t, onRough, fields...); code/100 != 4 {
			t.Errorf("%s: %d", what, code)
		}
	}
	if code, _, _ := b.Ask(t, onSet, "head-top", example(t, "cleanup-top.csv")); code/100 != 4 {
		t.Errorf("a set of one piece: %d", code)
	}
}

func TestBandsHoldEveryAmount(t *testing.T) {
	for _, c := range [][2]float64{{0.3, 1.376}, {-0.2, 0.6}, {0, 0}, {0.5, 0.5}, {0, 5.01}, {1, 1.001}} {
		b := bandsOf(c[0], c[1])
		if b.low > c[0] || c[1] > b.low+b.step*float64(len(tints))+1e-12 || b.step <= 0 {
			t.Errorf("%v: %+v", c, b)
		}
		if b.tint(c[0]) == "" || b.tint(c[1]) == "" {
			t.Error("no tint")
		}
	}
}
