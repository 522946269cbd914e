package book_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/trouble"
)

func TestDefaultRouteIsARoute(t *testing.T) {
	r := book.DefaultRoute()
	if err := r.Validate(); err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var again book.Route
	if err := json.Unmarshal(text, &again); err != nil || !reflect.DeepEqual(r, again) {
		t.Errorf("%v: read back as %+v", err, again)
	}
	other := book.DefaultRoute()
	other.Steps[0].May = book.Lead
	other.Steps[3].From[0] = book.Bench
	if book.DefaultRoute().Steps[0].May == book.Lead || book.DefaultRoute().Steps[3].From[0] == book.Bench {
		t.Error("who edits a default route edits everybody's")
	}
}

func TestConditionsAreSaid(t *testing.T) {
	list := book.Conditions()
	if len(list) < 10 {
		t.Fatalf("%d conditions", len(list))
	}
	seen := map[string]bool{}
	for _, c := range list {
		if c.Name == "" || seen[c.Name] || !strings.HasSuffix(c.Says, ".") {
			t.Errorf("%+v", c)
		}
		seen[c.Name] = true
	}
	for _, h := range book.DefaultRoute().Holds {
		if !seen[h.Needs] {
			t.Errorf("%s needs %s, which is no condition", h.Before, h.Needs)
		}
	}
}

func TestRoutesThatAreNone(t *testing.T) {
	cases := []struct {
		name, code, where string
		spoil             func(r *book.Route)
	}{
		{"unknown act", "not-one-of", "route.steps.3.act", func(r *book.Route) { r.Steps[3].Act = "slize" }},
		{"act twice", "twice", "route.steps.32.act", func(r *book.Route) { r.Steps = append(r.Steps, r.Steps[3]) }},
		{"act left out", "act-left-out", "route.steps", func(r *book.Route) { r.Steps = slices.Delete(r.Steps, 4, 5) }},
		{"unknown station before", "not-one-of", "route.steps.4.from", func(r *book.Route) { r.Steps[4].From = []book.Station{"sawmill"} }},
		{"unknown station after", "not-one-of", "route.steps.4.to", func(r *book.Route) { r.Steps[4].To = "sufacing" }},
		{"unknown role", "not-one-of", "route.steps.4.may", func(r *book.Route) { r.Steps[4].May = "boss" }},
		{"a visitor works", "role-too-low", "route.steps.4.may", func(r *book.Route) { r.Steps[4].May = book.Visitor }},
		{"a hand certifies", "role-too-low", "", func(r *book.Route) { stepOf(r, "certify").May = book.Hand }},
		{"an inspector appoints", "role-too-low", "", func(r *book.Route) { stepOf(r, "appoint").May = book.Inspector }},
		{"hold before nothing", "not-one-of", "route.holds.0.before", func(r *book.Route) { r.Holds[0].Before = "layup" }},
		{"unknown condition", "not-one-of", "route.holds.0.needs", func(r *book.Route) { r.Holds[0].Needs = "market" }},
		{"amount of nothing", "no-amount", "route.holds.0.amount", func(r *book.Route) { r.Holds[0].Amount = 3 }},
		{"no days", "out-of-range", "route.holds.1.amount", func(r *book.Route) { r.Holds[1].Amount = 0 }},
		{"endless days", "out-of-range", "route.holds.1.amount", func(r *book.Route) { r.Holds[1].Amount = 1e6 }},
		{"unless nobody", "not-one-of", "route.holds.1.unless", func(r *book.Route) { r.Holds[1].Unless = "boss" }},
		{"nothing comes there", "nobody-can-follow", "", func(r *book.Route) { stepOf(r, "leave-room").From = []book.Station{book.Heap} }},
		{"no way out", "nobody-can-follow", "", func(r *book.Route) {
			stepOf(r, "ship").To = book.Shipping
			stepOf(r, "return").From = nil
		}},
		{"a circle", "nobody-can-follow", "", func(r *book.Route) { r.Holds = append(r.Holds, book.Hold{Before: "judge", Needs: "packed"}) }},
		{"a circle of one", "nobody-can-follow", "", func(r *book.Route) { r.Holds = append(r.Holds, book.Hold{Before: "mark", Needs: "marked"}) }},
	}
	for _, c := range cases {
		r := book.DefaultRoute()
		c.spoil(&r)
		err, ok := r.Validate().(*trouble.Trouble)
		if !ok || err.Code != c.code || !strings.HasPrefix(err.Where, c.where) || err.Next == "" {
			t.Errorf("%s: %+v", c.name, err)
		}
	}
	settle := &book.Settle{Name: "Quern Hollow", Route: &book.Route{Steps: []book.Step{{Act: "slize", May: book.Hand}}}}
	if _, _, err := book.Encode(settle); err == nil || !strings.Contains(err.Error(), `did you mean "slice"`) {
		t.Errorf("a route with a mistyped act: %v", err)
	}
}

func stepOf(r *book.Route, word string) *book.Step {
	return &r.Steps[slices.IndexFunc(r.Steps, func(s book.Step) bool { return s.Act == word })]
}

