package ledger

import (
	"context"
	"errors"
	"runtime"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// The writer writes the journal, one batch at a time. Submissions that wait while a commit goes to the disk are gathered and go with
// the next one, so that many senders share the cost of a sync.
type writer struct {
	ledger *Ledger
	in     chan *request
	stop   chan struct{}
	turn   chan struct{} // full while somebody writes
	memory *memory
	admit  func(*draft, book.Submission, map[string]met) (book.Receipt, error)
}

// Submissions that share one commit at most.
const gathered = 256

// How long the fate of a commit whose answer was lost is asked for before the senders are told that it is unknown.
const resolving = 3 * time.Second

// A request is what one caller hands in: one submission, or many that stand or fall together.
type request struct {
	ctx  context.Context
	subs []book.Submission
	all  bool // all or nothing, in a transaction of their own
	dry  bool
	done chan struct{} // closed when answered

	receipts []book.Receipt
	refusals []error // for each submission; nil when admitted
	err      error   // the request as a whole failed
}

func newWriter(l *Ledger) *writer {
	return &writer{ledger: l, in: make(chan *request), stop: make(chan struct{}), turn: make(chan struct{}, 1), memory: newMemory(), admit: (*draft).admit}
}

func (w *writer) end() { close(w.stop) }

// ended waits until nobody writes, and keeps everybody from it.
func (w *writer) ended() { w.turn <- struct{}{} }

// submit hands a request to the writer and waits for its answer. A caller who stops waiting may find the entry written
// afterwards; to send it again is harmless. Who comes with one act to a folder where nobody writes writes it itself: to wake another
// goroutine and be woken by it takes a fifth of the whole time.
func (w *writer) submit(r *request) error {
	r.done = make(chan struct{})
	if !r.all && !w.ledger.handles.Postgres {
		select {
		case w.turn <- struct{}{}:
			w.lead(r)
			return r.err
		default:
		}
	}
	select {
	case w.in <- r:
	case <-r.ctx.Done():
		return r.ctx.Err()
	case <-w.stop:
		return trouble.IO("book-closed", w.ledger.engine.Where(), "the book is being closed", "send the same again when the program runs")
	}
	select {
	case <-r.done:
		return r.err
	case <-r.ctx.Done():
		return r.ctx.Err()
	}
}

func (w *writer) run() {
	for {
		select {
		case <-w.stop:
			return
		case r := <-w.in:
			w.turn <- struct{}{}
			w.lead(r)
		}
	}
}

// lead writes what somebody hands in who has the turn, with all that wait, and gives the turn back.
func (w *writer) lead(r *request) {
	defer func() { <-w.turn }()
	if r.all {
		w.serve([]*request{r})
		return
	}
	batch, apart := w.gather(r)
	w.serve(batch)
	if apart != nil {
		w.serve([]*request{apart})
	}
}

// gather takes those who wait. Senders that were just answered are given the processor once, to come again with their next.
func (w *writer) gather(first *request) (batch []*request, apart *request) {
	batch = []*request{first}
	for rested := false; len(batch) < gathered; {
		select {
		case r := <-w.in:
			if r.all {
				return batch, r
			}
			batch, rested = append(batch, r), false
		default:
			if rested {
				return batch, nil
			}
			runtime.Gosched()
			rested = true
		}
	}
	return batch, nil
}

// serve writes a batch in one transaction and answers all of it. If the program breaks down over it, each is tried alone: who hands in
// what breaks it must not harm the others.
func (w *writer) serve(batch []*request) {
	err := w.attempt(batch)
	if errors.As(err, new(broken)) && len(batch) > 1 {
		for _, r := range batch {
			w.serve([]*request{r})
		}
		return
	}
	if errors.Is(err, errOvertaken) || err != nil && w.ledger.engine.Again(err) && !errors.Is(err, errCommit) {
		err = w.attempt(batch)
	}
	if errors.Is(err, errCommit) {
		err = w.resolve(batch, err)
	}
	if err == nil {
		w.ledger.news.announce() // before its sender goes on: whoever looks then must not be shown what was counted before
	}
	for _, r := range batch {
		if err != nil {
			r.receipts, r.refusals, r.err = nil, nil, w.ledger.explain(ownFault(err, r.name()))
		}
		close(r.done)
	}
}

// errOvertaken tells that the head of the chain does not stand where it was left: nothing was written.
var errOvertaken = errors.New("the head of the chain was moved by another writer")

// errCommit marks an error of the commit itself: whether it took place is not known from the error.
var errCommit = errors.New("commit")

// name is what the request is called by whoever sent it.
func (r *request) name() string {
	if len(r.subs) == 1 {
		return "entry " + r.subs[0].Entry.ID
	}
	return trouble.Count(int64(len(r.subs)), "entry", "entries")
}

// attempt decides and writes a batch. The transaction does not end when a caller stops waiting: others are in it.
func (w *writer) attempt(batch []*request) (err error) {
	ctx := context.Background()
	if err := w.ledger.health.mayWrite(); err != nil {
		return err
	}
	tx, err := w.ledger.write.begin(ctx, nil)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			w.memory.forget()
			_ = tx.Rollback() // the error that led here is the one to tell
		}
	}()
	defer recovered(w.ledger.log, "deciding and writing entries", &err)
	d, err := w.ledger.startDraft(ctx, tx, w.memory)
	if err != nil {
		return err
	}
	keep, err := w.decide(d, batch)
	switch {
	case err != nil:
		return err
	case !keep:
		w.memory.forget()
		return tx.Rollback()
	case d.seq == d.from:
		return tx.Commit()
	}
	return w.commit(d)
}

