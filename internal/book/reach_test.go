package book_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
)

// reached writes what a target's rows say.
func (m *memory) reached(k book.Kind, id string) string {
	t, there := m.reach[ref(k, id)]
	if !there {
		return "nothing"
	}
	var words []string
	for _, o := range t.Origins {
		words = append(words, o.String())
	}
	return fmt.Sprintf("%d: %s", t.Rank, strings.Join(words, " "))
}

func (s *scene) wantReach(k book.Kind, id, want string) {
	s.t.Helper()
	if got := s.reached(k, id); got != want {
		s.t.Fatalf("%s %s is reached by\n%s\nand should be by\n%s", k, id, got, want)
	}
}

// From the layer to the shipment, and back: what reached a piece and a set at every stage.
func TestWhatReachedASet(t *testing.T) {
	s := sawn(t)
	s.wantReach(book.KindPiece, "P1", "2: block:B1 disc:DISC layer:L1 slab:B1-A")
	s.do(&book.Weigh{Thing: ref(book.KindSlab, "B1-A"), Scale: "SCALE", MassKg: 90}) // after the pieces were cut of it
	s.wantReach(book.KindPiece, "P1", "2: block:B1 disc:DISC layer:L1 slab:B1-A")
	s.do(&book.Surfaced{Piece: "P1", Machine: "M", Face: "top", Stage: "fine", Bits: "BITS"})
	s.wantReach(book.KindPiece, "P1", "2: bit-set:BITS block:B1 disc:DISC layer:L1 slab:B1-A")
	s.wantReach(book.KindPiece, "P2", "2: block:B1 disc:DISC layer:L1 slab:B1-A")
	lay := layUp()
	lay.Order = "O1"
	s.do(lay)
	all := "bench:BENCH bit-set:BITS block:B1 disc:DISC instrument:DIAL layer:L1 order:O1 piece:P1 piece:P2 piece:P3"
	s.wantReach(book.KindSet, "S1", "1: "+all+" slab:B1-A")
	s.wantReach(book.KindPiece, "P1", "nothing")
	s.do(&book.EnterRoom{Piece: "P2", Room: "ROOM"}, &book.LeaveRoom{Piece: "P2", Released: "dry"}, &book.GlueLining{Piece: "P2", BoardBatch: "MDF", GlueBatch: "PUR"})
	all = "bench:BENCH bit-set:BITS block:B1 board-batch:MDF disc:DISC glue-batch:PUR instrument:DIAL layer:L1 order:O1 piece:P1 piece:P2 piece:P3 room:ROOM"
	s.wantReach(book.KindSet, "S1", "1: "+all+" slab:B1-A")
	s.do(rested("P1", "P3")...)
	s.do(faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"}, certify())
	s.now = s.now.AddDate(0, 0, 2)
	s.do(&book.Pack{Set: "S1", Codes: three}, &book.Ship{Shipment: "H1", Sets: []string{"S1"}})
	s.wantReach(book.KindSet, "S1", "0: "+all+" slab:B1-A")
	s.do(&book.Return{Set: "S1", Complaint: "rolls off"})
	s.wantReach(book.KindSet, "S1", "1: "+all+" slab:B1-A")
	s.do(&book.PartSet{Set: "S1", Why: "P3 is cracked"})
	s.wantReach(book.KindSet, "S1", "3: "+all+" slab:B1-A")
	s.wantReach(book.KindPiece, "P3", "2: bench:BENCH block:B1 disc:DISC instrument:DIAL layer:L1 order:O1 room:ROOM slab:B1-A")
	s.do(&book.Reject{Thing: onPiece("P3"), Cause: "crack"})
	s.wantReach(book.KindPiece, "P3", "3: bench:BENCH block:B1 disc:DISC instrument:DIAL layer:L1 order:O1 room:ROOM slab:B1-A")
	// What meets a piece after its set was parted has not reached the set.
	s.do(&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 90})
	s.wantReach(book.KindSet, "S1", "3: "+all+" slab:B1-A")
	parted := s.journal[len(s.journal)-3]
	late := func(n int, a book.Act) {
		if k, err := s.hand(entry(n, parted.At.Add(-time.Minute), "lead-1", a), leader, true); err != nil || k != nil {
			t.Fatal(k, err)
		}
		same(t, "after a late act", s.memory, s.afresh(t))
	}
	late(710, &book.Surfaced{Piece: "P2", Machine: "M", Face: "top", Stage: "fine", Bits: "BITS"})
	s.wantReach(book.KindSet, "S1", "3: "+all+" slab:B1-A")
	late(711, &book.Weigh{Thing: onPiece("P2"), Scale: "SCALE", MassKg: 90})
	s.wantReach(book.KindSet, "S1", "3: "+strings.Replace(all, "instrument:DIAL", "instrument:DIAL instrument:SCALE", 1)+" slab:B1-A")
	same(t, "after all", s.memory, s.afresh(t))
}

