package answers_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
	levelled "slatewright/seating/levelling/answers"
	"slatewright/sets"
	"slatewright/sets/answers"
	"slatewright/sets/beds"
	"slatewright/sets/stockfile"
	"slatewright/sheet"
	"slatewright/stone"
	"slatewright/trouble"
)

// examples is the folder of the handbook's stock.
const examples = "../../docs/examples/match"

// stock reads a list; files are those of the handbook.
func stock(t *testing.T, text string) *stockfile.Stock {
	t.Helper()
	list, err := sheet.Read("stock.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	s, err := stockfile.Read(list, stockfile.Terms{Spec: bed.NineFoot(), Sized: true, Open: func(file string) (*face.Face, error) { return face.ReadFile(filepath.Join(examples, file)) }})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func ask(s *stockfile.Stock) answers.Ask {
	return answers.Ask{Stock: s, Spec: bed.NineFoot(), Weights: sets.DefaultWeights()}
}

func matched(t *testing.T, a answers.Ask) *answers.Matched {
	t.Helper()
	m, err := a.Answer()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// thing is a piece as the slow method of these tests sees it.
type thing struct {
	id, place, layer string
	t                float64
}

// price is the cheapest order of three pieces by the contract's words: spread/0.25 mm and 0.2 for each change of layer; +Inf where the places do not allow one.
func price(a, b, c thing) float64 {
	best := math.Inf(1)
	for _, o := range [6][3]thing{{a, b, c}, {a, c, b}, {b, a, c}, {b, c, a}, {c, a, b}, {c, b, a}} {
		cost, fits := (max(a.t, b.t, c.t)-min(a.t, b.t, c.t))/0.25, true
		for k, place := range [3]string{"head", "centre", "foot"} {
			fits = fits && (o[k].place == "any" || o[k].place == place)
			if k > 0 && o[k].layer != o[k-1].layer {
				cost += 0.2
			}
		}
		if fits {
			best = min(best, cost)
		}
	}
	return best
}

// slowly is the most sets and their least cost, by trying everything.
func slowly(list []thing) (most int, least float64) {
	if len(list) < 3 {
		return 0, 0
	}
	most, least = slowly(list[1:])
	for j := 1; j < len(list); j++ {
		for k := j + 1; k < len(list); k++ {
			p := price(list[0], list[j], list[k])
			if math.IsInf(p, 1) {
				continue
			}
			rest := append(append(slices.Clone(list[1:j]), list[j+1:k]...), list[k+1:]...)
			n, cost := slowly(rest)
			if n++; n > most || n == most && cost+p < least {
				most, least = n, cost+p
			}
		}
	}
	return most, least
}

// The answer to lists without faces is the best of all plans, tried one by one, and says so with the contract's keys.
func TestAgainstEveryPlan(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 1))
	for trial := range 60 {
		var list []thing
		text := "id,place,thickness_mm,layer,L,a,b,file\n"
		for i := range 3 + r.IntN(7) {
			p := thing{fmt.Sprintf("P%d", i), [6]string{"any", "any", "any", "head", "centre", "foot"}[r.IntN(6)], [2]string{"north", "south"}[r.IntN(2)], 44 + float64(r.IntN(100))/100}
			list = append(list, p)
			text += fmt.Sprintf("%s,%s,%.2f,%s,,,,\n", p.id, p.place, p.t, p.layer)
		}
		m := matched(t, ask(stock(t, text)))
		most, least := slowly(list)
		if len(m.Sets) != most || math.Abs(m.Cost-least) > 1e-9 || m.SetsBound != nil || m.Gap > 1e-9 {
			t.Fatalf("trial %d: %d sets for %g with gap %g (%v); the best are %d for %g\n%s", trial, len(m.Sets), m.Cost, m.Gap, m.SetsBound, most, least, text)
		}
		sums(t, m, list)
	}
}

