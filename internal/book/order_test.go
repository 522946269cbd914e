package book_test

import (
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/internal/book"
)

const digest = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff"

// story draws acts that a small mill could do, valid or not: few things, so that acts meet.
type story struct {
	t *rapid.T
}

func (s *story) from(what string, words ...string) string {
	return rapid.SampledFrom(words).Draw(s.t, what)
}

func (s *story) some(what string, words []string, least int) []string {
	list := rapid.Permutation(words).Draw(s.t, what)
	return list[:rapid.IntRange(least, len(list)).Draw(s.t, "count")]
}

var (
	blockIDs = []string{"B1", "B2"}
	slabIDs  = []string{"B1-A", "B1-B", "B2-A"}
	pieceIDs = []string{"P1", "P2", "P3", "P4", "P5"}
	setIDs   = []string{"S1", "S2"}
)

func (s *story) mark() book.Surface {
	return rapid.SampledFrom([]book.Surface{"", book.OnTop, book.OnEdge, book.OnEdge, book.OnBottom, book.Nowhere}).Draw(s.t, "mark")
}

func (s *story) stones(ids []string) (list []book.NewStone) {
	for _, id := range ids {
		list = append(list, book.NewStone{ID: id, Stone: book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 30, MarkedOn: s.mark()}})
	}
	return list
}

func ref(k book.Kind, id string) book.Ref { return book.Ref{Kind: k, ID: id} }

// act draws an act; early ones are likelier to be about stone.
func (s *story) act() book.Act {
	piece := func() string { return s.from("piece", pieceIDs...) }
	set := func() string { return s.from("set", setIDs...) }
	last := rapid.IntRange(0, 9).Draw(s.t, "last") == 0
	switch rapid.IntRange(0, 27).Draw(s.t, "act") {
	case 0:
		return &book.Lift{Block: s.from("block", blockIDs...), Layer: "L1", Stone: book.StoneFacts{MassKg: 700}}
	case 1:
		return &book.Slice{Block: s.from("block", blockIDs...), How: "sawn", Disc: "DISC", Slabs: s.stones(s.some("slabs", slabIDs, 1)), Last: last}
	case 2, 3:
		return &book.Cut{Slab: s.from("slab", slabIDs...), Disc: "DISC", Pieces: s.stones(s.some("pieces", pieceIDs, 2)), Last: last}
	case 4:
		if last {
			return &book.Reject{Thing: ref(book.KindPiece, piece()), Cause: "crack"}
		}
		return &book.Reject{Thing: ref(book.KindSlab, s.from("slab", slabIDs...)), Cause: "vein"}
	case 5, 6:
		return &book.Surfaced{Piece: piece(), Machine: "M", Face: s.from("face", "top", "bottom"), Stage: "fine", DepthMM: 1, Bits: "BITS", MarkNow: s.mark()}
	case 7:
		return &book.Mark{Piece: piece(), On: book.OnEdge, SearchedBy: s.from("who", "", "lead-1", "saw-1")}
	case 8, 9, 10:
		return &book.Read{Thing: ref(book.KindPiece, piece()), What: "top", Instruments: []string{"DIAL"}, Bench: "BENCH", Blob: digest, Wet: last}
	case 11:
		return &book.Match{Pieces: s.some("match", pieceIDs, 2), Order: "O1"}
	case 12, 13, 14:
		ids := s.some("members", pieceIDs, 2)
		return &book.LayUp{Set: set(), Pieces: ids, Bench: "BENCH", StepsMM: make([]float64, len(ids)-1), Order: s.from("order", "", "O1")}
	case 15:
		return &book.PartSet{Set: set(), Why: "chipped"}
	case 16:
		return &book.Drill{Piece: piece(), Pattern: "nine", Holes: 8, Pockets: 2, MarkNow: s.mark()}
	case 17:
		return &book.Check{Piece: piece(), What: "holes", Good: !last}
	case 18:
		return &book.Weigh{Thing: rapid.SampledFrom([]book.Ref{ref(book.KindPiece, "P1"), ref(book.KindBlock, "B1"), ref(book.KindSet, "S1"), ref(book.KindSlab, "B1-A")}).Draw(s.t, "weighed"), Scale: "SCALE", MassKg: 90}
	case 19:
		return &book.EnterRoom{Piece: piece(), Room: "ROOM"}
	case 20:
		return &book.LeaveRoom{Piece: piece(), Released: "the order is due"}
	case 21:
		return &book.GlueLining{Piece: piece(), BoardBatch: "MDF", GlueBatch: "PUR", MarkNow: s.mark()}
	case 22, 23:
		return &book.Judge{Set: set(), Verdict: s.from("verdict", "conforms", "conforms", "cannot tell")}
	case 24:
		return &book.Certify{Set: set(), Certificate: s.from("certificate", "C1", "C2", "C3"), Digest: digest, Blob: digest, Key: "k"}
	case 25:
		return &book.Pack{Set: set(), Codes: s.some("codes", pieceIDs, 2)}
	case 26:
		return &book.Ship{Shipment: s.from("shipment", "H1", "H2"), Sets: s.some("sets", setIDs, 1), Order: s.from("order", "", "O1")}
	}
	return rapid.SampledFrom([]book.Act{
		&book.Return{Set: set(), Complaint: "rolls off"}, &book.DressJoint{Piece: piece(), Joint: "head", DepthMM: 0.03},
		&book.Finish{Piece: piece(), MarkNow: s.mark()}, &book.Repair{Piece: piece(), What: "chip", GlueBatch: "PUR"},
		&book.Resize{Piece: piece(), To: "8 ft", LengthMM: 1340, WidthMM: 813, Disc: s.from("disc", "DISC", "DISC2"), MarkNow: s.mark()},
		&book.TakeIn{Thing: ref(book.KindDisc, "DISC2"), Tool: &book.ToolFacts{DiameterMM: 1600}},
		&book.Calibrate{Thing: ref(book.KindInstrument, "DIAL"), Good: !last, Due: opening.AddDate(1, 0, 0)},
		&book.Survey{Thing: ref(book.KindBlock, "B1"), Cracks: 2}, &book.Ream{Piece: piece(), Holes: 8},
		&book.Read{Thing: ref(book.KindSet, set()), What: "gap", Instruments: []string{"DIAL"}, Blob: digest},
		&book.Appoint{Person: "saw-2", Role: book.Hand, Called: s.from("called", "a", "b")},
	}).Draw(s.t, "other")
}

