package matching

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/waiting"
	"slatewright/internal/waiting/house"
	"slatewright/internal/web/shell"
	"slatewright/sets"
	"slatewright/sets/beds"
)

// What was tapped comes back out of the address that it was put into, and no piece is ever kept together with itself or held by two groups.
func TestAWishIsItsAddress(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		id := func() string { return fmt.Sprintf("QH-%d", rapid.IntRange(1, 9).Draw(t, "piece")) }
		w := wishOf(url.Values{"size": {rapid.SampledFrom([]string{"", "9 ft", "8 ft"}).Draw(t, "size")}})
		for range rapid.IntRange(0, 8).Draw(t, "taps") {
			a, b, c := id(), id(), id()
			if !distinct([]string{a, b, c}) {
				continue
			}
			switch rapid.IntRange(0, 4).Draw(t, "tap") {
			case 0:
				w = w.keeping([]string{a, b, c})
			case 1:
				w = w.parting(a, b)
			case 2:
				w = w.tapping(a)
			case 3:
				w.Free, w.Costs.Layer = true, 0.5
			default:
				if len(w.Keep) > 0 {
					w = w.letting(w.Keep[0])
				}
			}
		}
		u, err := url.Parse(w.path())
		if err != nil {
			t.Fatal(err)
		}
		if again := wishOf(u.Query()); !reflect.DeepEqual(again, w) && fmt.Sprint(again) != fmt.Sprint(w) {
			t.Fatalf("%+v comes back as %+v", w, again)
		}
		var held []string
		for _, group := range w.Keep {
			for _, one := range group {
				if slices.Contains(held, one) {
					t.Fatalf("%s is held twice: %v", one, w.Keep)
				}
				held = append(held, one)
			}
			for _, pair := range w.Apart {
				if share(group, pair) == 2 {
					t.Fatalf("%v is kept together and %v apart", group, pair)
				}
			}
		}
		fields := url.Values{}
		for _, f := range w.fields() {
			fields.Add(f.Name, f.Value)
		}
		if fields.Encode() != u.Query().Encode() {
			t.Fatalf("a form says %s, the address %s", fields.Encode(), u.RawQuery)
		}
	})
}

// What makes no sense in an address is left out.
func TestNonsenseInAnAddress(t *testing.T) {
	w := wishOf(url.Values{"keep": {"A", "A,A", "A,B,C,D", "A B;C"}, "apart": {"A,A", "X,Y"}, "w-step": {"-1"}, "w-zone": {"NaN"}, "w-layer": {"1e9"}, "w-spread": {"2"}})
	want := sets.DefaultWeights()
	want.Spread = 2
	if len(w.Keep) != 1 || len(w.Keep[0]) != 3 || len(w.Apart) != 1 || w.Costs != want {
		t.Errorf("%+v", w)
	}
	var many []string
	for i := range 3 * mostWishes {
		many = append(many, fmt.Sprintf("A%d,B%d", i, i))
	}
	if w := wishOf(url.Values{"keep": many, "apart": many}); len(w.Keep) != mostWishes || len(w.Apart) != mostWishes {
		t.Errorf("%d kept, %d apart", len(w.Keep), len(w.Apart))
	}
}

// three is a stock of nine pieces with the orders and proposals that are named.
func three(wants []waiting.Want, proposed ...house.Proposal) stock {
	s := stock{Rack: waiting.Rack{Wants: wants, Proposed: proposed}}
	for i := range 9 {
		s.Pieces = append(s.Pieces, waiting.Loose{Thing: &waiting.Thing{Thing: book.Thing{Ref: book.Ref{Kind: book.KindPiece, ID: fmt.Sprintf("P%d", i)}}}})
	}
	return s
}