// The route that is settled is the one that is followed, from then on.
func TestSettledRouteIsFollowed(t *testing.T) {
	s := sawn(t)
	r := book.DefaultRoute()
	r.Holds = append(r.Holds, book.Hold{Before: "certify", Needs: "layup-fresh"})
	stepOf(&r, "drill").To = book.Bench
	stepOf(&r, "weigh").May = book.Inspector
	s.do(&book.Drill{Piece: "P4", Pattern: "n"}, &book.Drill{Piece: "P1", Pattern: "n"}, &book.Settle{Name: "Quern Hollow", Route: &r}, &book.Drill{Piece: "P2", Pattern: "n"})
	for id, want := range map[string]book.Station{"P1": book.Drilling, "P2": book.Bench} {
		if thing, _ := s.piece(t, id); thing.Station != want {
			t.Errorf("%s stands at %s, not at %s", id, thing.Station, want)
		}
	}
	s.do(layUp(), &book.DressJoint{Piece: "P2", Joint: "head"}, faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "conforms"})
	s.refused("layup-expired", certify(), "S1", "dress-joint")
	s.refusedBy(book.Caller{Person: "saw-1", Role: book.Lead}, "not-allowed", &book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: 3}, "inspector")
	same(t, "after a change of route", s.memory, s.afresh(t))
	if _, m := decoded[book.MillState](t, s.memory, book.KindMill, "quern-hollow"); !m.Demo || m.Answers["state"] != "laid" {
		t.Errorf("a demo stays one, and what is not answered anew stays: %+v", m)
	}
	late := entry(500, s.journal[len(furniture())+2].At.Add(time.Second), "lead-1", &book.Check{Piece: "P4", What: "size", Good: true})
	if c, err := s.hand(late, leader, false); err != nil || c != nil {
		t.Fatal(c, err)
	}
	if thing, _ := s.piece(t, "P4"); thing.Station != book.Drilling {
		t.Errorf("derived anew by another route: %s", thing.Station)
	}
}

// A large mill's story, by another hand, follows the default route without a refusal.
func TestALargeMillFollowsTheDefaultRoute(t *testing.T) {
	m := newMemory()
	count := map[string]int{}
	for x := range halfyear.Million(1, 7000) {
		if _, err := m.hand(x.Entry, x.Caller, false); err != nil {
			t.Fatalf("%s %s: %v", x.Entry.Act, x.Entry.Body, err)
		}
		count[x.Entry.Act]++
	}
	if count["ship"] == 0 || count["certify"] == 0 {
		t.Errorf("the story ends before anything was shipped: %v", count)
	}
	identical(t, "a large mill against its replay", m, m.replayed(t))
}

// BenchmarkAdmit admits the acts of a large mill that come in order.
func BenchmarkAdmit(b *testing.B) {
	const acts = 20000
	for b.Loop() {
		m := &quick{newMemory()}
		for x := range halfyear.Million(1, acts) {
			if err := m.hand(x.Entry, x.Caller); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(float64(acts*b.N)/b.Elapsed().Seconds(), "acts/s")
}

// quick is a memory that answers at once, for measuring the rules alone.
type quick struct{ *memory }

func (m *quick) hand(e book.Entry, c book.Caller) error {
	e.Seq = int64(len(m.journal)) + 1
	o, err := book.Admit(m, e, c, false)
	if err == nil {
		m.take(o)
	}
	return err
}

func (m *quick) Conflicts(book.Ref) ([]book.Placed, error) { return nil, nil }

// Conditions that the default route does not use, before acts of every sort.
func TestAMillsOwnConditions(t *testing.T) {
	s := sawn(t)
	r := book.DefaultRoute()
	for before, needs := range map[string]string{"read": "calibration-current", "weigh": "marked", "reject": "marked", "match": "marked", "drill": "laid-up",
		"pack": "layup-fresh", "part-set": "packed", "return": "checks-good", "dress-joint": "laid-up"} {
		r.Holds = append(r.Holds, book.Hold{Before: before, Needs: needs})
	}
	s.do(&book.Settle{Name: "Quern Hollow", Route: &r})
	s.do(&book.TakeIn{Thing: ref(book.KindInstrument, "NEW"), Instrument: &book.InstrumentFacts{Sort: "dial", IntervalDays: 30}})
	s.refused("not-calibrated", &book.Read{Thing: onPiece("P1"), What: "top", Instruments: []string{"NEW"}, Blob: digest}, "NEW")
	s.refused("not-marked", &book.Weigh{Thing: onPiece("P4"), Scale: "SCALE", MassKg: 90}, "P4")
	s.refused("not-marked", &book.Reject{Thing: onPiece("P4"), Cause: "chip"}, "P4")
	s.refused("not-marked", &book.Match{Pieces: []string{"P1", "P4"}}, "P4")
	s.refused("not-laid-up", &book.Drill{Piece: "P1", Pattern: "n"}, "P1", "in no set")
	s.do(&book.Weigh{Thing: ref(book.KindBlock, "B1"), Scale: "SCALE", MassKg: 900}, layUp(), &book.Drill{Piece: "P1", Pattern: "n"})
	s.refused("not-packed", &book.PartSet{Set: "S1", Why: "?"})
	s.do(layUp(), faceRead("P1"), faceRead("P2"), faceRead("P3"), &book.Judge{Set: "S1", Verdict: "cannot tell"})
	s.refused("not-conforming", certify(), "do what the verdict says next")
	s.do(&book.Judge{Set: "S1", Verdict: "conforms"}, certify(), &book.Pack{Set: "S1", Codes: three})
}
