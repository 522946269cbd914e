package waiting_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/waiting"
)

// oneCase is a house in which a question must be asked.
type oneCase struct {
	name    string
	kind    waiting.Kind
	house   func(m *mason)
	known   known
	key     string // of the question
	do      string // the key of the recommendation, after waiting.do.
	sure    waiting.How
	acts    string // with blanks between
	may     book.Role
	weighty bool
	at      book.Station
}

var flatOut = &waiting.Flat{ZoneMM: 0.7, UMM: 0.01}

// cases has one house or more for every kind of question.
var cases = []oneCase{
	{"a block to slice", waiting.Slice, block(114, 1), known{}, "slice:block:B1", "slice", waiting.Computed, "slice reject", book.Hand, true, book.Saw},
	{"a cracked block", waiting.Scrap, block(114, 7), known{}, "scrap:block:B1", "scrap-block", waiting.Computed, "reject survey slice", book.Hand, true, book.Saw},
	{"a block without measures", waiting.Slice, block(0, 0), known{}, "slice:block:B1", "look", waiting.CannotTell, "slice reject", book.Hand, true, book.Saw},
	{"a slab to cut", waiting.Cut, func(m *mason) {
		m.do(&book.TakeIn{Thing: ref("slab:S1"), Stone: &book.StoneFacts{LengthMM: 1980, WidthMM: 1540, ThicknessMM: 34}})
	}, known{}, "cut:slab:S1", "cut", waiting.Computed, "cut reject", book.Hand, true, book.Saw},
	{"a lost number", waiting.Remark, func(m *mason) { m.pieces("P1").do(&book.Mark{Piece: "P1", On: book.Nowhere}) }, known{}, "remark:piece:P1", "remark-only", waiting.Computed,
		"mark reject", book.Hand, false, book.Surfacing},
	{"two lost numbers", waiting.Remark, func(m *mason) {
		m.pieces("P1", "P2").do(&book.Mark{Piece: "P1", On: book.Nowhere}, &book.Mark{Piece: "P2", On: book.Nowhere})
	}, known{}, "remark:piece:P2", "remark", waiting.CannotTell, "mark reject", book.Hand, false, book.Surfacing},
	{"a number that nobody saw", waiting.Remark, func(m *mason) {
		m.do(&book.TakeIn{Thing: ref("piece:P1"), Stone: &book.StoneFacts{LengthMM: 1473, WidthMM: 914}})
	}, known{}, "remark:piece:P1", "mark", waiting.ByRule, "mark", book.Hand, false, book.Surfacing},
	{"loose pieces not read", waiting.Measure, func(m *mason) { m.pieces("P1", "P2") }, known{}, "measure:surfacing:9 ft", "measure-loose", waiting.ByRule, "read", book.Hand, false, book.Surfacing},
	{"a set whose readings expired", waiting.Measure, set("finished"), known{}, "measure:set:S1", "measure-expired", waiting.ByRule, "read", book.Hand, false, book.Bench},
	{"a reading without a file", waiting.Measure, func(m *mason) {
		m.set("S1", "read", three...)
		value := 0.1
		m.do(&book.Read{Thing: ref("piece:P2"), What: "top", Instruments: []string{"DIAL"}, Value: &value, Unit: "mm"})
	}, known{}, "measure:set:S1", "measure-no-file", waiting.ByRule, "read", book.Hand, false, book.Bench},
	{"a wet reading", waiting.Measure, func(m *mason) {
		m.set("S1", "read", three...)
		m.do(&book.Read{Thing: ref("piece:P2"), What: "top", Instruments: []string{"DIAL"}, Blob: blob(9), Wet: true})
	}, known{}, "measure:set:S1", "measure-wet", waiting.ByRule, "read", book.Hand, false, book.Bench},
	{"a reading out of calibration", waiting.Measure, func(m *mason) {
		m.set("S1", "read", three...)
		m.do(&book.Calibrate{Thing: ref("instrument:DIAL"), Good: false, Due: m.now.AddDate(0, 6, 0)})
	}, known{}, "measure:set:S1", "measure-calibrated", waiting.ByRule, "read", book.Hand, false, book.Bench},
	{"a verdict that cannot tell", waiting.Measure, func(m *mason) {
		m.set("S1", "read", three...).do(&book.Judge{Set: "S1", Verdict: "cannot tell"})
	}, known{}, "measure:set:S1", "measure-all", waiting.ByRule, "read lay-up judge", book.Hand, false, book.Bench},
	{"a verdict with an advice", waiting.Measure, func(m *mason) {
		m.set("S1", "read", three...).do(&book.Judge{Set: "S1", Verdict: "cannot tell", Next: "Read P2 again."})
	}, known{}, "measure:set:S1", "advice", waiting.ByRule, "read lay-up judge", book.Hand, false, book.Bench},
	{"a face to grind again", waiting.Regrind, func(m *mason) { m.thick(28.0) }, known{flat: flatOut}, "regrind:piece:P1", "regrind", waiting.Computed, "surface resize reject", book.Hand, true, book.Surfacing},
	{"a face for a smaller bed", waiting.Regrind, func(m *mason) { m.thick(25.6) }, known{flat: &waiting.Flat{ZoneMM: 0.56, UMM: 0.01}}, "regrind:piece:P1", "regrade", waiting.Computed, "resize reject surface", book.Hand, true, book.Saw},
	{"a face to give up", waiting.Regrind, func(m *mason) { m.thick(25.6) }, known{flat: &waiting.Flat{ZoneMM: 2, UMM: 0.01}}, "regrind:piece:P1", "scrap", waiting.Computed, "reject resize surface", book.Hand, true, book.Surfacing},
	{"a face near its limit", waiting.Regrind, func(m *mason) { m.thick(28.0) }, known{flat: &waiting.Flat{ZoneMM: 0.5, UMM: 0.01}}, "regrind:piece:P1", "regrind-read", waiting.CannotTell, "read surface resize reject", book.Hand, true, book.Surfacing},
	{"a face of unknown thickness", waiting.Regrind, func(m *mason) {
		m.do(&book.TakeIn{Thing: ref("piece:P1"), Stone: &book.StoneFacts{LengthMM: 1473, WidthMM: 914, MarkedOn: book.OnEdge}},
			&book.Surfaced{Piece: "P1", Machine: "SM-1", Face: "top", Stage: "fine"})
		m.read("P1")
	}, known{flat: flatOut}, "regrind:piece:P1", "regrind-thickness", waiting.CannotTell, "read surface resize reject", book.Hand, true, book.Surfacing},
	{"pieces to match for an order", waiting.Match, func(m *mason) { m.pieces(three...).read(three...) }, known{}, "match:9 ft", "match", waiting.CannotTell, "match lay-up", book.Hand, false, book.Sets},
	{"pieces that no order wants", waiting.Match, func(m *mason) {
		m.set("S1", "laid", "A1", "A2", "A3").set("S2", "laid", "A4", "A5", "A6").pieces(three...).read(three...)
	}, known{}, "match:9 ft", "match-stock", waiting.Computed, "match lay-up", book.Hand, false, book.Sets},
	{"a match", waiting.LayUp, func(m *mason) {
		m.pieces(three...).read(three...).do(&book.Match{Pieces: three, StepMM: 0.04, ZoneMM: 0.2, Order: "O1"})
	}, known{}, "lay-up:", "lay-up", waiting.Computed, "lay-up match", book.Hand, false, book.Sets},
	{"a match without a figure", waiting.LayUp, func(m *mason) { m.pieces(three...).read(three...).do(&book.Match{Pieces: three}) }, known{}, "lay-up:", "lay-up", waiting.CannotTell, "lay-up match", book.Hand, false, book.Sets},
	{"a dressed joint", waiting.LayUp, func(m *mason) {
		m.set("S1", "laid", three...).do(&book.DressJoint{Piece: "P2", Joint: "foot", DepthMM: 0.03})
	}, known{}, "lay-up:set:S1", "lay-up-again", waiting.ByRule, "lay-up", book.Hand, false, book.Sets},
	{"a step for a hand", waiting.Dress, steps(0.03, 0.16), known{}, "dress:set:S1", "dress", waiting.Computed, "dress-joint lay-up part-set", book.Hand, false, book.Sets},
	{"a step too high for a hand", waiting.Dress, steps(0.4, 0.02), known{}, "dress:set:S1", "dress-not", waiting.Computed, "part-set lay-up dress-joint", book.Hand, false, book.Sets},
	{"a set to drill", waiting.Drill, set("laid"), known{}, "drill:set:S1", "drill", waiting.ByRule, "drill", book.Hand, false, book.Drilling},
	{"holes to check", waiting.Check, func(m *mason) {
		m.set("S1", "laid", three...)
		for _, p := range three {
			m.do(&book.Drill{Piece: p, Pattern: "nine-foot", Holes: 8})
		}
	}, known{}, "check:set:S1", "check", waiting.ByRule, "check", book.Hand, false, book.Drilling},
	{"holes that are wrong", waiting.PutRight, func(m *mason) {
		m.set("S1", "drilled", three...).do(&book.Check{Piece: "P2", What: "holes", WorstMM: 3})
	}, known{}, "put-right:set:S1", "put-right", waiting.ByRule, "repair check part-set", book.Hand, false, book.Drilling},
	{"an act that the mill forbids", waiting.PutRight, func(m *mason) {
		route := book.DefaultRoute()
		for i := range route.Steps {
			if route.Steps[i].Act == "drill" {
				route.Steps[i].From = []book.Station{book.Bench, book.Surfacing, book.Saw}
			}
		}
		m.set("S1", "laid", three...).do(&book.Settle{Name: "Quern Hollow", Route: &route})
	}, known{}, "put-right:set:S1", "hindered", waiting.ByRule, "drill", book.Hand, false, book.Drilling},
	{"a set for the room", waiting.EnterRoom, set("drilled"), known{}, "enter-room:set:S1", "enter-places", waiting.Computed, "enter-room", book.Hand, false, book.Room},
	{"a set for a full room", waiting.EnterRoom, func(m *mason) {
		m.set("S1", "drilled", three...).set("S2", "room", "A1", "A2", "A3").set("S3", "room", "A4", "A5", "A6")
	}, known{}, "enter-room:set:S1", "enter-full", waiting.Computed, "enter-room", book.Hand, false, book.Room},
	{"loose pieces for the room", waiting.EnterRoom, func(m *mason) {
		m.do(&book.Settle{Name: "Quern Hollow", Answers: map[string]string{"surfacing": "after the room"}})
		m.do(&book.TakeIn{Thing: ref("piece:P1"), Stone: &book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 30, MarkedOn: book.OnEdge}},
			&book.Surfaced{Piece: "P1", Machine: "SM-1", Face: "bottom", Stage: "rough", DepthMM: 1})
	}, known{}, "enter-room:surfacing:9 ft", "enter-places", waiting.Computed, "enter-room", book.Hand, false, book.Room},
	{"a set that has rested", waiting.LeaveRoom, func(m *mason) { m.set("S1", "room", three...).days(31) }, known{}, "leave-room:set:S1", "leave-room", waiting.ByRule, "leave-room", book.Hand, false, book.Room},
	{"a loose piece that has rested", waiting.LeaveRoom, func(m *mason) {
		m.pieces("P1").read("P1").do(&book.EnterRoom{Piece: "P1", Room: "ROOM"})
		m.days(31)
	}, known{}, "leave-room:room:9 ft", "leave-room", waiting.ByRule, "leave-room", book.Hand, false, book.Room},
	{"a set to line", waiting.Line, set("left"), known{}, "line:set:S1", "line", waiting.CannotTell, "glue-lining read", book.Hand, false, book.Lining},
	{"boards of unknown moisture", waiting.Line, func(m *mason) { m.set("S1", "left", three...).boards(0) }, known{}, "line:set:S1", "line", waiting.CannotTell, "glue-lining read", book.Hand, false, book.Lining},
	{"boards that a pin meter lets pass", waiting.Line, func(m *mason) { m.set("S1", "left", three...).boards(8) }, known{}, "line:set:S1", "line", waiting.CannotTell, "glue-lining read", book.Hand, false, book.Lining},
	{"a list that allows it", waiting.Line, func(m *mason) { m.set("S1", "left", three...).listed() }, known{list: &waiting.Boards{Verdict: "may be glued", MostMM: 0.1, LimitMM: 0.15}}, "line:set:S1", "line", waiting.Computed, "glue-lining", book.Hand, false, book.Lining},
	{"a list that forbids it", waiting.Line, func(m *mason) { m.set("S1", "left", three...).listed() }, known{list: &waiting.Boards{Verdict: "not today", MostMM: 1, LimitMM: 0.15}}, "line:set:S1", "line-not", waiting.Computed, "read glue-lining", book.Hand, false, book.Lining},
	{"a list that cannot tell", waiting.Line, func(m *mason) { m.set("S1", "left", three...).listed() }, known{list: &waiting.Boards{Verdict: "cannot tell", MostMM: 0.3, LimitMM: 0.15}}, "line:set:S1", "line", waiting.CannotTell, "glue-lining read", book.Hand, false, book.Lining},
	{"boards too moist", waiting.Line, func(m *mason) { m.set("S1", "left", three...).boards(12) }, known{}, "line:set:S1", "line-condition", waiting.Computed, "read glue-lining", book.Hand, false, book.Lining},
	{"no glue that may be used", waiting.Line, func(m *mason) { m.set("S1", "left", three...).days(400) }, known{}, "line:set:S1", "line-none", waiting.ByRule, "take-in glue-lining", book.Hand, false, book.Lining},
	{"a cured set", waiting.Ream, func(m *mason) { m.set("S1", "lined", three...).days(2) }, known{}, "ream:set:S1", "ream", waiting.ByRule, "ream", book.Hand, false, book.Lining},
	{"a set to finish", waiting.Finish, set("reamed"), known{}, "finish:set:S1", "finish", waiting.ByRule, "finish", book.Hand, false, book.Bench},
	{"a set to judge", waiting.Judge, set("read"), known{}, "judge:set:S1", "judge", waiting.CannotTell, "judge lay-up", book.Inspector, false, book.Bench},
	{"a set that would conform", waiting.Judge, set("read"), known{bed: &waiting.Bed{Verdict: "conforms", Chance: 0.97}}, "judge:set:S1", "judge-known", waiting.Computed, "judge lay-up", book.Inspector, false, book.Bench},
	{"a set that is predicted to conform", waiting.Judge, set("read"), known{bed: &waiting.Bed{Verdict: "conforms", Chance: 0.97, Predicted: true}}, "judge:set:S1", "judge-lay-up", waiting.Computed, "lay-up judge", book.Inspector, false, book.Bench},
	{"a set that was read again", waiting.Judge, func(m *mason) { m.set("S1", "judged", three...).read("P2") }, known{}, "judge:set:S1", "judge", waiting.CannotTell, "judge lay-up", book.Inspector, false, book.Bench},
	{"a set that came back", waiting.Judge, func(m *mason) {
		m.set("S1", "packed", three...).do(&book.Ship{Shipment: "SH1", Sets: []string{"S1"}, Order: "O1"}, &book.Return{Set: "S1", Complaint: "a ball rolls off"})
	}, known{}, "judge:set:S1", "judge-back", waiting.CannotTell, "read judge", book.Inspector, false, book.Bench},
	{"a set that does not conform", waiting.Part, fails, known{}, "part:set:S1", "part", waiting.ByRule, "part-set dress-joint surface", book.Inspector, false, book.Bench},
	{"a set that a hand can save", waiting.Part, fails, known{bed: &waiting.Bed{Verdict: "does not conform", Chance: 0.01, DressMM: 0.05}}, "part:set:S1", "part-dress", waiting.Computed, "dress-joint part-set", book.Inspector, false, book.Bench},
	{"a set that is far off", waiting.Part, fails, known{bed: &waiting.Bed{Verdict: "does not conform", Chance: 0.01, OverMM: 0.3}}, "part:set:S1", "part", waiting.Computed, "part-set dress-joint surface", book.Inspector, false, book.Bench},
	{"a set to certify", waiting.Certify, set("judged"), known{}, "certify:set:S1", "certify", waiting.ByRule, "certify", book.Inspector, true, book.Bench},
	{"a set to certify, with its chance", waiting.Certify, set("judged"), known{bed: &waiting.Bed{Verdict: "conforms", Chance: 0.99}}, "certify:set:S1", "certify", waiting.Computed, "certify", book.Inspector, true, book.Bench},
	{"a set to pack", waiting.Pack, set("certified"), known{}, "pack:set:S1", "pack", waiting.ByRule, "pack", book.Hand, false, book.Shipping},
	{"an order that is complete", waiting.Ship, func(m *mason) { m.set("S1", "packed", three...).set("S2", "packed", "A1", "A2", "A3") }, known{}, "ship:order:O1", "ship-all", waiting.ByRule, "ship", book.Hand, true, book.Shipping},
	{"a part of an order", waiting.Ship, set("packed"), known{}, "ship:order:O1", "ship-part", waiting.Computed, "ship", book.Hand, true, book.Shipping},
	{"an order that is soon complete", waiting.Ship, func(m *mason) { m.set("S1", "packed", three...).set("S2", "certified", "A1", "A2", "A3") }, known{}, "ship:order:O1", "ship-together", waiting.Computed, "ship", book.Hand, true, book.Shipping},
	{"a set of no order", waiting.Ship, func(m *mason) {
		m.set("S1", "packed", three...).set("S2", "packed", "A1", "A2", "A3").set("S3", "packed", "B1", "B2", "B3")
	}, known{}, "ship:set:S3", "ship-none", waiting.CannotTell, "ship", book.Hand, true, book.Shipping},
	{"an order that nothing can meet", waiting.Order, func(m *mason) {}, known{}, "order:order:O1", "order-lift", waiting.Computed, "lift slice match leave-room", book.Lead, false, book.Office},
	{"an order from the saw", waiting.Order, func(m *mason) {
		for _, s := range []string{"S1", "S2", "S3"} {
			m.do(&book.TakeIn{Thing: ref("slab:" + s), Stone: &book.StoneFacts{LengthMM: 1980, WidthMM: 1540, ThicknessMM: 34}})
		}
		m.days(170)
	}, known{}, "order:order:O1", "order-cut", waiting.Computed, "slice cut match leave-room", book.Lead, false, book.Office},
	{"an order from the stock, too late", waiting.Order, func(m *mason) {
		m.pieces("P1", "P2", "P3", "P4", "P5", "P6").read("P1", "P2", "P3", "P4", "P5", "P6").days(170)
	}, known{}, "order:order:O1", "order-match", waiting.Computed, "match lay-up leave-room", book.Lead, false, book.Office},
	{"an order on its way, too late", waiting.Order, func(m *mason) { m.set("S1", "laid", three...).set("S2", "laid", "A1", "A2", "A3").days(170) }, known{}, "order:order:O1", "order-tell", waiting.Computed, "leave-room", book.Lead, false, book.Office},
	{"an order on its way, past its day", waiting.Order, func(m *mason) { m.set("S1", "laid", three...).set("S2", "laid", "A1", "A2", "A3").days(400) }, known{}, "order:order:O1", "order-tell", waiting.Computed, "leave-room", book.Lead, false, book.Office},
	{"a calibration that ends", waiting.Calibrate, func(m *mason) { m.set("S1", "read", three...).days(300) }, known{}, "calibrate:instrument:DIAL", "calibrate", waiting.Computed, "calibrate", book.Inspector, false, book.Bench},
	{"a calibration that ended", waiting.Calibrate, func(m *mason) { m.set("S1", "read", three...).days(400) }, known{}, "calibrate:bench:BENCH", "calibrate", waiting.Computed, "calibrate", book.Inspector, false, book.Bench},
	{"an instrument that is wrong", waiting.Calibrate, func(m *mason) {
		m.set("S1", "read", three...).do(&book.Calibrate{Thing: ref("instrument:DIAL"), Good: false, Due: m.now.AddDate(0, 6, 0)})
	}, known{}, "calibrate:instrument:DIAL", "calibrate", waiting.Computed, "calibrate", book.Inspector, false, book.Bench},
	{"an instrument with another beside it", waiting.Calibrate, func(m *mason) {
		m.set("S1", "read", three...).days(330)
		at := m.now
		m.do(&book.TakeIn{Thing: ref("instrument:DIAL-2"), Instrument: &book.InstrumentFacts{Sort: "dial", IntervalDays: 200, CalibratedAt: &at}})
	}, known{}, "calibrate:instrument:DIAL", "calibrate-other", waiting.Computed, "calibrate", book.Inspector, false, book.Bench},
	{"an instrument that nobody uses", waiting.Calibrate, func(m *mason) { m.days(400) }, known{}, "calibrate:instrument:DIAL", "calibrate-unused", waiting.ByRule, "calibrate", book.Inspector, false, book.Bench},
	{"an act that came too late", waiting.Resolve, func(m *mason) {
		at := m.now.Add(90 * time.Minute)
		m.set("S1", "drilled", three...).late(&book.Reject{Thing: ref("piece:P1"), Cause: "crack"}, at)
	}, known{}, "resolve:", "resolve-gone-on", waiting.CannotTell, "correct", book.Lead, false, book.Office},
	{"an act on what is not there", waiting.Resolve, func(m *mason) { m.late(&book.Weigh{Thing: ref("piece:P9"), Scale: "DIAL", MassKg: 95}, m.now) }, known{}, "resolve:", "resolve-lacks", waiting.CannotTell, "correct", book.Lead, false, book.Office},
	{"an act before its time", waiting.Resolve, func(m *mason) {
		m.set("S1", "room", three...).late(&book.LeaveRoom{Piece: "P1"}, m.now)
	}, known{}, "resolve:", "resolve-look", waiting.CannotTell, "correct", book.Lead, false, book.Office},
}

