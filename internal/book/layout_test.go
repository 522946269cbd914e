package book_test

import (
	"reflect"
	"slices"
	"testing"

	"slatewright/internal/book"
)

// answered is a book with pieces of a mill that has answered its own questions.
func answered(t *testing.T, answers map[string]string) *scene {
	s := sawn(t)
	s.do(&book.Settle{Name: "Quern Hollow", Answers: answers})
	return s
}

// Whatever a mill answers, its route can be followed, and the answers show in it.
func TestRouteFollowsTheAnswers(t *testing.T) {
	seen := map[string]bool{}
	for _, lining := range book.AnswerWords("lining-layout") {
		for _, face := range book.AnswerWords("surfacing") {
			for _, state := range book.AnswerWords("flatness-state") {
				r := book.RouteFor(map[string]string{"lining-layout": lining, "surfacing": face, "flatness-state": state})
				if err := r.Validate(); err != nil {
					t.Errorf("%s, %s, %s: %v", lining, face, state, err)
				}
				atLining := slices.ContainsFunc(r.Steps, func(s book.Step) bool { return s.To == book.Lining || slices.Contains(s.From, book.Lining) })
				cured := slices.ContainsFunc(r.Holds, func(h book.Hold) bool { return h.Needs == "lining-cured" })
				if none := lining == "none"; cured == none || none && atLining || !none && !atLining {
					t.Errorf("%s, %s: at the lining %v, cured %v", lining, face, atLining, cured)
				}
				seen[string(stepOf(&r, "leave-room").To)+face+state] = true
			}
		}
	}
	if len(seen) != 6 { // after the room always to surfacing; before it to lining, or to the bench
		t.Errorf("%d ways: %v", len(seen), seen)
	}
	if !reflect.DeepEqual(book.RouteFor(nil), book.DefaultRoute()) || book.AnswerWords("colour") != nil {
		t.Error("a mill without answers has another route than the usual one")
	}
}

// A route that nobody edited follows new answers; an edited one stays, and so does what is not answered anew.
func TestAnswersThatChange(t *testing.T) {
	s := answered(t, map[string]string{"lining-layout": "none", "supports": "bench"})
	route := func() (book.Route, map[string]string) {
		_, m := decoded[book.MillState](t, s.memory, book.KindMill, "quern-hollow")
		return m.Route, m.Answers
	}
	r, answers := route()
	want := map[string]string{"state": "laid", "lining-layout": "none", "supports": "bench"}
	if !reflect.DeepEqual(answers, want) || !reflect.DeepEqual(r, book.RouteFor(want)) {
		t.Errorf("answers %v, route %+v", answers, r)
	}
	s.do(&book.Settle{Name: "Quern Hollow", Answers: map[string]string{"lining-layout": "strips", "state": ""}})
	r, answers = route()
	if want = map[string]string{"lining-layout": "strips", "supports": "bench"}; !reflect.DeepEqual(answers, want) || !reflect.DeepEqual(r, book.RouteFor(want)) {
		t.Errorf("answers %v, route %+v", answers, r)
	}
	stepOf(&r, "weigh").May = book.Inspector
	s.do(&book.Settle{Name: "Quern Hollow", Route: &r}, &book.Settle{Name: "Quern Hollow", Answers: map[string]string{"lining-layout": "none"}})
	if edited, _ := route(); !reflect.DeepEqual(edited, r) {
		t.Error("an edited route was given up for other answers")
	}
	same(t, "after all settlements", s.memory, s.afresh(t))
}

func TestWhereThereIsNoLining(t *testing.T) {
	s := answered(t, map[string]string{"lining-layout": "none"})
	s.do(rested("P1")...)
	if thing, _ := s.piece(t, "P1"); thing.Station != book.Bench {
		t.Errorf("from the room it went to %s", thing.Station)
	}
	s.refused("no-lining", &book.GlueLining{Piece: "P1", BoardBatch: "MDF", GlueBatch: "PUR"}, "settled")
	s.do(rested("P2", "P3")...)
	s.do(layUp(), faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"}, certify(), &book.Pack{Set: "S1", Codes: three},
		&book.Ship{Shipment: "H1", Sets: []string{"S1"}})
}

