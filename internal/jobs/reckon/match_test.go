package reckon_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/face"
	"slatewright/internal/jobs"
	"slatewright/internal/jobs/reckon"
	"slatewright/internal/rehearsal"
	"slatewright/judge"
	"slatewright/seating"
	"slatewright/sets"
)

// mill is a stock of an invented mill with its readings on a shelf.
func mill(t testing.TB, s shelf, n int) (in reckon.MatchInput, pieces []string, faces []*face.Face) {
	t.Helper()
	m := rehearsal.New(rehearsal.DemoSeed, n)
	in.Readings = map[string]string{}
	for _, p := range m.Pieces {
		in.Readings[p.Serial] = s.csv(t, m.Readings(p))
		f, err := face.ReadCSV(p.Serial, bytes.NewReader(s[in.Readings[p.Serial]]))
		if err != nil {
			t.Fatal(err)
		}
		pieces, faces = append(pieces, p.Serial), append(faces, f)
	}
	if !slices.IsSorted(pieces) {
		t.Fatal("the mill's pieces are not in the order of their numbers")
	}
	return in, pieces, faces
}

// TestMatchInSlices: the shortest slices there are give what package sets gives at once.
func TestMatchInSlices(t *testing.T) {
	s := shelf{}
	const n = 7
	in, pieces, faces := mill(t, s, n)
	var got reckon.MatchResult
	count, err := run(t, reckon.MatchFor(s, 0), in, &got)
	if err != nil {
		t.Fatal(err)
	}
	if count < 3 || got.Beds != sets.Triples(n) || got.Pieces != n || got.Pattern != bed.NineFoot().Pattern {
		t.Errorf("%d slices, %+v", count, got)
	}

	spec := bed.NineFoot()
	stock, err := seating.NewStock(faces, spec)
	if err != nil {
		t.Fatal(err)
	}
	c := sets.Criteria{Limits: spec.Limits, Room: judge.Factor(spec.Decision) * judge.FirstDoubt(spec)}
	for _, f := range faces {
		sum := 0.0
		for _, k := range f.Thickness {
			sum += k.T
		}
		c.Ready, c.Thickness = append(c.Ready, judge.Ready(f, spec, "")), append(c.Thickness, sum/float64(len(f.Thickness)))
	}
	trials, err := sets.Try(stock, c.StepRoom(), nil)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := sets.Pack(n, trials, c.Good, c.Cost)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Sets) != len(plan.Sets) || got.Good != plan.Good || len(got.Unused) != len(plan.Unused) || len(plan.Sets) < 2 {
		t.Fatalf("%+v, want %+v", got, plan)
	}
	for i, want := range plan.Sets {
		set := got.Sets[i]
		for place, p := range want.Index {
			if set.Pieces[place] != pieces[p] {
				t.Errorf("set %d: %v, want %v of %v", i, set.Pieces, want.Index, pieces)
			}
		}
		if set.Turned != want.Turned || set.Closes != want.Feasible || set.Good != c.Good(want) || set.ZoneMM != want.Zone ||
			set.StepsMM != want.Steps || set.LengthwiseMM != want.Lengthwise || set.AcrossMM != want.Across {
			t.Errorf("set %d: %+v, want %+v", i, set, want)
		}
	}
	for i, p := range pieces {
		if c.Ready[i] == slices.Contains(got.NotReady, p) {
			t.Errorf("%s: ready %v, not ready %v", p, c.Ready[i], got.NotReady)
		}
	}
}

// TestMatchAsksWhatItIsTold: another specification and another step change what is asked.
func TestMatchAsksWhatItIsTold(t *testing.T) {
	s := shelf{}
	in, pieces, _ := mill(t, s, 3)
	spec := bed.NineFoot()
	spec.Pattern, spec.Limits.Zone = "invented bed", 0.001
	var b bytes.Buffer
	if err := specfile.Write(&b, spec); err != nil {
		t.Fatal(err)
	}
	step := 3.0
	in.Specification, in.MaxStepMM = s.text(t, b.String()), &step
	in.Readings["QH-9999"] = in.Readings[pieces[0]] // its file says another number
	delete(in.Readings, pieces[0])
	var r reckon.MatchResult
	if n, err := run(t, worker(t, s, "match"), in, &r); err != nil || n != 1 {
		t.Fatalf("%d slices, %v", n, err)
	}
	if r.Pattern != "invented bed" || r.MaxStepMM != 3 || r.Good != 0 || len(r.Sets) != 1 || !r.Sets[0].Closes || r.Sets[0].Good || r.RoomMM <= 0 {
		t.Errorf("%+v", r)
	}
	wantWarning(t, r.Warnings, "QH-9999: the readings say that they are of "+pieces[0])
}

