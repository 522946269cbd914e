package sets

import (
	"cmp"
	"fmt"
	"slices"
)

// Freeing asks what one more would free.
type Freeing struct {
	Zone    float64 // a piece that is ground again, or one more piece, is flat to this, mm
	CleanUp float64 // what grinding again takes off beyond the zone that the face has now, mm
	Most    int     // answers to give at most
	Chain   int     // how many changes may be made one after another, 1 or more
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
	Changes []Change
	More    int     // sets in all
	Orders  int     // sets for orders, of those or taken from stock
	Cost    float64 // what the plan then costs more; negative: less
	Proven  bool    // no plan frees more
}

// Free says what would free sets: unused or refused pieces ground again or cut for another place, and one more piece; what frees most comes first, of
// those what needs the fewest changes and the least new stone, then the least cost. A change alone never frees more than one set. Where Chain allows,
// the best change is followed by the next best on top of it, and where none alone frees anything, several are tried together. Errors are
// *trouble.Trouble; Stop ends the search with what was found.
func (r *Racks) Free(p Plan, f Freeing) ([]Freed, error) {
	if len(p.Sets) > 0 {
		if _, err := r.exchanging(p, 0); err != nil {
			return nil, err
		}
	}
	w := &weighing{r: r, p: p, ask: f}
	w.ask.Chain = max(1, f.Chain)
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
		if err == nil && len(list) > 0 {
			list, err = w.chains(v, list)
		} else if err == nil {
			list, err = w.several(v)
		}
		if err != nil {
			return nil, err
		}
		found = append(found, list...)
	}
	sortFreed(found)
	return found[:min(len(found), max(0, f.Most))], nil
}

// note says what is not looked at.
func (w *weighing) note() {
	left, of := 0, 0
	for _, v := range w.sizes {
		left, of = left+v.left, of+len(v.whose)-v.base+v.left
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
		f, frees, err := w.try(v, []int{n})
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

// chains goes on from the best variant of the pieces that are there, and from the best new piece.
func (w *weighing) chains(v *variants, alone []Freed) ([]Freed, error) {
	list := alone
	for _, new := range []int{0, 1} {
		if first := slices.IndexFunc(alone, func(f Freed) bool { return bought(f) == new }); first >= 0 {
			longer, err := w.chain(v, alone[first])
			if err != nil {
				return nil, err
			}
			list = append(list, longer...)
		}
	}
	return list, nil
}

// chain goes on from the best variant: each link frees more than those before it.
func (w *weighing) chain(v *variants, first Freed) (list []Freed, err error) {
	with, now := []int{slices.Index(v.list, first.Changes[0])}, first
	for len(with) < w.ask.Chain && !w.stopped() {
		best, next := Freed{}, -1
		for n := range v.list {
			all := append(slices.Clone(with), n)
			if w.stopped() {
				break
			}
			if !v.together(all) || !v.unmet && v.fill(all) <= v.sets+now.More {
				continue
			}
			f, _, err := w.try(v, all)
			if err != nil {
				return nil, err
			}
			if more := cmp.Or(f.More-now.More, f.Orders-now.Orders); more > 0 && (next < 0 || better(f, best)) {
				best, next = f, n
			}
		}
		if next < 0 {
			break
		}
		with, now = append(with, next), best
		list = append(list, best)
	}
	return list, nil
}

func better(a, b Freed) bool {
	if a.More != b.More {
		return a.More > b.More
	}
	if a.Orders != b.Orders {
		return a.Orders > b.Orders
	}
	return a.Cost < b.Cost
}

// mostTogether is how many choices of several changes are planned, of new pieces and of those that are there.
const mostTogether = 40

// several tries two changes together, or three, as far as Chain goes: what frees anything with the fewest.
func (w *weighing) several(v *variants) (list []Freed, err error) {
	for size := 2; size <= w.ask.Chain && len(list) == 0; size++ {
		for _, bought := range []bool{false, true} {
			count := 0
			v.choices(size, bought, func(with []int) bool {
				if w.stopped() || count == mostTogether {
					return false
				}
				if v.fill(with) <= v.sets && !v.unmet {
					return true
				}
				count++
				f, frees, bad := w.try(v, with)
				if frees {
					list = append(list, f)
				}
				err = bad
				return bad == nil
			})
			if err != nil {
				return nil, err
			}
		}
	}
	return list, nil
}