func block(thickness float64, cracks int) func(m *mason) {
	return func(m *mason) {
		m.do(&book.Lift{Block: "B1", Layer: "L1", Stone: book.StoneFacts{LengthMM: 2020, WidthMM: 1570, ThicknessMM: thickness}})
		m.do(&book.Survey{Thing: ref("block:B1"), Cracks: cracks})
	}
}

func set(until string) func(m *mason) { return func(m *mason) { m.set("S1", until, three...) } }

func fails(m *mason) {
	m.set("S1", "read", three...).do(&book.Judge{Set: "S1", Verdict: "does not conform"})
}

func steps(head, foot float64) func(m *mason) {
	return func(m *mason) {
		m.pieces(three...).read(three...).do(&book.LayUp{Set: "S1", Pieces: three, Bench: "BENCH", Instruments: []string{"DIAL"}, StepsMM: []float64{head, foot}, Order: "O1"})
	}
}

// thick takes in a piece of a thickness, and reads it.
func (m *mason) thick(mm float64) {
	m.pieces("P1")
	m.do(&book.Read{Thing: ref("piece:P1"), What: "thickness", Instruments: []string{"DIAL"}, Value: &mm, Unit: "mm"})
	m.read("P1")
}

// boards gives the boards a moisture.
func (m *mason) boards(percent float64) {
	until := m.now.AddDate(0, 1, 0)
	m.do(&book.TakeIn{Thing: ref("board-batch:MDF-2"), Batch: &book.BatchFacts{Sort: "MDF", MoisturePercent: percent, UseBefore: &until}})
}