func TestMatchRefusals(t *testing.T) {
	s := shelf{}
	w := worker(t, s, "match")
	stock := func(n int) reckon.MatchInput {
		in := reckon.MatchInput{Readings: map[string]string{}}
		for i := range n {
			in.Readings[fmt.Sprintf("P-%02d", i)] = fmt.Sprintf("%064x", i)
		}
		return in
	}
	changed := func(f func(*reckon.MatchInput)) reckon.MatchInput { in := stock(3); f(&in); return in }
	none := 0.0
	for _, c := range []struct {
		in   reckon.MatchInput
		code string
		say  string
	}{
		{stock(2), "stock-size", "give 3 to 20"},
		{stock(21), "stock-size", "split a larger stock"},
		{changed(func(in *reckon.MatchInput) { in.Readings["P-01"] = "x" }), "bad-digest", "readings.P-01"},
		{changed(func(in *reckon.MatchInput) { in.Readings["no number"] = strings.Repeat("a", 64) }), "bad-id", "no number"},
		{changed(func(in *reckon.MatchInput) { in.Readings["P-02"] = in.Readings["P-01"] }), "same-readings", "P-01 and P-02"},
		{changed(func(in *reckon.MatchInput) { in.Specification = "nine-foot" }), "bad-digest", "specification"},
		{changed(func(in *reckon.MatchInput) { in.MaxStepMM = &none }), "bad-limit", "max_step_mm"},
	} {
		_, err := run(t, w, c.in, nil)
		wantTrouble(t, err, c.code, c.say)
	}
	wantTrouble(t, w.Check(json.RawMessage(`{"pieces":[]}`)), "bad-input")
	_, err := run(t, w, stock(3), nil)
	wantTrouble(t, err, "no-such-blob")
}

// TestMatchRefusesScans: three scans of 1 mm have four million readings.
func TestMatchRefusesScans(t *testing.T) {
	if testing.Short() {
		t.Skip("it makes four million readings")
	}
	s, in := shelf{}, reckon.MatchInput{Readings: map[string]string{}}
	m := rehearsal.New(rehearsal.DemoSeed, 3)
	for _, p := range m.Pieces {
		in.Readings[p.Serial] = s.ply(t, p.Scan(1))
	}
	_, err := run(t, worker(t, s, "match"), in, nil)
	wantTrouble(t, err, "too-large", "2000000 readings", "marked stations")
}

func TestMatchStopsWhenItIsTold(t *testing.T) {
	s := shelf{}
	in, _, _ := mill(t, s, 5)
	input, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := worker(t, s, "match").Work(ctx, jobs.Job{Input: input}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	_, err = worker(t, s, "match").Work(t.Context(), jobs.Job{Input: input, Checkpoint: json.RawMessage(`{"trials":"AAAA"}`)})
	if err == nil || !strings.Contains(err.Error(), "checkpoint") {
		t.Errorf("a checkpoint that is cut off: %v", err)
	}
}

// TestTrialsAsText: every bit comes back, also of numbers that JSON does not know.
func TestTrialsAsText(t *testing.T) {
	want := reckon.Trials{
		{Index: [3]int{19, 0, 7}, Turned: [3]bool{true, false, true}, Feasible: true,
			Figures: seating.Figures{Zone: 0.1 + 0.2, Lengthwise: math.SmallestNonzeroFloat64, Across: math.Inf(1), Steps: [2]float64{-0.25, math.Copysign(0, -1)}}},
		{Index: [3]int{1, 2, 3}, Turned: [3]bool{false, true, false}},
	}
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got reckon.Trials
	if err := json.Unmarshal(text, &got); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, err)
	}
	if !math.Signbit(got[0].Steps[1]) {
		t.Error("the sign of a zero is lost")
	}
	all := make(reckon.Trials, sets.Triples(sets.MostPieces))
	if text, err = json.Marshal(all); err != nil || len(text) > jobs.MostCheckpoint/10 {
		t.Errorf("all beds make %d bytes, %v", len(text), err)
	}
}

func FuzzMatchInput(f *testing.F) {
	f.Add([]byte(`{"readings":{"QH-0101":"` + strings.Repeat("a", 64) + `"},"max_step_mm":0.05}`))
	f.Add([]byte(`{"readings":null,"specification":"x"}`))
	w := reckon.Match(shelf{})
	f.Fuzz(func(t *testing.T, input []byte) {
		if w.Check(input) == nil && !json.Valid(input) {
			t.Error("an input that is no JSON is taken")
		}
		if len(input) > 0 {
			var l reckon.Trials
			l.UnmarshalJSON(input)
		}
	})
}
