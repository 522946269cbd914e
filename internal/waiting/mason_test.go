package waiting_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/waiting"
)

// mason makes a house by hand: acts go into a book that is kept in maps, an hour apart. It implements book.View.
type mason struct {
	t         testing.TB
	now       time.Time
	journal   []book.Entry
	things    map[book.Ref]book.Thing
	touches   map[book.Ref][]book.Touch
	standings map[int64]book.Standing
}

func (m *mason) Thing(r book.Ref) (book.Thing, bool, error) { t, ok := m.things[r]; return t, ok, nil }

func (m *mason) History(r book.Ref) (list []book.Placed, err error) {
	for _, t := range m.touches[r] {
		list = append(list, book.Placed{Entry: m.journal[t.Seq-1], At: t.At, Part: t.Part, Standing: m.standings[t.Seq]})
	}
	slices.SortFunc(list, func(a, b book.Placed) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	return list, nil
}

func (m *mason) Entry(id string) (book.Placed, bool, error) {
	for _, e := range m.journal {
		if e.ID == id {
			return book.Placed{Entry: e, At: e.At, Standing: m.standings[e.Seq]}, true, nil
		}
	}
	return book.Placed{}, false, nil
}

func (m *mason) Children(parent book.Ref) (list []book.Ref, err error) {
	for r, t := range m.things {
		if t.Parent == parent {
			list = append(list, r)
		}
	}
	slices.SortFunc(list, func(a, b book.Ref) int { return cmp.Compare(a.String(), b.String()) })
	return list, nil
}

func (m *mason) Conflicts(book.Ref) ([]book.Placed, error) { return nil, nil }
func (m *mason) ReachOf(book.Ref) ([]book.Reach, error)    { return nil, nil }

// opening is the first morning of a house that is made by hand.
var opening = time.Date(2026, 9, 1, 7, 0, 0, 0, time.UTC)

// masonry is a mill with its people, gauges, a room and batches, and an order of two sets.
func masonry(t testing.TB) *mason {
	m := &mason{t: t, now: opening, things: map[book.Ref]book.Thing{}, touches: map[book.Ref][]book.Touch{}, standings: map[int64]book.Standing{}}
	lately, year := opening.AddDate(0, 0, -10), opening.AddDate(1, 0, 0)
	gauge := func(sort string) *book.InstrumentFacts {
		return &book.InstrumentFacts{Sort: sort, UMM: 0.005, IntervalDays: 360, CalibratedAt: &lately}
	}
	m.do(&book.Settle{Name: "Quern Hollow", Answers: map[string]string{"lining-layout": "full"}, Demo: true},
		&book.Appoint{Person: "lead", Role: book.Lead}, &book.Appoint{Person: "hand", Role: book.Hand},
		&book.TakeIn{Thing: ref("layer:L1"), Layer: &book.LayerFacts{ThicknessMM: 900}},
		&book.TakeIn{Thing: ref("instrument:DIAL"), Instrument: gauge("dial")},
		&book.TakeIn{Thing: ref("bench:BENCH"), Instrument: gauge("bench")},
		&book.TakeIn{Thing: ref("room:ROOM"), Room: &book.RoomFacts{Places: 6}},
		&book.TakeIn{Thing: ref("board-batch:MDF"), Batch: &book.BatchFacts{Sort: "MDF", MoisturePercent: 8, UseBefore: &year}},
		&book.TakeIn{Thing: ref("glue-batch:PUR"), Batch: &book.BatchFacts{Sort: "PUR", UseBefore: &year}},
		&book.TakeIn{Thing: ref("order:O1"), Order: &book.OrderFacts{Size: "9 ft", Sets: 2, Due: opening.AddDate(0, 6, 0)}})
	return m
}

func ref(s string) book.Ref {
	r, err := book.ParseRef(s)
	if err != nil {
		panic(err)
	}
	return r
}

// do hands in acts that must be taken, an hour apart, and returns the number of the last entry.
func (m *mason) do(acts ...book.Act) string {
	m.t.Helper()
	var id string
	for _, a := range acts {
		m.now = m.now.Add(time.Hour)
		id = m.enter(a, m.now, false)
	}
	return id
}

// late hands in an act of an earlier time, which is kept even when it cannot follow.
func (m *mason) late(a book.Act, at time.Time) string { m.t.Helper(); return m.enter(a, at, true) }

func (m *mason) enter(a book.Act, at time.Time, late bool) string {
	m.t.Helper()
	word, body, err := book.Encode(a)
	if err != nil {
		m.t.Fatalf("%s: %v", a.Word(), err)
	}
	seq := int64(len(m.journal) + 1)
	e := book.Entry{Seq: seq, ID: fmt.Sprintf("01%024d", seq), Site: "quern-hollow", At: at, Person: "lead", Station: book.Office, Act: word, Body: body}
	o, err := book.Admit(m, e, book.Caller{Person: "lead", Role: book.Lead, System: true}, late)
	if err != nil {
		m.t.Fatalf("%s %s: %v", word, body, err)
	}
	m.journal = append(m.journal, o.Entry)
	for _, t := range o.Touches {
		m.touches[t.Ref] = append(m.touches[t.Ref], t)
	}
	for _, t := range o.Things {
		m.things[t.Ref] = t
	}
	for _, r := range o.Gone {
		delete(m.things, r)
	}
	for _, s := range o.Standings {
		m.standings[s.Seq] = s
	}
	return e.ID
}

// days lets days go by.
func (m *mason) days(n int) *mason { m.now = m.now.AddDate(0, 0, n); return m }

// house is the house as it stands, with what was measured.
func (m *mason) house(known waiting.Measured) *waiting.House {
	m.t.Helper()
	var things []book.Thing
	for _, t := range m.things {
		things = append(things, t)
	}
	var entries, conflicts []book.Placed
	for _, e := range m.journal {
		p := book.Placed{Entry: e, At: e.At, Standing: m.standings[e.Seq]}
		entries = append(entries, p)
		if p.Standing.State == book.InConflict {
			conflicts = append(conflicts, p)
		}
	}
	h, err := waiting.NewHouse("quern-hollow", things, conflicts, entries, bed.NineFoot(), known)
	if err != nil {
		m.t.Fatal(err)
	}
	return h
}

// ask asks the house as it stands now.
func (m *mason) ask(known waiting.Measured) []waiting.Question {
	return waiting.Ask(m.house(known), m.now.Add(time.Minute))
}

// blob is the digest of a file that nobody looks into.
func blob(n int) string { return fmt.Sprintf("%064x", n+1) }

// pieces takes in surfaced nine-foot pieces, each with its number on the edge.
func (m *mason) pieces(ids ...string) *mason {
	m.t.Helper()
	for _, id := range ids {
		m.do(&book.TakeIn{Thing: ref("piece:" + id), Stone: &book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 26, MarkedOn: book.OnEdge}},
			&book.Surfaced{Piece: id, Machine: "SM-1", Face: "top", Stage: "fine", DepthMM: 0.1})
	}
	return m
}

