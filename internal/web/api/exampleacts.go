package api

import (
	"time"

	"slatewright/internal/book"
)

// sample is an act with where it is done.
type sample struct {
	station book.Station
	act     book.Act
}

func piece(id string) book.Ref { return book.Ref{Kind: book.KindPiece, ID: id} }

// exampleActs has one act of every word; a test holds it to the acts that the book knows.
var exampleActs = func() map[string]sample {
	set := map[string]sample{}
	for _, s := range append(exampleStone(), exampleMade()...) {
		set[s.act.Word()] = s
	}
	return set
}()

func exampleStone() []sample {
	calibrated := exampleTime.AddDate(0, -1, 0)
	return []sample{
		{book.Office, &book.TakeIn{Thing: book.Ref{Kind: book.KindInstrument, ID: "DIAL-2"}, Instrument: &book.InstrumentFacts{Sort: "dial", UMM: 0.002, IntervalDays: 180, CalibratedAt: &calibrated}}},
		{book.Quarry, &book.Survey{Thing: book.Ref{Kind: book.KindLayer, ID: "L-2"}, Cracks: 2, ClearMM: 3100}},
		{book.Quarry, &book.Lift{Block: "B-7", Layer: "L-2", Stone: book.StoneFacts{LengthMM: 3000, WidthMM: 1600, ThicknessMM: 700, MassKg: 9240}}},
		{book.Saw, &book.Slice{Block: "B-7", How: "sawn", Disc: "D-3", Slabs: []book.NewStone{{ID: "QH-S31", Stone: book.StoneFacts{LengthMM: 3000, WidthMM: 1600, ThicknessMM: 32}}}}},
		{book.Saw, &book.Cut{Slab: "QH-S31", Disc: "D-3", Last: true, Pieces: []book.NewStone{{ID: "QH-0101", Stone: book.StoneFacts{LengthMM: 1473, WidthMM: 965, ThicknessMM: 32, MarkedOn: book.OnTop}}}}},
		{book.Saw, &book.Reject{Thing: book.Ref{Kind: book.KindSlab, ID: "QH-S32"}, Cause: "vein", Note: "a soft vein over the whole width"}},
		{book.Surfacing, &book.Surfaced{Piece: "QH-0101", Machine: "M-1", Face: "top", Stage: "rough", DepthMM: 1.2, FeedMMin: 1.5, Disc: "D-3", Bits: "BS-4", MarkNow: book.OnEdge}},
		{book.Surfacing, &book.Mark{Piece: "QH-0101", On: book.OnEdge}},
		{book.Bench, &book.Read{Thing: piece("QH-0101"), What: "top", Instruments: []string{"DIAL-2"}, Bench: "BENCH-1", Support: "lines 0.22", Blob: exampleHash}},
		{book.Sets, &book.Match{Pieces: []string{"QH-0101", "QH-0102", "QH-0103"}, StepMM: 0.04, ZoneMM: 0.31, Turned: []string{"QH-0103"}}},
		{book.Sets, &book.LayUp{Set: "QH-12", Pieces: []string{"QH-0101", "QH-0102", "QH-0103"}, Bench: "BENCH-1", Instruments: []string{"DIAL-2"}, StepsMM: []float64{0.03, 0.05}, Turned: []string{"QH-0103"}}},
		{book.Sets, &book.DressJoint{Piece: "QH-0101", Joint: "foot", DepthMM: 0.05, Tool: "hand stone"}},
		{book.Sets, &book.PartSet{Set: "QH-12", Why: "the foot piece is wanted for another bed"}},
		{book.Saw, &book.Resize{Piece: "QH-0101", To: "8 ft", LengthMM: 1320, WidthMM: 860, Disc: "D-3"}},
		{book.Drilling, &book.Drill{Piece: "QH-0101", Pattern: "house-9ft r3", Holes: 14, Pockets: 2}},
		{book.Drilling, &book.Check{Piece: "QH-0101", What: "holes", Instruments: []string{"TAPE-1"}, WorstMM: 0.6, Good: true}},
		{book.Bench, &book.Weigh{Thing: piece("QH-0101"), Scale: "SCALE-1", MassKg: 96.4}},
	}
}

func exampleMade() []sample {
	return []sample{
		{book.Room, &book.EnterRoom{Piece: "QH-0101", Room: "ROOM-1"}},
		{book.Room, &book.LeaveRoom{Piece: "QH-0101"}},
		{book.Lining, &book.GlueLining{Piece: "QH-0101", BoardBatch: "MDF-9", GlueBatch: "PUR-4", Layout: "full", MoisturePercent: 7.4, PressMinutes: 90}},
		{book.Lining, &book.Ream{Piece: "QH-0101", Holes: 14}},
		{book.Bench, &book.Finish{Piece: "QH-0101", Note: "edges chamfered"}},
		{book.Bench, &book.Repair{Piece: "QH-0101", What: "a chip at the head left corner filled", GlueBatch: "EP-2"}},
		{book.Bench, &book.Judge{Set: "QH-12", Verdict: "conforms", Answers: map[string]string{"decision": "guard band"}}},
		{book.Bench, &book.Certify{Set: "QH-12", Certificate: "QH-C-12", Digest: exampleHash, Blob: exampleHash, Key: "k-2026"}},
		{book.Shipping, &book.Pack{Set: "QH-12", Codes: []string{"QH-0101", "QH-0102", "QH-0103"}, MassKg: 310}},
		{book.Shipping, &book.Ship{Shipment: "SH-5", Sets: []string{"QH-12"}, Order: "O-8", To: "the northern depot"}},
		{book.Office, &book.Return{Set: "QH-12", Complaint: "a ball rolls off to the left over the foot joint"}},
		{book.Bench, &book.Calibrate{Thing: book.Ref{Kind: book.KindInstrument, ID: "DIAL-2"}, Good: true, Due: exampleTime.Add(180 * 24 * time.Hour), By: "own gauge blocks"}},
		{book.Office, &book.Correct{Entry: exampleID, Why: "the scale was not at zero", Act: "weigh", Body: []byte(`{"thing":"piece:QH-0101","scale":"SCALE-1","mass_kg":95.9}`)}},
		{book.Office, &book.Appoint{Person: "saw-1", Role: book.Hand, Called: "first hand at the saw"}},
		{book.Office, &book.Settle{Name: "Quern Hollow", Answers: map[string]string{"state": "laid"}, Demo: true}},
	}
}