// No piece is packed without the lining that the mill's layout asks for.
func TestWhereThereIsALining(t *testing.T) {
	s := answered(t, map[string]string{"lining-layout": "strips"})
	s.do(rested(three...)...)
	glue := func(id, layout string) *book.GlueLining {
		return &book.GlueLining{Piece: id, BoardBatch: "MDF", GlueBatch: "PUR", Layout: layout}
	}
	seal := func(number string) {
		c := certify()
		c.Certificate = number
		s.do(faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"}, c)
	}
	s.refused("other-layout", glue("P1", "full"), "full", "strips")
	s.do(layUp(), glue("P1", "strips"), glue("P2", ""))
	seal("C1")
	s.now = s.now.AddDate(0, 0, 2)
	s.refused("not-lined", &book.Pack{Set: "S1", Codes: three}, "P3", "strips")
	s.do(glue("P3", "strips"))
	seal("C2")
	s.refused("not-cured", &book.Pack{Set: "S1", Codes: three}, "P3")
	s.now = s.now.AddDate(0, 0, 1)
	s.do(&book.Pack{Set: "S1", Codes: three})
	same(t, "with linings", s.memory, s.afresh(t))
}

func fine(id string) *book.Surfaced {
	return &book.Surfaced{Piece: id, Machine: "M", Face: "top", Stage: "fine", DepthMM: 0.1, MarkNow: book.OnEdge}
}

func TestSurfacingBeforeTheRoom(t *testing.T) {
	s := answered(t, map[string]string{"surfacing": "before the room"})
	s.do(&book.Surfaced{Piece: "P1", Machine: "M", Face: "bottom", Stage: "fine"})
	s.refused("not-surfaced", &book.EnterRoom{Piece: "P1", Room: "ROOM"}, "P1")
	s.do(fine("P1"))
	s.do(rested("P1")...)
	if thing, _ := s.piece(t, "P1"); thing.Station != book.Lining {
		t.Errorf("from the room it went to %s", thing.Station)
	}
	s.do(fine("P1")) // once more, when it does not conform
}

func TestSurfacingAfterTheRoom(t *testing.T) {
	s := answered(t, map[string]string{"surfacing": "after the room"})
	rough := fine("P1")
	rough.Stage = "rough"
	s.do(rough)
	s.refused("not-seasoned", fine("P1"), "P1", "0.0 days of 30")
	s.do(rested(three...)...)
	if thing, _ := s.piece(t, "P1"); thing.Station != book.Surfacing {
		t.Errorf("from the room it went to %s", thing.Station)
	}
	s.do(fine("P1"), fine("P2"), layUp(), faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"}, certify())
	s.refused("not-surfaced", &book.Pack{Set: "S1", Codes: three}, "P3", "never")
	s = answered(t, map[string]string{"surfacing": "after the room"})
	rough.Piece = "P3"
	s.do(rough)
	s.do(rested(three...)...)
	s.do(fine("P1"), fine("P2"), layUp(), faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"}, certify())
	s.refused("not-surfaced", &book.Pack{Set: "S1", Codes: three}, "P3", "left the room on")
	again := certify()
	again.Certificate = "C2"
	s.do(fine("P3"), faceRead("P3"), layUp(), &book.Judge{Set: "S1", Verdict: "conforms"}, again, &book.Pack{Set: "S1", Codes: three})
}

func TestReadingsOnTheSettledSupport(t *testing.T) {
	s := answered(t, map[string]string{"supports": "lines", "flatness-state": "free"})
	bench, unsaid, lines := faceRead("P1"), faceRead("P1"), faceRead("P1")
	unsaid.Bench, lines.Support = "", "Lines 0.22"
	other := []book.Act{&book.Read{Thing: onPiece("P2"), What: "top", Instruments: []string{"DIAL"}, Support: "lines 0.22", Blob: digest},
		&book.Read{Thing: onPiece("P3"), What: "top", Instruments: []string{"DIAL"}, Support: "lines y -412; y 412", Blob: digest}}
	judge := &book.Judge{Set: "S1", Verdict: "conforms"}
	s.do(layUp())
	s.do(other...)
	s.do(bench, judge)
	s.refused("other-support", certify(), "P1", "on bench", "lines")
	s.do(unsaid, judge)
	s.refused("support-unsaid", certify(), "P1", "free")
	s.do(lines, judge, certify())

	s = answered(t, map[string]string{"supports": "lines", "flatness-state": "laid"})
	s.do(layUp())
	s.do(other...)
	s.do(unsaid, judge, certify())
}

// A verdict that used other answers than the mill's does not count, and neither does one that was found before they changed.
func TestVerdictOnTheMillsAnswers(t *testing.T) {
	s := answered(t, map[string]string{"lining-layout": "full"})
	s.do(layUp(), faceRead("P1"), faceRead("P2"), faceRead("P3"))
	judge := func(layout string) *book.Judge {
		return &book.Judge{Set: "S1", Verdict: "conforms", Answers: map[string]string{"lining-layout": layout, "supports": "bench", "decision": "guard band"}}
	}
	s.refused("other-answers", judge("strips"), "strips", "full")
	s.do(judge("full"), &book.Settle{Name: "Quern Hollow", Answers: map[string]string{"lining-layout": "strips"}})
	s.refused("other-answers", certify(), "S1", "judge the set again")
	wrong := certify()
	wrong.Answers = map[string]string{"lining-layout": "pads"}
	s.do(judge("strips"))
	s.refused("other-answers", wrong, "pads")
	s.do(certify())
	same(t, "after other answers", s.memory, s.afresh(t))
}
