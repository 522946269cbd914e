// Package waiting is the decision queue of a mill: what waits for a person, what is recommended, how sure that is, what waiting costs,
// who may decide, and by which acts. It looks at the states of the things in the house (a [House]), at the mill's own route, and at what
// the files behind readings say where that is known ([Measured]); it never waits for anything to be computed, and says "cannot tell yet".
//
// # What waiting costs
//
// Questions are sorted by one number, the set-days that are lost for each day of waiting:
//
//	rate = late + standing
//	late = the sum over the sets held up of P(the set's order will be late)
//	standing = 1/20 of a set-day for each set that stands still
//
// The expected lateness of a set grows by one day for each day of waiting when it is late already, and by nothing when there is time in
// plenty; in between, its derivative is the probability of being late, Φ((way − left)/doubt), where left are the days to the day on which
// the order is due, way are the days of work and rest that the set still needs, and doubt is one day for each step of that way, added in
// quadrature. A loose piece counts as a third of a set, stone as the pieces that may come of it, as far as an order still wants them. A
// place in a full room counts as what waits to enter. An instrument counts as the sets that its calibration will stop, by the
// probability that it runs out before it can be calibrated. That a set which stands counts a twentieth of one which is late is our own choice, until the mill says what either costs
// it: the answers late-set-day and standing-set-day, as in "120 EUR". Until then what waiting costs in money is not known, and nothing
// claims to know it. The days of each step are common practice (see way.go).
//
// # What it does not do
//
// It stores nothing, reads no clock and no file, speaks no language (a [Sentence] is a key and its values) and decides nothing: the acts
// go to the book, which alone says what may be done. What is plain work to be done next at a station, without a choice, is not a
// question; [House.NextFor] tells it for each thing.
package waiting

import (
	"time"

	"slatewright/internal/book"
)

// Kind is the kind of a question.
type Kind string

// The kinds, in the order of the stone's way; those that concern no stone come last.
const (
	Slice     Kind = "slice"      // a block into leaves
	Cut       Kind = "cut"        // a slab into pieces
	Scrap     Kind = "scrap"      // stone too cracked to go on with
	Remark    Kind = "remark"     // a piece without its number
	Measure   Kind = "measure"    // readings that are missing or no longer count
	Regrind   Kind = "regrind"    // a face out of its limit: grind it again, make it smaller, or scrap it
	Match     Kind = "match"      // loose pieces into sets
	LayUp     Kind = "lay-up"     // a proposed set, or one whose joint was dressed
	Dress     Kind = "dress"      // a step that a hand can close
	Drill     Kind = "drill"      //
	Check     Kind = "check"      // holes after drilling, chips after finishing
	PutRight  Kind = "put-right"  // what a check found wrong
	EnterRoom Kind = "enter-room" //
	LeaveRoom Kind = "leave-room" //
	Line      Kind = "line"       // glue the lining
	Ream      Kind = "ream"       //
	Finish    Kind = "finish"     //
	Judge     Kind = "judge"      //
	Part      Kind = "part"       // a set that does not conform
	Certify   Kind = "certify"    //
	Pack      Kind = "pack"       //
	Ship      Kind = "ship"       //
	Order     Kind = "order"      // an order that what is in the house cannot meet, or not in time
	Calibrate Kind = "calibrate"  //
	Resolve   Kind = "resolve"    // a conflict in the book
)

// Kinds lists the kinds.
func Kinds() []Kind {
	return []Kind{Slice, Cut, Scrap, Remark, Measure, Regrind, Match, LayUp, Dress, Drill, Check, PutRight, EnterRoom, LeaveRoom, Line, Ream,
		Finish, Judge, Part, Certify, Pack, Ship, Order, Calibrate, Resolve}
}

// Sentence is something to be said in any language: a key of the catalogue and the values for its places. Values are strings, the words of
// the book (book.Station …), int, float64 in the unit that the name of the place ends with, and time.Time. The zero Sentence says nothing.
type Sentence struct {
	Key  string
	Args map[string]any
}

// Sure says how sure a recommendation is.
type Sure struct {
	How  How
	P    float64  // the probability that it is right, where one was computed; 0: none was
	Says Sentence // the reason
}

// How is where a recommendation comes from.
type How string

// A recommendation is computed with a doubt, follows from a rule of the mill's route, or cannot be given yet.
const (
	Computed   How = "computed"
	ByRule     How = "by-rule"
	CannotTell How = "cannot-tell"
)

// Cost is what waiting costs. See the package comment.
type Cost struct {
	Rate     float64 // set-days lost per day of waiting; the queue is sorted by it
	Late     float64 // of these, by which orders become later
	Standing float64 // of these, by what stands still
	Sets     float64 // sets that are held up; a piece is a third
	Money    float64 // lost per day of waiting, in the mill's own currency; only with Priced
	Currency string
	Priced   bool // the mill has said what a set-day costs it
	Says     Sentence
}

// Question is something that a person has to decide.
type Question struct {
	Key       string // stable while the question is the same one: kind:thing
	Kind      Kind
	Thing     book.Ref     // what it is about
	Also      []book.Ref   // the other things that the answer moves
	Station   book.Station // where it is decided or done
	May       book.Role    // the least role that may decide
	Say       Sentence     // the question
	Recommend Sentence
	Sure      Sure
	Cost      Cost
	Since     time.Time  // since when it waits
	Acts      []string   // the acts that decide it, the recommended one first
	Weighty   bool       // what it does cannot be taken back: it asks for the code and for a held confirmation
	Evidence  []book.Ref // what to look at before deciding
}

// Coming is something that will be asked when its time has come.
type Coming struct {
	What  Sentence
	Thing book.Ref
	When  time.Time
}
