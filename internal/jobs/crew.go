package jobs

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"slices"
	"time"
	"unicode/utf8"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Options say how a crew works. Zero fields have their defaults.
type Options struct {
	Name  string        // who works, as the store shows it; default "crew"
	Hands int           // slices at once in this program; default 2
	Slice time.Duration // longest time for one slice; default 1 min
	Beat  time.Duration // between two signs of life; default 2 s
	Watch time.Duration // between two looks whether the turn is still held; default 400 ms, so that a cancel is seen within a second
	Sweep time.Duration // between two looks for lost turns; default 2 s
	// Silent is how long a worker may give no sign of life before its turn is taken away; default 10 s: five beats. With one
	// sweep and a slice in front in the line it is well within the 30 s after which a killed worker must be replaced.
	Silent time.Duration
	Most   int // how often a slice may be lost before its job fails; default 5
	// Kept is how long a job that has ended stays to be looked at, default 90 days; KeptMost is how many of them stay, default
	// 10,000. Both are common practice, no source. What a mill needs longer is an act in its book.
	Kept     time.Duration
	KeptMost int
	Log      *slog.Logger
}

func (o Options) withDefaults() Options {
	o.Name = cmp.Or(o.Name, "crew")
	o.Hands = cmp.Or(o.Hands, 2)
	o.Slice = cmp.Or(o.Slice, time.Minute)
	o.Beat = cmp.Or(o.Beat, 2*time.Second)
	o.Watch = cmp.Or(o.Watch, 400*time.Millisecond)
	o.Sweep = cmp.Or(o.Sweep, 2*time.Second)
	o.Silent = cmp.Or(o.Silent, 10*time.Second)
	o.Most = cmp.Or(o.Most, 5)
	o.Kept = cmp.Or(o.Kept, 90*24*time.Hour)
	o.KeptMost = cmp.Or(o.KeptMost, 10_000)
	o.Log = cmp.Or(o.Log, slog.New(slog.DiscardHandler))
	return o
}

// The largest texts that a job may bring along: rows of the book's database, not files. Files are blobs.
const (
	MostInput      = 256 << 10
	MostCheckpoint = 1 << 20
	MostResult     = 1 << 20
)

// Crew works on the jobs of one store by the rules that all engines share.
type Crew struct {
	store   Store
	line    Line
	workers map[string]Worker
	o       Options
}

// NewCrew makes a crew that works on the jobs of a store and puts their turns in a line. Two workers of one kind are a bug.
func NewCrew(s Store, l Line, o Options, workers ...Worker) *Crew {
	c := &Crew{store: s, line: l, workers: map[string]Worker{}, o: o.withDefaults()}
	for _, w := range workers {
		if c.workers[w.Kind()] != nil {
			panic("jobs: two workers of kind " + w.Kind())
		}
		c.workers[w.Kind()] = w
	}
	return c
}

// Options returns the options with their defaults.
func (c *Crew) Options() Options { return c.o }

// Submit queues a job.
func (c *Crew) Submit(ctx context.Context, kind, person string, input json.RawMessage) (Job, error) {
	w, ok := c.workers[kind]
	if !ok {
		return Job{}, c.unknown(kind)
	}
	if err := checkInput(input); err != nil {
		return Job{}, err
	}
	if err := w.Check(input); err != nil {
		return Job{}, err
	}
	j, t, err := c.store.Add(ctx, kind, person, input)
	if err != nil {
		return Job{}, err
	}
	c.put(context.WithoutCancel(ctx), t, false)
	return j, nil
}

func (c *Crew) unknown(kind string) *trouble.Trouble {
	kinds := make([]string, 0, len(c.workers))
	for k := range c.workers {
		kinds = append(kinds, k)
	}
	slices.Sort(kinds)
	return trouble.Data("unknown-kind", "kind", fmt.Sprintf("nobody computes jobs of the kind %q", kind), fmt.Sprintf("use one of %q", kinds))
}

func checkInput(input json.RawMessage) error {
	switch {
	case len(input) > MostInput:
		return trouble.Data("too-large", "input", fmt.Sprintf("the input has %d bytes", len(input)),
			fmt.Sprintf("give at most %d; readings and scans are named by the digest of their blob", MostInput))
	case !utf8.Valid(input) || !json.Valid(input):
		return trouble.Data("bad-json", "input", "the input is not JSON", "send one JSON object in UTF-8")
	}
	return nil
}

// Job answers how a job stands.
func (c *Crew) Job(ctx context.Context, id string) (Job, error) { return c.store.Job(ctx, id) }

// Jobs lists the newest first.
func (c *Crew) Jobs(ctx context.Context, cursor string, limit int) (book.Page[Job], error) {
	return c.store.Jobs(ctx, cursor, limit)
}

// Cancel ends a job. Whoever works on it finds its turn gone.
func (c *Crew) Cancel(ctx context.Context, id string) error { return c.store.Cancel(ctx, id) }

// forgetting is the time between two looks for jobs that ended long ago.
const forgetting = time.Hour

// Sweep looks for lost turns again and again until ctx ends, and at its beginning and then every hour for jobs that ended long ago.
func (c *Crew) Sweep(ctx context.Context) {
	tick, hour := time.NewTicker(c.o.Sweep), time.NewTicker(forgetting)
	defer tick.Stop()
	defer hour.Stop()
	c.forget(ctx)
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			c.Recover(ctx, c.o.Silent)
		case <-hour.C:
			c.forget(ctx)
		}
	}
}

// forget removes jobs that ended long ago.
func (c *Crew) forget(ctx context.Context) {
	n, err := c.store.Forget(ctx, c.o.Kept, c.o.KeptMost)
	if err != nil {
		c.warn(ctx, "jobs: removing jobs that ended long ago", err)
	}
	if n > 0 {
		c.o.Log.InfoContext(ctx, "jobs: jobs that ended long ago are removed", "jobs", n)
	}
}

// Recover puts the turns in the line again whose holders were silent for so long, and those for which nobody came.
func (c *Crew) Recover(ctx context.Context, silent time.Duration) {
	taken, waiting, err := c.store.Recover(ctx, silent, c.o.Most)
	if err != nil {
		c.warn(ctx, "jobs: looking for lost turns", err)
		return
	}
	for _, t := range taken {
		c.o.Log.InfoContext(ctx, "jobs: a slice is taken over from a worker that went silent", "job", t.Job, "turn", t.Number)
		c.put(ctx, t, true)
	}
	for _, t := range waiting {
		if c.put(ctx, t, false) {
			c.renew(ctx, t)
		}
	}
}

// renew replaces a turn that the line gave to somebody who never took it up: a program killed between the two.
func (c *Crew) renew(ctx context.Context, t Turn) {
	ok, err := c.store.Renew(ctx, t)
	if err != nil {
		c.warn(ctx, "jobs: renewing a turn", err)
	}
	if ok {
		c.put(ctx, t.Next(), true)
	}
}

// put puts a turn in the line. What cannot be put now is found by a later sweep.
func (c *Crew) put(ctx context.Context, t Turn, urgent bool) (stuck bool) {
	stuck, err := c.line.Put(ctx, t, urgent)
	if err != nil {
		c.warn(ctx, "jobs: putting a turn in the line", err)
	}
	return stuck
}

func (c *Crew) warn(ctx context.Context, what string, err error) {
	if ctx.Err() == nil {
		c.o.Log.WarnContext(ctx, what, "error", err)
	}
}
