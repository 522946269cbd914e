package ledger

import (
	"context"
	"time"
)

// The check in the background begins when the first questions after the start are answered; a verb that is done by then is spared it.
const checkAfter = 3 * time.Second

// checkInBackground looks through the whole book once: the engine's pages, the chain, and the tables against a replay. It works
// half of the time at most, and begins anew when a rebuild pushed it aside.
func (l *Ledger) checkInBackground(ctx context.Context, after time.Duration) {
	for ctx.Err() == nil {
		rest(ctx, after)
		f, rebuilds := &findings{}, int64(0)
		if l.replays.inBackground(ctx, func(ctx context.Context) { rebuilds = l.inspect(ctx, f) }) {
			l.health.adopt(f, rebuilds)
			return
		}
	}
}

// inspect reports also which making of the tables it looked at.
func (l *Ledger) inspect(ctx context.Context, f *findings) (rebuilds int64) {
	rebuilds = l.health.tables()
	var fault error
	defer func() { f.fault(ownFault(fault, l.engine.Where())) }()
	defer recovered(l.log, "checking the book in the background", &fault)
	f.fault(l.engine.Check(ctx)) // and on with what can be read
	r, err := l.newReplay(ctx, nil)
	if err != nil {
		f.fault(l.explain(err))
		return rebuilds
	}
	defer r.close()
	r.gentle = true
	_, err = r.check(ctx, f.differs)
	if len(r.walk.faults) == 0 {
		f.fault(l.explain(err))
		return r.rebuilds
	}
	w := &walk{ledger: l, from: l.read} // a replay stops at the first fault; a walk names all
	f.fault(l.explain(w.all(ctx, func(leg) error { return ctx.Err() })))
	for _, fault := range w.faults {
		f.fault(fault)
	}
	return r.rebuilds
}
