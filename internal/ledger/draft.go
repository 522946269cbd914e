package ledger

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"slices"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// A draft is the book within a transaction that is not yet committed. It implements book.View, and keeps what outcomes change
// until it is written: rows go to the database many at a time, and a thing that changes often within a transaction is written once.
type draft struct {
	ctx      context.Context
	tx       *transaction
	site     string
	number   int64
	postgres bool
	health   *health
	memory   *memory
	err      error // the first error of the database: the transaction is lost

	head       // of the chain, with what is admitted so far
	from int64 // where it stood

	entries   []book.Entry
	touches   []book.Touch
	things    map[book.Ref]*book.Thing // nil for one that is gone
	moved     map[book.Ref]bool        // of those, which may have no row yet, or one with another station or parent
	standings map[int64]book.Standing
	reach     map[book.Ref]reached
}

// reached is what a target's rows are to become, and what they are now.
type reached struct{ now, before book.TargetReach }

// memory is what the last transactions knew. It holds only while nobody else writes to this mill's book.
type memory struct {
	head   head                         // for which it holds
	turns  int64                        // of the ledger, likewise
	things *shelf[book.Ref, book.Thing] // one without a kind is known not to be there
	reach  *shelf[book.Ref, book.TargetReach]
	last   *string // of the ids in the journal, in the order of text; nil when not known

	conflicts map[book.Ref]bool // things that entries in conflict touch or touched; nil when not known
}

// Sizes of the memory: a mill has some thousand things in the house at a time; a state is about 1 kB, the origins of a piece 1 kB.
const (
	thingsKept = 8000
	reachKept  = 4000
)

func newMemory() *memory {
	return &memory{things: newShelf[book.Ref, book.Thing](thingsKept), reach: newShelf[book.Ref, book.TargetReach](reachKept)}
}

func (m *memory) forget() {
	m.head = head{seq: -1}
	m.things.clear()
	m.reach.clear()
	m.last, m.conflicts = nil, nil
}

// startDraft finds the head of the chain and, on PostgreSQL, keeps other programs from moving it until the transaction ends. In a
// folder, which this program has alone, it stands where the last transaction left it, unless the book was made anew beside.
func (l *Ledger) startDraft(ctx context.Context, tx *transaction, m *memory) (*draft, error) {
	d := &draft{ctx: ctx, tx: tx, site: l.handles.Site, number: l.number, postgres: l.handles.Postgres, health: &l.health, memory: m}
	d.empty()
	turns := l.turns.Load()
	if !d.postgres && m.turns == turns && m.head.seq > 0 {
		d.head, d.from = m.head, m.head.seq
		return d, nil
	}
	var err error
	if d.head, err = l.headFrom(ctx, tx, d.postgres); err != nil {
		return nil, err
	}
	l.health.madeAnew(d.rebuilds)
	if m.head != d.head {
		m.forget()
	}
	m.turns, d.from = turns, d.seq
	return d, nil
}

func (d *draft) empty() {
	d.entries, d.touches = nil, nil
	d.things, d.moved = map[book.Ref]*book.Thing{}, map[book.Ref]bool{}
	d.standings, d.reach = map[int64]book.Standing{}, map[book.Ref]reached{}
}

// failed keeps an error of the database, so that it is not taken for a refusal. Trouble is one: what was read is blocked.
func (d *draft) failed(err error) error {
	var refusal *trouble.Trouble
	if err != nil && d.err == nil && !errors.As(err, &refusal) {
		d.err = err
	}
	return err
}

// Thing returns the state of a thing.
func (d *draft) Thing(r book.Ref) (book.Thing, bool, error) {
	if err := d.health.thing(r); err != nil {
		return book.Thing{}, false, err
	}
	if t, changed := d.things[r]; changed {
		if t == nil {
			return book.Thing{}, false, nil
		}
		return owned(*t), true, nil
	}
	if t, ok := d.memory.things.get(r); ok {
		return owned(t), t.Kind != "", nil
	}
	found, err := collect(d.ctx, d.tx, scanThing, "select "+thingColumns+" from thing where site = $1 and kind = $2 and id = $3", d.number, string(r.Kind), r.ID)
	if err != nil {
		return book.Thing{}, false, d.failed(err)
	}
	found = append(found, book.Thing{})
	d.memory.things.put(r, found[0])
	return owned(found[0]), len(found) > 1, nil
}

// owned gives the caller a state that may be written over.
func owned(t book.Thing) book.Thing {
	t.State = bytes.Clone(t.State)
	return t
}

const historyQuery = "select " + placedColumns + ` from touch t join journal j on j.site = t.site and j.seq = t.seq
	left join standing s on s.site = t.site and s.seq = t.seq where t.site = $1 and t.thing = $2`

// History returns every entry that touches a thing.
func (d *draft) History(r book.Ref) ([]book.Placed, error) {
	return d.placed(historyQuery+" order by t.at_ms, t.id", d.number, fromRef(r))
}

// conflictsQuery begins with the conflicts, which are few, and not with the history of the thing, which may be long.
const conflictsQuery = "select " + placedColumns + ` from standing s cross join touch t cross join journal j
	where s.site = $1 and s.state = 'conflict' and t.site = s.site and t.seq = s.seq and t.thing = $2 and j.site = s.site and j.seq = s.seq
	order by t.at_ms, t.id`

// Conflicts returns the entries in conflict that touch a thing. It is asked at every act, so the things that have any are remembered.
func (d *draft) Conflicts(r book.Ref) ([]book.Placed, error) {
	if err := d.rememberConflicts(); err != nil || !d.memory.conflicts[r] {
		return nil, err
	}
	return d.placed(conflictsQuery, d.number, fromRef(r))
}

