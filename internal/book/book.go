// Package book is the mill's book: which things there are, what may be done to them, by whom and in which order, and what
// follows from it. A journal of acts is the truth; the state of every thing is derived from the acts that touched it.
//
// The rules live here and nowhere else: a door hands an entry to Admit together with a view of the book, and gets back what
// the entry changes, or a refusal that says what to do. The package stores nothing, opens nothing and reads no clock: a
// ledger stores entries and states, and the time of an act comes with its entry. (It remembers how states are decoded, which
// nobody can see.) It does not compute shapes or verdicts.
package book

import (
	"fmt"
	"strings"

	"slatewright/internal/book/field"
	"slatewright/trouble"
)

// Kind is a kind of thing that the book knows.
type Kind string

// The kinds. A mill is the site itself: its answers and its route.
const (
	KindMill        Kind = "mill"
	KindPerson      Kind = "person"
	KindLayer       Kind = "layer"
	KindBlock       Kind = "block"
	KindSlab        Kind = "slab"
	KindPiece       Kind = "piece"
	KindSet         Kind = "set"
	KindCertificate Kind = "certificate"
	KindShipment    Kind = "shipment"
	KindInstrument  Kind = "instrument"
	KindBench       Kind = "bench"
	KindDisc        Kind = "disc"
	KindBitSet      Kind = "bit-set"
	KindRoom        Kind = "room"
	KindBoardBatch  Kind = "board-batch"
	KindGlueBatch   Kind = "glue-batch"
	KindOrder       Kind = "order"
)

// Kinds lists every kind, stone first in the order of its way.
func Kinds() []Kind {
	return []Kind{KindLayer, KindBlock, KindSlab, KindPiece, KindSet, KindCertificate, KindShipment, KindInstrument, KindBench,
		KindDisc, KindBitSet, KindRoom, KindBoardBatch, KindGlueBatch, KindOrder, KindPerson, KindMill}
}

// Ref names one thing: its kind and its number or mark, as painted, cut or printed on it.
type Ref struct {
	Kind Kind
	ID   string
}

// String returns kind:id, as in piece:QH-0101.
func (r Ref) String() string { return string(r.Kind) + ":" + r.ID }

// MarshalText writes kind:id.
func (r Ref) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads kind:id; empty text is the zero Ref.
func (r *Ref) UnmarshalText(text []byte) (err error) {
	if len(text) == 0 {
		*r = Ref{}
		return nil
	}
	*r, err = ParseRef(string(text))
	return err
}

// ParseRef reads kind:id. The id is 1 to 40 letters, digits, dots, strokes, slashes or underscores, and begins and ends with
// a letter or digit.
func ParseRef(s string) (Ref, error) {
	kind, id, ok := strings.Cut(s, ":")
	r := Ref{Kind(kind), id}
	if !ok {
		return Ref{}, trouble.Data("bad-ref", "", fmt.Sprintf("%q names no thing", s), "write kind:number, as in piece:QH-0101")
	}
	return r, r.check("")
}

func (r Ref) check(where string) error {
	if err := field.OneOf(string(r.Kind), kindWords, where); err != nil {
		return err
	}
	return field.ID(r.ID, where)
}

// CheckKind checks the name of a thing whose kind must be one of some, given with commas; "" is any.
func (r Ref) CheckKind(where, kinds string) error {
	if r == (Ref{}) {
		return trouble.Data("missing", where, "this must be there", "write kind:number, as in piece:QH-0101")
	}
	if kinds != "" {
		if err := field.OneOf(string(r.Kind), strings.Split(kinds, ","), where); err != nil {
			return err
		}
	}
	return r.check(where)
}

var kindWords = func() (words []string) {
	for _, k := range Kinds() {
		words = append(words, string(k))
	}
	return words
}()

// Station is a place in the mill where things stand and work is done.
type Station string

// The stations, in the order of the stone's way. Away is out of the house: shipped, or lost to the heap.
const (
	Quarry    Station = "quarry"
	Saw       Station = "saw"
	Surfacing Station = "surfacing"
	Sets      Station = "sets"
	Drilling  Station = "drilling"
	Room      Station = "room"
	Lining    Station = "lining"
	Bench     Station = "bench"
	Shipping  Station = "shipping"
	Away      Station = "away" // shipped
	Heap      Station = "heap" // rejected, or used up by a cut
	Office    Station = "office"
)

// Stations lists every station.
func Stations() []Station {
	return []Station{Quarry, Saw, Surfacing, Sets, Drilling, Room, Lining, Bench, Shipping, Away, Heap, Office}
}

// Role is what a person may do. Each role may do what those before it may.
type Role string

// The roles: a visitor reads; a hand records work; an inspector reads, judges and certifies; the lead decides the rest.
const (
	Visitor   Role = "visitor"
	Hand      Role = "hand"
	Inspector Role = "inspector"
	Lead      Role = "lead"
)

// Roles lists the roles from the least to the most.
func Roles() []Role { return []Role{Visitor, Hand, Inspector, Lead} }

// Covers reports whether r may do what needs the role least. An unknown role covers nothing.
func (r Role) Covers(least Role) bool {
	mine, need := -1, len(Roles())
	for i, x := range Roles() {
		if x == r {
			mine = i
		}
		if x == least {
			need = i
		}
	}
	return mine >= need
}
