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
	"slatewright/sets/beds"
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

// asked is the question of the job's input, put together here from the readings.
func asked(pieces []string, faces []*face.Face) sets.Question {
	spec := bed.NineFoot()
	q := sets.Question{Spec: spec, Weights: sets.DefaultWeights(),
		Classes: []sets.Class{{Limits: spec.Limits, Room: judge.Factor(spec.Decision) * judge.FirstDoubt(spec)}}}
	for i, f := range faces {
		p := sets.Piece{ID: pieces[i], Ways: beds.AnyWay(), Face: f}
		for _, k := range f.Lined {
			p.Thickness += k.T / float64(len(f.Lined))
		}
		if !judge.Ready(f, spec, "") {
			p.NotReady = "no"
		}
		q.Pieces = append(q.Pieces, p)
	}
	return q
}

// TestMatchInSlices: the shortest slices there are give what package sets gives at once.
func TestMatchInSlices(t *testing.T) {
	s := shelf{}
	const n = 21 // more than once could be matched
	in, pieces, faces := mill(t, s, n)
	ready := 0
	for _, p := range asked(pieces, faces).Pieces {
		if p.NotReady == "" {
			ready++
		}
	}
	var got reckon.MatchResult
	if _, err := run(t, reckon.MatchFor(s, 0), in, &got); err != nil {
		t.Fatal(err)
	}
	if got.Triples != ready*(ready-1)*(ready-2)/6 || got.Pieces != n || got.Pattern != bed.NineFoot().Pattern || got.Stopped || got.Priced < len(got.Sets) || got.SetsBound != nil {
		t.Errorf("%+v", got)
	}
	q := asked(pieces, faces)
	plan, err := sets.Match(q)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Sets) != len(plan.Sets) || len(plan.Sets) < 4 || math.Abs(got.Cost-plan.Cost) > 1e-6 || len(got.Unused) != len(plan.Unused) || got.Bound > got.Cost || got.Gap > 1e-6 {
		t.Fatalf("%d sets for %v (bound %v), %d unused; want %d for %v, %d", len(got.Sets), got.Cost, got.Bound, len(got.Unused), len(plan.Sets), plan.Cost, len(plan.Unused))
	}
	sum := 0.0
	for i, set := range got.Sets {
		var faces [3]*face.Face
		for place, p := range set.Pieces {
			faces[place] = turned(q.Pieces[slices.Index(pieces, p)].Face, set.Turned[place])
		}
		r, err := seating.Seat(seating.Question{Faces: faces, Spec: q.Spec, MaxStep: got.MaxStepMM})
		if err != nil {
			t.Fatal(err)
		}
		if !r.Feasible || math.Abs(r.Zone-set.ZoneMM) > 1e-8 || math.Abs(max(r.Joints[0].Largest, r.Joints[1].Largest)-set.StepMM) > 1e-8 ||
			set.LengthwiseMM == nil || math.Abs(r.Lengthwise.Value-*set.LengthwiseMM) > 1e-6 || math.Abs(r.Across.Value-set.AcrossMM) > 1e-6 {
			t.Errorf("set %d: %+v, seated %+v", i, set, r)
		}
		sum += set.Cost
	}
	if math.Abs(sum-got.Cost) > 1e-9 {
		t.Errorf("cost %v of sets that cost %v", got.Cost, sum)
	}
}

// turned is a face that may not be turned, after half a turn or none.
func turned(f *face.Face, half bool) *face.Face {
	c := *f
	c.TurnFixed = true
	if !half {
		return &c
	}
	c.X, c.Y, c.Row = slices.Clone(f.X), slices.Clone(f.Y), slices.Clone(f.Row)
	for i := range c.X {
		c.X[i], c.Y[i] = -c.X[i], -c.Y[i]
		if c.Row[i] != face.NoRow {
			c.Row[i] = face.JointPlus + face.JointMinus - c.Row[i]
		}
	}
	return &c
}

// TestMatchKeepsThePlanBefore: what stood before stays where another plan is not better by what a change costs.
func TestMatchKeepsThePlanBefore(t *testing.T) {
	s := shelf{}
	in, _, _ := mill(t, s, 9)
	w := worker(t, s, "match")
	var first, second reckon.MatchResult
	if _, err := run(t, w, in, &first); err != nil {
		t.Fatal(err)
	}
	for _, set := range first.Sets {
		in.Before = append(in.Before, [3]string{set.Pieces[2], set.Pieces[0], set.Pieces[1]}) // in whatever order
	}
	in.Before = append(in.Before, [3]string{"GONE-1", "GONE-2", "GONE-3"})
	if _, err := run(t, w, in, &second); err != nil {
		t.Fatal(err)
	}
	if len(first.Sets) == 0 || !reflect.DeepEqual(first.Sets, second.Sets) {
		t.Errorf("%+v became %+v", first.Sets, second.Sets)
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
	if r.Pattern != "invented bed" || math.Abs(r.MaxStepMM-3) > 1e-12 || len(r.Sets) != 0 || len(r.Unused) != 3 || r.RoomMM <= 0 {
		t.Errorf("%+v", r)
	}
	for _, l := range r.Unused {
		if l.Why == "" {
			t.Errorf("%s is left over for no reason", l.Piece)
		}
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
	none, long := 0.0, 1e6
	for _, c := range []struct {
		in   reckon.MatchInput
		code string
		say  string
	}{
		{stock(2), "stock-size", "give 3 to 600"},
		{stock(601), "stock-size", "split a larger stock"},
		{changed(func(in *reckon.MatchInput) { in.Readings["P-01"] = "x" }), "bad-digest", "readings.P-01"},
		{changed(func(in *reckon.MatchInput) { in.Readings["no number"] = strings.Repeat("a", 64) }), "bad-id", "no number"},
		{changed(func(in *reckon.MatchInput) { in.Readings["P-02"] = in.Readings["P-01"] }), "same-readings", "P-01 and P-02"},
		{changed(func(in *reckon.MatchInput) { in.Specification = "nine-foot" }), "bad-digest", "specification"},
		{changed(func(in *reckon.MatchInput) { in.MaxStepMM = &none }), "bad-limit", "max_step_mm"},
		{changed(func(in *reckon.MatchInput) { in.Seconds = &long }), "bad-time", "seconds"},
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
	for _, checkpoint := range []string{`{"sets":"AAAA"}`, `{"sets":[[0,1,9]]}`, `{"sets":[[0,1,1]]}`} {
		_, err = worker(t, s, "match").Work(t.Context(), jobs.Job{Input: input, Checkpoint: json.RawMessage(checkpoint)})
		if err == nil || !strings.Contains(err.Error(), "checkpoint") {
			t.Errorf("the checkpoint %s: %v", checkpoint, err)
		}
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
	})
}
