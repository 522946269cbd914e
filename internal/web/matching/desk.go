package matching

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"slatewright/internal/measured/kept"
	"slatewright/sets"
)

// reckoner answers what is asked about one stock; [sets.Racks] does. One question at a time.
type reckoner interface {
	Match() (sets.Plan, error)
	Exchanges(p sets.Plan, set, most int) ([3][]sets.Exchange, error)
	Swap(p sets.Plan, out, in int) (sets.Exchange, error)
	Free(p sets.Plan, f sets.Freeing) ([]sets.Freed, error)
}

// lay makes a stock ready to be asked about.
func lay(q sets.Question) (reckoner, error) { return sets.Lay(q) }

// desk computes what pages ask and keeps it: a plan is there at once, and becomes better behind.
type desk struct {
	shelf *kept.Shelf
	lay   func(sets.Question) (reckoner, error)
}

const (
	first     = 500 * time.Millisecond // how long the first plan is looked for
	usually   = 10 * time.Second       // how long a better one is, behind
	longer    = 60 * time.Second       // as long as somebody asked for
	patience  = 900 * time.Millisecond // how long a page waits before it says that something is being computed
	forFree   = 20 * time.Second       // how long is looked at what one more would free
	perPlan   = 1 << 18                // bytes, about what a plan takes
	perStock  = 16 << 20               // bytes, about what a stock takes once it is made ready
	bestOnes  = 4                      // exchanges that are shown for a piece
	bestFreed = 6                      // changes that are shown
)

// ready is a stock that was made ready. It is asked one question at a time.
type ready struct {
	mu   sync.Mutex // guards ask, and stop while it is asked
	ask  reckoner
	stop func() bool
	far  atomic.Pointer[sets.Progress] // how far the last search is
}

// asked is a question about a stock, by the key under which its answers are kept.
type asked struct {
	key  string
	make func(context.Context) (sets.Question, error)
	tidy func(*sets.Plan) // puts a plan in the order in which it is shown
}

// stopAt stops a computation when nobody can get its answer any more, or after a time.
func stopAt(ctx context.Context, long time.Duration) func() bool {
	end := time.Now().Add(long)
	return func() bool { return ctx.Err() != nil || time.Now().After(end) }
}

// made makes the stock ready, once for all that is asked about it.
func (d *desk) made(ctx context.Context, a asked) (*ready, error) {
	return kept.Get(ctx, d.shelf, "ready "+a.key, kept.Work[*ready]{
		Bytes: func(*ready) int64 { return perStock },
		Do: func(ctx context.Context) (*ready, error) {
			q, err := a.make(ctx)
			if err != nil {
				return nil, err
			}
			done, err := d.shelf.Turn(ctx, 1)
			if err != nil {
				return nil, err
			}
			defer done()
			r := &ready{stop: stopAt(ctx, longer)}
			q.Stop = func() bool { return r.stop() }
			q.Tell = func(p sets.Progress) { r.far.Store(&p) }
			r.ask, err = d.lay(q)
			return r, err
		},
	})
}

// ask asks a stock when it is its turn; stopped says when nobody waits any more.
func ask[T any](d *desk, a asked, long time.Duration, do func(r reckoner, stopped func() bool) (T, error)) func(context.Context) (T, error) {
	return func(ctx context.Context) (found T, err error) {
		r, err := d.made(ctx, a)
		if err != nil {
			return found, err
		}
		done, err := d.shelf.Turn(ctx, 1)
		if err != nil {
			return found, err
		}
		defer done()
		r.mu.Lock()
		defer r.mu.Unlock()
		r.stop = stopAt(ctx, long)
		found, err = do(r.ask, r.stop)
		if err == nil && ctx.Err() != nil { // what was stopped for another reason than its time is no answer
			err = ctx.Err()
		}
		return found, err
	}
}

func planBytes(*sets.Plan) int64 { return perPlan }

// plan is the best plan so far; better is closed when there is a better one, nil where none is looked for.
func (d *desk) plan(a asked, long bool) (found kept.Asked[*sets.Plan], better <-chan struct{}) {
	match := func(r reckoner, _ func() bool) (*sets.Plan, error) {
		p, err := r.Match()
		if err == nil {
			a.tidy(&p)
		}
		return &p, err
	}
	found = kept.Ask(d.shelf, "first "+a.key, patience, kept.Work[*sets.Plan]{Bytes: planBytes, Do: ask(d, a, first, match)})
	for _, next := range []struct {
		name string
		long time.Duration
	}{{"better", usually}, {"long", longer}} {
		if found.State != kept.Ready || !found.Value.Stopped || next.long == longer && !long {
			break
		}
		then := kept.Want(d.shelf, next.name+" "+a.key, kept.Work[*sets.Plan]{Bytes: planBytes, Do: ask(d, a, next.long, match)})
		if then.State == kept.Computing {
			return found, then.Done
		}
		if then.State == kept.Ready {
			found = then
		}
	}
	return found, nil
}

// progress is how far the search is that is running; nil where nothing was told.
func (d *desk) progress(a asked) *sets.Progress {
	if r := kept.Known[*ready](d.shelf, "ready "+a.key); r.State == kept.Ready {
		return r.Value.far.Load()
	}
	return nil
}

// about is the key of what is asked about a plan.
func about(a asked, p *sets.Plan, what string) string {
	return fmt.Sprintf("%s %s %v", what, a.key, p.Sets)
}

// exchanges are the best exchanges for the pieces of a set.
func (d *desk) exchanges(a asked, p *sets.Plan, set int) kept.Asked[[3][]sets.Exchange] {
	return kept.Ask(d.shelf, about(a, p, fmt.Sprint("exchange ", set)), patience, kept.Work[[3][]sets.Exchange]{
		Bytes: func([3][]sets.Exchange) int64 { return perPlan / 16 },
		Do:    ask(d, a, usually, func(r reckoner, _ func() bool) ([3][]sets.Exchange, error) { return r.Exchanges(*p, set, bestOnes) })})
}

// swap is one exchange that was asked for.
func (d *desk) swap(a asked, p *sets.Plan, out, in int) kept.Asked[sets.Exchange] {
	return kept.Ask(d.shelf, about(a, p, fmt.Sprint("swap ", out, " ", in)), patience, kept.Work[sets.Exchange]{
		Bytes: func(sets.Exchange) int64 { return perPlan / 64 },
		Do:    ask(d, a, usually, func(r reckoner, _ func() bool) (sets.Exchange, error) { return r.Swap(*p, out, in) })})
}

// freeable is what one more would free, and what was not looked at for it.
type freeable struct {
	List  []sets.Freed
	Notes []string
	Over  bool // the time was over before all was tried
}

// freed is what one more would free.
func (d *desk) freed(a asked, p *sets.Plan, f sets.Freeing) kept.Asked[freeable] {
	return kept.Ask(d.shelf, about(a, p, "free"), patience, kept.Work[freeable]{
		Bytes: func(x freeable) int64 { return perPlan + int64(len(x.List))*perPlan/16 },
		Do: ask(d, a, forFree, func(r reckoner, stopped func() bool) (found freeable, err error) {
			f.Stop = func() bool {
				found.Over = found.Over || stopped()
				return found.Over
			}
			f.Note = func(warning string) { found.Notes = append(found.Notes, warning) }
			found.List, err = r.Free(*p, f)
			return found, err
		})})
}