func (d *draft) rememberConflicts() error {
	if d.memory.conflicts != nil {
		return nil
	}
	if err := d.flush(); err != nil {
		return err
	}
	all, err := collect(d.ctx, d.tx, scanRef, `select distinct t.thing from standing s cross join touch t
		where s.site = $1 and s.state = 'conflict' and t.site = s.site and t.seq = s.seq`, d.number)
	if err != nil {
		return d.failed(err)
	}
	d.memory.conflicts = map[book.Ref]bool{}
	for _, r := range all {
		d.memory.conflicts[r] = true
	}
	return nil
}

const entryQuery = "select " + entryColumns + `, (select min(t.at_ms) from touch t where t.site = j.site and t.seq = j.seq), null, s.state, s.by_seq, s.why
	from journal j left join standing s on s.site = j.site and s.seq = j.seq where j.site = $1`

// Entry returns one entry.
func (d *draft) Entry(id string) (book.Placed, bool, error) {
	found, err := d.placed(entryQuery+" and j.id = $2", d.number, id)
	if err != nil || len(found) == 0 {
		return book.Placed{}, false, err
	}
	return found[0], true, nil
}

func (d *draft) placed(text string, args ...any) ([]book.Placed, error) {
	if err := d.flush(); err != nil {
		return nil, err
	}
	all, err := collect(d.ctx, d.tx, placedScanner(d.site), text, args...)
	return all, d.failed(err)
}

// Children returns the things that came from a thing.
func (d *draft) Children(parent book.Ref) ([]book.Ref, error) {
	if err := d.flush(); err != nil {
		return nil, err
	}
	all, err := collect(d.ctx, d.tx, scanRef, "select kind || ':' || id from thing where site = $1 and parent = $2 and parent <> '' order by kind, id", d.number, fromRef(parent))
	return all, d.failed(err)
}

// ReachOf returns the origins of a target.
func (d *draft) ReachOf(target book.Ref) ([]book.Reach, error) {
	t, err := d.reachOf(target)
	if err != nil {
		return nil, err
	}
	all := make([]book.Reach, len(t.Origins))
	for i, o := range t.Origins {
		all[i] = book.Reach{Origin: o, Target: target, Rank: t.Rank}
	}
	return all, nil
}

func (d *draft) reachOf(target book.Ref) (book.TargetReach, error) {
	if r, ok := d.reach[target]; ok {
		return r.now, nil
	}
	if r, ok := d.memory.reach.get(target); ok {
		return r, nil
	}
	t := book.TargetReach{Target: target}
	var err error
	t.Origins, err = collect(d.ctx, d.tx, func(rows *sql.Rows) (book.Ref, error) {
		var origin string
		if err := rows.Scan(&origin, &t.Rank); err != nil {
			return book.Ref{}, err
		}
		return toRef(origin)
	}, "select origin, rank from reach where site = $1 and target = $2 order by origin", d.number, fromRef(target))
	if err == nil {
		d.memory.reach.put(target, t)
	}
	return t, d.failed(err)
}

// take notes what an outcome changes.
func (d *draft) take(o book.Outcome) error {
	d.seq, d.hash = o.Entry.Seq, o.Entry.Hash
	d.entries = append(d.entries, o.Entry)
	if last := d.memory.last; last != nil {
		*last = max(*last, o.Entry.ID)
	}
	if err := d.untouch(o.Untouch); err != nil {
		return err
	}
	d.touches = append(d.touches, o.Touches...)
	for _, r := range o.Gone {
		d.things[r], d.moved[r] = nil, true
		d.memory.things.put(r, book.Thing{})
	}
	for _, t := range o.Things {
		d.moved[t.Ref] = d.moved[t.Ref] || !d.stays(t)
		d.things[t.Ref] = &t
		d.memory.things.put(t.Ref, t)
	}
	for _, s := range o.Standings {
		d.standings[s.Seq] = s
		if s.State == book.InConflict {
			d.remember(s.Seq)
		}
	}
	for _, r := range o.Reach {
		if err := d.takeReach(r); err != nil {
			return err
		}
	}
	return nil
}

// stays reports that a thing is known to have a row already, with the same station and parent.
func (d *draft) stays(t book.Thing) bool {
	was, ok := d.memory.things.get(t.Ref)
	return ok && was.Kind != "" && was.Station == t.Station && was.Parent == t.Parent
}

// remember notes the things of an entry that has come into conflict, if the others are remembered.
func (d *draft) remember(seq int64) {
	for _, t := range d.touches {
		if t.Seq == seq && d.memory.conflicts != nil {
			d.memory.conflicts[t.Ref] = true
		}
	}
}

func (d *draft) untouch(seqs []int64) error {
	if len(seqs) == 0 {
		return nil
	}
	if err := d.flush(); err != nil {
		return err
	}
	for _, seq := range seqs {
		if err := d.failed(d.tx.exec(d.ctx, "delete from touch where site = $1 and seq = $2", d.number, seq)); err != nil {
			return err
		}
	}
	return nil
}

func (d *draft) takeReach(now book.TargetReach) error {
	r, changed := d.reach[now.Target]
	if !changed {
		before, err := d.reachOf(now.Target)
		if err != nil {
			return err
		}
		r.before = before
	}
	now.Origins = slices.Clone(now.Origins)
	slices.SortFunc(now.Origins, compareRefs)
	r.now = now
	d.reach[now.Target] = r
	d.memory.reach.put(now.Target, now)
	return nil
}
