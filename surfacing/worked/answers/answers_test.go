package answers_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/face"
	"slatewright/plate"
	"slatewright/sheet"
	"slatewright/stone"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/worked/answers"
	"slatewright/surfacing/worked/belief"
	"slatewright/surfacing/worked/joblist"
	"slatewright/trouble"
)

const folder = "../../../docs/examples/surfacing/"

func text(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(folder + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// example is the worked example of the handbook; change changes its texts.
func example(t *testing.T, change func(before, after, job, file string) (string, string, string, string)) answers.Question {
	t.Helper()
	b, a, j, m := text(t, "worked-before.csv"), text(t, "worked-after.csv"), text(t, "worked-job.csv"), text(t, "machine.yaml")
	if change != nil {
		b, a, j, m = change(b, a, j, m)
	}
	q := answers.Question{Stone: stone.Slate(), UModulus: 0.2, MachineName: "machine.yaml", MachineText: []byte(m)}
	var err error
	if q.Before, err = face.Read("before.csv", strings.NewReader(b)); err != nil {
		t.Fatal(err)
	}
	if q.After, err = face.Read("after.csv", strings.NewReader(a)); err != nil {
		t.Fatal(err)
	}
	mach, err := machinefile.Parse("machine.yaml", []byte(m))
	if err != nil {
		t.Fatal(err)
	}
	q.Machine = &mach
	s, err := sheet.Read("job.csv", strings.NewReader(j))
	if err != nil {
		t.Fatal(err)
	}
	if q.List, err = joblist.Read(s, &mach); err != nil {
		t.Fatal(err)
	}
	return q
}

func of(t *testing.T, q answers.Question) *answers.Work {
	t.Helper()
	w, err := answers.Of(q)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// The example was made by a machine of which all is known: 2407 cm³ came off, G was 880, 1400 and 2200, 4.4, 6.3 and 9.4 J/mm³ were taken, and the loop had 26 N/µm.
func TestTheExampleHoldsItsTruth(t *testing.T) {
	w := of(t, example(t, nil))
	in := func(what string, low, high *float64, truth float64) {
		t.Helper()
		if low == nil || *low > truth || high != nil && *high < truth {
			t.Errorf("%s: %v to %v does not hold %g", what, low, high, truth)
		}
	}
	in("volume", w.Removal.VolumeLowCM3, w.Removal.VolumeHighCM3, 2407)
	for i, truth := range []struct{ stone, g, e float64 }{{1629, 880, 4.4}, {513, 1400, 6.3}, {265, 2200, 9.4}} {
		s := w.Stages[i]
		in(s.Name+" stone", s.StoneLowCM3, s.StoneHighCM3, truth.stone)
		in(s.Name+" G", s.GLow, s.GHigh, truth.g)
		if e := s.Energy; math.Abs(e.MeanJ-truth.e) > 2*e.MeanU || e.Duller {
			t.Errorf("%s: %+v", s.Name, e)
		}
	}
	in("stiffness", w.Stiffness.LowNPerUM, w.Stiffness.HiNPerUM, 26)
	if len(w.Learned) != 7 || w.State != "free" || w.Tie.By != "thickness" || w.Tie.Pairs != 8 || w.Far() || !w.Wedge.Explained {
		t.Errorf("%+v %+v", w.Learned, w.Tie)
	}
}

// What the new file believes can be reckoned again from its own history, and the same job teaches nothing twice.
func TestTheFileRemembers(t *testing.T) {
	w := of(t, example(t, nil))
	m, err := machinefile.Parse("new.yaml", w.File())
	if err != nil {
		t.Fatal(err)
	}
	if len(m.History) != 14 {
		t.Fatalf("%d lines", len(m.History))
	}
	for i, s := range m.Stages {
		var first machine.Known
		var jobs []belief.Shown
		for _, o := range m.History {
			if o.Of == machine.GRatio && o.In == s.Name {
				if o.First.Said() {
					first = o.First
				} else {
					jobs = append(jobs, belief.Shown{Value: o.Seen.Value, U: o.Seen.U, Inverse: true})
				}
			}
		}
		again := belief.From(first, jobs)
		if math.Abs(again.Next.Value-s.G.Value) > 0.01*s.G.Value || math.Abs(again.Next.U-s.G.U) > 0.03*s.G.U || s.G.Seen != again.Next.Seen {
			t.Errorf("stage %d: %+v, again %+v", i, s.G, again.Next)
		}
	}
	twice := of(t, example(t, func(b, a, j, _ string) (string, string, string, string) { return b, a, j, string(w.File()) }))
	if twice.File() != nil || len(twice.Learned) != 0 || !slices.ContainsFunc(twice.Warnings, func(s string) bool { return strings.Contains(s, "second time") }) {
		t.Errorf("%+v", twice.Learned)
	}
	other := of(t, example(t, func(b, a, j, _ string) (string, string, string, string) {
		return b, a, strings.Replace(j, "2026-11-20", "2026-11-21", 1), string(w.File())
	}))
	if len(other.Learned) != 7 || other.Learned[3].Jobs != 2 || strings.Count(string(other.File()), "first:") != 7 {
		t.Errorf("%+v", other.Learned)
	}
}

// A job far from what was believed is set aside with what to look at; a reason takes it in.
func TestFarIsSetAside(t *testing.T) {
	change := func(b, a, j, m string) (string, string, string, string) {
		return b, a, strings.Replace(j, "# bits after: rough 7.50 7.52 7.53 7.54 7.50 7.55 7.47 7.54 7.49 7.48 7.53 7.48", "# bits after: rough 6.00 6.02 6.03 6.04 6.00 6.05 5.97 6.04 5.99 5.98 6.03 5.98", 1),
			strings.ReplaceAll(m, "1000 ± 300, 6 seen", "1000 ± 150, 6 seen")
	}
	q := example(t, change)
	w := of(t, q)
	if !w.Far() || !strings.Contains(string(w.File()), "g_ratio: 1000 ± 150, 6 seen") || strings.Count(string(w.File()), "aside:") != 1 {
		t.Errorf("%+v", w.Learned)
	}
	i := slices.IndexFunc(w.Learned, func(l answers.Lesson) bool { return l.Aside })
	if l := w.Learned[i]; l.Of != "g_ratio" || l.In != "rough" || l.Check == "" || l.Chance > 0.01 {
		t.Errorf("%+v", l)
	}
	q.Accept = "another quarry"
	if w = of(t, q); w.Far() || strings.Contains(string(w.File()), "g_ratio: 1000 ± 150") {
		t.Errorf("%+v", w.Learned)
	}
}

// Without a tie the shape is known and nothing else; a kept zero ties too.
func TestTies(t *testing.T) {
	bare := func(b, a, j, m string) (string, string, string, string) {
		cut := func(s string) string {
			lines := strings.Split(s, "\n")
			return strings.Join(slices.DeleteFunc(lines, func(l string) bool { return strings.HasPrefix(l, "# thickness") }), "\n")
		}
		return cut(b), cut(a), j, m
	}
	q := example(t, bare)
	w := of(t, q)
	if w.Tied() || w.Removal.VolumeCM3 != nil || w.Removal.UnevenMM < 0.3 || w.File() != nil || w.Stages[0].G != nil || w.Tie.By != "nothing" {
		t.Errorf("%+v", w.Removal)
	}
	q.List.Kept = 0.005
	w = of(t, q)
	if !w.Tied() || w.Tie.By != "zero kept" || math.Abs(*w.Removal.MeanMM-2.3) > 0.03 { // 1.79 mm came off, and the example's maps have zeros 0.51 mm from each other's
		t.Errorf("%+v", *w.Removal.MeanMM)
	}
}

func TestRefusals(t *testing.T) {
	swap := func(old, new string) func(string) string {
		return func(s string) string { return strings.Replace(s, old, new, 1) }
	}
	same := func(s string) string { return s }
	for _, c := range []struct {
		code          string
		before, after func(string) string
	}{
		{"two-pieces", same, swap("QH-0412", "QH-0413")},
		{"two-sides", same, swap("face: top", "face: bottom")},
		{"two-sizes", same, swap("914 x 1473", "920 x 1473")},
		{"two-states", same, swap("support: lines 0.22", "support: bench")},
		{"two-states", same, swap("# support: lines 0.22\n", "")},
		{"two-states", swap("support: lines 0.22", "support: on wedges"), swap("support: lines 0.22", "support: on plaster")},
		{"two-frames", same, swap("# face: top", "# frame: piece\n# face: top")},
	} {
		q := example(t, func(b, a, j, m string) (string, string, string, string) { return c.before(b), c.after(a), j, m })
		_, err := answers.Of(q)
		if tr := new(trouble.Trouble); !errors.As(err, &tr) || tr.Code != c.code || tr.Next == "" || tr.Where != "after.csv" {
			t.Errorf("%s: %v", c.code, err)
		}
	}
	q := example(t, nil)
	q.Before, q.After = q.After, q.Before
	_, err := answers.Of(q)
	if tr := new(trouble.Trouble); !errors.As(err, &tr) || tr.Code != "exchanged" {
		t.Errorf("%v", err)
	}
	q = example(t, func(b, a, j, m string) (string, string, string, string) {
		return b, a, strings.Replace(j, "# zero at: 0 0", "# zero at: 0 900", 1), m
	})
	if _, err = answers.Of(q); err == nil {
		t.Error("a zero off the piece")
	}
	foreign := of(t, example(t, func(b, a, j, m string) (string, string, string, string) {
		return b, a, j + "rough,0.5,1.5,\nrough,0.5,1.5,\n", m
	}))
	if !foreign.Foreign() || foreign.Stages[0].G != nil || foreign.Stages[0].StoneCM3 != nil || foreign.Stiffness != nil || foreign.File() != nil || len(foreign.Learned) != 0 || !slices.ContainsFunc(foreign.Warnings, func(s string) bool { return strings.Contains(s, "hardly the passes") }) {
		t.Errorf("%+v", foreign.Learned)
	}
}

// Two maps on other supports are compared with gravity computed between them: a flat piece of which 1 mm came off, read between its ends and then on three points.
func TestOtherSupports(t *testing.T) {
	const x, y = 914.0, 1473.0
	s := chance.NewStream(4)
	read := func(name, support string, u plate.Under, thickness float64) *face.Face {
		p := plate.Piece{Outline: plate.Rectangle(x, y), Thickness: plate.Even(thickness), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}
		b, err := plate.Bend(p, u, 0)
		if err != nil {
			t.Fatal(err)
		}
		f := &face.Face{Header: face.Header{Name: name, SizeX: x, SizeY: y, U: 0.003, Support: face.Support{Kind: face.SupportPoints, Text: support}}}
		for _, q := range u.Points {
			f.Support.Points = append(f.Support.Points, [2]float64{q.X, q.Y})
		}
		for _, l := range u.Lines {
			f.Support.Kind = face.SupportLines
			f.Support.Lines = append(f.Support.Lines, face.Line{Axis: l.Axis, At: l.At})
		}
		for i := range 6 {
			for j := range 9 {
				px, py := (x/2-20)*(float64(i)/2.5-1), (y/2-20)*(float64(j)/4-1)
				f.X, f.Y, f.Z = append(f.X, px), append(f.Y, py), append(f.Z, b.Height(plate.Point{X: px, Y: py})+0.003*s.Normal())
			}
		}
		for _, at := range [][2]float64{{-400, -650}, {400, -650}, {-400, 650}, {400, 650}, {0, 0}} {
			f.Thickness = append(f.Thickness, face.Thickness{X: at[0], Y: at[1], T: thickness + 0.005*s.Normal()})
		}
		return f
	}
	ends := plate.Bars(plate.Rectangle(x, y), 0)
	three := plate.Under{Points: []plate.Support{{X: -274, Y: -354}, {X: 274, Y: -354}, {X: 0, Y: 471}}}
	q := answers.Question{Before: read("before.csv", "ends", ends, 27), After: read("after.csv", "three", three, 26), Stone: stone.Slate(), UModulus: 0.05}
	w := of(t, q)
	if w.State != "free" || w.Removal.UnevenMM > 0.05 || math.Abs(*w.Removal.MeanMM-1) > 0.02 {
		t.Errorf("%s: uneven %.3f mm, mean %.3f mm", w.State, w.Removal.UnevenMM, *w.Removal.MeanMM)
	}
}

// The keys are the contract with other programs.
func TestKeys(t *testing.T) {
	b, err := json.Marshal(of(t, example(t, nil)))
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.NewDecoder(bytes.NewReader(b)).Decode(&got); err != nil {
		t.Fatal(err)
	}
	for _, k := range strings.Fields("piece face date before_file after_file invented state tie removal depth stages stiffness wedge learned warnings") {
		if _, ok := got[k]; !ok {
			t.Errorf("no %s", k)
		}
		delete(got, k)
	}
	for k := range got {
		t.Errorf("%s is in no contract", k)
	}
}
