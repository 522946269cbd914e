// Package replica replays a journal and holds what follows from it: the book's derived tables as they ought to be. A million acts
// take some hundred megabytes: states that were not wanted for long lie in a file without a name, entries stay in the journal and
// are asked for again when history is needed.
//
// It does not know the tables it is compared with, nor does it verify the journal: who feeds it has done that.
package replica

import (
	"slices"
	"strings"

	"slatewright/internal/book"
)

// Source gives entries of the journal again.
type Source interface {
	Numbered(seqs []int64) ([]book.Entry, error) // in the order of seqs
	Called(id string) (e book.Entry, found bool, err error)
}

// Replica is a book in memory. It implements book.View.
type Replica struct {
	source  Source
	spool   *spool
	index   map[book.Ref]int32
	slots   []*slot
	entries []line            // by sequence; the first is nobody's
	letters []byte            // the ids of the entries, one after the other
	named   []int32           // the things of each entry, one entry after the other; the last of an entry is written as its complement
	born    map[int32][]int32 // the things that came from a thing
	stands  map[int64]book.Standing
	seen    map[int32][]int64 // entries that were in conflict at some time, by thing
}

// slot is everything about one thing, as small as can be.
type slot struct {
	ref     book.Ref
	station book.Station
	sinceMS int64
	atMS    int64
	seq     int64
	parent  int32 // its slot; none when negative
	there   bool
	rank    int8
	state   stored
	touches []touch
	origins []int32
}

const none = -1

// touch is an entry's number and its part, in 32 bits: books of a thousand million acts are not replayed in memory.
type touch uint32

var parts = []book.Part{book.Changes, book.Looks, book.Uses}

func packTouch(seq int64, p book.Part) touch { return touch(seq)<<2 | touch(slices.Index(parts, p)) }
func (t touch) seq() int64                   { return int64(t >> 2) }
func (t touch) part() book.Part              { return parts[t&3] }

// line is what is kept of an entry: its place in the order of derivation, and what it touches.
type line struct {
	atMS int64
	id   uint32 // end of its id in letters
	from uint32 // its first thing in named; 0 when it touches nothing
}

// New makes an empty replica for about so many entries, which it asks source for again. Cold states go to a file in the folder, ""
// for the usual one.
func New(source Source, entries int64, folder string) (*Replica, error) {
	s, err := newSpool(folder)
	if err != nil {
		return nil, err
	}
	return &Replica{source: source, spool: s, index: map[book.Ref]int32{}, entries: make([]line, 1, entries+1), letters: make([]byte, 0, idLength*entries),
		named: make([]int32, 1, 3*entries+1), born: map[int32][]int32{}, stands: map[int64]book.Standing{}, seen: map[int32][]int64{}}, nil
}

// idLength is the length of a ULID as text.
const idLength = 26

// Close gives the file back.
func (r *Replica) Close() error { return r.spool.close() }

// Acts is the number of entries replayed.
func (r *Replica) Acts() int64 { return int64(len(r.entries) - 1) }

// Conflicting is the number of entries that are in conflict.
func (r *Replica) Conflicting() (n int64) {
	for _, s := range r.stands {
		if s.State == book.InConflict {
			n++
		}
	}
	return n
}

// Apply replays the next entry.
func (r *Replica) Apply(e book.Opened) error {
	o, err := book.Replay(r, e)
	if err != nil {
		return err
	}
	r.letters = append(r.letters, e.ID...)
	r.entries = append(r.entries, line{atMS: e.At.UnixMilli(), id: uint32(len(r.letters))})
	for _, seq := range o.Untouch {
		r.untouch(seq)
	}
	r.touch(o.Touches)
	for _, ref := range o.Gone {
		r.remove(ref)
	}
	for _, t := range o.Things {
		if err := r.put(t); err != nil {
			return err
		}
	}
	for _, s := range o.Standings {
		r.stand(s)
	}
	for _, t := range o.Reach {
		s := r.slots[r.number(t.Target)]
		s.rank, s.origins = int8(t.Rank), s.origins[:0]
		for _, origin := range t.Origins {
			s.origins = append(s.origins, r.number(origin))
		}
	}
	return nil
}

// number is the place of a thing among the slots; one that was not met before gets one.
func (r *Replica) number(ref book.Ref) int32 {
	n, ok := r.index[ref]
	if !ok {
		n = int32(len(r.slots))
		ref = book.Ref{Kind: ref.Kind, ID: strings.Clone(ref.ID)} // not a slice of a whole body
		r.index[ref] = n
		r.slots = append(r.slots, &slot{ref: ref, parent: none})
	}
	return n
}

func (r *Replica) touch(all []book.Touch) {
	slices.SortStableFunc(all, func(a, b book.Touch) int { return int(a.Seq - b.Seq) })
	for i := 0; i < len(all); {
		l := &r.entries[all[i].Seq]
		l.atMS, l.from = all[i].At.UnixMilli(), uint32(len(r.named))
		for seq := all[i].Seq; i < len(all) && all[i].Seq == seq; i++ {
			n := r.number(all[i].Ref)
			r.named = append(r.named, n)
			r.slots[n].touches = append(r.slots[n].touches, packTouch(seq, all[i].Part))
		}
		last := &r.named[len(r.named)-1]
		*last = ^*last
	}
}

// things lists what an entry touches.
func (r *Replica) things(seq int64) (all []int32) {
	from := r.entries[seq].from
	if from == 0 {
		return nil
	}
	for _, n := range r.named[from:] {
		if n < 0 {
			return append(all, ^n)
		}
		all = append(all, n)
	}
	return all
}

func (r *Replica) untouch(seq int64) {
	for _, n := range r.things(seq) {
		r.slots[n].touches = slices.DeleteFunc(r.slots[n].touches, func(t touch) bool { return t.seq() == seq })
	}
	r.entries[seq].from = 0
}

func (r *Replica) put(t book.Thing) error {
	n := r.number(t.Ref)
	parent := int32(none)
	if t.Parent != (book.Ref{}) {
		parent = r.number(t.Parent)
	}
	s := r.slots[n]
	if s.parent != parent {
		r.move(n, parent)
	}
	s.there, s.station, s.sinceMS, s.atMS, s.seq = true, t.Station, t.Since.UnixMilli(), t.At.UnixMilli(), t.Seq
	return r.spool.put(&s.state, t.State)
}

func (r *Replica) remove(ref book.Ref) {
	n := r.number(ref)
	r.move(n, none)
	r.slots[n].there = false
	r.spool.drop(&r.slots[n].state)
}

// move takes a thing from the children of one parent to those of another.
func (r *Replica) move(n, parent int32) {
	s := r.slots[n]
	if s.parent != none {
		r.born[s.parent] = slices.DeleteFunc(r.born[s.parent], func(c int32) bool { return c == n })
	}
	if s.parent = parent; parent != none {
		r.born[parent] = append(r.born[parent], n)
	}
}

func (r *Replica) stand(s book.Standing) {
	if s.State == "" {
		delete(r.stands, s.Seq)
		return
	}
	r.stands[s.Seq] = s
	if s.State == book.InConflict {
		for _, n := range r.things(s.Seq) {
			if !slices.Contains(r.seen[n], s.Seq) {
				r.seen[n] = append(r.seen[n], s.Seq)
			}
		}
	}
}

func (r *Replica) id(seq int64) []byte { return r.letters[r.entries[seq-1].id:r.entries[seq].id] }
