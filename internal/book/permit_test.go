package book_test

import (
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
)

func caller(person string, role book.Role) book.Caller {
	return book.Caller{Person: person, Role: role}
}

func TestABookBeginsWithItsMill(t *testing.T) {
	m := newMemory()
	weigh := &book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 1}
	settle := &book.Settle{Name: "Quern Hollow"}
	lead := &book.Appoint{Person: "lead-1", Role: book.Lead}
	n := 0
	hand := func(a book.Act, c book.Caller, late bool) error {
		n++
		_, err := m.hand(entry(n, opening.Add(time.Duration(n)*time.Second), c.Person, a), c, late)
		return err
	}
	wantTrouble(t, hand(weigh, program, false), "not-settled")
	wantTrouble(t, hand(lead, program, true), "not-settled")
	wantTrouble(t, hand(settle, leader, false), "not-settled")
	if err := hand(settle, program, false); err != nil {
		t.Fatal(err)
	}
	wantTrouble(t, hand(lead, leader, true), "not-allowed") // nobody is in the book who could
	if err := hand(lead, program, false); err != nil {
		t.Fatal(err)
	}
	wantTrouble(t, hand(weigh, leader, false), "no-such-thing")
}

func TestRolesAreTheLesserOfTwo(t *testing.T) {
	s := sawn(t)
	weigh := &book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 90}
	appoint := &book.Appoint{Person: "saw-2", Role: book.Hand}
	for _, c := range []struct {
		who book.Caller
		act book.Act
		ok  bool
	}{
		{caller("saw-1", book.Hand), weigh, true},
		{caller("saw-1", book.Lead), weigh, true},      // as much as the book says
		{caller("saw-1", book.Visitor), weigh, false},  // as little as the sign-in allows
		{caller("visitor-1", book.Lead), weigh, false}, // as little as the book says
		{caller("stranger", book.Lead), weigh, false},  // not in the book
		{caller("saw-1", "emperor"), weigh, false},     // no role at all
		{caller("inspector-1", book.Lead), appoint, false},
		{caller("lead-1", book.Lead), appoint, true},
		{caller("lead-1", book.Inspector), appoint, false},
		{caller("inspector-1", book.Inspector), &book.Calibrate{Thing: ref(book.KindBench, "BENCH"), Good: true, Due: opening}, true},
		{book.Caller{Person: "scanner", Role: book.Hand, Machine: true}, weigh, true},
		{book.Caller{Person: "scanner", Role: book.Visitor, Machine: true}, weigh, false},
		{book.Caller{Person: "scanner", Role: book.Lead, Machine: true}, weigh, false},
		{book.Caller{Person: "saw-1", Role: book.Hand, Machine: true}, weigh, false}, // called as a person is
	} {
		_, err := s.by(c.who, c.act)
		if c.ok && err != nil {
			t.Errorf("%s as %s: %v", c.who.Person, c.who.Role, err)
		}
		if !c.ok {
			wantTrouble(t, err, "not-allowed", c.who.Person)
		}
	}
	e := s.next(weigh)
	e.Person = "saw-1"
	_, err := s.hand(e, leader, false)
	wantTrouble(t, err, "not-allowed", "cannot sign for saw-1")
}

func TestCertifyingAsksForThePassphrase(t *testing.T) {
	s := judged(t)
	s.refusedBy(caller("inspector-1", book.Inspector), "passphrase-needed", certify(), "passphrase")
	s.refusedBy(book.Caller{Person: "scanner", Role: book.Inspector, Machine: true}, "passphrase-needed", certify())
	s.refusedBy(book.Caller{Person: "saw-1", Role: book.Lead, Reaffirmed: true}, "not-allowed", certify())
	if _, err := s.by(book.Caller{Person: "inspector-1", Role: book.Inspector, Reaffirmed: true}, certify()); err != nil {
		t.Error(err)
	}
	// A correction does what its act does, and needs what that needs.
	word, body, err := book.Encode(certify())
	if err != nil {
		t.Fatal(err)
	}
	s.refusedBy(caller("lead-1", book.Lead), "passphrase-needed", &book.Correct{Entry: s.journal[5].ID, Why: "?", Act: word, Body: body})
	s.refusedBy(caller("inspector-1", book.Inspector), "not-allowed", &book.Correct{Entry: s.journal[5].ID, Why: "?"})
}

