package book

import "time"

// Thing is the derived state of one thing. State is JSON of the state type of its kind (LayerState, PieceState …).
type Thing struct {
	Ref
	Station Station   // where it stands
	Since   time.Time // since when it stands there
	Parent  Ref       // piece → slab → block → layer; certificate → set; zero when none
	Seq     int64     // last applied entry that changed it, in the order of time
	At      time.Time // that entry's time
	State   []byte    // canonical JSON
}

// Part is what an entry has to do with a thing.
type Part string

// Changed things fold the entry into their state. Looked-at things were asked for permission (a bench for its calibration).
// Used things are only named by it (a disc, a batch, an instrument).
const (
	Changes Part = "changes"
	Looks   Part = "looks"
	Uses    Part = "uses"
)

// Touch ties an entry to a thing.
type Touch struct {
	Ref
	Seq  int64
	At   time.Time // the entry's time, or the time that a correction gave it
	ID   string    // of the entry; (At, ID) is the order in which things fold
	Part Part
}

// Standing is the standing of an entry that is not simply applied. There is none for an entry in good standing.
type Standing struct {
	Seq   int64
	State string // "conflict": kept, not applied, a person must resolve it; "struck": a correction stands in its place
	By    int64  // the entry that struck it, or that it conflicts with; 0 when none
	Why   string // for a conflict: the refusal, as JSON of its code, what, where and next
}

// Reach says that something reached a target: a set, or a piece that is in no set. It answers "what else is affected?".
type Reach struct {
	Origin Ref
	Target Ref
	Rank   int // 0 a shipped set, 1 another set, 2 a piece without a set, 3 a piece or set on the heap or parted
}

// Placed is an entry at its place in the history of a thing.
type Placed struct {
	Entry
	At       time.Time // effective time: the entry's own, or what a correction gave it
	Part     Part
	Standing Standing // zero when applied
}

// View is the book as it stands before an entry. A ledger implements it inside the transaction that will write the changes. Slices it returns
// are the caller's. A thing that does not exist is found == false, not an error.
type View interface {
	Thing(Ref) (t Thing, found bool, err error)
	History(Ref) ([]Placed, error) // every entry that touches it, in the order (At, ID)
	Entry(id string) (e Placed, found bool, err error)
	Children(parent Ref) ([]Ref, error)  // things whose Parent it is, in the order of kind and id
	Conflicts(Ref) ([]Placed, error)     // entries in conflict that touch it, in the order (At, ID)
	ReachOf(target Ref) ([]Reach, error) // in the order of origin
}

// Outcome is what admitting one entry changes. A ledger writes all of it in one transaction, in any order.
type Outcome struct {
	Entry     Entry         // as it must be stored: Body canonical; Seq, Prev and Hash are the ledger's to fill
	Touches   []Touch       // rows to add, for this entry and for entries that left conflict
	Untouch   []int64       // entries whose touches are taken away first (struck, or touched anew)
	Things    []Thing       // states to write over
	Gone      []Ref         // things that no longer exist: what created them was struck
	Standings []Standing    // to write over; State "" means back in good standing: delete the row
	Reach     []TargetReach // for each target, all its origins: replaces what stood there
	Conflict  *Standing     // set when the entry itself is kept but not applied
}

// TargetReach is everything that reached one target.
type TargetReach struct {
	Target  Ref
	Rank    int
	Origins []Ref // sorted, without doubles; empty when the target is gone
}

// Caller is who hands in an entry, as the gate knows them.
type Caller struct {
	Person     string
	Role       Role // what the sign-in or token allows at most; the person's role in the book holds as well
	Reaffirmed bool // the passphrase was asked for again for this very act
	Machine    bool // a token of a machine, which is no person of the book
	System     bool // the program itself: the first entries of a book, imports of a whole book
}
