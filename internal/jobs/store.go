package jobs

import (
	"context"
	"encoding/json"
	"time"

	"slatewright/internal/book"
)

// Turn is the right to work on the next slice of a job. Its number rises by one when the slice is kept, given back or taken
// away, so that each turn is had once.
type Turn struct {
	Job    string
	Number int64
}

// Next is the turn that follows when this one is over.
func (t Turn) Next() Turn { return Turn{t.Job, t.Number + 1} }

// Store keeps the jobs of one mill. What is written under a turn is written only while that turn is held, in one step; the bool
// says whether it was. Times are those of the store's own clock, because the clocks of several machines differ.
type Store interface {
	Add(ctx context.Context, kind, person string, input json.RawMessage) (Job, Turn, error)
	Job(ctx context.Context, id string) (Job, error)
	Jobs(ctx context.Context, cursor string, limit int) (book.Page[Job], error)
	Cancel(ctx context.Context, id string) error // one that has ended stays as it is

	Take(ctx context.Context, t Turn, worker string) (Job, bool, error) // begins the slice, if nobody has
	Holds(ctx context.Context, t Turn) (bool, error)
	Beat(ctx context.Context, t Turn) (bool, error)          // a sign of life
	Keep(ctx context.Context, t Turn, s Slice) (bool, error) // the slice is finished
	Fail(ctx context.Context, t Turn, why string) (bool, error)
	GiveBack(ctx context.Context, t Turn, lost bool) (bool, error) // unfinished; lost counts against the slice

	// Recover takes away the turns whose holder gave no sign of life for so long, and fails the jobs whose slice was thereby
	// lost for the most-th time. It returns the new turns, and those for which nobody came for as long; each is returned to
	// one caller only, until as much time has gone by again.
	Recover(ctx context.Context, silent time.Duration, most int) (taken, waiting []Turn, err error)
	// Renew ends a turn that nobody has taken.
	Renew(ctx context.Context, t Turn) (bool, error)

	// Forget removes the jobs that ended at least so long ago, and of those that ended all but the most newest.
	Forget(ctx context.Context, since time.Duration, most int) (removed int64, err error)
}

// Line hands turns to whoever works next. It may forget them: the store does not.
type Line interface {
	// Put puts a turn in the line, an urgent one in front. A turn that is in the line already is not put again; stuck says that
	// the line gave it to somebody before.
	Put(ctx context.Context, t Turn, urgent bool) (stuck bool, err error)
}
