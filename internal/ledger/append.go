package ledger

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Append writes one entry. It is on the disk when it is answered.
func (l *Ledger) Append(ctx context.Context, s book.Submission) (book.Receipt, error) {
	r := &request{ctx: ctx, subs: []book.Submission{s}}
	if err := l.submit(r); err != nil {
		return book.Receipt{}, err
	}
	return r.receipts[0], r.refusals[0]
}

// AppendAll writes many entries in one transaction, or none: when one is refused the others are too, and the refusals say which
// and why. A dry run decides on all and writes nothing.
func (l *Ledger) AppendAll(ctx context.Context, s []book.Submission, dryRun bool) ([]book.Receipt, []error, error) {
	r := &request{ctx: ctx, subs: s, all: true, dry: dryRun}
	if err := l.submit(r); err != nil {
		return nil, nil, err
	}
	if slices.ContainsFunc(r.refusals, func(err error) bool { return err != nil }) {
		return nil, r.refusals, nil
	}
	return r.receipts, r.refusals, nil
}

func (l *Ledger) submit(r *request) error {
	if l.writer == nil {
		return l.onlyToRead()
	}
	return l.writer.submit(r)
}

func (l *Ledger) onlyToRead() *trouble.Trouble {
	return trouble.Usage("only-to-read", l.engine.Where(), "the book was opened to read only", "open it to write")
}

// met is an entry that the journal has already, or why it cannot be shown.
type met struct {
	placed book.Placed
	err    error
}

// known finds the submissions whose id the journal has already. An id behind the last of all is new: most are, since an id begins
// with the time when it was given.
func (d *draft) known(batch []*request) (map[string]met, error) {
	if err := d.rememberLast(); err != nil {
		return nil, err
	}
	var ids []string
	for _, r := range batch {
		for _, s := range r.subs {
			if s.Entry.ID <= *d.memory.last {
				ids = append(ids, s.Entry.ID)
			}
		}
	}
	known := map[string]met{}
	for len(ids) > 0 {
		n := min(len(ids), strides[slices.IndexFunc(strides[:], func(n int) bool { return n <= len(ids) })])
		args, marks := []any{d.number}, make([]string, n)
		for i, id := range ids[:n] {
			args, marks[i] = append(args, id), fmt.Sprintf("$%d", i+2)
		}
		found, err := collect(d.ctx, d.tx, scanID, "select id from journal where site = $1 and id in ("+strings.Join(marks, ", ")+")", args...)
		if err != nil {
			return nil, err
		}
		for _, id := range found {
			p, _, err := d.Entry(id)
			if d.err != nil {
				return nil, d.err
			}
			known[id] = met{p, err}
		}
		ids = ids[n:]
	}
	return known, nil
}

const lastQuery = "select id from journal where site = $1 order by id desc limit 1"

func (d *draft) rememberLast() error {
	if d.memory.last != nil {
		return nil
	}
	last, err := collect(d.ctx, d.tx, scanID, lastQuery, d.number)
	if err == nil {
		last = append(last, "")
		d.memory.last = &last[0]
	}
	return d.failed(err)
}

func scanID(rows *sql.Rows) (id string, err error) { return id, rows.Scan(&id) }

// admit decides on one submission: it was there already, it is refused, or its outcome is taken.
func (d *draft) admit(s book.Submission, known map[string]met) (book.Receipt, error) {
	e := s.Entry
	if e.Site != "" && e.Site != d.site {
		return book.Receipt{}, trouble.Data("other-site", "site", fmt.Sprintf("the entry is for %s, the book is that of %s", e.Site, d.site), "send it to the right mill")
	}
	e.Site, e.At = d.site, e.At.UTC().Truncate(time.Millisecond)
	if there, ok := known[e.ID]; ok {
		if there.err != nil {
			return book.Receipt{}, there.err
		}
		return repeated(there.placed, e)
	}
	e.Seq, e.Prev = d.seq+1, d.hash
	o, err := book.Admit(d, e, s.Caller, s.Late)
	if err != nil {
		return book.Receipt{}, err
	}
	o.Entry.Seq, o.Entry.Prev = e.Seq, e.Prev
	o.Entry.Hash = book.HashOf(o.Entry)
	if err := d.take(o); err != nil {
		return book.Receipt{}, err
	}
	known[e.ID] = met{placed: book.Placed{Entry: o.Entry, Standing: standingOf(o)}}
	return book.Receipt{Entry: o.Entry, Conflict: o.Conflict}, nil
}

func standingOf(o book.Outcome) book.Standing {
	if o.Conflict == nil {
		return book.Standing{}
	}
	return *o.Conflict
}

// repeated answers an entry that is there already as the first time, if it says the same.
func repeated(there book.Placed, again book.Entry) (book.Receipt, error) {
	if !same(there.Entry, again) {
		return book.Receipt{}, trouble.Data("same-id-other-entry", "id", fmt.Sprintf("entry %d has the id %s already and says something else", there.Seq, again.ID),
			"give a new act an id of its own; what was wrong is put right by a correction")
	}
	r := book.Receipt{Entry: there.Entry, Repeated: true}
	if there.Standing.State == "conflict" {
		r.Conflict = &there.Standing
	}
	return r, nil
}

func same(a, b book.Entry) bool {
	if !a.At.Equal(b.At) || a.Person != b.Person || a.Station != b.Station || a.Act != b.Act {
		return false
	}
	if bytes.Equal(a.Body, b.Body) {
		return true
	}
	act, err := book.Decode(b.Act, b.Body)
	if err != nil {
		return false
	}
	_, body, err := book.Encode(act)
	return err == nil && bytes.Equal(a.Body, body)
}

func (d *draft) noted() int { return len(d.entries) + len(d.touches) + len(d.things) }
