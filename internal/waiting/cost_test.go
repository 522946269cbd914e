package waiting_test

import (
	"math"
	"reflect"
	"slices"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/waiting"
)

// The lateness against the normal distribution's table: Φ(0) = 0.5, Φ(1) = 0.8413, Φ(-2) = 0.0228.
func TestLateness(t *testing.T) {
	for _, c := range []struct {
		days  float64
		steps int
		left  float64
		want  float64
	}{{10, 4, 10, 0.5}, {12, 4, 10, 0.8413}, {6, 4, 10, 0.0228}, {2, 0, 1, 0.8413}, {3, 1, 60, 0}, {60, 9, 3, 1}} {
		if got := waiting.Lateness(c.days, c.steps, c.left); math.Abs(got-c.want) > 5e-5 {
			t.Errorf("%g days in %d steps, %g left: %.4f, want %.4f", c.days, c.steps, c.left, got, c.want)
		}
	}
}

func costOf(t *testing.T, list []waiting.Question, key string) waiting.Cost {
	t.Helper()
	i := slices.IndexFunc(list, func(q waiting.Question) bool { return q.Key == key })
	if i < 0 {
		t.Fatalf("nobody asks %s, but %q", key, keys(list))
	}
	return list[i].Cost
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// What waiting costs, as the package says it.
func TestWhatWaitingCosts(t *testing.T) {
	const one = waiting.Standing
	for _, c := range []struct {
		name, key          string
		house              func(m *mason)
		late, still, money float64
		says               string
	}{
		{"time in plenty", "drill:set:S1", set("laid"), 0, one, 0, "waiting.cost.order"},
		{"long past its day", "drill:set:S1", func(m *mason) { m.set("S1", "laid", three...).days(400) }, 1, one, 0, "waiting.cost.past"},
		{"came back", "judge:set:S1", func(m *mason) {
			m.set("S1", "packed", three...).do(&book.Ship{Shipment: "SH1", Sets: []string{"S1"}, Order: "O1"}, &book.Return{Set: "S1", Complaint: "a ball rolls off"})
		}, 1, one, 0, "waiting.cost.back"},
		{"three loose pieces for an order of two sets", "match:9 ft", func(m *mason) { m.pieces(three...).read(three...).days(400) }, 1, one, 0, "waiting.cost.past"},
		{"six of them", "match:9 ft", func(m *mason) {
			m.pieces("P1", "P2", "P3", "P4", "P5", "P6").read("P1", "P2", "P3", "P4", "P5", "P6").days(400)
		}, 2, 2 * one, 0, "waiting.cost.past"},
		{"nine of them: no more than is wanted", "match:9 ft", func(m *mason) {
			ids := []string{"P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8", "P9"}
			m.pieces(ids...).read(ids...).days(400)
		}, 2, 2 * one, 0, "waiting.cost.past"},
		{"one of six without a reading", "measure:surfacing:9 ft", func(m *mason) {
			m.pieces("P1", "P2", "P3", "P4", "P5", "P6").read("P1", "P2", "P3", "P4", "P5").days(400)
		},
			2.0 / 6, 2 * one / 6, 0, "waiting.cost.past"},
		{"another set waits for its place", "leave-room:set:S1", func(m *mason) {
			m.set("S1", "room", three...).set("S2", "room", "A1", "A2", "A3").set("S3", "drilled", "B1", "B2", "B3").days(400)
		}, 1, 2 * one, 0, "waiting.cost.room"},
		{"with the mill's prices", "drill:set:S1", func(m *mason) {
			m.do(&book.Settle{Name: "Quern Hollow", Answers: map[string]string{"late-set-day": "120 EUR", "standing-set-day": "3 EUR"}})
			m.set("S1", "laid", three...).days(400)
		}, 1, one, 123, "waiting.cost.past"},
		{"an instrument that nobody needs", "calibrate:instrument:DIAL", func(m *mason) { m.days(400) }, 0, 0, 0, "waiting.cost.nothing"},
		{"an instrument that a set needs", "calibrate:instrument:DIAL", func(m *mason) { m.set("S1", "read", three...).days(400) }, 1, one, 0, "waiting.cost.calibration"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := masonry(t)
			c.house(m)
			got := costOf(t, m.ask(known{}), c.key)
			if !near(got.Late, c.late) || !near(got.Standing, c.still) || !near(got.Money, c.money) || got.Priced != (c.money > 0) || got.Says.Key != c.says {
				t.Errorf("%+v", got)
			}
			want := got.Late + got.Standing
			if c.money > 0 {
				want = got.Late + 3.0/120
			}
			if !near(got.Rate, want) || got.Priced && got.Currency != "EUR" {
				t.Errorf("%+v, want the rate %g", got, want)
			}
		})
	}
}

