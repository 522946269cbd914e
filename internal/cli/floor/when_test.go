package floor

import (
	"errors"
	"strings"
	"testing"
	"time"

	"slatewright/trouble"
)

func TestWhenItWasDone(t *testing.T) {
	now := time.Date(2026, 11, 25, 8, 10, 0, 0, time.FixedZone("mill", 3600)) // 07:10 UTC
	cases := map[string]struct{ at, note string }{
		"":                          {"2026-11-25T07:10:00Z", ""},
		"2026-11-24T14:30:00Z":      {"2026-11-24T14:30:00Z", ""},
		"2026-11-24T14:30:00+02:00": {"2026-11-24T12:30:00Z", ""},
		"2026-11-24T14:30:05.25Z":   {"2026-11-24T14:30:05.25Z", ""},
		"2026-11-24 14:30":          {"2026-11-24T13:30:00Z", ""},
		"2026-11-24T14:30:10":       {"2026-11-24T13:30:10Z", ""},
		"2026-11-24":                {"2026-11-24T11:00:00Z", "noon, 2026-11-24 12:00 +01:00"},
		"2026-11-25":                {"2026-11-25T07:10:00Z", "now, 2026-11-25 08:10 +01:00"},
		"2026-11-25 08:14":          {"2026-11-25T07:14:00Z", ""},
	}
	for words, want := range cases {
		at, note, err := doneAt(words, now)
		if err != nil || at.Format(time.RFC3339Nano) != want.at || !strings.HasSuffix(note, want.note) || (note == "") != (want.note == "") {
			t.Errorf("%q: %v %q %v, want %v", words, at.Format(time.RFC3339Nano), note, err, want)
		}
	}
	for words, code := range map[string]string{"yesterday": "bad-time", "24/11/2026": "bad-time", "14:30": "bad-time", "2026-13-01": "bad-time",
		"2026-11-26": "clock-ahead", "2026-11-25 08:16": "clock-ahead"} {
		_, _, err := doneAt(words, now)
		if tr := (*trouble.Trouble)(nil); !errors.As(err, &tr) || tr.Code != code || tr.Next == "" {
			t.Errorf("%q: %v, want %s", words, err, code)
		}
	}
}