// sums holds the answer against itself: every piece once, every cost by the contract's words in the order that is proposed.
func sums(t *testing.T, m *answers.Matched, list []thing) {
	t.Helper()
	by := map[string]thing{}
	for _, p := range list {
		by[p.id] = p
	}
	seen, cost := slices.Clone(m.Unused), 0.0
	for _, s := range m.Sets {
		seen = append(seen, s.Head, s.Centre, s.Foot)
		a, b, c := by[s.Head], by[s.Centre], by[s.Foot]
		want := (max(a.t, b.t, c.t) - min(a.t, b.t, c.t)) / 0.25
		changes := 0
		if a.layer != b.layer {
			changes++
		}
		if b.layer != c.layer {
			changes++
		}
		want += 0.2 * float64(changes)
		if math.Abs(s.Cost-want) > 1e-9 || s.LayerChanges != changes || s.StepMM != nil || s.ZoneMM != nil || s.Class != stockfile.Standard {
			t.Fatalf("%+v should cost %g with %d changes", s, want, changes)
		}
		for k, p := range [3]thing{a, b, c} {
			if p.place != "any" && p.place != bed.Place(k).String() {
				t.Fatalf("%s lies as %v", p.id, bed.Place(k))
			}
		}
		cost += s.Cost
	}
	slices.Sort(seen)
	if len(seen) != len(list) || len(slices.Compact(seen)) != len(list) || len(m.Left) != len(m.Unused) {
		t.Fatalf("%d places for %d pieces: %v", len(seen), len(list), seen)
	}
	if math.Abs(cost-m.Cost) > 1e-9 || m.Bound > m.Cost || m.Cost > 0 && math.Abs(m.Gap-(m.Cost-m.Bound)/m.Cost) > 1e-12 {
		t.Fatalf("cost %g is told as %g, bound %g, gap %g", cost, m.Cost, m.Bound, m.Gap)
	}
}

// handbook is the stock of the handbook.
func handbook(t *testing.T) *stockfile.Stock {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(examples, "stock.csv"))
	if err != nil {
		t.Fatal(err)
	}
	return stock(t, string(text))
}

// turnedFace is the face turned by half a turn, as it would be read then.
func turnedFace(f *face.Face) *face.Face {
	g := *f
	g.TurnFixed = true
	g.X, g.Y, g.Row = make([]float64, f.Len()), make([]float64, f.Len()), make([]face.Row, f.Len())
	for i := range f.Z {
		g.X[i], g.Y[i] = -f.X[i], -f.Y[i]
		g.Row[i] = [3]face.Row{face.NoRow, face.JointMinus, face.JointPlus}[f.Row[i]]
	}
	return &g
}

// Step and zone of every proposed set are what seating finds for the three faces in that order and those turns, and the cost is made of them; what bends is
// what level-bed says.
func TestForetellsWhatSeatingFinds(t *testing.T) {
	s := handbook(t)
	a := ask(s)
	a.Elastic = true
	m := matched(t, a)
	if len(m.Sets) != 3 {
		t.Fatalf("%d sets", len(m.Sets))
	}
	by := map[string]sets.Piece{}
	for _, p := range s.Pieces {
		by[p.ID] = p
	}
	for _, one := range m.Sets {
		q := seating.Question{Spec: a.Spec, MaxStep: a.Spec.Limits.Step}
		bent := levelled.Ask{Spec: a.Spec, Stone: stone.Slate(), Turned: one.Turns}
		bent.Stone.Density = a.Spec.Density
		low, high := math.Inf(1), 0.0
		for k, id := range [3]string{one.Head, one.Centre, one.Foot} {
			p := by[id]
			bent.Faces[k] = p.Face
			q.Faces[k] = turnedFace(p.Face)
			if !one.Turns[k] {
				q.Faces[k] = turnedFace(q.Faces[k])
			}
			low, high = min(low, p.Thickness), max(high, p.Thickness)
		}
		r, err := seating.Seat(q)
		if err != nil {
			t.Fatal(err)
		}
		if read := r.Joints[0].Measured == [2]bool{true, true} && r.Joints[1].Measured == [2]bool{true, true}; !read || !*one.StepRead {
			t.Errorf("the joints are read at their edges (%v), and told is %v", read, *one.StepRead)
		}
		step := max(r.Joints[0].Largest, r.Joints[1].Largest)
		if math.Abs(step-*one.StepMM) > 1e-8 || math.Abs(r.Zone-*one.ZoneMM) > 1e-8 || math.Abs(r.Lengthwise.Value-*one.LengthwiseMM) > 1e-6 || math.Abs(r.Across.Value-*one.AcrossMM) > 1e-6 {
			t.Errorf("%s %s %s: step %.9f zone %.9f, seating finds %.9f %.9f", one.Head, one.Centre, one.Foot, *one.StepMM, *one.ZoneMM, step, r.Zone)
		}
		if want := step/0.127 + r.Zone/0.508 + (high-low)/0.25 + 0.2*float64(one.LayerChanges); math.Abs(want-one.Cost) > 1e-6 {
			t.Errorf("it costs %g, not %g", want, one.Cost)
		}
		b, err := bent.Answer()
		if err != nil {
			t.Fatal(err)
		}
		if one.ElasticZoneMM == nil || *one.ElasticZoneMM != b.ZoneMM || *one.ElasticStepMM != max(b.StepMM[0], b.StepMM[1]) {
			t.Errorf("bent %v %v, level-bed says %g %v", one.ElasticZoneMM, one.ElasticStepMM, b.ZoneMM, b.StepMM)
		}
	}
}