// cut is a beginning that leads further than chance does: three pieces, marked.
func beginning() []book.Act {
	s := func(id string) book.NewStone {
		return book.NewStone{ID: id, Stone: book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 30, MarkedOn: book.OnEdge}}
	}
	return []book.Act{
		&book.Lift{Block: "B1", Layer: "L1"},
		&book.Slice{Block: "B1", How: "sawn", Disc: "DISC", Slabs: []book.NewStone{s("B1-A")}},
		&book.Cut{Slab: "B1-A", Disc: "DISC", Pieces: []book.NewStone{s("P1"), s("P2"), s("P3")}},
	}
}

// finishing is what makes a certified set of three read pieces, in order.
func finishing() (list []book.Act) {
	ids := []string{"P1", "P2", "P3"}
	list = append(list, &book.LayUp{Set: "S1", Pieces: ids, Bench: "BENCH", Instruments: []string{"DIAL"}, StepsMM: []float64{0.03, 0.04}})
	for _, id := range ids {
		list = append(list, &book.Read{Thing: ref(book.KindPiece, id), What: "top", Instruments: []string{"DIAL"}, Bench: "BENCH", Blob: digest})
	}
	return append(list, &book.Judge{Set: "S1", Verdict: "conforms"}, &book.Certify{Set: "S1", Certificate: "C9", Digest: digest, Blob: digest, Key: "k"},
		&book.Pack{Set: "S1", Codes: ids}, &book.Ship{Shipment: "H9", Sets: []string{"S1"}, Order: "O1"})
}

// tell draws a story and returns its valid entries, and the book that had them in order.
func tell(t *rapid.T, length int) ([]book.Entry, *memory) {
	s := &story{t: t}
	m := newMemory()
	now := opening
	var acts []book.Act
	if rapid.Bool().Draw(t, "begin") {
		acts = beginning()
	}
	for i := range rapid.IntRange(1, length).Draw(t, "length") {
		if i == 2 && rapid.Bool().Draw(t, "finish") {
			acts = append(acts, finishing()...)
		}
		acts = append(acts, s.act())
	}
	var told []book.Entry
	for i, a := range append(furniture(), acts...) {
		now = now.Add(time.Duration(rapid.SampledFrom([]int{0, 1, 3600_000, 24 * 3600_000}).Draw(t, "gap")) * time.Millisecond)
		e := entry(i, now, "lead-1", a)
		c := leader
		c.System = i < 2
		if _, err := m.hand(e, c, false); err == nil {
			told = append(told, e)
		} else if i < len(furniture()) {
			t.Fatalf("%s: %v", e.Act, err)
		}
	}
	return told, m
}

// handed hands entries in as they come, late.
func handed(t *rapid.T, list []book.Entry) *memory {
	m := newMemory()
	for _, e := range list {
		c := leader
		c.System = e.Act == "settle" || e.Act == "appoint"
		if _, err := m.hand(e, c, true); err != nil {
			t.Fatalf("%s %s: %v", e.Act, e.Body, err)
		}
	}
	return m
}

// Property 1: a book is what its applied entries in the order of time make of it, in whatever order they came.
func TestAnyOrderGivesTheSameBook(t *testing.T) {
	first := len(furniture())
	var resolved, conflicting int
	rapid.Check(t, func(t *rapid.T) {
		told, inOrder := tell(t, 30)
		same(t, "in order against afresh", inOrder, inOrder.afresh(t))
		shuffled := append(slices.Clone(told[:first]), rapid.Permutation(told[first:]).Draw(t, "order")...)
		m := handed(t, shuffled)
		same(t, "shuffled against afresh", m, m.afresh(t))
		identical(t, "shuffled against its replay", m, m.replayed(t))
		if len(m.conflicts()) == 0 {
			resolved++
			same(t, "shuffled against in order", m, inOrder)
		} else {
			conflicting++
		}
		for _, e := range told {
			if _, err := m.hand(e, leader, true); err != nil {
				t.Fatalf("again: %v", err)
			}
		}
		if len(m.journal) != len(told) {
			t.Fatalf("%d entries handed in twice are %d in the journal", len(told), len(m.journal))
		}
	})
	if os.Getenv("TELL") != "" {
		fmt.Println(resolved, "without conflict", conflicting, "with")
	}
}