// listed keeps the list of a batch with it.
func (m *mason) listed() {
	m.boards(8)
	m.do(&book.TakeIn{Thing: ref("instrument:SCALE"), Instrument: &book.InstrumentFacts{Sort: "scale", UMM: 0.1, IntervalDays: 360, CalibratedAt: &m.now}})
	m.do(&book.Read{Thing: ref("board-batch:MDF-2"), What: "moisture", Instruments: []string{"SCALE"}, Blob: blob(7)})
}

func TestEveryKindOfQuestion(t *testing.T) {
	met := map[waiting.Kind]bool{}
	for _, c := range cases {
		met[c.kind] = true
		t.Run(string(c.kind)+"/"+c.name, func(t *testing.T) {
			m := masonry(t)
			c.house(m)
			list := m.ask(c.known)
			for _, q := range list {
				sayAll(t, q)
				sound(t, q)
			}
			i := slices.IndexFunc(list, func(q waiting.Question) bool {
				return q.Kind == c.kind && (q.Key == c.key || strings.HasSuffix(c.key, ":") && strings.HasPrefix(q.Key, c.key))
			})
			if i < 0 {
				t.Fatalf("nobody asks %s; asked is %q", c.key, keys(list))
			}
			compare(t, list[i], c)
		})
	}
	for _, k := range waiting.Kinds() {
		if !met[k] {
			t.Errorf("the kind %s has no case", k)
		}
	}
}

