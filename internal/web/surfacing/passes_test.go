package surfacing

import (
	"net/http"
	"os"
	"strings"
	"testing"
)

// asPlan is a form of the page: the example's machine, and what differs from a small piece.
func asPlan(t *testing.T, more ...string) []string {
	t.Helper()
	text, err := os.ReadFile("examples/machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	values := map[string]string{"machine": string(text), "size": "600 x 900 mm", "top": "0.1; 0.2; 0.3 mm", "bottom": "0.2 mm", "thickness": "25.4 mm", "least": "25 mm"}
	order := []string{"machine", "size", "top", "bottom", "thickness", "least"}
	for i := 0; i < len(more); i += 2 {
		if _, known := values[more[i]]; !known {
			order = append(order, more[i])
		}
		values[more[i]] = more[i+1]
	}
	var pairs []string
	for _, name := range order {
		pairs = append(pairs, name, values[name])
	}
	return pairs
}

func TestPassesAreAnswered(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, c := range []struct {
		name string
		more []string
		says []string
	}{
		{"a plan", nil, []string{"rounds in", "1. Bottom face, on free supports", "2. Playing face, pressed on the bed", "Turn the piece over first", "Beside the rule of thumb", "What keeps it from flat", "cannot tell"}},
		{"one face", []string{"bottom", "0 mm"}, []string{"1. Playing face, on free supports"}},
		{"a crown", []string{"bow", "−0.4 mm"}, []string{"What the rule of thumb breaks"}},
		{"skins", []string{"stress", "2 ± 0.5"}, []string{"rounds in"}},
		{"the last cut", []string{"least", "25.38 mm"}, []string{"It is the last cut"}},
		{"too flat", []string{"flat", "0.03 mm"}, []string{"No plan keeps the limits: what stops it is the flatness", "It would be freed by"}},
		{"too thick", []string{"final", "26 mm"}, []string{"what stops it is the thickness", "0.600 mm are missing"}},
		{"too large", []string{"size", "4000 x 900 mm"}, []string{"what stops it is the table"}},
		{"a clean-up", []string{"top", "", "bottom", "", "cleanup", `{"cut_to_mm":25.4,"thickness_interval_mm":[25.38,25.42],"off_top_mm":{"min":0.1,"mean":0.2,"max":0.3},"off_bottom_mm":{"min":0.1,"mean":0.2,"max":0.3}}`, "thickness", ""}, []string{"rounds in"}},
		{"a doubt", []string{"top", "", "bottom", "", "cleanup", `{"cut_to_mm":25.4,"thickness_interval_mm":[25.3,25.5],"off_top_mm":{"min":0.1,"mean":0.2,"max":0.3},"off_bottom_mm":{"min":0.1,"mean":0.2,"max":0.3}}`, "thickness", "", "final", "25.43 mm"}, []string{"Cannot tell whether the thickness is there"}},
	} {
		code, text, page := b.Ask(t, onPasses, asPlan(t, c.more...)...)
		text = strings.Join(strings.Fields(text+page), " ")
		if code != http.StatusOK {
			t.Errorf("%s: %d %.300s", c.name, code, text)
		}
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: nothing says %q", c.name, want)
			}
		}
	}
}

func TestPassesAreRefused(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, c := range []struct{ field, value, says string }{
		{"machine", "name: x", "the machine has no head"}, {"machine", "heads: [", "this is not YAML"}, {"machine", "pebbles: 3", "has no key"}, {"size", "large", "is no size"}, {"size", "", "is no size"},
		{"top", "", "What is to come off this face is not given"}, {"top", "thick", "write least, mean and most"}, {"top", "3; 2; 1 mm", "give least, mean and most in this order"}, {"top", "5 mm", "more than the"},
		{"bow", "bent", "This is no bow"}, {"stress", "much", "is no stress"}, {"flat", "flat", ""}, {"cleanup", "{}", "said twice"}, {"final", "-1 mm", ""},
	} {
		code, text, _ := b.Ask(t, onPasses, asPlan(t, c.field, c.value)...)
		if code/100 != 4 || !strings.Contains(strings.Join(strings.Fields(text), " "), c.says) {
			t.Errorf("%s %q: %d, and nothing says %q", c.field, c.value, code, c.says)
		}
	}
	if code, text, _ := b.Ask(t, onPasses, asPlan(t, "top", "", "bottom", "", "cleanup", "[1]")...); code/100 != 4 || !strings.Contains(text, "this is no JSON of a clean-up") {
		t.Errorf("%d %.300s", code, text)
	}
}
