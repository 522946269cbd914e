package jobstest

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"slatewright/internal/jobs"
)

// What a door relies on, with one program.

func testDone(t *testing.T, b *bench) {
	p := b.open(jobs.Options{})
	asked := p.submit(task{Slices: 5, Log: b.log()})
	if asked.State != jobs.Queued || asked.Kind != "tally" || asked.Person != "first hand" || asked.Asked.IsZero() || !asked.Began.IsZero() {
		t.Errorf("submitted: %+v", asked)
	}
	p.run()
	j := p.ends(b, asked.ID, jobs.Done)
	b.finished(j, 5)
	if j.Began.IsZero() || j.Said != "counted to 5" || j.Checkpoint != nil || !strings.Contains(string(j.Input), `"slices":5`) {
		t.Errorf("done: %+v", j)
	}
	p.cancel(j.ID)
	if after := p.job(j.ID); after.State != jobs.Done || !after.Ended.Equal(j.Ended) {
		t.Errorf("cancelled after its end it is %+v", after)
	}
}

func testRefused(t *testing.T, b *bench) {
	p := b.open(jobs.Options{})
	ctx := context.Background()
	for _, c := range []struct{ kind, input, code string }{
		{"rally", `{}`, "unknown-kind"},
		{"tally", `{"slices":0}`, "bad-tally"},
		{"tally", `{"slices":`, "bad-json"},
		{"tally", "\"\xff\"", "bad-json"},
		{"tally", `"` + strings.Repeat("x", jobs.MostInput) + `"`, "too-large"},
	} {
		_, err := p.Queue.Submit(ctx, c.kind, "first hand", json.RawMessage(c.input))
		wantTrouble(t, err, c.code)
	}
	if page := p.list("", 10); len(page.Items) != 0 {
		t.Errorf("refused jobs are kept: %+v", page.Items)
	}
	for _, id := range []string{"01KB3C5V8Q3Z6J1W2Y4X7T9R0N", "", "\xff\x00"} {
		_, err := p.Queue.Job(ctx, id)
		wantTrouble(t, err, "no-such-job")
		wantTrouble(t, p.Queue.Cancel(ctx, id), "no-such-job")
	}
}

func testListed(t *testing.T, b *bench) {
	p := b.open(jobs.Options{})
	var want []string
	for range 5 {
		want = append(want, p.submit(task{Slices: 1, Log: b.log()}).ID)
	}
	var got []string
	cursor := ""
	for pages := 0; pages == 0 || cursor != ""; pages++ {
		page := p.list(cursor, 2)
		for _, j := range page.Items {
			got = append([]string{j.ID}, got...)
			if j.Input != nil || j.Kind != "tally" {
				t.Errorf("listed: %+v", j)
			}
		}
		if cursor = page.Next; pages == 2 && cursor != "" {
			t.Fatal("five jobs make more than three pages of two")
		}
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("newest first gives %v, want the reverse of %v", got, want)
	}
	_, err := p.Queue.Jobs(context.Background(), "page 2", 2)
	wantTrouble(t, err, "bad-cursor")
}

func testFailed(t *testing.T, b *bench) {
	p := b.open(jobs.Options{}).run()
	j := p.ends(b, p.submit(task{Slices: 4, Log: b.log(), At: 3, What: "fail"}).ID, jobs.Failed)
	wantWords(t, j.Trouble, "QH-0101", "the stone is not as it was said", "read it again")
	if j.Slices != 2 || j.Progress != 0.5 || j.Result != nil {
		t.Errorf("failed: %+v", j)
	}
}

func testBroken(t *testing.T, b *bench) {
	p := b.open(jobs.Options{}).run()
	j := p.ends(b, p.submit(task{Slices: 2, Log: b.log(), At: 1, What: "break"}).ID, jobs.Failed)
	wantWords(t, j.Trouble, "a slip in the worker", "report it")
	b.finished(p.ends(b, p.submit(task{Slices: 1, Log: b.log()}).ID, jobs.Done), 1) // and the queue goes on
}

func testTooLarge(t *testing.T, b *bench) {
	p := b.open(jobs.Options{}).run()
	j := p.ends(b, p.submit(task{Slices: 1, Log: b.log(), At: 1, What: "swell"}).ID, jobs.Failed)
	wantWords(t, j.Trouble, "the result has", "ask for less at once")
}

// soon is how a crew works that gives up early.
var soon = jobs.Options{Beat: 50 * time.Millisecond, Silent: time.Second, Sweep: 20 * time.Millisecond, Most: 2}

// testAgain: what cannot be read once is read later, and what can never be read fails the job.
func testAgain(t *testing.T, b *bench) {
	p := b.open(soon).run()
	k := task{Slices: 3, Log: b.log(), At: 2, What: "away", Hold: b.hold()}
	b.finished(p.ends(b, p.submit(k).ID, jobs.Done), 3)

	k.What, k.Log = "gone", filepath.Join(b.dir, "other")
	j := p.ends(b, p.submit(k).ID, jobs.Failed)
	wantWords(t, j.Trouble, "cannot be read", "look at the disk")
	if got := len(lines(k.Log)); got != 6 {
		t.Errorf("%d lines in the log, want begin and end of one slice and twice begin and stop of the next", got)
	}
}