// A price that cannot be understood is no price, and two currencies are none.
func TestOddPrices(t *testing.T) {
	for _, answers := range []map[string]string{
		{"late-set-day": "120 EUR"}, {"late-set-day": "much", "standing-set-day": "3 EUR"}, {"late-set-day": "120 EUR", "standing-set-day": "3 BRL"},
		{"late-set-day": "-5 EUR", "standing-set-day": "3 EUR"}, {"late-set-day": "NaN EUR", "standing-set-day": "3 EUR"},
	} {
		m := masonry(t)
		m.do(&book.Settle{Name: "Quern Hollow", Answers: answers})
		if got := costOf(t, m.set("S1", "laid", three...).ask(known{}), "drill:set:S1"); got.Priced {
			t.Errorf("%v: %+v", answers, got)
		}
	}
}

// busy is a house with many questions.
func busy(t *testing.T) *mason {
	m := masonry(t)
	m.set("S1", "judged", three...).set("S2", "certified", "A1", "A2", "A3").set("S3", "laid", "B1", "B2", "B3").set("S4", "read", "C1", "C2", "C3")
	block(114, 1)(m)
	m.pieces("D1", "D2", "D3", "D4").read("D1", "D2", "D3").do(&book.Mark{Piece: "D4", On: book.Nowhere})
	m.late(&book.Reject{Thing: ref("piece:P1"), Cause: "crack"}, opening.AddDate(0, 0, 1))
	return m.days(60)
}

// The costliest comes first, and the same house gives the same list, in whatever order its things came.
func TestTheOrderOfTheQueue(t *testing.T) {
	m := busy(t)
	first := m.ask(known{})
	if len(first) < 9 {
		t.Fatalf("few questions: %q", keys(first))
	}
	differ := false
	for i, q := range first[1:] {
		if q.Cost.Rate > first[i].Cost.Rate {
			t.Errorf("%s (%g) comes after %s (%g)", q.Key, q.Cost.Rate, first[i].Key, first[i].Cost.Rate)
		}
		differ = differ || q.Cost.Rate < first[i].Cost.Rate
	}
	if !differ {
		t.Error("all cost the same: the order shows nothing")
	}
	if all := keys(first); len(slices.Compact(slices.Sorted(slices.Values(all)))) != len(all) {
		t.Errorf("a key stands twice: %q", all)
	}
	for range 10 { // a map of Go gives its things in another order each time
		if again := m.ask(known{}); !reflect.DeepEqual(first, again) {
			t.Fatalf("another list:\n%q\n%q", keys(first), keys(again))
		}
	}
}

// A question keeps its key while only time goes by.
func TestKeysAreStable(t *testing.T) {
	m := busy(t)
	h := m.house(known{})
	before := keys(waiting.Ask(h, m.now))
	after := keys(waiting.Ask(h, m.now.Add(72*time.Hour)))
	for _, k := range before {
		if !slices.Contains(after, k) {
			t.Errorf("%s is gone after three days", k)
		}
	}
}

// What ends by itself is not remembered for longer than it lasts, and not for a time before it was asked.
func TestCuringEnds(t *testing.T) {
	m := masonry(t)
	m.set("S1", "lined", three...)
	for _, stage := range []string{"finished", "read", "judged", "certified"} {
		if stage == "finished" {
			for _, p := range three {
				m.do(&book.Ream{Piece: p})
			}
		}
		m.stage(stage, "S1", three)
	}
	h := m.house(known{})
	pack := func(after time.Duration) bool {
		return slices.Contains(keys(waiting.Ask(h, m.now.Add(after))), "pack:set:S1")
	}
	for _, after := range []time.Duration{0, time.Hour, 30 * time.Hour, time.Hour, 31 * time.Hour} {
		if got := pack(after); got != (after > 24*time.Hour) {
			t.Errorf("after %v: to be packed is %v", after, got)
		}
	}
}

