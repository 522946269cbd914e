package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"runtime/debug"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/ledger/replica"
)

// A replay makes the derived tables anew in memory, from the verified journal alone.
type replay struct {
	walk    *walk
	replica *replica.Replica
	said    func(done, total int64)
	gentle  bool  // leave half of the time to others
	limit   int64 // of memory before
	sick    bool  // the engine found pages or indexes wrong

	rebuilds int64 // the making of the tables that were compared
}

// Memory that the program should not exceed while a replay runs, whatever else it does: the collector then works more often. A
// replay itself takes about 100 bytes for an act and the things that it is about, and some of what was last in use.
const (
	replayTakes = 150 << 20
	actTakes    = 120
)

func (l *Ledger) newReplay(ctx context.Context, said func(done, total int64)) (*replay, error) {
	h, err := l.head(ctx)
	if err != nil {
		return nil, err
	}
	r, err := replica.New(again{ctx, l}, h.seq, "")
	if err != nil {
		return nil, err
	}
	return &replay{walk: &walk{ledger: l, from: l.read, opens: true}, replica: r, said: said, rebuilds: h.rebuilds,
		limit: debug.SetMemoryLimit(replayTakes + actTakes*h.seq)}, nil
}

func (r *replay) close() {
	debug.SetMemoryLimit(r.limit)
	r.replica.Close()
	r.replica = nil
	debug.FreeOSMemory() // the program goes on for months
}

// run replays what lies before it, as seen from a pool or a transaction. On a broken journal it stops at the first fault.
func (r *replay) run(ctx context.Context, from asker) error {
	r.walk.from = from
	h, err := r.walk.ledger.headFrom(ctx, from, false)
	if err != nil {
		return err
	}
	began := time.Now()
	err = r.walk.all(ctx, func(next leg) error {
		if next.fault != nil {
			return next.fault
		}
		for _, e := range next.opened {
			if err := r.replica.Apply(e); err != nil {
				return fmt.Errorf("replay of entry %d: %w", e.Seq, err)
			}
		}
		if r.said != nil {
			r.said(next.seq, max(next.seq, h.seq))
		}
		if r.gentle {
			rest(ctx, time.Since(began))
			began = time.Now()
		}
		return ctx.Err()
	})
	if err == nil && len(r.walk.faults) > 0 {
		err = r.walk.faults[0]
	}
	return err
}

func rest(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// again gives the replica entries of the journal once more, each held to its hash.
type again struct {
	ctx    context.Context
	ledger *Ledger
}

// Numbered returns entries by their numbers.
func (a again) Numbered(seqs []int64) ([]book.Entry, error) {
	all := make([]book.Entry, 0, len(seqs))
	for len(seqs) > 0 {
		n := min(len(seqs), 500)
		args, marks, place := []any{a.ledger.number}, make([]string, n), map[int64]int{}
		for i, seq := range seqs[:n] {
			args, marks[i], place[seq] = append(args, seq), fmt.Sprintf("$%d", i+2), len(all)+i
		}
		rows, err := a.ledger.handles.Read.QueryContext(a.ctx, "select "+entryColumns+" from journal j where j.site = $1 and j.seq in ("+strings.Join(marks, ", ")+")", args...)
		if err != nil {
			return nil, err
		}
		all = all[:len(all)+n]
		if err := a.into(all, place, rows); err != nil {
			return nil, err
		}
		seqs = seqs[n:]
	}
	return all, nil
}

func (a again) into(all []book.Entry, place map[int64]int, rows *sql.Rows) error {
	defer rows.Close()
	for rows.Next() {
		r, err := scanEntryRow(rows)
		if err != nil {
			return err
		}
		if all[place[r.seq]], err = r.entry(a.ledger.Site()); err != nil {
			return err
		}
		delete(place, r.seq)
	}
	for seq := range place {
		return missing(seq, seq)
	}
	return rows.Err()
}

// Called returns an entry by its id.
func (a again) Called(id string) (book.Entry, bool, error) {
	found, err := collect(a.ctx, a.ledger.read, scanEntryRow, "select "+entryColumns+" from journal j where j.site = $1 and j.id = $2", a.ledger.number, id)
	if err != nil || len(found) == 0 {
		return book.Entry{}, false, err
	}
	e, err := found[0].entry(a.ledger.Site())
	return e, err == nil, err
}
