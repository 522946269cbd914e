package jobstest

import (
	"context"
	"encoding/json"
	"testing"
	"time"

	"slatewright/internal/jobs"
)

// What the rules rely on: the store and its turns.

// hand is a worker at the store of a test, whose errors end the test.
type hand struct {
	t *testing.T
	s jobs.Store
}

func (b *bench) hand() hand { return hand{b.t, b.open(jobs.Options{}).Store} }

func (h hand) add() jobs.Turn {
	h.t.Helper()
	_, turn, err := h.s.Add(context.Background(), "tally", "first hand", json.RawMessage(`{"slices":3}`))
	if err != nil {
		h.t.Fatal(err)
	}
	return turn
}

func (h hand) take(turn jobs.Turn, want bool) (j jobs.Job) {
	h.t.Helper()
	j, ok, err := h.s.Take(context.Background(), turn, "hand")
	h.is(ok, err, want, "taken")
	return j
}

func (h hand) is(ok bool, err error, want bool, what string) {
	h.t.Helper()
	if err != nil || ok != want {
		h.t.Fatalf("%s: %v %v, want %v", what, ok, err, want)
	}
}

// recover takes everything away that anybody holds, as if all had been silent.
func (h hand) recover(most int) (taken, waiting []jobs.Turn) {
	h.t.Helper()
	taken, waiting, err := h.s.Recover(context.Background(), 0, most)
	if err != nil {
		h.t.Fatal(err)
	}
	return taken, waiting
}

// writesNothing holds every writing under a turn to be refused.
func (h hand) writesNothing(turn jobs.Turn) {
	h.t.Helper()
	ctx := context.Background()
	for what, write := range map[string]func() (bool, error){
		"holds": func() (bool, error) { return h.s.Holds(ctx, turn) },
		"beat":  func() (bool, error) { return h.s.Beat(ctx, turn) },
		"keep":  func() (bool, error) { return h.s.Keep(ctx, turn, jobs.Slice{Checkpoint: json.RawMessage(`"stale"`)}) },
		"done":  func() (bool, error) { return h.s.Keep(ctx, turn, jobs.Slice{Done: true}) },
		"fail":  func() (bool, error) { return h.s.Fail(ctx, turn, "stale") },
		"back":  func() (bool, error) { return h.s.GiveBack(ctx, turn, true) },
	} {
		ok, err := write()
		h.is(ok, err, false, what)
	}
}

func testTurns(t *testing.T, b *bench) {
	h, ctx := b.hand(), context.Background()
	first := h.add()
	h.writesNothing(first) // nobody has taken it
	h.take(first, true)
	h.take(first, false) // a turn is had once
	ok, err := h.s.Renew(ctx, first)
	h.is(ok, err, false, "renewing a held turn")

	taken, waiting := h.recover(9)
	if len(taken) != 1 || taken[0] != first.Next() || len(waiting) != 0 {
		t.Fatalf("taken %v, waiting %v", taken, waiting)
	}
	second := taken[0]
	h.writesNothing(first) // it wakes up late
	if j := h.take(second, true); j.Lost != 1 || j.Slices != 0 || j.Checkpoint != nil {
		t.Errorf("taken over: %+v", j)
	}
	h.writesNothing(first)
	for _, write := range []func(context.Context, jobs.Turn) (bool, error){h.s.Holds, h.s.Beat} {
		ok, err := write(ctx, second)
		h.is(ok, err, true, "writing under a held turn")
	}
	ok, err = h.s.Keep(ctx, second, jobs.Slice{Checkpoint: json.RawMessage(`"good"`), Progress: 7, Said: "one\x00"})
	h.is(ok, err, true, "kept")
	h.writesNothing(second)
	if j := h.take(second.Next(), true); string(j.Checkpoint) != `"good"` || j.Slices != 1 || j.Lost != 0 || j.Progress != 1 || j.Said != "one" {
		t.Errorf("after a slice: %+v", j)
	}
	if err := h.s.Cancel(ctx, first.Job); err != nil {
		t.Fatal(err)
	}
	h.writesNothing(second.Next())
	h.take(second.Next().Next(), false)
}

// testLost: a slice that ends its worker again and again fails the job.
func testLost(t *testing.T, b *bench) {
	h, ctx := b.hand(), context.Background()
	turn := h.add()
	h.take(turn, true)
	ok, err := h.s.GiveBack(ctx, turn, true)
	h.is(ok, err, true, "given back")
	turn = turn.Next()
	h.take(turn, true)
	if taken, _ := h.recover(3); len(taken) != 1 || taken[0] != turn.Next() {
		t.Fatalf("taken %v", taken)
	}
	turn = turn.Next()
	if j := h.take(turn, true); j.Lost != 2 {
		t.Errorf("lost %d times, want 2", j.Lost)
	}
	if taken, waiting := h.recover(3); len(taken)+len(waiting) != 0 {
		t.Errorf("taken %v, waiting %v after the third loss", taken, waiting)
	}
	h.writesNothing(turn)
	j, err := h.s.Job(ctx, turn.Job)
	if err != nil || j.State != jobs.Failed || j.Lost != 3 {
		t.Fatalf("%+v, %v", j, err)
	}
	wantWords(t, j.Trouble, "ended 3 times with the program", "look whether")
}

// testForgotten: a turn that the line forgot is found, by one looker at a time.
func testForgotten(t *testing.T, b *bench) {
	h, ctx := b.hand(), context.Background()
	turn, other := h.add(), h.add()
	if taken, waiting := h.recover(9); len(taken) != 0 || len(waiting) != 2 || waiting[0] != turn || waiting[1] != other {
		t.Fatalf("taken %v, waiting %v", taken, waiting)
	}
	taken, waiting, err := h.s.Recover(ctx, time.Hour, 9)
	if err != nil || len(taken)+len(waiting) != 0 {
		t.Errorf("just looked at, and found again: %v %v %v", taken, waiting, err)
	}
	ok, err := h.s.Renew(ctx, turn)
	h.is(ok, err, true, "renewed")
	ok, err = h.s.Renew(ctx, turn)
	h.is(ok, err, false, "renewed twice")
	h.take(turn, false)
	h.take(turn.Next(), true)
}
