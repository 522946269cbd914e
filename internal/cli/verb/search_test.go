package verb

import (
	"bytes"
	"context"
	"errors"
	"math"
	"testing"
	"time"

	"slatewright/trouble"
)

func TestGapIsAShare(t *testing.T) {
	for text, want := range map[string]float64{"0": 0, "2%": 0.02, " 0.02 ": 0.02, "1.5 %": 0.015, "99.9%": 0.999} {
		if got, err := Gap(text); err != nil || math.Abs(got-want) > 1e-15 {
			t.Errorf("%q: %g, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "%", "100%", "1", "-1%", "NaN", "two"} {
		var told *trouble.Trouble
		if _, err := Gap(text); !errors.As(err, &told) || told.Code != "bad-gap" {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// A search ends when its share of the time has passed, or when nobody wants the answer any more.
func TestASearchEnds(t *testing.T) {
	now := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	ctx, leave := context.WithCancel(t.Context())
	s := &Session{Context: ctx, Stderr: &bytes.Buffer{}, Clock: func() time.Time { return now }}
	stop, done := Until(s, 10*time.Second, "looking")
	defer done()
	if stop(0.5) || stop(1) {
		t.Error("it ends at once")
	}
	now = now.Add(5 * time.Second)
	if !stop(0.5) || stop(0.6) {
		t.Error("half of the time has passed")
	}
	now = now.Add(5 * time.Second)
	if !stop(1) {
		t.Error("the time has passed")
	}
	now = now.Add(-10 * time.Second)
	if leave(); !stop(1) {
		t.Error("nobody waits")
	}
}