func compare(t *testing.T, q waiting.Question, c oneCase) {
	t.Helper()
	if q.Recommend.Key != "waiting.do."+c.do || q.Sure.How != c.sure || strings.Join(q.Acts, " ") != c.acts || q.May != c.may || q.Weighty != c.weighty || q.Station != c.at {
		t.Errorf("%s: recommends %s, %s, by %v, may %s, weighty %v, at %s\nwant %+v", q.Key, q.Recommend.Key, q.Sure.How, q.Acts, q.May, q.Weighty, q.Station, c)
	}
}

// sound wants a question to be whole.
func sound(t *testing.T, q waiting.Question) {
	t.Helper()
	if !strings.HasPrefix(q.Key, string(q.Kind)+":") || q.Thing == (book.Ref{}) || q.Station == "" || q.May == "" || len(q.Acts) == 0 || q.Since.IsZero() || q.Sure.How == "" || len(q.Evidence) == 0 {
		t.Errorf("something is missing: %+v", q)
	}
	if c := q.Cost; c.Rate < 0 || c.Priced || c.Rate != c.Late+c.Standing {
		t.Errorf("%s costs %+v", q.Key, c)
	}
	for _, a := range q.Acts {
		if !slices.ContainsFunc(book.Acts(), func(b book.Act) bool { return b.Word() == a }) {
			t.Errorf("%s: there is no act %s", q.Key, a)
		}
	}
}

func keys(list []waiting.Question) (all []string) {
	for _, q := range list {
		all = append(all, q.Key)
	}
	return all
}