// What a person has decided holds, by ids; the plan before is known again, and pieces that are gone do no harm.
func TestByHandAndAgain(t *testing.T) {
	s := stock(t, "id,place,thickness_mm\nA,any,44.0\nD,any,45.0\nB,any,44.1\nE,any,45.1\nC,any,44.2\nF,any,45.3\n")
	a := ask(s)
	if err := a.Hand.Keep("together", []string{"A", "F"}, "here"); err != nil {
		t.Fatal(err)
	}
	m := matched(t, a)
	with := map[string]int{}
	for i, set := range m.Sets {
		with[set.Head], with[set.Centre], with[set.Foot] = i, i, i
	}
	if len(m.Sets) != 2 || with["A"] != with["F"] {
		t.Errorf("A and F are apart: %+v", m.Sets)
	}
	before := a
	before.Hand = stockfile.Hand{}
	before.Weights.Change = 100
	before.Before = [][3]string{{m.Sets[0].Head, m.Sets[0].Centre, m.Sets[0].Foot}, {"X", "Y", "Z"}, {m.Sets[1].Head, m.Sets[1].Centre, m.Sets[1].Foot}}
	if again := matched(t, before); !again.Sets[0].Kept || !again.Sets[1].Kept || math.Abs(again.Cost-m.Cost) > 1e-9 {
		t.Errorf("%+v", again.Sets)
	}
	if err := a.Hand.Keep("apart", []string{"B", "Q"}, "keep.csv:3"); err != nil {
		t.Fatal(err)
	}
	var told *trouble.Trouble
	if _, err := a.Answer(); !errors.As(err, &told) || told.Where != "keep.csv:3" {
		t.Errorf("a piece that is not there: %v", err)
	}
}

// Exchanges name their pieces and sets; what one more would free names what is to be done.
func TestExchangesAndOneMore(t *testing.T) {
	a := ask(handbook(t))
	a.Exchanges, a.Freeing = 2, sets.Freeing{Zone: 0.1, CleanUp: 0.1, Most: 8, Chain: 1}
	m := matched(t, a)
	many := 0
	for i, s := range m.Sets {
		for _, e := range s.Exchanges {
			many++
			held := map[string]string{"head": s.Head, "centre": s.Centre, "foot": s.Foot}
			if held[e.Place] != e.Out || e.FromSet != nil && *e.FromSet == i+1 || e.FromSet == nil != slices.Contains(m.Unused, e.In) {
				t.Errorf("set %d: %+v", i+1, e)
			}
		}
	}
	if many == 0 {
		t.Error("no exchange is told")
	}
	words := map[string]bool{}
	for _, f := range m.OneMore {
		for _, c := range f.Changes {
			words[c.Act] = true
			if (c.Piece == "") != (c.Act == "one more") || f.MoreSets < 0 {
				t.Errorf("%+v", f)
			}
		}
	}
	if !words["one more"] || !words["regrind"] {
		t.Errorf("told are %v", words)
	}
}

// A question that is stopped at once still gives a lawful answer: every bound is a number, and what is not proven is said.
func TestStoppedAtOnce(t *testing.T) {
	a := ask(handbook(t))
	a.Stop = func(float64) bool { return true }
	a.Elastic, a.Freeing.Most, a.Exchanges = true, 3, 2
	m := matched(t, a)
	text, err := json.Marshal(m)
	if err != nil || m.Bound < 0 || m.Bound > m.Cost {
		t.Fatalf("%v: bound %g of %g", err, m.Bound, m.Cost)
	}
	var keys map[string]any
	if err := json.Unmarshal(text, &keys); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"sets", "unused", "cost", "bound", "gap", "sets_bound"} {
		if _, ok := keys[key]; !ok {
			t.Errorf("no key %q", key)
		}
	}
	if len(m.Sets) > 0 && !strings.Contains(strings.Join(m.Warnings, "\n"), "the time was over") {
		t.Errorf("%q", m.Warnings)
	}
}

