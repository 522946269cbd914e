package jobstest

import (
	"context"
	"encoding/json"
	"slices"
	"testing"
	"time"

	"slatewright/internal/jobs"
)

// ended makes three jobs that have ended in three ways, then one that is queued, one that runs, and again one that has ended.
func (h hand) ended() (over, alive []string) {
	h.t.Helper()
	ctx := context.Background()
	done, failed, cancelled, queued, running, late := h.add(), h.add(), h.add(), h.add(), h.add(), h.add()
	h.take(done, true)
	ok, err := h.s.Keep(ctx, done, jobs.Slice{Done: true, Progress: 1, Result: json.RawMessage("1")})
	h.is(ok, err, true, "done")
	h.take(failed, true)
	ok, err = h.s.Fail(ctx, failed, "no stone")
	h.is(ok, err, true, "failed")
	for _, turn := range []jobs.Turn{cancelled, late} {
		if err := h.s.Cancel(ctx, turn.Job); err != nil {
			h.t.Fatal(err)
		}
	}
	h.take(running, true)
	over, alive = []string{done.Job, failed.Job, cancelled.Job, late.Job}, []string{queued.Job, running.Job}
	slices.Sort(over) // jobs of one millisecond are in no order
	return over, alive
}

// forgets wants so many jobs removed, and exactly these left.
func (h hand) forgets(since time.Duration, most int, removed int64, left []string) {
	h.t.Helper()
	n, err := h.s.Forget(context.Background(), since, most)
	if err != nil || n != removed {
		h.t.Fatalf("%d removed, %v, want %d", n, err, removed)
	}
	page, err := h.s.Jobs(context.Background(), "", 100)
	if err != nil {
		h.t.Fatal(err)
	}
	var ids []string
	for _, j := range page.Items {
		ids = append(ids, j.ID)
	}
	slices.Sort(ids)
	slices.Sort(left)
	if !slices.Equal(ids, left) {
		h.t.Fatalf("jobs %v are left, want %v", ids, left)
	}
}

// testRemoved: jobs that have ended go after a time, or when there are too many; those that have not stay whatever their age.
func testRemoved(t *testing.T, b *bench) {
	h := b.hand()
	over, alive := h.ended()
	all := slices.Concat(over, alive)
	h.forgets(time.Hour, 100, 0, all)
	h.forgets(time.Hour, len(over), 0, all)
	h.forgets(time.Hour, 2, 2, slices.Concat(over[2:], alive))
	h.forgets(0, 100, 2, slices.Clone(alive))
	h.forgets(0, 0, 0, alive)
}

// gone tells whether none of some jobs is listed any more.
func (h hand) gone(ids []string) bool {
	page, err := h.s.Jobs(context.Background(), "", 100)
	return err == nil && !slices.ContainsFunc(page.Items, func(j jobs.Job) bool { return slices.Contains(ids, j.ID) })
}

// testRemovedAtStart: a queue removes them when it begins to work, and of its own mill only. What it works on may have ended by then, and
// is removed with them.
func testRemovedAtStart(t *testing.T, b *bench) {
	h := b.hand()
	over, alive := h.ended()
	if b.e.Many {
		other := b.openAt("low-quarry", jobs.Options{Kept: time.Millisecond})
		there := hand{t, other.Store}
		ended, _ := there.ended()
		time.Sleep(5 * time.Millisecond) // so that they ended longer ago than that by the store's clock
		other.run()
		b.wait(patience, "the other mill's old jobs are removed", func() bool { return there.gone(ended) })
		h.forgets(time.Hour, 100, 0, slices.Concat(over, alive))
	}
	time.Sleep(5 * time.Millisecond)
	p := &program{Opened: Opened{Queue: jobs.InHouse(h.s, jobs.Options{Kept: time.Millisecond}, tally{}), Store: h.s, Close: func() {}}, t: t, ended: make(chan error, 1)}
	p.run()
	t.Cleanup(p.close)
	b.wait(patience, "the old jobs are removed", func() bool { return h.gone(over) })
}
