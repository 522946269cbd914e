package halfyear

import (
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

func (l *lot) lift() {
	thing := ref(book.KindBlock, l.block)
	stone := book.StoneFacts{LengthMM: 2020, WidthMM: 1570, ThicknessMM: 80, MassKg: 698}
	l.do(book.Quarry, l.either(atQuarry), &book.Lift{Block: l.block, Layer: opened[l.count%len(opened)], Stone: stone})
	l.do(book.Quarry, l.either(atQuarry), &book.Survey{Thing: thing, Instruments: []string{tape}, Cracks: l.count % 3, Blob: l.file()})
	l.do(book.Quarry, l.either(atQuarry), &book.Weigh{Thing: thing, Scale: crane, MassKg: 690 + float64(l.count%17)})
}

func (l *lot) slice() {
	var slabs []book.NewStone
	for _, id := range l.slabs {
		slabs = append(slabs, book.NewStone{ID: id, Stone: book.StoneFacts{LengthMM: 2000, WidthMM: 1540, ThicknessMM: slabThickness}})
	}
	l.do(book.Saw, l.either(atSaw), &book.Slice{Block: l.block, How: "sawn", Disc: discs["saw"], Slabs: slabs, Last: true})
}

func (l *lot) cut() {
	stone := book.StoneFacts{LengthMM: rehearsal.SizeY, WidthMM: rehearsal.SizeX, ThicknessMM: slabThickness, MarkedOn: book.OnEdge}
	for i, ids := range [][]string{l.pieces[:4], l.pieces[4:]} {
		var pieces []book.NewStone
		for _, id := range ids {
			pieces = append(pieces, book.NewStone{ID: id, Stone: stone})
		}
		l.do(book.Saw, l.either(atSaw), &book.Cut{Slab: l.slabs[i], Disc: discs["cut"], Pieces: pieces, Last: true})
	}
}

func (l *lot) surface() {
	for _, id := range l.pieces {
		for _, s := range passes {
			l.do(book.Surfacing, l.either(atSurfacing), &book.Surfaced{Piece: id, Machine: "SM-1", Face: s.face, Stage: s.stage, DepthMM: s.depth, FeedMMin: s.feed,
				Disc: discs[s.stage], Bits: bits[s.stage][0].id})
		}
	}
}

func (l *lot) gauge() {
	for i, id := range l.pieces {
		l.read(id, true)
		if i == piecesMade {
			l.do(book.Surfacing, lead, &book.Reject{Thing: ref(book.KindPiece, id), Cause: "flatness"})
		}
	}
}

func (l *lot) read(piece string, wet bool) {
	warm := 20 + float64(l.draw.IntN(10))/10
	station := book.Bench
	if wet {
		station = book.Surfacing
	}
	l.do(station, l.either(inspectors), &book.Read{Thing: ref(book.KindPiece, piece), What: "top", Instruments: []string{dial}, Bench: bench, Support: "bench",
		TopC: &warm, BottomC: &warm, Blob: l.file(), Wet: wet})
}

// of lists the pieces of one of the two sets.
func (l *lot) of(set int) []string { return l.pieces[piecesOfSet*set:][:piecesOfSet] }

func (l *lot) match() {
	for i, id := range l.sets {
		step := float64(20+l.draw.IntN(40)) / 1000
		l.do(book.Sets, inspectors[1], &book.Match{Pieces: l.of(i), StepMM: step, ZoneMM: 0.3})
		l.do(book.Sets, inspectors[1], &book.LayUp{Set: id, Pieces: l.of(i), Bench: setBench, Instruments: []string{stepGauge}, StepsMM: []float64{step, 0.04}, Blob: l.file()})
	}
}

func (l *lot) drill() {
	for _, id := range l.pieces[:piecesMade] {
		l.do(book.Drilling, atDrilling[0], &book.Drill{Piece: id, Pattern: spec().Pattern, Holes: 8, Pockets: 2, Bits: bits["drill"][0].id})
		l.do(book.Drilling, l.either(inspectors), &book.Check{Piece: id, What: "holes", Instruments: []string{caliper}, WorstMM: 0.4, Good: true})
	}
}

func (l *lot) enter() {
	for _, id := range l.pieces[:piecesMade] {
		l.do(book.Room, atLining[0], &book.EnterRoom{Piece: id, Room: room})
	}
}

func (l *lot) weigh() {
	for _, id := range l.pieces[:piecesMade] {
		l.do(book.Room, atLining[0], &book.Weigh{Thing: ref(book.KindPiece, id), Scale: floorScale, MassKg: 95 + float64(l.draw.IntN(30))/10})
	}
}

func (l *lot) leave() {
	for _, id := range l.pieces[:piecesMade] {
		l.do(book.Room, atLining[0], &book.LeaveRoom{Piece: id})
	}
}

func (l *lot) glue() {
	for _, id := range l.pieces[:piecesMade] {
		l.do(book.Lining, atLining[0], &book.GlueLining{Piece: id, BoardBatch: boards[0].id, GlueBatch: glues[0].id, Layout: "full", MoisturePercent: 7.5, PressMinutes: 50})
	}
}

func (l *lot) ream() {
	for _, id := range l.pieces[:piecesMade] {
		l.do(book.Lining, atLining[0], &book.Ream{Piece: id, Holes: 8})
		l.do(book.Lining, l.either(inspectors), &book.Check{Piece: id, What: "lining", Instruments: []string{caliper}, WorstMM: 0.2, Good: true})
	}
}

func (l *lot) finish() {
	for _, id := range l.pieces[:piecesMade] {
		l.do(book.Bench, atBench[0], &book.Finish{Piece: id, MarkNow: book.OnLining})
	}
}

func (l *lot) last() {
	for _, id := range l.pieces[:piecesMade] {
		l.read(id, false)
	}
}

func (l *lot) certify() {
	for _, id := range l.sets {
		l.do(book.Bench, inspectors[0], &book.Judge{Set: id, Verdict: "conforms", Blob: l.file(), Answers: answers()})
		l.do(book.Bench, inspectors[1], &book.Certify{Set: id, Certificate: "C" + id[1:], Digest: l.file(), Blob: l.file(), Key: "demo", Answers: answers()}).reaffirmed = true
	}
}

func (l *lot) pack() {
	for i, id := range l.sets {
		l.do(book.Shipping, atShipping[0], &book.Pack{Set: id, Codes: l.of(i), MassKg: 410})
	}
}

func (l *lot) ship() {
	l.do(book.Shipping, atShipping[0], &book.Ship{Shipment: "SH-" + l.block[1:], Sets: l.sets[:], To: "the harbour"})
}

// complain takes one set in a hundred back.
func (l *lot) complain() {
	if l.count%50 == 49 {
		l.do(book.Shipping, lead, &book.Return{Set: l.sets[0], Complaint: "a ball rolls off towards the foot"})
	}
}
