package marks

import (
	"slices"

	"slatewright/bed"
)

// Fault is one thing that is wrong, with what its sentence names.
type Fault struct {
	Kind   FaultKind
	Piece  string    // the piece that it is about
	Place  bed.Place // that piece's place, or the place that it names; NoPlace where there is none
	Set    string    // the set that is packed
	Other  string    // another set, piece, shipment or certificate
	Others []string  // the sets that the pieces belong to
	Was    bed.Place // the place on an old mark
	N      int       // how many
	Text   string    // as it was read
	at     int       // 1 more than the index of its reading; 0: it is about none
}

// FaultKind names what can be wrong. Every kind has a sentence of its own, and one of what to do.
type FaultKind string

// What can be wrong with the pieces: the set does not pack.
const (
	OtherSet   FaultKind = "other-set"   // a piece of another set
	Mixed      FaultKind = "mixed"       // as many pieces of one set as of another
	SetParted  FaultKind = "set-parted"  // all marks are those of a set that was parted
	Parted     FaultKind = "parted"      // the mark of a parted set; the piece is in none now
	PartedNow  FaultKind = "parted-now"  // the mark of a parted set; the piece is in another now
	Moved      FaultKind = "moved"       // the book has the piece in another set than its mark, or in none
	OldPlace   FaultKind = "old-place"   // the book has the piece at another place than its mark
	PlaceTwice FaultKind = "place-twice" // two pieces for one place
	NoSet      FaultKind = "no-set"      // a typed number of a piece that is in no set
	UnknownSet FaultKind = "unknown-set" // the book has no such set
	Unknown    FaultKind = "unknown"     // a mark whose piece the book does not have
	NotThree   FaultKind = "not-three"   // a set of another number of pieces
	Shipped    FaultKind = "shipped"     // it has left
	// How a piece lies, by the corner at which its mark was seen.
	Turned       FaultKind = "turned"        // by half a turn
	MirroredSide FaultKind = "mirrored-side" // left for right
	MirroredEnd  FaultKind = "mirrored-end"  // end for end
	SwappedEnds  FaultKind = "swapped-ends"  // the same of the centre, whose two marks may have been swapped
	AllTurned    FaultKind = "all-turned"
	AllMirrored  FaultKind = "all-mirrored" // all three alike, either way
)

// What can be wrong with a code: another is read, and nothing is decided.
const (
	SameCode        FaultKind = "same-code"         // the same code twice
	SamePiece       FaultKind = "same-piece"        // another mark of the same piece, or its number
	Letter          FaultKind = "letter"            // the letter of a joint
	CertificateCode FaultKind = "certificate"       // the code of a certificate; Other is its number or its set
	Address         FaultKind = "address"           // an address of something else
	Spoilt          FaultKind = "spoilt"            // a mark that came through changed
	Newer           FaultKind = "newer"             // a mark of another form
	Nothing         FaultKind = "nothing"           // no code of ours
	SetNumber       FaultKind = "set-number"        // the number of a set, typed
	UnknownNumber   FaultKind = "unknown-number"    // a typed number that the book does not have
	NeedsBook       FaultKind = "needs-book"        // a typed number where no book can be asked
	CornerNeedsCode FaultKind = "corner-needs-code" // a typed number does not say which of the centre's marks was seen
)

// refusing are the kinds with which a set does not pack, the gravest first.
var refusing = []FaultKind{SetParted, UnknownSet, OtherSet, Mixed, Parted, PartedNow, Moved, OldPlace, PlaceTwice, NoSet, Unknown, NotThree, Shipped,
	AllMirrored, AllTurned, MirroredSide, MirroredEnd, SwappedEnds, Turned}

// rereading are the others.
var rereading = []FaultKind{SameCode, SamePiece, Letter, CertificateCode, Address, Spoilt, Newer, Nothing, SetNumber, UnknownNumber, NeedsBook, CornerNeedsCode}

// FaultKinds lists every kind, the gravest first.
func FaultKinds() []FaultKind { return slices.Concat(refusing, rereading) }

func (k FaultKind) refuses() bool { return slices.Contains(refusing, k) }

// gathered puts the gravest first, and says once what is so of all three.
func gathered(found []Fault) []Fault {
	all := FaultKinds()
	slices.SortStableFunc(found, func(a, b Fault) int { return slices.Index(all, a.Kind) - slices.Index(all, b.Kind) })
	var parted []Fault
	for _, f := range found {
		if f.Kind == Parted && alike(f.Other, found[0].Other) {
			parted = append(parted, f)
		}
	}
	if len(parted) == three {
		found = slices.DeleteFunc(found, func(f Fault) bool { return f.Kind == Parted })
		found = append([]Fault{{Kind: SetParted, Set: parted[0].Other, Other: parted[0].Other, Place: NoPlace}}, found...)
	}
	once := false
	return slices.DeleteFunc(found, func(f Fault) bool { // it may have been wanted as well
		twice := f.Kind == SetParted && once
		once = once || f.Kind == SetParted
		return twice
	})
}
