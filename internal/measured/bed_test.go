package measured_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/measured"
	"slatewright/internal/paper/desk"
	"slatewright/judge"
	"slatewright/seating"
)

// set is three pieces of the demo, stored for both.
func set(t *testing.T, store *files, folder string, from int) (measured.Triple, []string) {
	t.Helper()
	triple, paths := measured.Triple{Set: "QH-S-0001"}, []string{}
	for k, f := range demoFaces()[from : from+3] {
		path := stored(t, folder, f)
		triple.Faces[k], triple.Names[k] = store.put(t, f), filepath.Base(path)
		paths = append(paths, path)
	}
	return triple, paths
}

// The figures, the verdict, the reasons and the next step are those of slatewright certify, for three beds with the three verdicts.
func TestBedIsWhatCertifySays(t *testing.T) {
	store, folder := newFiles(), t.TempDir()
	r := room(t, store, measured.Options{})
	verdicts := map[judge.Verdict]int{}
	for from := 0; from <= 6; from += 3 {
		triple, paths := set(t, store, folder, from)
		if from == 3 {
			triple.Faces[1] = crowned(t, store, paths[1])
		}
		bed, err := r.Bed(context.Background(), triple)
		if err != nil {
			t.Fatal(err)
		}
		verdicts[bed.Verdict]++
		var days []string
		for _, path := range paths {
			f, err := face.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			days = append(days, f.Date)
		}
		if bed.Body.Issued == "" || bed.Body.Issued != slices.Max(days) {
			t.Errorf("%d: issued on %q, read on %q", from, bed.Body.Issued, days)
		}
		out := filepath.Join(folder, fmt.Sprint(from))
		want := said(t, append([]string{"certify", "--set", triple.Set, "--out", out}, paths...)...)
		found := bed.Body.Found
		for key, got := range map[string]any{"verdict": found.Verdict, "decided_by": found.DecidedBy, "basis": found.Basis, "results": found.Results,
			"next_step": found.Next, "hindrances": found.Hindrances, "support": found.Support, "demo": bed.Body.Demo()} {
			if g, w := string(marshalled(t, got)), string(marshalled(t, want[key])); !sameJSON(t, g, w) {
				t.Errorf("%d, %s:\n%s\nwant\n%s", from, key, g, w)
			}
		}
		checkBed(t, bed)
	}
	if len(verdicts) != 3 {
		t.Errorf("verdicts %v", verdicts)
	}
}

// crowned gives a piece a crown of 1 mm, in its file and in the store.
func crowned(t *testing.T, store *files, path string) string {
	t.Helper()
	f, err := face.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i, y := range f.Y {
		f.Z[i] += 1 - math.Pow(2*y/1473, 2)
	}
	stored(t, filepath.Dir(path), f)
	return store.put(t, f)
}

func sameJSON(t *testing.T, a, b string) bool {
	t.Helper()
	wrap := func(s string) map[string]any { return object(t, []byte(`{"it":`+s+`}`)) }
	return reflect.DeepEqual(wrap(a), wrap(b))
}

// checkBed holds a bed's numbers against its own body.
func checkBed(t *testing.T, b *measured.Bed) {
	t.Helper()
	set, err := desk.New(b.Body)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(b.Picture, set.Map()) {
		t.Error("the picture is not that of the papers")
	}
	if len(b.Results) < 6 {
		t.Fatalf("%d results", len(b.Results))
	}
	for i, res := range b.Results {
		sealed := b.Body.Found.Results[i]
		if res.Missing {
			continue
		}
		if !(res.Interval[0] <= res.Value && res.Value <= res.Interval[1]) || res.U != sealed.U.Float64() {
			t.Errorf("%s: %+v", res.Name, res)
		}
		if shown := set.Results()[i].Probability; (shown == nil) != (res.Probability == nil) {
			t.Errorf("%s: the probability is withheld on one of paper and page", res.Name)
		}
	}
	for j, joint := range b.Joints {
		if len(joint.Y) < 5 || len(joint.Y) != len(joint.Step) || joint.U <= 0 {
			t.Errorf("joint %d: %+v", j, joint)
		}
		near(t, "largest step", joint.Largest, b.Body.Found.Seating.Joints[j].Largest.Float64(), 2e-6)
	}
	var svg bytes.Buffer
	if err := b.Picture.SVG(&svg); err != nil || !strings.Contains(svg.String(), "Set QH-S-0001") || !strings.Contains(svg.String(), "invented data") {
		t.Errorf("%v", err)
	}
	if card := b.ShimCard(); (len(card.Shims) == 0) == (card.Without == "") || len(card.Shims) > 0 && card.Rounded == nil {
		t.Errorf("%+v", card)
	}
}

