package jobs

import (
	"context"
	"slices"
	"sync"
)

// inHouse is a queue within one program, for a store that no other program writes to.
type inHouse struct {
	*Crew
	lock    sync.Mutex
	waiting []Turn
	wake    chan struct{}
}

// InHouse makes a queue that works within this one program. Run queues again what an earlier program left unfinished.
func InHouse(s Store, o Options, workers ...Worker) Queue {
	q := &inHouse{}
	q.Crew = NewCrew(s, q, o, workers...)
	q.wake = make(chan struct{}, q.o.Hands)
	return q
}

// Put puts a turn in the line.
func (q *inHouse) Put(_ context.Context, t Turn, urgent bool) (stuck bool, err error) {
	q.lock.Lock()
	defer q.lock.Unlock()
	if slices.Contains(q.waiting, t) {
		return false, nil
	}
	if urgent {
		q.waiting = slices.Insert(q.waiting, 0, t)
	} else {
		q.waiting = append(q.waiting, t)
	}
	q.rouse()
	return false, nil
}

// rouse wakes one hand that waits, if one does.
func (q *inHouse) rouse() {
	select {
	case q.wake <- struct{}{}:
	default:
	}
}

// first takes the first turn out of the line.
func (q *inHouse) first() (t Turn, ok bool) {
	q.lock.Lock()
	defer q.lock.Unlock()
	if len(q.waiting) == 0 {
		return Turn{}, false
	}
	t = q.waiting[0]
	q.waiting = slices.Delete(q.waiting, 0, 1)
	if len(q.waiting) > 0 {
		q.rouse()
	}
	return t, true
}

// Run works until ctx ends. It takes away at once what an earlier program held.
func (q *inHouse) Run(ctx context.Context) error {
	q.Recover(ctx, 0)
	var hands sync.WaitGroup
	for range q.o.Hands {
		hands.Go(func() { q.hand(ctx) })
	}
	q.Sweep(ctx)
	hands.Wait()
	return nil
}

// hand does one slice after the other.
func (q *inHouse) hand(ctx context.Context) {
	for {
		for t, ok := q.first(); ok && ctx.Err() == nil; t, ok = q.first() {
			if err := q.Work(ctx, t); err != nil {
				q.warn(ctx, "jobs: working on a slice", err)
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-q.wake:
		}
	}
}
