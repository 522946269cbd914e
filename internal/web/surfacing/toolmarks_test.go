package surfacing

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
)

// TestToolMarksSayWhatTheVerbSays asks for one face in the ways in which its answer can come out, and feeds the page nonsense.
func TestToolMarksSayWhatTheVerbSays(t *testing.T) {
	leaning := example(t, "toolmarks-leaning.csv")
	b := own.SignIn(t, mux, "visitor-1")
	ask := func(fields ...string) (int, string) {
		code, text, _ := b.Ask(t, onMarks, fields...)
		return code, strings.ReplaceAll(text, "\u00a0", " ")
	}
	for _, c := range []struct {
		fields []string
		says   string
	}{
		{[]string{"maps", leaning, "feed", "x", "disc", "400 mm", "pitch", "200 mm"}, "µm/m along the feed"},
		{[]string{"maps", leaning, "feed", "x"}, "cannot be told without the disc"},
		{[]string{"maps", leaning, "feed", "x", "disc", "400 mm", "pitch", "200 mm", "limit", "0.05 mm"}, "No mark is above 50"},
	} {
		if code, text := ask(c.fields...); code != http.StatusOK || !strings.Contains(text, c.says) {
			t.Errorf("%q: %d, and not said: %q", c.fields[2:], code, c.says)
		}
	}
	_, text := ask("maps", leaning, "feed", "x", "disc", "400", "pitch", "200", "as", "json")
	var got struct {
		State string
		First string `json:"first_cause"`
	}
	if err := json.Unmarshal([]byte(text), &got); err != nil || got.State != "marks" || got.First != "lean-along" {
		t.Errorf("%+v, %v", got, err)
	}
	for name, fields := range map[string][]string{
		"no numbers":      {"maps", "x,y,z\na,b,c\n", "feed", "x"},
		"two points":      {"maps", "x,y,z\n0,0,0\n1,1,0\n", "feed", "x"},
		"two broken maps": {"maps", leaning + "# unit: mm\n", "feed", "x"},
		"a wide pitch":    {"maps", leaning, "feed", "x", "disc", "100 mm", "pitch", "200 mm"},
		"no length":       {"maps", leaning, "feed", "x", "disc", "wide"},
		"below zero":      {"maps", leaning, "feed", "x", "pitch", "-200 mm"},
		"no axis":         {"maps", leaning, "feed", "up"},
		"no way":          {"maps", leaning, "feed", "x", "passes", "sideways"},
		"a start":         {"maps", "# start: left\n" + leaning, "feed", "x"},
	} {
		if code, _ := ask(fields...); code < 400 || code >= 500 {
			t.Errorf("%s: %d", name, code)
		}
	}
}