// The order that is due first gets the best sets, a set that was proposed for an order stays with it, and every order gets as many as before.
func TestOrdersGetTheBestSets(t *testing.T) {
	wants := []waiting.Want{{Order: "O-1", Sets: 1}, {Order: "O-2", Sets: 1}}
	plan := func() *sets.Plan {
		return &sets.Plan{Sets: []sets.Set{{Pieces: [3]int{0, 1, 2}, Order: 0, Cost: 3}, {Pieces: [3]int{3, 4, 5}, Order: 1, Cost: 2}, {Pieces: [3]int{6, 7, 8}, Order: -1, Cost: 1}}}
	}
	told := func(p *sets.Plan) (list []string) {
		for _, s := range p.Sets {
			list = append(list, fmt.Sprint(s.Pieces[0], s.Order))
		}
		return list
	}
	p := plan()
	three(wants).tidy(p)
	if got, want := told(p), []string{"6 0", "3 1", "0 -1"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	p = plan()
	three(wants, house.Proposal{Pieces: []string{"P2", "P1", "P0"}, Match: &book.Match{Order: "O-1"}}).tidy(p)
	if got, want := told(p), []string{"0 0", "6 1", "3 -1"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	p = plan()
	three(wants, house.Proposal{Pieces: []string{"P0", "P1", "P2"}, Match: &book.Match{Order: "O-9"}}).tidy(p)
	if got, want := told(p), []string{"6 0", "3 1", "0 -1"}; !slices.Equal(got, want) {
		t.Errorf("a proposal for an order that is done: %q, want %q", got, want)
	}
}

// What is taken from a limit changes what conforms, and not what a step costs.
func TestALimitIsShortened(t *testing.T) {
	for _, c := range []struct{ limit, by, left float64 }{{0.127, 0.0127, 0.9}, {0.127, -1, 1}, {0.127, 0, 1}, {0.2, 5, 0.5}} {
		limit := c.limit
		left := shorten(&limit, c.by)
		if math.Abs(left-c.left) > 1e-12 || math.Abs(limit-c.limit*c.left) > 1e-12 || math.Abs(left*1/limit-1/c.limit) > 1e-9 {
			t.Errorf("%+v: left %g, limit %g", c, left, limit)
		}
	}
}

func placed(t *testing.T, seq int64, act book.Act, state string) book.Placed {
	t.Helper()
	word, body, err := book.Encode(act)
	if err != nil {
		t.Fatal(err)
	}
	return book.Placed{Entry: book.Entry{Seq: seq, ID: fmt.Sprint(seq), Act: word, Body: body}, At: time.UnixMilli(seq * 86400000), Standing: book.Standing{State: state}}
}

// A lesson is the last proposal of the same pieces before the first lay-up; what was struck out, and proposals of others, teach nothing.
func TestWhatIsALesson(t *testing.T) {
	pieces, digest := []string{"A", "B", "C"}, strings.Repeat("ab", 32)
	l := &lessons{laid: map[string]*laidUp{}}
	for _, p := range []book.Placed{
		placed(t, 1, &book.Match{Pieces: pieces, StepMM: 0.09, ZoneMM: 0.3}, ""),
		placed(t, 2, &book.Match{Pieces: []string{"C", "B", "A"}, StepMM: 0.02, ZoneMM: 0.2}, ""),
		placed(t, 3, &book.Match{Pieces: pieces, StepMM: 0.5}, book.Struck),
		placed(t, 4, &book.Match{Pieces: []string{"A", "C", "B"}, StepMM: 0.7}, ""),
		placed(t, 5, &book.LayUp{Set: "S1", Pieces: pieces, StepsMM: []float64{0.01, -0.03}}, ""),
		placed(t, 6, &book.LayUp{Set: "S1", Pieces: pieces, StepsMM: []float64{0.001, 0.002}}, ""),
		placed(t, 7, &book.LayUp{Set: "S2", Pieces: []string{"D", "E", "F"}, StepsMM: []float64{0.01, 0.01}}, ""),
		placed(t, 8, &book.Judge{Set: "S1", Verdict: "conforms", Blob: digest}, ""),
	} {
		l.take(p)
	}
	u := l.laid["S1"]
	if u.said == nil || u.said.StepMM != 0.02 || largest(u.act.StepsMM) != 0.03 || u.judged != digest {
		t.Errorf("%+v of %+v", u, u.said)
	}
	if l.laid["S2"].said != nil {
		t.Errorf("nobody proposed S2: %+v", l.laid["S2"].said)
	}
	if steps := stepsOf([]lesson{{Set: "S1", StepForetold: 0.02, Step: 0.03, Day: time.UnixMilli(86400000 * 3)}}); steps[0].Day != 3 || steps[0].Read != 0.03 {
		t.Errorf("%+v", steps)
	}
}

// A proposal of the same pieces that lie otherwise foretold another bed.
func TestALessonLiesAsItWasProposed(t *testing.T) {
	pieces := []string{"A", "B", "C"}
	for _, c := range []struct {
		laid, back []string // turned as laid up, and as proposed from foot to head
		want       float64
	}{
		{nil, []string{"B"}, 0.02},
		{[]string{"A", "C"}, nil, 0.02},
		{[]string{"C", "A"}, []string{"B"}, 0.02},
		{[]string{}, []string{"C", "B", "A"}, 0.02},
		{[]string{"B"}, []string{"B"}, 0.09},
		{[]string{}, []string{}, 0.09},
	} {
		l := &lessons{laid: map[string]*laidUp{}}
		l.take(placed(t, 1, &book.Match{Pieces: pieces, StepMM: 0.09}, ""))
		l.take(placed(t, 2, &book.Match{Pieces: []string{"C", "B", "A"}, StepMM: 0.02, Turned: c.back}, ""))
		l.take(placed(t, 3, &book.LayUp{Set: "S1", Pieces: pieces, StepsMM: []float64{0.01, 0.01}, Turned: c.laid}, ""))
		if said := l.laid["S1"].said; said == nil || said.StepMM != c.want {
			t.Errorf("%q was laid, %q proposed: %+v", c.laid, c.back, said)
		}
	}
}

// former is a book that holds one set, which was parted.
type former struct{ book.Ledger }

func (former) Thing(context.Context, book.Ref) (book.Thing, error) {
	return book.Thing{Ref: book.Ref{Kind: book.KindSet, ID: "S1"}, State: []byte(`{"pieces":["A","B","C"],"parted":"chipped"}`)}, nil
}

// A drilled piece lies only as its holes allow: a head as a head, or as a foot that is turned.
func TestADrilledPieceHasItsPlace(t *testing.T) {
	v := &shell.Visit{Shell: &shell.Shell{Config: shell.Config{Ledger: former{}}}, R: httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/racks", nil)}
	for _, c := range []struct {
		id, pattern, place string
		ways               beds.Ways
	}{{"A", "nine-foot", "head", beds.CutAs(bed.Head)}, {"B", "nine-foot", "centre", beds.CutAs(bed.Centre)}, {"C", "nine-foot", "foot", beds.CutAs(bed.Foot)}, {"A", "", "", beds.AnyWay()}, {"D", "nine-foot", "", beds.AnyWay()}} {
		p := waiting.Loose{Thing: &waiting.Thing{Thing: book.Thing{Ref: book.Ref{Kind: book.KindPiece, ID: c.id}}, State: &book.PieceState{Pattern: c.pattern, Sets: []string{"S0", "S1"}}}}
		place := drilledFor(v, p)
		s := stock{Rack: waiting.Rack{Pieces: []waiting.Loose{p}}, layers: []string{"L1"}, places: []string{place}}
		if got := s.piece(0, &face.Face{}, time.Time{}); place != c.place || got.Ways != c.ways || got.Layer != "L1" {
			t.Errorf("%+v: %q, %+v", c, place, got)
		}
	}
}
