package book_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"slatewright/internal/book"
)

func stone(id string, mark book.Surface) book.NewStone {
	return book.NewStone{ID: id, Stone: book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 30, MassKg: 100, MarkedOn: mark}}
}

// sawn is a book with three marked pieces and one that has no number.
func sawn(t *testing.T) *scene {
	s := open(t)
	s.do(
		&book.Lift{Block: "B1", Layer: "L1"},
		&book.Slice{Block: "B1", How: "sawn", Disc: "DISC", Slabs: []book.NewStone{stone("B1-A", "")}},
		&book.Cut{Slab: "B1-A", Disc: "DISC", Pieces: []book.NewStone{stone("P1", book.OnEdge), stone("P2", book.OnEdge), stone("P3", book.OnTop), stone("P4", "")}},
	)
	return s
}

func onPiece(id string) book.Ref { return ref(book.KindPiece, id) }

// faceRead is a reading that counts.
func faceRead(id string) *book.Read {
	return &book.Read{Thing: onPiece(id), What: "top", Instruments: []string{"DIAL"}, Bench: "BENCH", Blob: digest}
}

var three = []string{"P1", "P2", "P3"}

func layUp() *book.LayUp {
	return &book.LayUp{Set: "S1", Pieces: three, Bench: "BENCH", Instruments: []string{"DIAL"}, StepsMM: []float64{0.02, 0.03}}
}

func certify() *book.Certify {
	return &book.Certify{Set: "S1", Certificate: "C1", Digest: digest, Blob: digest, Key: "k"}
}

