package jobs

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/trouble"
)

func TestSlicesThatCannotBeKept(t *testing.T) {
	long := func(n int) json.RawMessage { return json.RawMessage(`"` + strings.Repeat("x", n-2) + `"`) }
	for _, c := range []struct {
		s    Slice
		code string
	}{
		{Slice{}, ""},
		{Slice{Progress: 1, Checkpoint: long(MostCheckpoint), Result: long(MostResult)}, ""},
		{Slice{Checkpoint: long(MostCheckpoint + 1)}, "bad-slice"},
		{Slice{Result: long(MostResult + 1)}, "too-large"},
		{Slice{Checkpoint: json.RawMessage("{")}, "bad-slice"},
		{Slice{Result: json.RawMessage{}}, "bad-slice"},
		{Slice{Progress: math.NaN()}, "bad-slice"},
		{Slice{Progress: 1.01}, "bad-slice"},
		{Slice{Progress: -0.01}, "bad-slice"},
	} {
		var got *trouble.Trouble
		errors.As(checkSlice("scan", c.s), &got)
		if (got == nil) != (c.code == "") || got != nil && got.Code != c.code {
			t.Errorf("progress %v, checkpoint %d bytes, result %d bytes: %v, want %q", c.s.Progress, len(c.s.Checkpoint), len(c.s.Result), got, c.code)
		}
	}
}

func TestLineInHouse(t *testing.T) {
	q := InHouse(nil, Options{Hands: 2}).(*inHouse)
	for _, p := range []struct {
		job    string
		urgent bool
	}{{"a", false}, {"b", false}, {"a", false}, {"c", true}, {"b", true}} {
		if stuck, err := q.Put(t.Context(), Turn{p.job, 1}, p.urgent); stuck || err != nil {
			t.Errorf("%v: %v %v", p, stuck, err)
		}
	}
	got := ""
	for turn, ok := q.first(); ok; turn, ok = q.first() {
		got += turn.Job
	}
	if got != "cab" {
		t.Errorf("worked in the order %s, want cab: the urgent one in front, and none twice", got)
	}
}

func TestStates(t *testing.T) {
	for s, want := range map[State]bool{Queued: false, Running: false, Done: true, Failed: true, Cancelled: true} {
		if s.Ended() != want {
			t.Errorf("%s: ended %v", s, s.Ended())
		}
	}
}

func TestTwoWorkersOfOneKindAreABug(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a crew with two workers of one kind is made")
		}
	}()
	NewCrew(nil, nil, Options{}, idle{}, idle{})
}

// idle is a worker that is never asked.
type idle struct{ Worker }

func (idle) Kind() string { return "idle" }