// What comes late reaches what it would have reached in order.
func TestLateMeetingReaches(t *testing.T) {
	s := sawn(t)
	sliced, cut := s.journal[len(s.journal)-2], s.journal[len(s.journal)-1]
	s.do(layUp())
	for i, c := range []struct {
		at   time.Time
		want bool
	}{{sliced.At.Add(time.Minute), true}, {cut.At.Add(time.Minute), true}} {
		e := entry(700+i, c.at, "lead-1", &book.Weigh{Thing: ref(book.KindSlab, "B1-A"), Scale: "SCALE", MassKg: 90})
		if k, err := s.hand(e, leader, true); err != nil || k != nil {
			t.Fatal(k, err)
		}
		if got := strings.Contains(s.reached(book.KindSet, "S1"), "instrument:SCALE"); got != c.want {
			t.Errorf("weighed at %s: the scale reached the set: %v", c.at, got)
		}
		same(t, "after a late weighing", s.memory, s.afresh(t))
	}
	// The weighing before the cut is struck out: what is left is the one after, which has not reached the pieces.
	s.do(&book.Correct{Entry: numberOf(sliced.At.Add(time.Minute), 700), Why: "another slab"})
	if strings.Contains(s.reached(book.KindSet, "S1"), "SCALE") {
		t.Error("a scale that met the slab only after the pieces were cut reached them")
	}
	same(t, "after the strike", s.memory, s.afresh(t))
}

// An act that comes in order and meets nothing new writes no reach, and asks for no history.
func TestInOrderIsCheap(t *testing.T) {
	s := sawn(t)
	s.do(layUp(), faceRead("P1"), faceRead("P2"))
	e := s.next(faceRead("P3"))
	e.Seq = int64(len(s.journal)) + 1
	v := &counting{memory: s.memory}
	o, err := book.Admit(v, e, leader, false)
	if err != nil {
		t.Fatal(err)
	}
	if len(o.Reach) != 0 || v.histories != 0 || len(o.Untouch) != 0 || len(o.Standings) != 0 {
		t.Errorf("%d histories, outcome %+v", v.histories, o)
	}
	if len(o.Things) != 1 || o.Things[0].Ref != onPiece("P3") {
		t.Errorf("a reading writes %v", o.Things)
	}
	var parts []string
	for _, touch := range o.Touches {
		parts = append(parts, touch.Ref.String()+" "+string(touch.Part))
	}
	slices.Sort(parts)
	if got := strings.Join(parts, ", "); got != "bench:BENCH uses, instrument:DIAL uses, piece:P3 changes" {
		t.Errorf("it touches %s", got)
	}
}

// counting counts what a view is asked.
type counting struct {
	*memory
	histories int
}

func (c *counting) History(r book.Ref) ([]book.Placed, error) {
	c.histories++
	return c.memory.History(r)
}

// Two books in one program do not see one another's states.
func TestTwoBooks(t *testing.T) {
	a, b := sawn(t), sawn(t)
	a.do(&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 90})
	b.do(&book.Drill{Piece: "P1", Pattern: "n"})
	a.do(&book.Mark{Piece: "P1", On: book.OnTop})
	_, inA := a.piece(t, "P1")
	_, inB := b.piece(t, "P1")
	if inA.MassKg != 90 || inA.Pattern != "" || inB.MassKg != 100 || inB.Pattern != "n" {
		t.Errorf("%+v\n%+v", inA, inB)
	}
}