// judged is a book with a set that could be certified.
func judged(t *testing.T) *scene {
	s := sawn(t)
	s.do(rested(three...)...)
	s.do(layUp(), faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"})
	return s
}

// rested is a stay in the room that the lead cuts short.
func rested(ids ...string) (acts []book.Act) {
	for _, id := range ids {
		acts = append(acts, &book.EnterRoom{Piece: id, Room: "ROOM"}, &book.LeaveRoom{Piece: id, Released: "dry"})
	}
	return acts
}

func packed(t *testing.T) *scene {
	s := judged(t)
	s.do(certify(), &book.Pack{Set: "S1", Codes: []string{"P3", "P1", "P2"}})
	return s
}

func TestThingsThatAreNotThere(t *testing.T) {
	s := sawn(t)
	for _, a := range []book.Act{
		&book.Lift{Block: "B2", Layer: "L9"}, &book.Slice{Block: "B9", How: "sawn", Slabs: []book.NewStone{stone("X", "")}},
		&book.Cut{Slab: "B1-A", Disc: "DISC9", Pieces: []book.NewStone{stone("X", "")}}, faceRead("P9"), &book.Drill{Piece: "P9", Pattern: "n"},
		&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE9", MassKg: 1}, &book.EnterRoom{Piece: "P1", Room: "ROOM9"}, &book.Judge{Set: "S9", Verdict: "conforms"},
		&book.LayUp{Set: "S9", Pieces: []string{"P1", "P9"}, StepsMM: []float64{0}}, &book.Match{Pieces: []string{"P1", "P9"}},
		&book.Calibrate{Thing: ref(book.KindInstrument, "D9"), Good: true, Due: opening}, &book.Mark{Piece: "P1", On: book.OnTop, SearchedBy: "nobody-9"},
		&book.TakeIn{Thing: onPiece("P8"), Stone: &book.StoneFacts{From: "SLAB9"}}, &book.Ship{Shipment: "H1", Sets: []string{"S9"}},
	} {
		s.refused("no-such-thing", a, "9")
	}
	for _, a := range []book.Act{
		&book.Lift{Block: "B1", Layer: "L1"}, &book.Cut{Slab: "B1-A", Pieces: []book.NewStone{stone("P1", "")}},
		&book.TakeIn{Thing: onPiece("P1"), Stone: &book.StoneFacts{}}, &book.TakeIn{Thing: ref(book.KindDisc, "DISC"), Tool: &book.ToolFacts{}},
	} {
		s.refused("already-there", a, "2026-03-0")
	}
}

func TestStoneThatIsGone(t *testing.T) {
	s := sawn(t)
	s.do(&book.Reject{Thing: onPiece("P4"), Cause: "crack"})
	s.refused("rejected", &book.Drill{Piece: "P4", Pattern: "n"}, "P4", "crack", "2026-03-03")
	s.refused("rejected", &book.LayUp{Set: "S1", Pieces: []string{"P1", "P4"}, StepsMM: []float64{0}}, "P4")
	s.do(&book.Cut{Slab: "B1-A", Pieces: []book.NewStone{stone("P5", book.OnTop)}, Last: true})
	s.refused("used-up", &book.Cut{Slab: "B1-A", Pieces: []book.NewStone{stone("P6", "")}}, "B1-A")
	if slab := s.things[ref(book.KindSlab, "B1-A")]; slab.Station != book.Heap {
		t.Errorf("a slab of which nothing is left stands at %s", slab.Station)
	}
}

func TestSetsAndTheirPieces(t *testing.T) {
	s := sawn(t)
	s.refused("not-marked", &book.LayUp{Set: "S1", Pieces: []string{"P1", "P4"}, StepsMM: []float64{0}}, "P4")
	s.do(layUp())
	s.refused("in-set", &book.LayUp{Set: "S2", Pieces: []string{"P1", "P4"}, StepsMM: []float64{0}}, "P1", "S1")
	s.refused("in-set", &book.Match{Pieces: []string{"P1", "P4"}}, "P1")
	s.refused("in-set", &book.Reject{Thing: onPiece("P1"), Cause: "chip"}, "part the set")
	s.refused("in-set", &book.Resize{Piece: "P2", To: "8 ft", LengthMM: 1340, WidthMM: 813, MarkNow: book.OnTop}, "part the set")
	s.refused("other-pieces", &book.LayUp{Set: "S1", Pieces: []string{"P2", "P1", "P3"}, StepsMM: []float64{0, 0}}, "P1, P2, P3")
	s.do(layUp(), &book.PartSet{Set: "S1", Why: "chipped"})
	s.refused("parted", &book.Judge{Set: "S1", Verdict: "conforms"}, "S1")
	s.do(&book.LayUp{Set: "S2", Pieces: three, StepsMM: []float64{0, 0}})
	if _, p := s.piece(t, "P1"); p.Set != "S2" || len(p.Sets) != 1 || p.Sets[0] != "S1" {
		t.Errorf("%+v", p)
	}
}

func TestNumberThatIsTakenAway(t *testing.T) {
	s := sawn(t)
	top := &book.Surfaced{Piece: "P3", Machine: "M", Face: "top", Stage: "rough", DepthMM: 1}
	s.refused("mark-needed", top, "P3", "top", "mark_now")
	s.refused("mark-needed", &book.Resize{Piece: "P1", To: "8 ft", LengthMM: 1340, WidthMM: 813}, "edge")
	s.do(&book.Surfaced{Piece: "P3", Machine: "M", Face: "bottom", Stage: "rough", DepthMM: 1})
	top.MarkNow = book.Nowhere
	s.do(top)
	s.refused("not-marked", layUp(), "P3", "lost")
	s.refused("second-person", &book.Mark{Piece: "P3", On: book.OnEdge}, "P3")
	s.refused("second-person", &book.Mark{Piece: "P3", On: book.OnEdge, SearchedBy: "lead-1"})
	s.do(&book.Mark{Piece: "P3", On: book.OnBottom, SearchedBy: "inspector-1"}, layUp())
	s.do(&book.EnterRoom{Piece: "P3", Room: "ROOM"}, &book.LeaveRoom{Piece: "P3", Released: "dry"})
	glue := &book.GlueLining{Piece: "P3", BoardBatch: "MDF", GlueBatch: "PUR"}
	s.refused("mark-needed", glue, "bottom")
	glue.MarkNow = book.OnLining
	s.do(glue, &book.DressJoint{Piece: "P1", Joint: "head", DepthMM: 0.02, MarkNow: book.OnTop}, &book.Drill{Piece: "P2", Pattern: "n", MarkNow: book.OnTop}, &book.Finish{Piece: "P3", MarkNow: book.OnEdge})
	for id, want := range map[string]book.Surface{"P1": book.OnTop, "P2": book.OnTop, "P3": book.OnEdge} {
		if _, p := s.piece(t, id); p.MarkedOn != want {
			t.Errorf("the number of %s stands on %q, not %q", id, p.MarkedOn, want)
		}
	}
}

// Two persons give a lost piece its number back: one of the book who searched, and another. A search for what was never lost is no search.
func TestWhoSearched(t *testing.T) {
	s := sawn(t)
	mark := func(id, by string) *book.Mark { return &book.Mark{Piece: id, On: book.OnEdge, SearchedBy: by} }
	s.refused("not-lost", mark("P1", "inspector-1"), "P1", "edge")
	s.do(mark("P4", "inspector-1")) // nobody had said where its number stands
	s.do(&book.Mark{Piece: "P1", On: book.Nowhere})
	s.refused("no-such-thing", mark("P1", "inspector-9"), "inspector-9")
	s.refused("second-person", mark("P1", ""))
	s.refused("second-person", mark("P1", "lead-1"))
	gone := s.do(&book.Appoint{Person: "saw-1", Role: book.Hand, Gone: true})
	s.refused("not-allowed", mark("P1", "saw-1"), "saw-1", "left the mill")
	c, err := s.hand(entry(900, gone.At.Add(-time.Minute), "lead-1", mark("P1", "saw-1")), leader, true)
	if err != nil || c != nil {
		t.Fatal(c, err)
	}
	s.refused("not-lost", mark("P1", "inspector-1"))
	same(t, "marked again", s.memory, s.afresh(t))
}

func TestRoomAndLining(t *testing.T) {
	s := sawn(t)
	glue := &book.GlueLining{Piece: "P1", BoardBatch: "MDF", GlueBatch: "PUR"}
	s.refused("wrong-station", &book.LeaveRoom{Piece: "P1"}, "surfacing", "room")
	s.refused("not-seasoned", glue, "P1", "0.0 days of 30")
	s.do(&book.EnterRoom{Piece: "P1", Room: "ROOM"})
	s.refused("wrong-station", &book.EnterRoom{Piece: "P1", Room: "ROOM"})
	s.now = s.now.AddDate(0, 0, 29)
	s.refused("not-seasoned", &book.LeaveRoom{Piece: "P1"}, "29.1 days of 30", "lead")
	s.now = s.now.AddDate(0, 0, 1)
	s.do(&book.LeaveRoom{Piece: "P1"})
	s.refused("not-lined", &book.Ream{Piece: "P1"})
	s.do(glue)
	s.refused("lined", glue, "2026-04-0")
	if thing, p := s.piece(t, "P1"); thing.Station != book.Lining || p.Room != "" || !p.Lined || p.Seasoned < 30 {
		t.Errorf("%s %+v", thing.Station, p)
	}
	s.now = opening.AddDate(0, 3, 0)
	s.do(&book.EnterRoom{Piece: "P2", Room: "ROOM"}, &book.LeaveRoom{Piece: "P2", Released: "three weighings within a step"})
	glue.Piece = "P2"
	s.refused("past-use", glue, "MDF", "2026-05-02")
	s.refused("past-use", &book.Repair{Piece: "P2", What: "chip", GlueBatch: "PUR"}, "PUR")
}

func TestWhatACertificateNeeds(t *testing.T) {
	s := sawn(t)
	s.refused("no-such-thing", certify())
	s.do(layUp())
	s.refused("reading-missing", certify(), "P1")
	s.do(faceRead("P1"), faceRead("P2"))
	wet, bare := faceRead("P3"), faceRead("P3")
	wet.Wet, bare.Blob, bare.TopC = true, "", new(float64)
	s.do(wet)
	s.refused("reading-wet", certify(), "P3", "wet")
	s.do(bare)
	s.refused("reading-without-file", certify(), "P3")
	s.do(faceRead("P3"))
	s.refused("not-judged", certify(), "S1")
	s.do(&book.Judge{Set: "S1", Verdict: "does not conform", Next: "grind P2"})
	s.refused("not-conforming", certify(), "does not conform", "grind P2")
	s.do(&book.Judge{Set: "S1", Verdict: "conforms"}, &book.Check{Piece: "P2", What: "holes", WorstMM: 3})
	s.refused("check-bad", certify(), "P2")
	s.do(&book.Check{Piece: "P2", What: "holes", Good: true}, certify())
	s.refused("already-there", certify(), "C1")
}

// Every way in which a later act ends the use of a reading, with what the refusal must name.
func TestReadingsExpire(t *testing.T) {
	inRoom := []book.Act{&book.EnterRoom{Piece: "P1", Room: "ROOM"}, &book.LeaveRoom{Piece: "P1", Released: "dry"}}
	for _, c := range []struct {
		word string
		acts []book.Act
	}{
		{"surface", []book.Act{&book.Surfaced{Piece: "P1", Machine: "M", Face: "top", Stage: "fine"}}},
		{"dress-joint", []book.Act{&book.DressJoint{Piece: "P1", Joint: "foot"}}},
		{"drill", []book.Act{&book.Drill{Piece: "P1", Pattern: "n"}}},
		{"enter-room", inRoom},
		{"read", []book.Act{&book.Read{Thing: onPiece("P1"), What: "bottom", Instruments: []string{"DIAL"}, Blob: digest, Wet: true}}},
		{"finish", []book.Act{&book.Finish{Piece: "P1"}}},
		{"repair", []book.Act{&book.Repair{Piece: "P1", What: "chip"}}},
	} {
		s := judged(t)
		read := s.journal[len(s.journal)-4]
		s.do(c.acts...)
		s.do(&book.Judge{Set: "S1", Verdict: "conforms"})
		worked := s.journal[len(s.journal)-1-len(c.acts)]
		s.refused("reading-expired", certify(), "P1", c.word, worked.At.Format("2006-01-02 15:04"), read.At.Format("2006-01-02 15:04"), "read the top of piece P1 again")
		s.do(faceRead("P1"))
		s.refused("reading-unseen", certify(), "P1", "judge the set again")
		s.do(&book.Judge{Set: "S1", Verdict: "conforms"})
		if _, err := s.by(leader, certify()); err != nil {
			t.Errorf("after %s and a new reading: %v", c.word, err)
		}
	}
}

func TestVerdictGoesStale(t *testing.T) {
	s := judged(t)
	s.do(&book.Drill{Piece: "P2", Pattern: "n"}, faceRead("P2"))
	s.refused("verdict-stale", certify(), "drill")
	s = packed(t)
	s.do(&book.Repair{Piece: "P1", What: "chip"})
	s.refused("not-packed", &book.Ship{Shipment: "H1", Sets: []string{"S1"}})
	s.refused("not-certified", &book.Pack{Set: "S1", Codes: three})
}

func TestCalibrationOfWhatWasUsed(t *testing.T) {
	s := judged(t)
	gauge := ref(book.KindInstrument, "DIAL")
	s.do(&book.Calibrate{Thing: gauge, Good: false, Due: opening.AddDate(1, 0, 0)})
	s.refused("calibration-bad", certify(), "DIAL", "found wrong")

	s = sawn(t)
	s.now = opening.AddDate(0, 7, 0) // 180 days after the calibration that was 10 days before
	s.do(layUp(), faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"})
	s.refused("calibration-expired", certify(), "DIAL", "2026-08-19")
	s.do(&book.Calibrate{Thing: gauge, Good: true, Due: opening.AddDate(1, 0, 0)})
	s.refused("calibration-expired", certify(), "DIAL") // they were read before it
	s.do(faceRead("P1"), faceRead("P2"), faceRead("P3"))
	s.refused("calibration-expired", certify(), "bench BENCH")
	s.do(&book.Calibrate{Thing: ref(book.KindBench, "BENCH"), Good: true, Due: opening.AddDate(1, 0, 0)}, faceRead("P1"), faceRead("P2"), faceRead("P3"))
	s.refused("calibration-expired", certify(), "DIAL") // the lay-up
	s.do(&book.Judge{Set: "S1", Verdict: "conforms"}, layUp())
	s.refused("reading-unseen", certify(), "S1", "lay-up")
	s.do(&book.Judge{Set: "S1", Verdict: "conforms"}, certify())

	s = sawn(t)
	s.do(&book.TakeIn{Thing: ref(book.KindInstrument, "NEW"), Instrument: &book.InstrumentFacts{Sort: "dial", IntervalDays: 90}}, layUp())
	for _, id := range three {
		r := faceRead(id)
		r.Instruments = []string{"NEW"}
		s.do(r)
	}
	s.do(&book.Judge{Set: "S1", Verdict: "conforms"}, &book.Calibrate{Thing: ref(book.KindInstrument, "NEW"), Good: true, Due: opening.AddDate(1, 0, 0)})
	s.refused("not-calibrated", certify(), "NEW")
}

func TestPackingAndShipping(t *testing.T) {
	s := judged(t)
	pack := func(codes ...string) *book.Pack { return &book.Pack{Set: "S1", Codes: codes} }
	s.refused("not-certified", pack(three...))
	s.do(certify())
	s.refused("wrong-code", pack("P1", "P2", "P4"), "P4", "P1, P2, P3")
	s.refused("missing-code", pack("P1", "P2"), "P3")
	s.refused("wrong-station", &book.Ship{Shipment: "H1", Sets: []string{"S1"}}, "shipping")
	s.do(pack("P3", "P1", "P2"), &book.Ship{Shipment: "H1", Sets: []string{"S1"}, To: "the harbour"})
	s.refused("wrong-station", pack(three...))
	s.refused("wrong-station", &book.Drill{Piece: "P1", Pattern: "n"}, "away")
	s.do(&book.Return{Set: "S1", Complaint: "rolls off"})
	s.refused("wrong-station", &book.Ship{Shipment: "H2", Sets: []string{"S1"}}, "bench")
	s.do(pack(three...))
	s.refused("already-there", &book.Ship{Shipment: "H1", Sets: []string{"S1"}}, "H1")
	s.do(&book.Ship{Shipment: "H2", Sets: []string{"S1"}})
}

func TestLiningCuresBeforeItLeaves(t *testing.T) {
	s := sawn(t)
	s.do(layUp(), &book.EnterRoom{Piece: "P1", Room: "ROOM"}, &book.LeaveRoom{Piece: "P1", Released: "dry"})
	glued := s.do(&book.GlueLining{Piece: "P1", BoardBatch: "MDF", GlueBatch: "PUR"})
	s.do(faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"}, certify())
	s.refused("not-cured", &book.Pack{Set: "S1", Codes: three}, "P1", glued.At.Add(24*time.Hour).Format("2006-01-02 15:04"))
	s.now = glued.At.Add(23 * time.Hour)
	s.do(&book.Pack{Set: "S1", Codes: three})
}

func TestCorrectionsThatCannotBe(t *testing.T) {
	s := packed(t)
	cut := s.journal[len(furniture())+2]
	s.refused("no-such-entry", &book.Correct{Entry: numberOf(opening, 77), Why: "?"})
	s.refused("breaks-later", &book.Correct{Entry: cut.ID, Why: "?"}, "enter-room", "correct that entry")
	s.refused("breaks-later", &book.Correct{Entry: s.journal[6].ID, Why: "?"}, "DIAL") // the dial is in use
	s.refused("not-corrected", &book.Correct{Entry: s.journal[1].ID, Why: "?"})
	weighed := s.do(&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 90})
	struck := s.do(&book.Correct{Entry: weighed.ID, Why: "the scale was not at zero"})
	s.refused("struck", &book.Correct{Entry: weighed.ID, Why: "again"})
	s.refused("not-corrected", &book.Correct{Entry: struck.ID, Why: "it was right"}, weighed.ID)
}

// A correction stands in the place of the entry, at its time, and can be corrected.
func TestCorrectedReading(t *testing.T) {
	s := sawn(t)
	weighed := s.do(&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 90})
	s.do(&book.Weigh{Thing: onPiece("P2"), Scale: "SCALE", MassKg: 80})
	fix := func(entry string, kg float64) book.Entry {
		return s.do(&book.Correct{Entry: entry, Why: "?", Act: "weigh", Body: fmt.Appendf(nil, `{"thing":"piece:P1","scale":"SCALE","mass_kg":%g}`, kg)})
	}
	first := fix(weighed.ID, 91)
	second := fix(first.ID, 92)
	thing, p := s.piece(t, "P1")
	if p.MassKg != 92 || !thing.At.Equal(weighed.At) || s.journal[thing.Seq-1].ID != second.ID {
		t.Errorf("%g kg at %s by entry %d", p.MassKg, thing.At, thing.Seq)
	}
	history, _ := s.History(onPiece("P1"))
	var standing []string
	for _, h := range history {
		if h.Act == "weigh" || h.Act == "correct" {
			standing = append(standing, h.Standing.State)
		}
	}
	if fmt.Sprint(standing) != "[struck struck ]" {
		t.Errorf("the history keeps %q", standing)
	}
	s.do(&book.Correct{Entry: second.ID, Why: "it was never weighed"})
	if _, p := s.piece(t, "P1"); p.MassKg != 100 {
		t.Errorf("%g kg after the weighing was struck out", p.MassKg)
	}
}

// A verdict and a certificate hold for the readings that they have seen, not for what a correction puts in their place.
func TestCorrectedReadingIsUnseen(t *testing.T) {
	s := judged(t)
	read := s.journal[len(s.journal)-2]
	_, body, err := book.Encode(faceRead("P3"))
	if err != nil {
		t.Fatal(err)
	}
	other := &book.Correct{Entry: read.ID, Why: "the file of another piece", Act: "read", Body: bytes.Replace(body, []byte("0011"), []byte("1100"), 1)}
	s.do(other)
	s.refused("reading-unseen", certify(), "P3", "judge the set again")
	s.do(&book.Judge{Set: "S1", Verdict: "conforms"}, certify())
	corrected := s.journal[len(s.journal)-3]
	_, err = s.by(leader, &book.Correct{Entry: corrected.ID, Why: "and again", Act: "read", Body: body})
	wantTrouble(t, err, "breaks-later", "certify") // the certificate rests on it
	s.do(faceRead("P2"))
	s.refused("reading-unseen", &book.Pack{Set: "S1", Codes: three}, "P2", "certify it again")
}
