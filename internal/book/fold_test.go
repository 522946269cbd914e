package book_test

import (
	"fmt"
	"testing"

	"slatewright/internal/book"
)

func value(x float64) *float64 { return &x }

// What the book remembers of things that are not stone.
func TestThingsOfTheMillRemember(t *testing.T) {
	s := sawn(t)
	wet := 51.5
	s.do(
		&book.Survey{Thing: ref(book.KindLayer, "L1"), Cracks: 3, ClearMM: 6400, Blob: digest, Instruments: []string{"DIAL"}},
		&book.Survey{Thing: ref(book.KindBlock, "B1"), Cracks: 1},
		&book.Read{Thing: ref(book.KindBoardBatch, "MDF"), What: "moisture", Instruments: []string{"METER"}, Value: value(7.4), Unit: "%"},
		&book.Read{Thing: ref(book.KindBitSet, "BITS"), What: "bit-height", Instruments: []string{"DIAL"}, Value: value(6.1), Unit: "mm"},
		&book.Read{Thing: ref(book.KindRoom, "ROOM"), What: "climate", Instruments: []string{"HYGRO"}, Value: value(19.5), Unit: "C", HumidityPercent: &wet},
		&book.Calibrate{Thing: ref(book.KindInstrument, "DIAL"), Good: true, Due: opening.AddDate(1, 0, 0)},
	)
	if _, l := decoded[book.LayerState](t, s.memory, book.KindLayer, "L1"); l.Cracks != 3 || l.ClearMM != 6400 || l.Map != digest || l.ThicknessMM != 900 {
		t.Errorf("%+v", l)
	}
	if _, b := decoded[book.BlockState](t, s.memory, book.KindBlock, "B1"); b.Cracks != 1 {
		t.Errorf("%+v", b)
	}
	if _, b := decoded[book.BatchState](t, s.memory, book.KindBoardBatch, "MDF"); b.MoisturePercent != 7.4 || b.Sort != "MDF" {
		t.Errorf("%+v", b)
	}
	if _, b := decoded[book.ToolState](t, s.memory, book.KindBitSet, "BITS"); b.HeightMM != 6.1 || b.Bits != 24 {
		t.Errorf("%+v", b)
	}
	if _, r := decoded[book.RoomState](t, s.memory, book.KindRoom, "ROOM"); len(r.Readings) != 1 || *r.Readings[0].Value != 19.5 || r.Places != 40 {
		t.Errorf("%+v", r)
	}
	if _, i := decoded[book.InstrumentState](t, s.memory, book.KindInstrument, "DIAL"); len(i.Calibrations) != 2 || i.Calibrations[1].DueMS != opening.AddDate(1, 0, 0).UnixMilli() {
		t.Errorf("%+v", i)
	}
}