// decide admits each submission of each request. It reports whether the transaction is to be kept.
func (w *writer) decide(d *draft, batch []*request) (keep bool, err error) {
	keep = true
	known, err := d.known(batch)
	if err != nil {
		return false, err
	}
	for _, r := range batch {
		r.receipts, r.refusals = make([]book.Receipt, len(r.subs)), make([]error, len(r.subs))
		refused := false
		for i, s := range r.subs {
			r.receipts[i], r.refusals[i] = w.admit(d, s, known)
			if d.err != nil {
				return false, d.err
			}
			refused = refused || r.refusals[i] != nil
			if d.noted() > 4*gathered {
				if err := d.flush(); err != nil {
					return false, err
				}
			}
		}
		keep = keep && !(r.all && refused) && !r.dry
	}
	return keep, nil
}

func (w *writer) commit(d *draft) error {
	moved, err := d.tx.change(d.ctx, "update chain set seq = $1, hash = $2 where site = $3 and seq = $4", d.seq, d.hash[:], d.number, d.from)
	if err != nil {
		return err
	}
	if moved != 1 {
		return errOvertaken
	}
	if err := d.flush(); err != nil {
		return err
	}
	if err := d.tx.Commit(); err != nil {
		return errors.Join(errCommit, err)
	}
	w.memory.head = d.head
	return nil
}

// resolve finds out what became of a commit whose answer was an error, by asking for the ids of what was in it.
func (w *writer) resolve(batch []*request, cause error) error {
	ctx, cancel := context.WithTimeout(context.Background(), resolving)
	defer cancel()
	var last *book.Receipt
	for _, r := range batch {
		for i := range r.receipts {
			if r.refusals[i] == nil && !r.receipts[i].Repeated {
				last = &r.receipts[i]
			}
		}
	}
	for {
		e, err := w.ledger.Entry(ctx, last.Entry.ID)
		var said *trouble.Trouble
		switch {
		case err == nil && e.Hash == last.Entry.Hash:
			return nil
		case err == nil, errors.As(err, &said) && said.Code == "no-such-entry":
			return w.ledger.engine.Explain(cause)
		}
		select {
		case <-ctx.Done():
			return trouble.IO("outcome-unknown", w.ledger.engine.Where(), "the database went away during the commit: whether this was written is not known",
				"send the same again when the database answers; its id makes that harmless").Because(cause)
		case <-time.After(resolving / 20):
		}
	}
}
