package ledger

import (
	"context"
	"fmt"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Entries read at a time when the whole journal is walked: no question stays open for long, and no more than this is in memory.
const stretch = 2000

const stretchQuery = "select " + entryColumns + " from journal j where j.site = $1 and j.seq > $2 order by j.seq limit $3"

// A walk goes along the chain from its first entry. It holds each entry to its hash and to the entry before it.
type walk struct {
	ledger *Ledger
	from   asker
	opens  bool  // open the entries, for a replay
	seq    int64 // the entry reached
	hash   book.Digest
	faults []error
}

// step reads the next stretch. What is broken is kept as a fault, and the walk goes on behind it; whole is what fits.
func (w *walk) step(ctx context.Context) (whole []book.Entry, read int, err error) {
	rows, err := collect(ctx, w.from, scanEntryRow, stretchQuery, w.ledger.number, w.seq, stretch)
	if err != nil {
		return nil, 0, err
	}
	for _, r := range rows {
		e, err := r.entry(w.ledger.Site())
		switch {
		case r.seq != w.seq+1:
			w.fault(missing(w.seq+1, r.seq-1))
		case err != nil:
			w.fault(err)
		case e.Prev != w.hash:
			w.fault(unchained(r.seq))
		default:
			whole = append(whole, e)
		}
		w.seq = r.seq
		copy(w.hash[:], r.hash)
	}
	return whole, len(rows), nil
}

func (w *walk) fault(err error) {
	if len(w.faults) < maxFaults {
		w.faults = append(w.faults, err)
	}
}

// leg is a stretch that was walked.
type leg struct {
	whole  []book.Entry  // what fits
	opened []book.Opened // the same, if the walk opens them
	seq    int64         // the entry reached
	fault  error         // the first fault so far
}

// all walks to the head of the chain and gives each leg to the caller, while it reads and verifies the next.
func (w *walk) all(ctx context.Context, each func(leg) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	legs, end := make(chan leg), make(chan error, 1)
	go func() {
		end <- w.read(ctx, legs)
		close(legs)
	}()
	var err error
	for l := range legs {
		if err == nil {
			err = each(l)
		}
		if err != nil {
			stop()
		}
	}
	stop()
	if ended := <-end; err == nil {
		err = ended
	}
	return err
}

// read reads to the head of the chain, and sends what is whole.
func (w *walk) read(ctx context.Context, to chan<- leg) error {
	for {
		h, err := w.ledger.headFrom(ctx, w.from, false) // before the entries: they are there at the latest when the head is
		if err != nil {
			return err
		}
		whole, read, err := w.step(ctx)
		if err != nil {
			return err
		}
		l := leg{whole: whole, seq: w.seq}
		if w.opens {
			l.opened = make([]book.Opened, len(whole))
			for i, e := range whole {
				l.opened[i] = book.OpenEntry(e)
			}
		}
		if len(w.faults) > 0 {
			l.fault = w.faults[0]
		}
		select {
		case to <- l:
		case <-ctx.Done():
			return ctx.Err()
		}
		if read < stretch {
			w.arrive(h)
			return nil
		}
	}
}

// arrive compares the end of the walk with the head of the chain as it was just before.
func (w *walk) arrive(h head) {
	switch {
	case h.seq > w.seq:
		w.fault(missing(w.seq+1, h.seq))
	case h.seq == w.seq && h.hash != w.hash:
		w.fault(w.ledger.brokenHead())
	}
}

// VerifyJournal walks along the whole chain and names what does not fit.
func (l *Ledger) VerifyJournal(ctx context.Context, progress func(done, total int64)) (book.JournalReport, error) {
	h, err := l.head(ctx)
	if err != nil {
		return book.JournalReport{}, l.explain(err)
	}
	var report book.JournalReport
	w := &walk{ledger: l, from: l.read}
	err = w.all(ctx, func(next leg) error {
		report.Entries += int64(len(next.whole))
		if progress != nil {
			progress(next.seq, max(h.seq, next.seq))
		}
		return nil
	})
	report.Head = w.hash
	for _, f := range w.faults {
		report.Faults = append(report.Faults, faultOf(f))
	}
	return report, l.explain(err)
}

func missing(from, to int64) *trouble.Trouble {
	return trouble.IO("broken-chain", fmt.Sprintf("entry %d", from), fmt.Sprintf("entries %d to %d of the journal are missing", from, to),
		"restore the newest sound backup with `slatewright restore`")
}

func unchained(seq int64) *trouble.Trouble {
	return trouble.IO("broken-chain", fmt.Sprintf("entry %d", seq), fmt.Sprintf("entry %d of the journal does not follow the entry before it", seq),
		"restore the newest sound backup with `slatewright restore`")
}
