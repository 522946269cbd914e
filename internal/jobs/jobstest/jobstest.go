// Package jobstest is the one exercise that every engine of jobs passes. It is imported by tests only.
//
// An engine hands over how its book is made and opened; everything that a door may rely on is then tried, with real processes
// that are killed in the middle of a slice.
package jobstest

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/trouble"
)

// Opened is an open book with its jobs.
type Opened struct {
	Queue jobs.Queue
	Store jobs.Store
	Close func()
}

// Engine is what is exercised.
type Engine struct {
	// Make makes an empty book and returns where it is: a text that Open understands in another process too.
	Make func(t testing.TB) string
	Open func(where, site string, o jobs.Options, workers ...jobs.Worker) (Opened, error)
	Many bool // several programs may have the book open at once
}

// Takeover is how long it may take until a killed worker's slice is in other hands: a promise of the program.
const Takeover = 30 * time.Second

// patience bounds a wait for what is expected soon; nothing is measured by it.
const patience = 60 * time.Second

// Exercise runs everything.
func Exercise(t *testing.T, e Engine) {
	for name, f := range map[string]func(*testing.T, *bench){
		"done":          testDone,
		"refused":       testRefused,
		"listed":        testListed,
		"failed":        testFailed,
		"broken worker": testBroken,
		"result":        testTooLarge,
		"tried again":   testAgain,
		"too long":      testTooLong,
		"unknown":       testUnknown,
		"cancel queued": testCancelQueued,
		"cancel":        testCancelRunning,
		"restart":       testRestart,
		"killed":        testKilled,
		"sites":         testSites,
		"turns":         testTurns,
		"lost":          testLost,
		"forgotten":     testForgotten,
		"removed":       testRemoved,
		"removed early": testRemovedAtStart,
	} {
		t.Run(name, func(t *testing.T) { t.Parallel(); f(t, newBench(t, e)) })
	}
	if !e.Many {
		return
	}
	for name, f := range map[string]func(*testing.T, *bench){
		"shared":           testShared,
		"cancel from afar": testCancelFromAfar,
		"taken over":       testTakenOver,
		"revived":          testRevived,
	} {
		t.Run(name, func(t *testing.T) { t.Parallel(); f(t, newBench(t, e)) })
	}
}

// bench is one test's book.
type bench struct {
	t     *testing.T
	e     Engine
	where string
	dir   string
}

func newBench(t *testing.T, e Engine) *bench {
	return &bench{t: t, e: e, where: e.Make(t), dir: t.TempDir()}
}

// site is the mill that the exercise works for.
const site = "quern-hollow"

// open opens the book in this process; it is closed at the end of the test if not before.
func (b *bench) open(o jobs.Options) *program { return b.openAt(site, o) }

func (b *bench) openAt(site string, o jobs.Options) *program {
	b.t.Helper()
	opened, err := b.e.Open(b.where, site, o, tally{})
	if err != nil {
		b.t.Fatal(err)
	}
	p := &program{Opened: opened, t: b.t, ended: make(chan error, 1)}
	b.t.Cleanup(p.close)
	return p
}

// log is the path of a log, hold that of a file which is there until it is taken away.
func (b *bench) log() string { return filepath.Join(b.dir, "log") }

func (b *bench) hold() string {
	b.t.Helper()
	path := filepath.Join(b.dir, "hold")
	if err := os.WriteFile(path, nil, 0o666); err != nil {
		b.t.Fatal(err)
	}
	return path
}

func (b *bench) release() {
	b.t.Helper()
	if err := os.Remove(filepath.Join(b.dir, "hold")); err != nil {
		b.t.Fatal(err)
	}
}

// wait waits until something is so; the deadline is there so that the test ends.
func (b *bench) wait(within time.Duration, what string, so func() bool) {
	b.t.Helper()
	for end := time.Now().Add(within); !so(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			b.t.Fatalf("not within %v: %s; log %v", within, what, lines(b.log()))
		}
	}
}

