package ledger

import (
	"context"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// The check in the background begins when the first questions after the start are answered; a verb that is done by then is spared it.
const checkAfter = 3 * time.Second

// checkInBackground looks through the whole book once: the engine's pages, the chain, and the tables against a replay. It works
// half of the time at most.
func (l *Ledger) checkInBackground(ctx context.Context) {
	rest(ctx, checkAfter)
	if ctx.Err() != nil {
		return
	}
	if err := l.engine.Check(ctx); err != nil && ctx.Err() == nil {
		l.health.report(err)
	}
	r, err := l.newReplay(ctx, nil)
	if err != nil {
		l.health.report(l.explain(err))
		return
	}
	defer r.replica.Close()
	r.gentle = true
	_, err = r.check(ctx, l.block)
	if len(r.walk.faults) > 0 {
		l.checkChain(ctx)
	} else if err != nil && ctx.Err() == nil {
		l.health.report(l.explain(err))
	}
}

// checkChain names every fault of a journal that was found broken.
func (l *Ledger) checkChain(ctx context.Context) {
	w := &walk{ledger: l, from: l.read}
	err := w.all(ctx, func([]book.Entry) error { return ctx.Err() })
	for _, f := range w.faults {
		l.health.report(f)
	}
	if err != nil && ctx.Err() == nil {
		l.health.report(l.explain(err))
	}
}

// block keeps what a row that differs speaks of from being shown.
func (l *Ledger) block(table string, key []string) {
	switch table {
	case "thing", "touch":
		l.blockNamed(key[0], l.health.block)
	case "reach":
		l.blockNamed(key[0], l.health.blockReach)
		l.blockNamed(key[2], l.health.blockReach)
	default:
		l.health.report(trouble.IO("broken-thing", "entry "+key[0], "the standing of an entry does not follow from the journal", makeAnew))
	}
}

func (l *Ledger) blockNamed(name string, block func(book.Ref)) {
	r, err := toRef(name)
	if err != nil {
		l.health.report(err)
		return
	}
	block(r)
}
