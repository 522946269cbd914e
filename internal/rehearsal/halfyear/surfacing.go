package halfyear

import (
	"bytes"
	"time"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

// pass is one passage of the surfacing machine.
type pass struct {
	face, stage string
	depth, feed float64
	minutes     int
}

// passes take a sawn piece down to its thickness, the bottom first: 34 mm less 8.05 mm.
var passes = []pass{
	{"bottom", "rough", 3.2, 1.2, 35}, {"top", "rough", 3.2, 1.2, 35}, {"bottom", "middle", 0.75, 1.8, 20}, {"top", "middle", 0.75, 1.8, 20}, {"top", "fine", 0.15, 2.4, 25},
}

// What goes wrong with single pieces, by the count of pieces.
var (
	lostPiece      = 13                                                      // its number was ground away and nobody wrote down where it went
	mistypedPiece  = 22                                                      // its thickness was typed for the piece before it
	rejectedPieces = map[int]string{9: "thickness", 31: "chip", 47: "crack"} // after the first passes
)

// surface takes a piece through its passes and has its playing face read.
func (m *mill) surface(count int, p *piece, e *errand) {
	for i, s := range passes {
		act := &book.Surfaced{Piece: p.number, Face: s.face, Stage: s.stage, DepthMM: s.depth, FeedMMin: s.feed, Disc: discs[s.stage],
			Bits: m.latest(bits[s.stage], e.at)}
		if s.face == string(p.mark) {
			if p.mark = book.OnEdge; count == lostPiece {
				p.mark = book.Nowhere
			}
			act.MarkNow = p.mark
		}
		if done := e.do(s.minutes, book.Surfacing, act, atSurfacing...); done != nil {
			act.Machine = "SM" + done.by.name[len("surfacing"):] // each hand has a machine
		}
		if p.mark == book.Nowhere {
			m.find(p, e)
		}
		if cause := rejectedPieces[count]; cause != "" && i == 1 {
			e.do(10, book.Surfacing, &book.Reject{Thing: ref(book.KindPiece, p.number), Cause: cause}, lead)
			return
		}
	}
	e.do(5, book.Surfacing, &book.Weigh{Thing: ref(book.KindPiece, p.number), Scale: floorScale, MassKg: tenths(p.dry() + 0.4)}, atSurfacing...)
	if e.wait(1); !e.over {
		m.gauge(count, p, e)
	}
}

// find searches for a piece that lost its number, and a second person marks it again.
func (m *mill) find(p *piece, e *errand) {
	e.wait(1)
	if e.do(15, book.Surfacing, &book.Mark{Piece: p.number, On: book.OnEdge, SearchedBy: inspectors[0].name,
		Note: "ranked by station, size, thickness and date; the only one without a number there"}, atSurfacing[1]) != nil {
		p.mark = book.OnEdge
	}
}

// dry is the mass of the dry stone, kg.
func (p *piece) dry() float64 {
	return mass(rehearsal.SizeY, rehearsal.SizeX, p.stone.Thickness(0, 0))
}

// gauge has the surfaced face read, still damp, and puts the piece into the stock for matching, or on the heap if it is bent too much.
func (m *mill) gauge(count int, p *piece, e *errand) {
	p.stone.Read = midnight(e.at)
	f := m.truth.ReadingsOn(p.stone, "after surfacing")
	f.DrySince, f.Lined = "", nil
	m.measure(count, p, f.Thickness[0].T, e)
	act := m.faceRead(p.number, f)
	act.Wet = true
	e.do(25, book.Surfacing, act, inspectors...)
	if e.over {
		return
	}
	if bent(p.stone.BowAlong) || bent(p.stone.BowAcross) || bent(p.stone.Twist/2) {
		e.do(10, book.Surfacing, &book.Reject{Thing: ref(book.KindPiece, p.number), Cause: "flatness", Note: "more than a last pass can take"}, lead)
		return
	}
	p.face, p.ready = f, e.at
}

// bent tells whether a bow is too much for the thickness that is left, 0.27 mm.
func bent(bow float64) bool { return bow > 0.27 || bow < -0.27 }

// faceRead is the reading of a playing face with its file.
func (m *mill) faceRead(number string, f *face.Face) *book.Read {
	var b bytes.Buffer
	if err := f.WriteCSV(&b); err != nil {
		panic("halfyear: " + err.Error()) // a buffer takes everything
	}
	return &book.Read{Thing: ref(book.KindPiece, number), What: "top", Instruments: []string{dial}, Bench: bench, Support: "bench",
		TopC: f.TempTop, BottomC: f.TempBottom, Blob: m.keep(b.Bytes())}
}

// measure reads the thickness of a piece. That of one piece is typed for the piece before it, and corrected on the next day.
func (m *mill) measure(count int, p *piece, mm float64, e *errand) {
	act := &book.Read{Thing: ref(book.KindPiece, p.number), What: "thickness", Instruments: []string{caliper}, Value: &mm, Unit: "mm"}
	if count != mistypedPiece {
		e.do(10, book.Surfacing, act, inspectors...)
		return
	}
	mistyped, wrong := *act, m.pieces[count-1].number
	mistyped.Thing.ID = wrong
	entry := e.do(10, book.Surfacing, &mistyped, inspectors...)
	e.wait(1)
	if entry != nil {
		e.do(5, book.Surfacing, correction(entry, "the thickness of "+p.number+", typed for "+wrong, act), lead)
	}
}

// correction puts another act in an entry's place.
func correction(entry *page, why string, act book.Act) *book.Correct {
	word, body, err := book.Encode(act)
	if err != nil {
		panic("halfyear: " + err.Error())
	}
	return &book.Correct{Entry: entry.id, Why: why, Act: word, Body: body}
}

// fromQuarryLate is what a tablet brings that had no connection in the quarry: the survey, in time for everything, and the rejection of a
// block that was sawn meanwhile. The book keeps both stories until a person decides.
func (m *mill) fromQuarryLate(block book.Ref, looked *page, weighed, sawn time.Time) {
	back := sawn.AddDate(0, 0, 2)
	looked.sent = back
	rejected := m.errand(weighed).do(10, book.Quarry, &book.Reject{Thing: block, Cause: "crack", Note: "a crack opened while it lay in the yard"}, lead)
	rejected.sent = back.Add(time.Second)
}