// long skips what waits until a silent worker is given up, in a short run.
func long(t *testing.T) {
	if testing.Short() {
		t.Skip("it waits for a takeover")
	}
}

// began waits until slice n has begun in a process that is not one of others, and returns it.
func (b *bench) began(within time.Duration, n int, others ...int) (pid int) {
	b.t.Helper()
	b.wait(within, "the slice begins", func() bool {
		for _, l := range lines(b.log()) {
			if l.What == "begin" && l.N == n && !slices.Contains(others, l.PID) {
				pid = l.PID
				return true
			}
		}
		return false
	})
	return pid
}

// program is an open book in this process.
type program struct {
	Opened
	t      *testing.T
	stop   context.CancelFunc
	ended  chan error
	closed bool
}

// run begins to work.
func (p *program) run() *program {
	ctx, stop := context.WithCancel(context.Background())
	p.stop = stop
	go func() { p.ended <- p.Queue.Run(ctx) }()
	return p
}

// close stops working and closes the book.
func (p *program) close() {
	if p.closed {
		return
	}
	p.closed = true
	if p.stop != nil {
		p.stop()
		if err := <-p.ended; err != nil {
			p.t.Errorf("run ended with %v", err)
		}
	}
	p.Close()
}

func (p *program) submit(k task) jobs.Job {
	p.t.Helper()
	input, err := json.Marshal(k)
	if err != nil {
		p.t.Fatal(err)
	}
	j, err := p.Queue.Submit(context.Background(), "tally", "first hand", input)
	if err != nil {
		p.t.Fatal(err)
	}
	return j
}

func (p *program) job(id string) jobs.Job {
	p.t.Helper()
	j, err := p.Queue.Job(context.Background(), id)
	if err != nil {
		p.t.Fatal(err)
	}
	return j
}

func (p *program) cancel(id string) {
	p.t.Helper()
	if err := p.Queue.Cancel(context.Background(), id); err != nil {
		p.t.Fatal(err)
	}
}

func (p *program) list(cursor string, limit int) book.Page[jobs.Job] {
	p.t.Helper()
	page, err := p.Queue.Jobs(context.Background(), cursor, limit)
	if err != nil {
		p.t.Fatal(err)
	}
	return page
}

// ends waits for a job's end and holds it to a state.
func (p *program) ends(b *bench, id string, want jobs.State) (j jobs.Job) {
	p.t.Helper()
	b.wait(patience, "the job ends", func() bool { j = p.job(id); return j.State.Ended() })
	if j.State != want {
		p.t.Fatalf("the job is %s, want %s; trouble %q", j.State, want, j.Trouble)
	}
	if j.Ended.IsZero() || j.Ended.Before(j.Asked) {
		p.t.Errorf("asked %v, ended %v", j.Asked, j.Ended)
	}
	return j
}

// finished holds a job to its count, and to have done each slice to its end once.
func (b *bench) finished(j jobs.Job, slices int) counted {
	b.t.Helper()
	var c counted
	if err := json.Unmarshal(j.Result, &c); err != nil {
		b.t.Fatalf("result %q: %v", j.Result, err)
	}
	if len(c.By) != slices || j.Slices != slices || j.Progress != 1 {
		b.t.Errorf("counted %d, slices %d, progress %v, want %d", len(c.By), j.Slices, j.Progress, slices)
	}
	ends := map[int]int{}
	for _, l := range lines(b.log()) {
		if l.What == "end" {
			ends[l.N]++
		}
	}
	for n := 1; n <= slices; n++ {
		if ends[n] != 1 {
			b.t.Errorf("slice %d was finished %d times", n, ends[n])
		}
	}
	return c
}

// wantTrouble holds an error to be trouble with a code.
func wantTrouble(t *testing.T, err error, code string) {
	t.Helper()
	var tr *trouble.Trouble
	if !errors.As(err, &tr) || tr.Code != code || tr.Next == "" {
		t.Errorf("got %v, want trouble %s with a next step", err, code)
	}
}

func wantWords(t *testing.T, text string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("%q does not say %q", text, w)
		}
	}
}
