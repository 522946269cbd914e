package book_test

import (
	"testing"
	"time"

	"slatewright/internal/book"
)

// dated hands in an act that was done at a time, under a number made at another.
func (s *scene) dated(done, made time.Time, c book.Caller, late bool, a book.Act) (book.Entry, *book.Standing, error) {
	s.n++
	e := entry(s.n, done, c.Person, a)
	e.ID = numberOf(made, s.n)
	kept, err := s.hand(e, c, late)
	return e, kept, err
}

// A certificate is dated when it is made: neither before what the book knows of the set and its pieces, nor long before it was handed in.
func TestBackdatedCertificate(t *testing.T) {
	s := judged(t)
	last := s.now // the verdict
	s.do(&book.Weigh{Thing: onPiece("P2"), Scale: "SCALE", MassKg: 101})
	early := last.Add(time.Minute)
	s.now = s.now.Add(time.Hour)
	s.do(&book.Weigh{Thing: onPiece("P2"), Scale: "SCALE", MassKg: 102})

	_, _, err := s.dated(early, early, leader, false, certify())
	wantTrouble(t, err, "backdated", "piece:P2", s.now.Format("2006-01-02 15:04"), "1 h back")
	_, _, err = s.dated(s.now, s.now.Add(61*time.Minute), leader, false, certify())
	wantTrouble(t, err, "backdated", "handed in")
	_, _, err = s.dated(s.now, s.now.Add(61*time.Minute), leader, true, certify())
	wantTrouble(t, err, "backdated") // not even what comes late
	_, kept, err := s.dated(early, early, leader, true, certify())
	if err != nil || kept == nil || kept.State != book.InConflict {
		t.Fatalf("a certificate between what was done already: %+v %v", kept, err)
	}
	identical(t, "with a backdated certificate", s.memory, s.replayed(t))
	if _, kept, err = s.dated(s.now, s.now.Add(59*time.Minute), leader, false, certify()); err != nil || kept != nil {
		t.Fatal(kept, err)
	}
	s.now = s.now.Add(time.Hour)
	sealed := s.now
	s.now = sealed.Add(2 * time.Hour)
	s.do(&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 100})
	before := sealed.Add(-3 * time.Hour)
	if _, kept, err = s.dated(before, before, leader, true, &book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 99}); err != nil || kept != nil {
		t.Fatal("a certificate that stands was asked for its date again:", kept, err)
	}
	same(t, "with a certificate", s.memory, s.afresh(t))
}

func TestBackdatedVerdictAndShipment(t *testing.T) {
	s := judged(t)
	now := s.now
	_, _, err := s.dated(now, now.Add(25*time.Hour), leader, false, &book.Judge{Set: "S1", Verdict: "conforms"})
	wantTrouble(t, err, "backdated", "24 h back")
	s.now = now.Add(time.Hour)
	if _, _, err = s.dated(s.now, now.Add(24*time.Hour), leader, false, &book.Judge{Set: "S1", Verdict: "conforms"}); err != nil {
		t.Fatal(err)
	}
	s = packed(t)
	s.now = s.now.AddDate(0, 0, 2)
	ship := &book.Ship{Shipment: "H1", Sets: []string{"S1"}}
	_, _, err = s.dated(s.now.AddDate(0, 0, -2).Add(time.Minute), s.now, leader, false, ship)
	wantTrouble(t, err, "backdated")
	s.do(ship)

	s = judged(t)
	r := book.DefaultRoute()
	for i, h := range r.Holds {
		if h.Needs == "in-time" && h.Before == "certify" {
			r.Holds[i].Amount = 48
		}
	}
	s.do(&book.Settle{Name: "Quern Hollow", Route: &r})
	if _, _, err = s.dated(s.now, s.now.AddDate(0, 0, 2), leader, false, certify()); err != nil {
		t.Error(err)
	}
}

// A correction puts nothing in an earlier place that could not be handed in there; one that keeps the act and its time may.
func TestBackdatedByCorrection(t *testing.T) {
	s := judged(t)
	weighed := s.do(&book.Weigh{Thing: onPiece("P2"), Scale: "SCALE", MassKg: 101})
	word, body, err := book.Encode(certify())
	if err != nil {
		t.Fatal(err)
	}
	s.now = s.now.Add(2 * time.Hour)
	s.refused("backdated", &book.Correct{Entry: weighed.ID, Why: "?", Act: word, Body: body}, weighed.At.Format("2006-01-02 15:04"))
	sealed := s.do(certify())
	earlier := sealed.At.Add(-30 * time.Minute)
	s.now = s.now.Add(2 * time.Hour)
	s.refused("backdated", &book.Correct{Entry: sealed.ID, Why: "?", Act: word, Body: body, At: &earlier})
	s.do(&book.Weigh{Thing: onPiece("P2"), Scale: "SCALE", MassKg: 102}, &book.Correct{Entry: sealed.ID, Why: "another key", Act: word, Body: body})
	same(t, "a corrected certificate", s.memory, s.afresh(t))
}

// Who strikes an act out must be allowed to do it, and gives the passphrase again for a certificate.
func TestStrikingNeedsWhatTheActNeeds(t *testing.T) {
	s := judged(t)
	verdict := s.journal[len(s.journal)-1]
	r := book.DefaultRoute()
	stepOf(&r, "correct").May = book.Inspector
	stepOf(&r, "judge").May = book.Lead
	s.do(&book.Settle{Name: "Quern Hollow", Route: &r})
	inspector := caller("inspector-1", book.Inspector)
	s.refusedBy(inspector, "not-allowed", &book.Correct{Entry: verdict.ID, Why: "?"}, "striking out a judge", "lead")
	sealed := s.do(certify())
	strike := &book.Correct{Entry: sealed.ID, Why: "the wrong key"}
	s.refusedBy(inspector, "passphrase-needed", strike, "striking out a certify")
	s.refusedBy(caller("lead-1", book.Lead), "passphrase-needed", strike)
	word, body, err := book.Encode(&book.Weigh{Thing: onPiece("P2"), Scale: "SCALE", MassKg: 101})
	if err != nil {
		t.Fatal(err)
	}
	s.refusedBy(inspector, "passphrase-needed", &book.Correct{Entry: sealed.ID, Why: "?", Act: word, Body: body})
	inspector.Reaffirmed = true
	struck, err := s.by(inspector, strike)
	if err != nil {
		t.Fatal(err)
	}
	if _, known := s.things[ref(book.KindCertificate, "C1")]; known {
		t.Errorf("struck by %s, and the certificate is still there", struck.ID)
	}
}
