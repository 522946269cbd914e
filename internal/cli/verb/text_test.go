package verb

import "testing"

func TestWrapKeepsEveryWordWithinTheWidth(t *testing.T) {
	cases := []struct{ text, want string }{
		{"", "-\n"},
		{"a b c", "- a b\n  c\n"},
		{"averylongword b", "- averylongword\n  b\n"},
		{"äöü ß", "- äöü\n  ß\n"},
	}
	for _, c := range cases {
		if got := Wrap(c.text, "- ", "  ", 6); got != c.want {
			t.Errorf("Wrap(%q): got %q, want %q", c.text, got, c.want)
		}
	}
}