// testTooLong: a slice has a finite time.
func testTooLong(t *testing.T, b *bench) {
	o := soon
	o.Slice = 100 * time.Millisecond
	p := b.open(o).run()
	j := p.ends(b, p.submit(task{Slices: 2, Log: b.log(), At: 2, What: "hold", Hold: b.hold()}).ID, jobs.Failed)
	wantWords(t, j.Trouble, "longer than 100ms, 2 times", "report it")
	if j.Slices != 1 {
		t.Errorf("%d slices finished, want 1", j.Slices)
	}
}

// testUnknown: a job that another program could submit and this one cannot compute.
func testUnknown(t *testing.T, b *bench) {
	p := b.open(soon)
	j, _, err := p.Store.Add(context.Background(), "rally", "first hand", json.RawMessage(`{}`))
	if err != nil {
		t.Fatal(err)
	}
	p.run() // nobody put it in the line either: a sweep finds it
	wantWords(t, p.ends(b, j.ID, jobs.Failed).Trouble, "rally", `use one of ["tally"]`)
}

func testCancelQueued(t *testing.T, b *bench) {
	p := b.open(jobs.Options{})
	j := p.submit(task{Slices: 1, Log: b.log()})
	p.cancel(j.ID)
	p.run()
	p.ends(b, j.ID, jobs.Cancelled)
	other := p.submit(task{Slices: 1, Log: filepath.Join(b.dir, "other")})
	p.ends(b, other.ID, jobs.Done)
	if got := lines(b.log()); len(got) != 0 {
		t.Errorf("a cancelled job was worked on: %v", got)
	}
}

func testCancelRunning(t *testing.T, b *bench) {
	p := b.open(jobs.Options{Slice: time.Hour}).run() // it is not its time that stops the slice
	j := p.submit(task{Slices: 3, Log: b.log(), At: 2, What: "hold", Hold: b.hold()})
	b.began(patience, 2)
	p.cancel(j.ID)
	b.stopped(2)
	if j = p.job(j.ID); j.State != jobs.Cancelled || j.Slices != 1 {
		t.Errorf("cancelled: %+v", j)
	}
}

// stopped waits until slice n was told to stop.
func (b *bench) stopped(n int) {
	b.t.Helper()
	b.wait(patience, "the slice is stopped", func() bool {
		for _, l := range lines(b.log()) {
			if l.What == "stop" && l.N == n {
				return true
			}
		}
		return false
	})
}

// testRestart closes the book in the middle of a slice and opens it again.
func testRestart(t *testing.T, b *bench) {
	p := b.open(jobs.Options{}).run()
	j := p.submit(task{Slices: 5, Log: b.log(), At: 3, What: "hold", Hold: b.hold()})
	b.began(patience, 3)
	p.close()
	b.release()
	p = b.open(jobs.Options{})
	if got := p.job(j.ID); got.State != jobs.Running || got.Slices != 2 || got.Lost != 0 || got.Checkpoint == nil {
		t.Errorf("after the restart: %+v", got)
	}
	p.run()
	b.finished(p.ends(b, j.ID, jobs.Done), 5)
}

// testKilled kills the one program in the middle of a slice; another opens the book and goes on.
func testKilled(t *testing.T, b *bench) {
	if b.e.Many {
		long(t)
	}
	p := b.open(jobs.Options{})
	j := p.submit(task{Slices: 5, Log: b.log(), At: 3, What: "hold", Hold: b.hold()})
	p.close()
	c := b.child()
	b.began(patience, 3)
	c.kill()
	b.release()
	var o jobs.Options
	if !b.e.Many {
		o.Silent = time.Hour // the one program that can have the book need not wait: nobody else is alive
	}
	p = b.open(o).run()
	b.began(Takeover, 3, c.pid())
	got := b.finished(p.ends(b, j.ID, jobs.Done), 5)
	if got.By[1] != c.pid() || got.By[2] != os.Getpid() {
		t.Errorf("worked on by %v, killed was %d, we are %d", got.By, c.pid(), os.Getpid())
	}
}

// testSites: two mills in one database, each with its own jobs. An engine with one mill a book refuses the second.
func testSites(t *testing.T, b *bench) {
	p := b.open(jobs.Options{})
	if !b.e.Many {
		return
	}
	q := b.openAt("other-mill", jobs.Options{}).run()
	mine := p.submit(task{Slices: 1, Log: b.log()})
	theirs := q.submit(task{Slices: 1, Log: filepath.Join(b.dir, "other")})
	q.ends(b, theirs.ID, jobs.Done)
	_, err := q.Queue.Job(context.Background(), mine.ID)
	wantTrouble(t, err, "no-such-job")
	q.ends(b, q.submit(task{Slices: 1, Log: filepath.Join(b.dir, "other")}).ID, jobs.Done)
	if got := p.job(mine.ID); got.State != jobs.Queued {
		t.Errorf("another mill's program worked on it: %+v", got)
	}
	p.run()
	p.ends(b, mine.ID, jobs.Done)
}