func TestWhoIsGoneMayNothing(t *testing.T) {
	s := sawn(t)
	s.do(&book.Appoint{Person: "saw-1", Role: book.Hand, Gone: true})
	e := s.next(&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 90})
	e.Person = "saw-1"
	_, err := s.hand(e, caller("saw-1", book.Hand), true) // not even what comes late
	wantTrouble(t, err, "not-allowed", "saw-1")
	if _, p := decoded[book.PersonState](t, s.memory, book.KindPerson, "saw-1"); !p.Gone || p.Called != "first hand at the saw" {
		t.Errorf("%+v", p)
	}
}

func TestTheLastLeadStays(t *testing.T) {
	s := open(t)
	s.refused("last-lead", &book.Appoint{Person: "lead-1", Role: book.Lead, Gone: true}, "lead-1")
	s.refused("last-lead", &book.Appoint{Person: "lead-1", Role: book.Hand})
	s.refusedBy(program, "last-lead", &book.Appoint{Person: "lead-1", Role: book.Visitor})
	s.do(&book.Appoint{Person: "lead-2", Role: book.Lead}, &book.Appoint{Person: "lead-1", Role: book.Hand})
	if _, err := s.by(leader, &book.Appoint{Person: "lead-3", Role: book.Lead}); err == nil {
		t.Error("who is no lead any more appoints")
	}
	s.refusedBy(caller("lead-2", book.Lead), "last-lead", &book.Appoint{Person: "lead-2", Role: book.Hand})
}

func TestOnlyTheLeadReleases(t *testing.T) {
	s := sawn(t)
	s.do(&book.EnterRoom{Piece: "P1", Room: "ROOM"}, &book.EnterRoom{Piece: "P2", Room: "ROOM"})
	early := &book.LeaveRoom{Piece: "P1", Released: "the order is due"}
	s.refusedBy(caller("inspector-1", book.Inspector), "not-allowed", early, "lead")
	s.refusedBy(caller("lead-1", book.Inspector), "not-allowed", early, "lead")
	s.do(early)
	s.now = s.now.AddDate(0, 0, 31)
	if _, err := s.by(caller("saw-1", book.Hand), &book.LeaveRoom{Piece: "P2"}); err != nil {
		t.Error(err)
	}
}

// What is refused for want of permission is not kept, late or not; what cannot follow is kept only when it is late.
func TestLateIsKept(t *testing.T) {
	s := sawn(t)
	s.do(&book.Reject{Thing: onPiece("P1"), Cause: "crack"})
	drill := s.next(&book.Drill{Piece: "P1", Pattern: "n"})
	_, err := s.hand(drill, leader, false)
	wantTrouble(t, err, "rejected")
	kept, err := s.hand(drill, leader, true)
	if err != nil || kept == nil || kept.State != book.InConflict || kept.Why == "" {
		t.Fatalf("%+v %v", kept, err)
	}
	again, err := s.hand(drill, leader, true)
	if err != nil || again == nil || *again != *kept {
		t.Errorf("handed in again: %+v %v", again, err)
	}
	for _, r := range s.tables() {
		if len(r) > 10 && r[:5] == "touch" && strings.Contains(r, drill.ID) {
			t.Errorf("an entry in conflict has a row among the applied ones: %s", r)
		}
	}
	// An earlier rejection would make what stands impossible: the refusal names it.
	s.do(&book.Drill{Piece: "P2", Pattern: "n"})
	drilled := s.journal[len(s.journal)-1]
	early := entry(600, drilled.At.Add(-time.Minute), "lead-1", &book.Reject{Thing: onPiece("P2"), Cause: "crack"})
	kept, err = s.hand(early, leader, true)
	if err != nil || kept == nil || kept.By != drilled.Seq || !strings.Contains(kept.Why, drilled.ID) {
		t.Errorf("%+v %v", kept, err)
	}
	s.do(&book.Correct{Entry: drilled.ID, Why: "another piece"})
	if left := s.conflicts(); len(left) != 1 {
		t.Errorf("the way is free and %v are in conflict", left)
	}
	if thing, _ := s.piece(t, "P2"); thing.Station != book.Heap {
		t.Errorf("P2 stands at %s", thing.Station)
	}
}
