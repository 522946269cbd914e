// Package jobs runs long computations in short slices: they outlive the program that works on them, tell how far they are, can
// be cancelled, and are shared by any number of programs that open the same book.
//
// A job goes from slice to slice. Whoever works on a slice holds its turn, a number that grows with every slice and whenever
// a slice is taken from a worker that no longer gives a sign of life. All that a worker writes is written under its turn, so
// one that wakes up late writes nothing. What a slice came to is kept as a checkpoint; a worker that is killed costs its
// slice and no more.
//
// A [Crew] is the rules of this, the same for every engine. A [Store] keeps the jobs, a [Line] hands turns to whoever works
// next. The package does not compute anything itself: rooms below it do, each a [Worker].
package jobs

import (
	"context"
	"encoding/json"
	"time"

	"slatewright/internal/book"
)

// State is how a job stands.
type State string

// The states. A job that is done, failed or cancelled has ended and stays as it is.
const (
	Queued    State = "queued"  // nobody has begun
	Running   State = "running" // begun; between two slices nobody works on it
	Done      State = "done"
	Failed    State = "failed"
	Cancelled State = "cancelled"
)

// Ended tells whether nothing will happen to a job any more.
func (s State) Ended() bool { return s == Done || s == Failed || s == Cancelled }

// Job is one long computation.
type Job struct {
	ID         string // ULID
	Kind       string // which worker computes it
	Person     string // who asked for it
	State      State
	Input      json.RawMessage
	Checkpoint json.RawMessage // what the last finished slice left; nil before the first
	Result     json.RawMessage // when it is done
	Progress   float64         // 0 to 1
	Said       string          // what it is at, in words
	Trouble    string          // why it failed and what to do
	Asked      time.Time
	Began      time.Time // zero before the first slice
	Ended      time.Time // zero until it has ended
	Beat       time.Time // last sign of life
	Slices     int       // slices finished
	Lost       int       // how often the slice that is next was begun and not finished
}

// Slice is what one slice came to.
type Slice struct {
	Checkpoint json.RawMessage // what the next slice needs
	Progress   float64         // 0 to 1
	Said       string
	Done       bool // it was the last one
	Result     json.RawMessage
}

// Worker computes jobs of one kind.
type Worker interface {
	Kind() string
	// Check refuses an input that cannot be worked on, as trouble.
	Check(input json.RawMessage) error
	// Work does the slice that follows from the job's checkpoint: a second or a few. It may be called again with the same
	// checkpoint when a slice was lost. Trouble of kind IO is tried again a few times, any other error fails the job.
	Work(ctx context.Context, j Job) (Slice, error)
}

// Queue is what a door may ask.
type Queue interface {
	// Submit queues a job. A kind that nobody knows and an input that its worker refuses are trouble.
	Submit(ctx context.Context, kind, person string, input json.RawMessage) (Job, error)
	// Job answers how a job stands; the code of one that does not exist is no-such-job.
	Job(ctx context.Context, id string) (Job, error)
	// Jobs lists the newest first, without their inputs, checkpoints and results.
	Jobs(ctx context.Context, cursor string, limit int) (book.Page[Job], error)
	// Cancel ends a job that has not ended; its worker, wherever it runs, is told within a second.
	Cancel(ctx context.Context, id string) error
	// Run works on jobs until ctx ends; then it gives back what it holds.
	Run(ctx context.Context) error
}