// read reads the playing faces of pieces.
func (m *mason) read(ids ...string) *mason {
	m.t.Helper()
	for i, id := range ids {
		m.do(&book.Read{Thing: ref("piece:" + id), What: "top", Instruments: []string{"DIAL"}, Bench: "BENCH", Support: "bench", Blob: blob(len(m.journal) + i)})
	}
	return m
}

var three = []string{"P1", "P2", "P3"}

// set takes a set as far as a word says: laid, drilled, room, left, lined, reamed, finished, read, judged, certified, packed.
func (m *mason) set(id string, until string, ids ...string) *mason {
	m.t.Helper()
	stages := strings.Fields("laid drilled room left lined reamed finished read judged certified packed")
	m.pieces(ids...).read(ids...)
	for _, stage := range stages[:slices.Index(stages, until)+1] {
		m.stage(stage, id, ids)
	}
	return m
}

func (m *mason) stage(stage, id string, ids []string) {
	m.t.Helper()
	each := func(act func(id string) book.Act) {
		for _, p := range ids {
			m.do(act(p))
		}
	}
	switch stage {
	case "laid":
		m.do(&book.LayUp{Set: id, Pieces: ids, Bench: "BENCH", Instruments: []string{"DIAL"}, StepsMM: []float64{0.03, 0.04}, Order: "O1"})
	case "drilled":
		each(func(p string) book.Act { return &book.Drill{Piece: p, Pattern: "nine-foot", Holes: 8} })
		each(func(p string) book.Act { return &book.Check{Piece: p, What: "holes", Good: true} })
	case "room":
		each(func(p string) book.Act { return &book.EnterRoom{Piece: p, Room: "ROOM"} })
	case "left":
		m.days(31)
		each(func(p string) book.Act { return &book.LeaveRoom{Piece: p} })
	case "lined":
		each(func(p string) book.Act {
			return &book.GlueLining{Piece: p, BoardBatch: "MDF", GlueBatch: "PUR", Layout: "full"}
		})
	case "reamed":
		m.days(2)
		each(func(p string) book.Act { return &book.Ream{Piece: p, Holes: 8} })
	case "finished":
		each(func(p string) book.Act { return &book.Finish{Piece: p} })
		each(func(p string) book.Act { return &book.Check{Piece: p, What: "chips", Good: true} })
	case "read":
		m.read(ids...)
	case "judged":
		m.do(&book.Judge{Set: id, Verdict: "conforms"})
	case "certified":
		m.do(&book.Certify{Set: id, Certificate: "C-" + id, Digest: blob(1), Blob: blob(1), Key: "k"})
	case "packed":
		m.do(&book.Pack{Set: id, Codes: ids})
	}
}

// known is what was measured, the same of every file.
type known struct {
	flat *waiting.Flat
	bed  *waiting.Bed
	list *waiting.Boards
}

func (k known) Boards(digest string) (waiting.Boards, bool) {
	if k.list == nil || digest == "" {
		return waiting.Boards{}, false
	}
	return *k.list, true
}

func (k known) Flat(string) (waiting.Flat, bool) {
	if k.flat == nil {
		return waiting.Flat{}, false
	}
	return *k.flat, true
}

func (k known) Bed([]string, string) (waiting.Bed, bool) {
	if k.bed == nil {
		return waiting.Bed{}, false
	}
	return *k.bed, true
}