// Stations of a piece and its set along the whole way; a set stands where the piece stands that has the farthest to go.
func TestStationsAlongTheWay(t *testing.T) {
	s := sawn(t)
	stands := func(want string) {
		t.Helper()
		got := fmt.Sprintf("B1 %s, A %s, P1 %s", s.things[ref(book.KindBlock, "B1")].Station, s.things[ref(book.KindSlab, "B1-A")].Station, s.things[onPiece("P1")].Station)
		if set, ok := s.things[ref(book.KindSet, "S1")]; ok {
			got += fmt.Sprintf(", S1 %s", set.Station)
		}
		if got != want {
			t.Fatalf("%s, not %s", got, want)
		}
	}
	stands("B1 saw, A saw, P1 surfacing")
	s.do(layUp())
	stands("B1 saw, A saw, P1 sets, S1 sets")
	s.do(&book.Drill{Piece: "P1", Pattern: "n"})
	stands("B1 saw, A saw, P1 drilling, S1 sets")
	s.do(&book.Drill{Piece: "P2", Pattern: "n"}, &book.Drill{Piece: "P3", Pattern: "n"})
	stands("B1 saw, A saw, P1 drilling, S1 drilling")
	s.do(&book.EnterRoom{Piece: "P1", Room: "ROOM"}, &book.LeaveRoom{Piece: "P1", Released: "dry"})
	stands("B1 saw, A saw, P1 lining, S1 drilling")
	s.do(rested("P2", "P3")...)
	s.do(&book.Finish{Piece: "P1"}, &book.Finish{Piece: "P2"}, &book.Finish{Piece: "P3"})
	stands("B1 saw, A saw, P1 bench, S1 bench")
	s.do(faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"}, certify(), &book.Pack{Set: "S1", Codes: three})
	stands("B1 saw, A saw, P1 shipping, S1 shipping")
	s.do(&book.Ship{Shipment: "H1", Sets: []string{"S1"}})
	stands("B1 saw, A saw, P1 away, S1 away")
	s.do(&book.Return{Set: "S1", Complaint: "rolls off"}, &book.PartSet{Set: "S1", Why: "cracked"}, &book.Reject{Thing: onPiece("P1"), Cause: "crack"})
	stands("B1 saw, A saw, P1 heap, S1 heap")
}

// A piece remembers its sizes and readings, and forgets the oldest of very many readings.
func TestPieceRemembers(t *testing.T) {
	s := sawn(t)
	s.do(&book.Read{Thing: onPiece("P1"), What: "thickness", Instruments: []string{"DIAL"}, Value: value(25.9), Unit: "mm"},
		&book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 97.5},
		&book.Resize{Piece: "P1", To: "8 ft", LengthMM: 1340, WidthMM: 813, MarkNow: book.OnTop})
	if _, p := s.piece(t, "P1"); p.ThicknessMM != 25.9 || p.MassKg != 97.5 || p.LengthMM != 1340 || p.WidthMM != 813 || p.Size != "8 ft" || p.Readings[0].ExpiredAct != "resize" {
		t.Errorf("%+v", p)
	}
	var last book.Entry
	for range 50 {
		last = s.do(faceRead("P1"))
	}
	if _, p := s.piece(t, "P1"); len(p.Readings) != 40 || p.Readings[39].Entry != last.ID {
		t.Errorf("%d readings, the last %s", len(p.Readings), p.Readings[len(p.Readings)-1].Entry)
	}
}

// A set that is laid up again stands, with all its pieces, where that was done; when the entry does not say where, a piece that was taken
// back comes as far as a lay-up leads, and one that is further stays.
func TestLaidUpAgain(t *testing.T) {
	s := sawn(t)
	s.do(layUp(), &book.Finish{Piece: "P1"}, &book.Finish{Piece: "P2"}, &book.Finish{Piece: "P3"}, fine("P2"))
	stand := func(set, first, second book.Station) {
		t.Helper()
		one, _ := s.piece(t, "P1")
		two, _ := s.piece(t, "P2")
		thing, state := decoded[book.SetState](t, s.memory, book.KindSet, "S1")
		if thing.Station != set || one.Station != first || two.Station != second || state.At[0] != first || state.At[1] != second {
			t.Errorf("S1 stands at %s, P1 at %s, P2 at %s; the set has them at %v", thing.Station, one.Station, two.Station, state.At)
		}
		same(t, "laid up again", s.memory, s.afresh(t))
	}
	again := func(at book.Station) {
		t.Helper()
		e := s.next(layUp())
		e.Station = at
		if _, err := s.hand(e, leader, false); err != nil {
			t.Fatal(err)
		}
	}
	stand(book.Surfacing, book.Bench, book.Surfacing)
	again(book.Office)
	stand(book.Sets, book.Bench, book.Sets)
	again(book.Bench)
	stand(book.Bench, book.Bench, book.Bench)
	s.do(fine("P2"))
	again(book.Bench)
	stand(book.Bench, book.Bench, book.Bench)
	again(book.Sets)
	stand(book.Sets, book.Sets, book.Sets)
}
