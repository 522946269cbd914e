package sets

import (
	"cmp"
	"fmt"
	"slices"

	"slatewright/trouble"
)

// Freeing asks what one more would free.
type Freeing struct {
	Zone    float64 // a piece that is ground again, or one more piece, is flat to this, mm
	CleanUp float64 // what grinding again takes off beyond the zone that the face has now, mm
	Most    int     // answers to give at most
	Chain   int     // how many changes may be made one after another, 1 or more
	Sets    int     // how many more sets are asked for at most; a change alone never frees more than one
	Stop    func() bool
	Tell    func(done, of int)   // changes tried, of those that there are
	Note    func(warning string) // told what is not looked at at all; nil: nobody
}

// Act is a kind of change.
type Act int

// The kinds.
const (
	Regrind Act = iota // grind the face again
	Recut              // cut for another place than it is meant for, or leave it uncut
	OneMore            // one more piece
)

// Change is something that could be done to free sets.
type Change struct {
	Act   Act
	Piece int    // index; -1 for one more piece
	Place string // head, centre, foot or any: for what it is cut, or what the one more piece is; "" for grinding again
	Size  string
}

// Freed is what a change, or one change after another, would free.
type Freed struct {
	Changes []Change // of pieces that are there before new ones
	More    int      // sets in all
	Orders  int      // sets for orders, of those or taken from stock
	Cost    float64  // what the plan then costs more; negative: less
	Proven  bool     // no plan frees more
}

// Free says what would free sets: unused or refused pieces ground again or cut for another place, and one more piece; what frees most comes first, of
// those what needs the fewest changes and the least new stone, then the least cost. A change alone never frees more than one set. Until Sets are freed and
// as far as Chain allows, more changes are made on top of the best ones, as few at once as free another set; where none alone frees anything, several are
// tried together. What is not tried Note is told. Errors are *trouble.Trouble; Stop ends the search with what was found.
func (r *Racks) Free(p Plan, f Freeing) ([]Freed, error) {
	if len(p.Sets) > 0 {
		if _, err := r.exchanging(p, 0); err != nil {
			return nil, err
		}
	}
	w := &weighing{r: r, p: p, ask: f}
	w.ask.Chain, w.ask.Sets = max(1, f.Chain), max(1, f.Sets)
	for n := range r.groups {
		v := w.variants(n)
		w.sizes = append(w.sizes, v)
		for _, double := range v.double {
			if !double {
				w.of++
			}
		}
	}
	w.note()
	var found []Freed
	for n, v := range w.sizes {
		if w.stopped() {
			break
		}
		if len(v.list) == 0 {
			continue
		}
		if err := w.extend(r.groups[n], v); err != nil {
			return nil, err
		}
		list, err := w.alone(v)
		if err != nil {
			return nil, err
		}
		more, err := w.further(v, list)
		if err != nil {
			return nil, err
		}
		found = append(append(found, list...), more...)
	}
	if w.cut && f.Note != nil {
		f.Note(fmt.Sprintf("of changes that free sets only together, the first %d choices of each kind were tried", mostTogether))
	}
	for _, f := range found { // what is there first
		slices.SortStableFunc(f.Changes, func(a, b Change) int {
			return bought(Freed{Changes: []Change{a}}) - bought(Freed{Changes: []Change{b}})
		})
	}
	sortFreed(found)
	found = telling(found)
	return found[:min(len(found), max(0, f.Most))], nil
}

// note says what is not looked at.
func (w *weighing) note() {
	left, of := 0, 0
	for _, v := range w.sizes {
		left, of = left+v.left, of+len(v.whose)-v.base+v.left
	}
	if w.thin > 0 && w.ask.Note != nil {
		w.ask.Note(trouble.Count(w.thin, "piece", "pieces") + " left over would be too thin when ground again")
	}
	if left > 0 && w.ask.Note != nil {
		w.ask.Note(fmt.Sprintf("what one more would free is looked at for the first %d of %d changes that could be made", of-left, of))
	}
}

func sortFreed(list []Freed) {
	slices.SortStableFunc(list, func(a, b Freed) int {
		return cmp.Or(b.More-a.More, b.Orders-a.Orders, len(a.Changes)-len(b.Changes), bought(a)-bought(b), cmp.Compare(a.Cost, b.Cost))
	})
}

// telling leaves out of a sorted list what tells nothing new: several changes of which fewer free as much, and those that differ only in the places of new
// pieces from others before them.
func telling(list []Freed) (out []Freed) {
	for _, f := range list {
		old := func(g Freed) bool {
			return len(g.Changes) <= len(f.Changes) && g.More >= f.More && g.Orders >= f.Orders && g.within(f)
		}
		if len(f.Changes) == 1 || !slices.ContainsFunc(out, old) && !slices.ContainsFunc(list, func(g Freed) bool { return len(g.Changes) < len(f.Changes) && old(g) }) {
			out = append(out, f)
		}
	}
	return out
}

// within tells whether all changes are among those of another; new pieces of one size count alike.
func (f Freed) within(g Freed) bool {
	if bought(f) > bought(g) {
		return false
	}
	for _, c := range f.Changes {
		if !slices.ContainsFunc(g.Changes, func(d Change) bool { return c == d || c.Act == OneMore && d.Act == OneMore && c.Size == d.Size }) {
			return false
		}
	}
	return true
}

// bought is how many of the changes are one more piece.
func bought(f Freed) (n int) {
	for _, c := range f.Changes {
		if c.Act == OneMore {
			n++
		}
	}
	return n
}

// weighing is one question of what would free sets.
type weighing struct {
	r        *Racks
	p        Plan
	ask      Freeing
	sizes    []*variants
	done, of int
	thin     int  // pieces that grinding again would make too thin
	cut      bool // more choices of several changes could have been tried
}

func (w *weighing) stopped() bool { return w.ask.Stop != nil && w.ask.Stop() }

// alone tries every variant by itself, the best first.
func (w *weighing) alone(v *variants) (list []Freed, err error) {
	for n := range v.list {
		if v.double[n] {
			continue
		}
		if w.stopped() {
			break
		}
		f, frees, err := w.try(v, []int{n}, 1)
		if err != nil {
			return nil, err
		}
		if frees {
			list = append(list, f)
		}
		if w.done++; w.ask.Tell != nil {
			w.ask.Tell(w.done, w.of)
		}
	}
	sortFreed(list)
	return list, nil
}