// The same with a specification of one's own, with a lay-up, and with pieces that may change places.
func TestBedWithALayUp(t *testing.T) {
	store, folder := newFiles(), t.TempDir()
	r := room(t, store, measured.Options{})
	triple, paths := set(t, store, folder, 0)
	dry, err := r.Bed(context.Background(), triple)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	text.WriteString("# pieces: QH-0101, QH-0102, QH-0103\n# support: bench\n# instrument: step gauge 4\n# u: 0.004 mm\n# date: 2026-11-24\n# unit: mm\njoint,y,step\n")
	for j, name := range []string{"head-centre", "centre-foot"} {
		for i := range dry.Joints[j].Y {
			fmt.Fprintf(&text, "%s,%.1f,%.3f\n", name, dry.Joints[j].Y[i], dry.Joints[j].Step[i])
		}
	}
	path := filepath.Join(folder, "lay-up.csv")
	if err := os.WriteFile(path, []byte(text.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	if triple.LayUp, _, err = store.Put(context.Background(), strings.NewReader(text.String()), 1<<20); err != nil {
		t.Fatal(err)
	}
	triple.LayUpName = "lay-up.csv"
	for _, anyPlace := range []bool{false, true} {
		triple.AnyPlace = anyPlace
		args := append([]string{"certify", "--set", triple.Set, "--layup", path, "--out", filepath.Join(folder, fmt.Sprint(anyPlace))}, paths...)
		bed, err := r.Bed(context.Background(), triple)
		if anyPlace { // the pieces' order may then not be that of the lay-up: both say the same of it
			args = append(args, "--any-place")
			if err != nil {
				var out, errs bytes.Buffer
				if status := run(args, &out, &errs); status != 65 || !strings.Contains(errs.String(), "lay-up.csv") {
					t.Errorf("%v, and the command line ends with %d: %s", err, status, errs.String())
				}
				continue
			}
		}
		if err != nil {
			t.Fatal(err)
		}
		want := said(t, args...)
		if !sameJSON(t, string(marshalled(t, bed.Body.Found.Results)), string(marshalled(t, want["results"]))) || bed.Body.Found.Basis != certificate.BasisLaidUp {
			t.Errorf("%+v", bed.Body.Found)
		}
		if bed.Joints[0].Predicted == nil || len(bed.Results) != 8 {
			t.Errorf("%+v", bed.Joints[0])
		}
	}
}

// The best of all turns and places is what seating finds when it may choose, and the chosen one is among them.
func TestTurnsAndPlaces(t *testing.T) {
	store, folder := newFiles(), t.TempDir()
	r := room(t, store, measured.Options{})
	triple, _ := set(t, store, folder, 3)
	bed, err := r.Bed(context.Background(), triple)
	if err != nil {
		t.Fatal(err)
	}
	if len(bed.Turns) != 24 || bed.TurnsLeft != "" {
		t.Fatalf("%d ways, %s", len(bed.Turns), bed.TurnsLeft)
	}
	q, err := bed.Body.Given.Seating()
	if err != nil {
		t.Fatal(err)
	}
	q.AnyPlace = true
	best, err := seating.Seat(q)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the best zone", bed.Turns[0].Zone, best.Zone, 2*seating.Hold)
	chosen := slices.IndexFunc(bed.Turns, func(w measured.Turn) bool { return w.Chosen })
	if chosen < 0 || slices.ContainsFunc(bed.Turns[chosen+1:], func(w measured.Turn) bool { return w.Chosen }) {
		t.Fatal("not one way is the chosen one")
	}
	near(t, "the chosen zone", bed.Turns[chosen].Zone, bed.Body.Found.Seating.Zone.Float64(), 1e-6)
	for j := range 2 {
		near(t, "the chosen steps", bed.Turns[chosen].Steps[j], bed.Body.Found.Seating.Joints[j].Largest.Float64(), 1e-6)
	}
	for i, w := range bed.Turns[1:] {
		if before := bed.Turns[i]; before.Feasible == w.Feasible && before.Keeps == w.Keeps && before.Zone > w.Zone {
			t.Errorf("way %d is not in order", i+1)
		}
	}
	triple.Fixed = true
	if bed, err = r.Bed(context.Background(), triple); err != nil || len(bed.Turns) != 1 || !bed.Turns[0].Chosen {
		t.Errorf("%+v, %v", bed.Turns, err)
	}
}

// The steps of a bed that lies as it was said to are those of that way among all; a piece that lies turned lies as the file of a turned piece says.
func TestStepsAsTheyLie(t *testing.T) {
	store, folder := newFiles(), t.TempDir()
	r := room(t, store, measured.Options{Patience: time.Minute})
	triple, _ := set(t, store, folder, 3)
	bed, err := r.Bed(context.Background(), triple)
	if err != nil {
		t.Fatal(err)
	}
	ways, told := 0, map[string]bool{}
	for _, w := range bed.Turns {
		if w.Order != [3]int{0, 1, 2} {
			continue
		}
		ways++
		asked := r.AskSteps(measured.Lying{Faces: triple.Faces, Names: triple.Names, Turned: w.Turned, MaxStep: bed.Body.Given.Question.MaxStep.Float64()})
		if asked.State != measured.Ready {
			t.Fatalf("%v: %+v", w.Turned, asked)
		}
		for j, joint := range asked.Value {
			near(t, fmt.Sprint("the steps of ", w.Turned), joint.Largest, w.Steps[j], 1e-9)
			if len(joint.Y) < 2 || len(joint.Y) != len(joint.Step) {
				t.Errorf("%+v", joint)
			}
			if w.Chosen {
				for k := range joint.Y {
					near(t, "a place of the chosen way", joint.Y[k], bed.Joints[j].Y[k], 1e-6)
					near(t, "a step of the chosen way", joint.Step[k], bed.Joints[j].Step[k], 1e-6)
				}
			}
		}
		told[fmt.Sprint(asked.Value)] = true
	}
	if ways < 4 || len(told) != ways {
		t.Errorf("%d ways, %d answers", ways, len(told))
	}
	asked := r.AskSteps(measured.Lying{Faces: [3]string{triple.Faces[0], triple.Faces[1], strings.Repeat("0", 64)}, MaxStep: 0.1})
	if asked.State != measured.Failed || asked.Err == nil {
		t.Errorf("a face that is not there: %+v", asked)
	}
}

// A piece whose file forbids it is not turned.
func TestTurnsThatAreNotAllowed(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	triple := measured.Triple{Set: "QH-S-0001"}
	for k, f := range demoFaces()[:3] {
		f.TurnFixed = k != 1
		triple.Faces[k] = store.put(t, f)
	}
	bed, err := r.Bed(context.Background(), triple)
	if err != nil {
		t.Fatal(err)
	}
	if len(bed.Turns) != 12 { // six orders, one piece that may be turned
		t.Errorf("%d ways", len(bed.Turns))
	}
	for _, w := range bed.Turns {
		for place, k := range w.Order {
			if w.Turned[place] && k != 1 {
				t.Errorf("piece %d was turned", k)
			}
		}
	}
}

func TestHalfATurnTwiceIsNone(t *testing.T) {
	f := demoFaces()[0]
	once := measured.HalfTurned(f)
	twice := measured.HalfTurned(once)
	if !slices.Equal(twice.X, f.X) || !slices.Equal(twice.Y, f.Y) || !slices.Equal(twice.Row, f.Row) || !slices.Equal(twice.Thickness, f.Thickness) {
		t.Error("not the same")
	}
	for i, row := range once.Row {
		if (row == face.JointPlus) != (f.Row[i] == face.JointMinus) || math.Signbit(once.X[i]) == math.Signbit(f.X[i]) {
			t.Fatal("not turned")
		}
	}
}
