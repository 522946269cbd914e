package sets

import "slatewright/trouble"

// Racks are a question made ready: what was computed for one answer serves the next. Not safe for concurrent use.
type Racks struct {
	q Question
}

// Lay makes a question ready. Errors are *trouble.Trouble.
func Lay(q Question) (*Racks, error) {
	return nil, errNotYet
}

var errNotYet = trouble.Own("not-yet", "sets", "this is not written yet", "wait for it")

// Match answers the question at once.
func Match(q Question) (Plan, error) {
	r, err := Lay(q)
	if err != nil {
		return Plan{}, err
	}
	return r.Match()
}

// Match plans.
func (r *Racks) Match() (Plan, error) { return Plan{}, errNotYet }

// Exchange is what changes when two pieces change places: one of a set, the other of another set or unused.
type Exchange struct {
	Out, In  int     // piece of the set that goes, and the one that comes
	Sets     []Set   // as they are then: the set, and where In comes from another set that one; without those that cannot be
	From     int     // index of the set that In comes from; -1: it was unused
	Conforms bool    // all sets are still sets of what they are for
	More     float64 // what the plan costs more in all; negative: less. NaN where a set cannot be
}

// Exchanges are the best exchanges for each piece of a set (head, centre, foot), least cost first, at most so many of each; only those after which
// every set still conforms.
func (r *Racks) Exchanges(p Plan, set, most int) ([3][]Exchange, error) {
	return [3][]Exchange{}, errNotYet
}

// Swap is one exchange, asked for by name: piece out of a set against piece in. Conforms says whether it may be.
func (r *Racks) Swap(p Plan, out, in int) (Exchange, error) { return Exchange{}, errNotYet }

// Freeing asks what one more would free.
type Freeing struct {
	Zone    float64 // a piece that is ground again, or one more piece, is flat to this, mm
	CleanUp float64 // what grinding again takes off beyond the zone that the face has now, mm
	Most    int     // answers to give at most
	Chain   int     // how many changes may be made one after another, 1 or more
	Stop    func() bool
	Tell    func(done, of int)
}

// Change is something that could be done to free sets.
type Change struct {
	Act   Act
	Piece int    // index; -1 for one more piece
	Place string // head, centre, foot or any: for what it is cut, or what the one more piece is
	Size  string // of the one more piece
}

// Act is a kind of change.
type Act int

// The kinds.
const (
	Regrind Act = iota // grind the face again
	Recut              // cut for another place
	OneMore            // one more piece
)

// Freed is what a change, or one change after another, would free.
type Freed struct {
	Changes []Change
	More    int     // sets in all
	Orders  int     // of those, for orders
	Cost    float64 // what the plan then costs more; negative: less
	Proven  bool    // no plan frees more
	Plan    Plan    // as it would be; indices from the length of the stock on are the more pieces
}

// Free says what one more would free: the changes that free most first.
func (r *Racks) Free(p Plan, f Freeing) ([]Freed, error) { return nil, errNotYet }
