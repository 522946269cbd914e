package gate

import (
	"context"
	"fmt"
	"time"

	"slatewright/trouble"
)

// Patience says how often a lock may be tried: Free times at once, then after First, twice as long each time, up to Most. Without
// a try for Forget it begins anew.
type Patience struct {
	Free                int
	First, Most, Forget time.Duration
}

// wait is how long after its last try a lock takes the next.
func (p Patience) wait(tries int) time.Duration {
	if tries < p.Free {
		return 0
	}
	wait := p.First
	for range tries - p.Free {
		if wait *= 2; wait >= p.Most {
			return p.Most
		}
	}
	return min(wait, p.Most)
}

// mostRaces is how often a tally is counted anew because somebody else was faster.
const mostRaces = 100

// count counts a try at a lock before it is made, so that many at once cannot all be the first; or it refuses it, which is trouble
// with the code too-many. A clock that was set back costs at most one wait. before is what was counted until then.
func (g *Gate) count(ctx context.Context, lock string, p Patience) (before Tally, err error) {
	err = g.recount(ctx, lock, func(was Tally) (Tally, error) {
		now := g.now()
		if now.Sub(was.Last) >= p.Forget {
			was.Tries = 0
		}
		if left := was.Last.Add(p.wait(was.Tries)).Sub(now); left > 0 && !was.Last.After(now) {
			return was, tooMany(left)
		}
		before = was
		return Tally{was.Tries + 1, now}, nil
	})
	return before, err
}

// recount changes a tally, whoever else does.
func (g *Gate) recount(ctx context.Context, lock string, change func(Tally) (Tally, error)) error {
	for range mostRaces {
		was, err := g.store.Tally(ctx, lock)
		if err != nil {
			return err
		}
		now, err := change(was)
		if err != nil {
			return err
		}
		if done, err := g.store.Recount(ctx, lock, was, now); done || err != nil {
			return err
		}
	}
	return busy()
}

// clear forgets the tries at a lock.
func (g *Gate) clear(ctx context.Context, lock string) error {
	return g.recount(ctx, lock, func(Tally) (Tally, error) { return Tally{}, nil })
}

// uncount takes one try back. When nobody else tried meanwhile the lock is as it was before, and its wait is no longer for it.
func (g *Gate) uncount(ctx context.Context, lock string, before Tally) error {
	return g.recount(ctx, lock, func(was Tally) (Tally, error) {
		switch was.Tries - 1 {
		case 0, -1:
			return Tally{}, nil
		case before.Tries:
			return before, nil
		}
		return Tally{was.Tries - 1, was.Last}, nil
	})
}

func tooMany(left time.Duration) error {
	return trouble.Data("too-many", "", "there were too many tries that were not right",
		fmt.Sprintf("wait %s and try again; a lead can set a new passphrase", inWords(left)))
}

// inWords rounds a wait up, so that whoever waits so long has waited enough.
func inWords(d time.Duration) string {
	seconds := int64((d + time.Second - 1) / time.Second)
	switch {
	case seconds <= 1:
		return "a second"
	case seconds < 120:
		return trouble.Count(seconds, "second", "seconds")
	}
	return trouble.Count((seconds+59)/60, "minute", "minutes")
}