// When nothing waits, the page says what comes next.
func TestWhatComesNext(t *testing.T) {
	m := masonry(t)
	m.set("S1", "room", three...)
	var got []string
	for _, c := range waiting.Next(m.house(known{}), m.now) {
		say(t, c.What)
		got = append(got, c.What.Key+" "+c.Thing.String())
		if !c.When.After(m.now) || c.When.After(m.now.AddDate(0, 0, 61)) {
			t.Errorf("%s comes on %v", c.What.Key, c.When)
		}
	}
	if !slices.Equal(got, []string{"waiting.come.leave-room set:S1"}) {
		t.Errorf("%q", got)
	}
	m.days(310)
	got = nil
	for _, c := range waiting.Next(m.house(known{}), m.now) {
		got = append(got, c.What.Key+" "+c.Thing.String())
	}
	want := []string{"waiting.come.calibrate bench:BENCH", "waiting.come.calibrate instrument:DIAL", "waiting.come.batch board-batch:MDF", "waiting.come.batch glue-batch:PUR"}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

// What is next for a thing at its station.
func TestNextFor(t *testing.T) {
	for _, c := range []struct {
		name, of string
		house    func(m *mason)
		want     string
		act      string
	}{
		{"a block", "block:B1", block(114, 1), "waiting.next.slice", ""},
		{"a cracked block", "block:B1", block(114, 7), "waiting.next.look", ""},
		{"a slab", "slab:S1", func(m *mason) {
			m.do(&book.TakeIn{Thing: ref("slab:S1"), Stone: &book.StoneFacts{LengthMM: 1980, WidthMM: 1540}})
		}, "waiting.next.cut", ""},
		{"a sawn piece", "piece:P1", func(m *mason) {
			m.do(&book.TakeIn{Thing: ref("piece:P1"), Stone: &book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 34, MarkedOn: book.OnEdge}})
		}, "waiting.next.act", "surface"},
		{"a surfaced piece", "piece:P1", func(m *mason) { m.pieces("P1") }, "waiting.next.read", ""},
		{"a piece that was read", "piece:P1", func(m *mason) { m.pieces("P1").read("P1") }, "waiting.next.match", ""},
		{"a lost number", "piece:P1", func(m *mason) { m.pieces("P1").do(&book.Mark{Piece: "P1", On: book.Nowhere}) }, "waiting.next.remark", ""},
		{"a piece of a set", "piece:P1", set("laid"), "waiting.next.act", "drill"},
		{"a piece that was drilled before the others", "piece:P1", func(m *mason) {
			m.set("S1", "laid", three...).do(&book.Drill{Piece: "P1", Pattern: "nine-foot", Holes: 8}, &book.Check{Piece: "P1", What: "holes", Good: true}, &book.EnterRoom{Piece: "P1", Room: "ROOM"})
		}, "waiting.next.rests", ""},
		{"a piece in the room", "piece:P2", set("room"), "waiting.next.rests", ""},
		{"a piece that cures", "piece:P2", set("lined"), "waiting.next.cures", ""},
		{"a set in the room", "set:S1", set("room"), "waiting.next.rests", ""},
		{"a set to certify", "set:S1", set("judged"), "waiting.next.act", "certify"},
		{"a packed set", "set:S1", set("packed"), "waiting.next.ship", ""},
		{"an order", "order:O1", func(m *mason) {}, "waiting.next.order", ""},
		{"an instrument", "instrument:DIAL", func(m *mason) {}, "waiting.next.calibrate", ""},
		{"a batch", "glue-batch:PUR", func(m *mason) {}, "waiting.next.batch", ""},
		{"what is not there", "piece:P9", func(m *mason) {}, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := masonry(t)
			c.house(m)
			got := m.house(known{}).NextFor(m.now, ref(c.of))
			if len(got) != 1 || got[0].Key != c.want || c.act != "" && got[0].Args["act"] != c.act {
				t.Fatalf("%v, want %s %s", got, c.want, c.act)
			}
			if c.want != "" {
				say(t, got[0])
			}
		})
	}
}

// A house without an order works for stock: all of it counts.
func TestAHouseWithoutOrders(t *testing.T) {
	m := masonry(t)
	m.pieces(three...).read(three...)
	delete(m.things, ref("order:O1"))
	got := costOf(t, m.ask(known{}), "match:9 ft")
	if !near(got.Rate, waiting.Standing) || got.Late != 0 || got.Says.Key != "waiting.cost.sets" {
		t.Errorf("%+v", got)
	}
}

// Whoever asks a house gets at what stands where.
func TestWhatStandsAtAStation(t *testing.T) {
	m := masonry(t)
	m.set("S1", "drilled", three...).pieces("A1")
	var got []string
	for _, x := range m.house(known{}).At(book.Drilling) {
		got = append(got, x.String())
	}
	if !slices.Equal(got, []string{"piece:P1", "piece:P2", "piece:P3", "set:S1"}) {
		t.Errorf("%q", got)
	}
}
