package spelling

import (
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	keys := []string{"edge_band", "step", "zone", "state"}
	for word, want := range map[string]string{
		"edgeband": "edge_band", "edge band": "edge_band", "EDGE_BAND": "edge_band", "edge_bands": "edge_band",
		"sate": "state", "stat": "state", "zon": "zone", "zones": "zone", "colour": "", strings.Repeat("zone", 1_000_000): "", "x": "", "": "", "stepp": "step",
	} {
		if got := Nearest(word, keys); got != want {
			t.Errorf("nearest to %q is %q, want %q", word, got, want)
		}
	}
}

// Textbook distances (Wagner and Fischer's recurrence worked by hand).
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"", "abc", 3}, {"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"größe", "grosse", 3}, {"flaw", "lawn", 2}} {
		if got, back := distance(c.a, c.b), distance(c.b, c.a); got != c.want || back != c.want {
			t.Errorf("%q to %q: %d and back %d, want %d", c.a, c.b, got, back, c.want)
		}
	}
}
