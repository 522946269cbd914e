package trouble_test

import (
	"testing"

	"slatewright/trouble"
)

func TestOneIsNotMany(t *testing.T) {
	for n, want := range map[int]string{0: "0 entries", 1: "1 entry", 2: "2 entries", -1: "-1 entries", 1000: "1000 entries"} {
		if got := trouble.Count(n, "entry", "entries"); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