// given hands entries in late, in the order given.
func given(t *testing.T, list ...book.Entry) *memory {
	t.Helper()
	s := sawn(t)
	for _, e := range list {
		if _, err := s.hand(e, leader, true); err != nil {
			t.Fatalf("%s: %v", e.Act, err)
		}
	}
	same(t, "against afresh", s.memory, s.afresh(t))
	return s.memory
}

// at is an entry so many minutes after a week of the book.
func at(minutes int, a book.Act) book.Entry {
	return entry(minutes, opening.AddDate(0, 0, 7).Add(time.Duration(minutes)*time.Minute), "lead-1", a)
}

// Entries that can only follow together are applied when the last of them has come.
func TestEntriesThatNeedEachOther(t *testing.T) {
	lay := func(set string, ids ...string) *book.LayUp {
		return &book.LayUp{Set: set, Pieces: ids, StepsMM: make([]float64, len(ids)-1)}
	}
	first, part, second := at(1, lay("S1", "P1", "P2")), at(2, &book.PartSet{Set: "S1", Why: "?"}), at(3, lay("S2", "P1", "P3"))
	want := given(t, first, part, second)
	for _, order := range [][]book.Entry{{second, part, first}, {second, first, part}, {part, second, first}, {first, second, part}, {part, first, second}} {
		m := given(t, order...)
		if left := m.conflicts(); len(left) > 0 {
			t.Fatalf("%v are in conflict", left)
		}
		same(t, "in another order", m, want)
	}
}

// A thing cannot be used before it was there, however the entries come.
func TestNothingIsUsedBeforeItIsThere(t *testing.T) {
	use := &book.Resize{Piece: "P4", To: "8 ft", LengthMM: 1340, WidthMM: 813, Disc: "DISC2"}
	take := &book.TakeIn{Thing: ref(book.KindDisc, "DISC2"), Tool: &book.ToolFacts{DiameterMM: 1600}}
	for _, order := range [][]book.Entry{{at(1, use), at(2, take)}, {at(2, take), at(1, use)}} {
		if m := given(t, order...); len(m.conflicts()) != 1 {
			t.Error("a disc was used before it was taken in")
		}
	}
	if m := given(t, at(3, use), at(2, take)); len(m.conflicts()) != 0 {
		t.Error("the use waits and its disc has come")
	}
}

// What a certificate rested on cannot be changed behind it.
func TestNothingComesBetweenACertificateAndItsReadings(t *testing.T) {
	for _, a := range []book.Act{
		&book.Surfaced{Piece: "P1", Machine: "M", Face: "top", Stage: "fine"},
		&book.Calibrate{Thing: ref(book.KindInstrument, "DIAL"), Good: false, Due: opening.AddDate(1, 0, 0)},
		&book.Calibrate{Thing: ref(book.KindBench, "BENCH"), Good: false, Due: opening.AddDate(1, 0, 0)},
	} {
		s := judged(t)
		sealed := s.do(certify())
		kept, err := s.hand(entry(800, sealed.At.Add(-time.Minute), "lead-1", a), leader, true)
		if err != nil || kept == nil || kept.By != sealed.Seq && kept.By != int64(len(s.journal))-1 {
			t.Fatalf("%s before the certificate: %+v %v", a.Word(), kept, err)
		}
		s.do(&book.Correct{Entry: sealed.ID, Why: "too early"})
		if left := s.conflicts(); len(left) != 0 {
			t.Errorf("%s is still in conflict", a.Word())
		}
		same(t, "after the certificate was struck out", s.memory, s.afresh(t))
	}
}

// A correction that comes before the entry that it corrects waits for it.
func TestCorrectionComesFirst(t *testing.T) {
	weigh := at(1, &book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 90})
	_, body, err := book.Encode(&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 95})
	if err != nil {
		t.Fatal(err)
	}
	strike := at(2, &book.Correct{Entry: weigh.ID, Why: "?"})
	replace := at(2, &book.Correct{Entry: weigh.ID, Why: "?", Act: "weigh", Body: body})
	for _, c := range []struct {
		correction book.Entry
		kg         float64
	}{{strike, 100}, {replace, 95}} {
		m := given(t, c.correction, weigh)
		if _, p := m.piece(t, "P1"); p.MassKg != c.kg || len(m.conflicts()) != 0 {
			t.Errorf("%g kg, %v in conflict", p.MassKg, m.conflicts())
		}
		same(t, "a correction that came first", m, given(t, weigh, c.correction))
	}
}
