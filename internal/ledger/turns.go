package ledger

import (
	"context"
	"sync"
)

// replays has one replay at a time run, since each takes much memory. A rebuild that somebody asked for goes first: the check in
// the background gives way and begins again later.
type replays struct {
	turn chan struct{} // full while one runs

	mu    sync.Mutex
	asked int                // rebuilds that run or wait
	check context.CancelFunc // ends the check that runs; nil when none does
}

// rebuild waits for the turn.
func (r *replays) rebuild(ctx context.Context) (done func(), err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.asked++; r.check != nil {
		r.check()
	}
	r.mu.Unlock()
	select {
	case r.turn <- struct{}{}:
	case <-ctx.Done():
		err = ctx.Err()
	}
	r.mu.Lock()
	if err != nil {
		r.asked--
		return nil, err
	}
	return func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.asked--
		<-r.turn
	}, nil
}

// inBackground runs a check when no rebuild runs, and reports whether it came to its end.
func (r *replays) inBackground(ctx context.Context, check func(context.Context)) bool {
	select {
	case r.turn <- struct{}{}:
	case <-ctx.Done():
		return false
	}
	defer func() { <-r.turn }()
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	r.mu.Lock()
	if r.check = stop; r.asked > 0 {
		stop()
	}
	r.mu.Unlock()
	check(ctx)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.check = nil
	return ctx.Err() == nil
}
