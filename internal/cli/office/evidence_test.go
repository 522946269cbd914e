package office

import (
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
)

func TestWhyALayUpCountsForNothing(t *testing.T) {
	c := collector{zone: time.FixedZone("mill", 3600)}
	at := time.Date(2026, 11, 25, 12, 30, 0, 0, time.UTC).UnixMilli()
	cases := map[string]struct {
		reading book.Reading
		want    string // "" when it counts
	}{
		"with its file":  {book.Reading{AtMS: at, Blob: "ab"}, ""},
		"without a file": {book.Reading{AtMS: at}, "the lay-up of 2026-11-25 13:30 counts for nothing here: it was written down without a file"},
		"expired": {book.Reading{AtMS: at, Blob: "ab", ExpiredAct: "surface", ExpiredBy: "01E"},
			"the lay-up of 2026-11-25 13:30 no longer holds: surface came after it (entry 01E)"},
	}
	for name, k := range cases {
		got := c.unused(&k.reading)
		if !strings.HasPrefix(got, k.want) || (got == "") != (k.want == "") {
			t.Errorf("%s: %q, want %q", name, got, k.want)
		}
	}
}