// Orders that cannot be met are told, and whether that is certain.
func TestOrders(t *testing.T) {
	a := ask(stock(t, "id,place,thickness_mm,size\nA,head,44,9 ft\nB,centre,44,9 ft\nC,foot,44,9 ft\nD,any,44,8 ft\n"))
	list, err := sheet.Read("orders.csv", strings.NewReader("id,sets,size,due\nO1,2,9 ft,2026-12-01\nO2,1,8 ft,\n"))
	if err != nil {
		t.Fatal(err)
	}
	if a.Orders, err = stockfile.ReadOrders(list, a.Spec.Limits); err != nil {
		t.Fatal(err)
	}
	a.Late = answers.LateAsk{Pass: 0.9}
	m := matched(t, a)
	if m.Met || !m.Told() || len(m.Orders) != 2 || m.Orders[0].Sets != 1 || m.Orders[0].Met || m.Orders[1].Sets != 0 || *m.Sets[0].Order != "O1" {
		t.Errorf("%+v", m.Orders)
	}
	if m.Late == nil || m.Late.Wanted != 3 || math.Abs(m.Late.Settled.Share-0.729) > 1e-9 || math.Abs(m.Late.Fixed.Share-0.9) > 1e-9 || m.Spread != nil {
		t.Errorf("late %+v, spread %+v of two sizes", m.Late, m.Spread)
	}
}

// An answer tells where it is certain, and where it is not.
func TestTold(t *testing.T) {
	three, none, one := 3, []answers.Set{}, []answers.Set{{}}
	for i, c := range []struct {
		m    answers.Matched
		told bool
	}{
		{answers.Matched{Sets: none}, true},
		{answers.Matched{Sets: none, SetsBound: new(int)}, true},
		{answers.Matched{Sets: none, SetsBound: &three}, false},
		{answers.Matched{Sets: one, SetsBound: &three}, true},
		{answers.Matched{Sets: one, Orders: []answers.Order{{Met: true}, {Proven: true}}}, true},
		{answers.Matched{Sets: one, Orders: []answers.Order{{Met: true}, {Proven: false}}}, false},
	} {
		if c.m.Told() != c.told {
			t.Errorf("case %d", i)
		}
	}
}

// Whether joints were read at their edges is told as seating has it: of a face with one row, and of grids that reach near enough or not.
func TestWhetherJointsWereRead(t *testing.T) {
	rule := bed.NineFoot()
	grid := func(from float64, rows ...face.Row) *face.Face {
		f := &face.Face{Header: face.Header{SizeX: 914, SizeY: 1473, Side: face.Top}}
		for i := range 5 {
			for j := range 9 {
				f.X, f.Y, f.Z, f.Row = append(f.X, (457-from)*float64(i-2)/2), append(f.Y, 716*float64(j-4)/4), append(f.Z, 0), append(f.Row, face.NoRow)
			}
		}
		for _, mark := range rows {
			for j := range 9 {
				f.X, f.Y, f.Z, f.Row = append(f.X, 450*float64(3-2*mark)), append(f.Y, 700*float64(j-4)/4), append(f.Z, 0), append(f.Row, mark)
			}
		}
		return f
	}
	for name, faces := range map[string][3]*face.Face{
		"near": {grid(12), grid(15), grid(12)}, "far": {grid(30), grid(12), grid(12)}, "rows": {grid(30, face.JointPlus), grid(30, face.JointMinus, face.JointPlus), grid(30, face.JointMinus)},
		"wrong row": {grid(30, face.JointMinus), grid(30, face.JointMinus, face.JointPlus), grid(30, face.JointMinus)},
	} {
		s := &stockfile.Stock{Name: "stock.csv", Made: make([]bool, 3)}
		for k, f := range faces {
			f.TurnFixed = true
			s.Pieces = append(s.Pieces, sets.Piece{ID: fmt.Sprint(k), Ways: beds.In(bed.Place(k)).Unturned(), Face: f, Thickness: math.NaN()})
		}
		a := ask(s)
		a.Judged = true
		m := matched(t, a)
		r, err := seating.Seat(seating.Question{Faces: faces, Spec: rule, MaxStep: rule.Limits.Step})
		if err != nil {
			t.Fatal(err)
		}
		want := r.Joints[0].Measured == [2]bool{true, true} && r.Joints[1].Measured == [2]bool{true, true}
		if want != (name == "near" || name == "rows") || *m.Sets[0].StepRead != want {
			t.Errorf("%s: told %v, seating %v", name, *m.Sets[0].StepRead, want)
		}
		told := strings.Join(m.Warnings, "\n")
		if strings.Contains(told, "not read at the edge") == want || !strings.Contains(told, "3 proposed pieces could not be judged as read: certify says why: 0, 1, 2") {
			t.Errorf("%s: %s", name, told)
		}
	}
}
