package judge_test

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"slatewright/bed"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/trouble"
)

// Three good pieces conform, and every number follows from the ones before it.
func TestGoodSet(t *testing.T) {
	q := question(bed.NineFoot(), grid(second(0.02, 0.10, 0.05)), grid(second(0, 0.08, -0.05)), grid(second(-0.03, 0.12, 0)))
	in := input(t, q, 100)
	j := set(t, in)
	if j.Verdict != judge.Conforms || j.Next.Code != judge.LayUpDry || j.Proof.State != bed.StateLaid || j.Factor != 1.644854 || len(j.Warnings) != 0 {
		t.Errorf("%v, next %+v, %+v, %v", j.Verdict, j.Next, j.Proof, j.Warnings)
	}
	if len(j.Findings) != len(judge.Names()) {
		t.Fatalf("%d findings", len(j.Findings))
	}
	limits := []float64{0.508, 0.254, 0.508, 0.127, 0.127, 25.4} // the tournament text's, and the mill's own for the zone
	read := []float64{in.Result.Lengthwise.Value, in.Result.Across.Value, in.Result.Zone, in.Result.Joints[0].Largest, in.Result.Joints[1].Largest, 25.9}
	spreads := []judge.Spread{in.Doubt.Lengthwise, in.Doubt.Across, in.Doubt.Zone, in.Doubt.Steps[0], in.Doubt.Steps[1]}
	for i, f := range j.Findings {
		if f.Name != judge.Names()[i] || f.Limit != limits[i] || math.Abs(f.Read-read[i]) > 1e-6 || f.AtLeast != (i == 5) || f.Verdict != judge.Conforms {
			t.Errorf("%+v", f)
		}
		sum := 0.0
		for _, p := range f.Parts {
			sum += p.U * p.U
		}
		if math.Abs(f.U-math.Sqrt(sum)) > 1e-6 || f.U == 0 {
			t.Errorf("%s: u %v of %+v", f.Name, f.U, f.Parts)
		}
		if i == 5 {
			continue
		}
		// what was read, less the noise, plus what lies between the readings
		noise := min(spreads[i].Shift, (math.Sqrt2-1)*f.Read)
		if math.Abs(f.Value-(f.Read-noise+0.010)) > 2e-6 || math.Abs(f.Lean-(0.010+max(noise, min(spreads[i].Rise, (math.Sqrt2-1)*f.Read), 0))) > 2e-6 {
			t.Errorf("%s: %+v with a shift of %v", f.Name, f, spreads[i].Shift)
		}
		if f.Parts[0].U != spreads[i].SD || f.Parts[2].U != 0.010 {
			t.Errorf("%s: parts %+v", f.Name, f.Parts)
		}
	}
	if w := j.Finding(j.DecidedBy); slices.ContainsFunc(j.Findings, func(f judge.Finding) bool { return f.Probability < w.Probability }) {
		t.Errorf("decided by %s", j.DecidedBy)
	}
}

// Everything that is sealed is rounded: lengths to 1e-6 mm, probabilities to 1e-4.
func TestSealedNumbersAreRounded(t *testing.T) {
	j := judged(t, question(bed.NineFoot(), grid(second(0.021234567, 0.1, 0.05)), grid(second(0, 0.08, -0.05)), grid(flat)))
	if n, bad := rounded("", reflect.ValueOf(j)); n < 60 || len(bad) > 0 {
		t.Errorf("of %d numbers these are not rounded: %q", n, bad)
	}
}

// The worst characteristic decides, whatever the others say.
func TestOneBadCharacteristicDecides(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	thin := grid(flat)
	thin.Thickness[3].T = 25.30
	for name, c := range map[string]struct {
		a, b, c *face.Face
		by      judge.Name
	}{
		"zone: twisted as a whole": {grid(second(0, 0, 1.6)), grid(flat), grid(flat), judge.Zone},
		"across":                   {grid(second(0, 0.42, 0)), grid(second(0, 0.42, 0)), grid(second(0, 0.42, 0)), judge.Across},
		"thickness":                {grid(flat), thin, grid(flat), judge.Thickness},
	} {
		j := judged(t, question(bed.NineFoot(), c.a, c.b, c.c))
		if j.Verdict != judge.DoesNotConform || j.Finding(c.by).Verdict != judge.DoesNotConform {
			t.Errorf("%s: %v by %s; %+v", name, j.Verdict, j.DecidedBy, j.Finding(c.by))
		}
		if f := j.Finding(j.DecidedBy); f.Verdict != judge.DoesNotConform {
			t.Errorf("%s: decided by %+v", name, f)
		}
	}
}

// Thickness: the least of all three pieces, with the caliper's uncertainty, against a lower limit.
func TestThickness(t *testing.T) {
	in := input(t, question(bed.NineFoot(), grid(flat), grid(flat), grid(flat)), judge.FewestDraws)
	for _, c := range []struct {
		least float64
		want  judge.Verdict
		next  judge.Code
	}{
		{25.43, judge.Conforms, judge.LayUpDry},
		{25.4205, judge.CannotTell, judge.BetterGauge}, // 1.644854 · 0.0125 = 0.020561
		{25.412, judge.CannotTell, judge.BetterGauge},
		{25.402, judge.CannotTell, judge.Exchange}, // no caliper decides that
		{25.38, judge.CannotTell, judge.Exchange},
		{25.35, judge.DoesNotConform, judge.Exchange},
	} {
		j := spoilt(t, in, func(f *face.Face) {
			f.Thickness = slices.Clone(f.Thickness)
			f.Thickness[5].T = c.least
		})
		g := j.Finding(judge.Thickness)
		if g.Verdict != c.want || j.Verdict != c.want || g.Read != c.least || g.U != judge.CaliperU || j.Next.Code != c.next {
			t.Errorf("%v: %+v, next %+v", c.least, g, j.Next)
		}
		if c.next == judge.Exchange && !strings.Contains(j.Next.Text, "P-2") {
			t.Errorf("%v: %s", c.least, j.Next.Text)
		}
	}
}

// Stone that is too thin is too thin, wet or dry, and with however few readings.
func TestTooThinIsProvenInAnyCase(t *testing.T) {
	f := grid(flat)
	f.DrySince, f.Thickness = "", f.Thickness[:2]
	f.Thickness[0].T = 25.2
	j := judged(t, question(bed.NineFoot(), grid(flat), grid(flat), f))
	if j.Verdict != judge.DoesNotConform || j.DecidedBy != judge.Thickness || j.Next.Code != judge.Exchange || j.Finding(judge.Zone).Verdict != judge.CannotTell {
		t.Errorf("%v by %s, next %+v", j.Verdict, j.DecidedBy, j.Next)
	}
}

func TestNoThicknessAtAll(t *testing.T) {
	var list []*face.Face
	for range 3 {
		f := grid(flat)
		f.Thickness = nil
		list = append(list, f)
	}
	j := judged(t, question(bed.NineFoot(), list...))
	f := j.Finding(judge.Thickness)
	if !f.Missing || f.Verdict != judge.CannotTell || j.Verdict != judge.CannotTell || j.Next.Code != judge.FewThickness {
		t.Errorf("%v, %+v", j.Verdict, f)
	}
}

// A straightness of which no line of readings says anything is not told, whatever its figure: 0 is no proof.
func TestNoLinesAtAll(t *testing.T) {
	in := input(t, equal(bed.NineFoot(), second(0, 0.1, 0)), judge.FewestDraws)
	in.Result.Lengthwise.Value, in.Result.Lengthwise.Lines = 0, 0
	j := set(t, in)
	f := j.Finding(judge.Lengthwise)
	if !f.Missing || f.Verdict != judge.CannotTell || j.Verdict != judge.CannotTell || j.Next.Code != judge.NoLines ||
		!strings.Contains(f.Why, "straightness lengthwise is not known. Nothing was read, so there is no margin.") {
		t.Errorf("%v, %+v, next %+v", j.Verdict, f, j.Next)
	}
	if f := j.Finding(judge.Across); f.Missing || f.Verdict != judge.Conforms {
		t.Errorf("%+v", f)
	}
}

// A joint that was read in its middle only is told of nowhere.
func TestJointNotReadFromEndToEnd(t *testing.T) {
	faces := []*face.Face{grid(second(0, 0.1, 0)), grid(second(0, 0.1, 0)), grid(second(0, 0.1, 0))}
	for i, r := range faces[2].Row {
		if r != face.NoRow {
			faces[2].Y[i] *= 0.1
		}
	}
	j := judged(t, question(bed.NineFoot(), faces...))
	if len(j.Hindrances) != 1 || j.Hindrances[0].Code != judge.ShortJoint || j.Hindrances[0].Of != "P-2, P-3" || !slices.Equal(j.Hindrances[0].On, []judge.Name{judge.StepFoot}) {
		t.Fatalf("%+v", j.Hindrances)
	}
	if j.Verdict != judge.CannotTell || j.DecidedBy != judge.StepFoot || j.Finding(judge.StepHead).Verdict != judge.Conforms || j.Next.Code != judge.ShortJoint {
		t.Errorf("%v by %s, next %+v", j.Verdict, j.DecidedBy, j.Next)
	}
}

// A promise of the free state, read on two lines: the bow across is judged, with what gravity leaves; nothing else is.
func TestFreeOnLines(t *testing.T) {
	spec := bed.NineFoot()
	spec.State = bed.StateFree
	three := func(s shape) []*face.Face {
		var list []*face.Face
		for range 3 {
			f := grid(s)
			f.Support = lines(0.22)
			list = append(list, f)
		}
		return list
	}
	j := judged(t, question(spec, three(flat)...))
	across := j.Finding(judge.Across)
	if j.Verdict != judge.CannotTell || across.Verdict != judge.Conforms || j.Finding(judge.Zone).Verdict != judge.CannotTell || j.Proof.State != bed.StateFree {
		t.Errorf("%v, %+v", j.Verdict, across)
	}
	if last := across.Parts[len(across.Parts)-1]; last.Name != judge.PartGravity || math.Abs(last.U-0.03/math.Sqrt(3)) > 5e-5 {
		t.Errorf("%+v", across.Parts)
	}
	j = judged(t, question(spec, three(second(0, 0.6, 0))...))
	if j.Verdict != judge.DoesNotConform || j.DecidedBy != judge.Across {
		t.Errorf("a bow of 0.6 mm: %v by %s", j.Verdict, j.DecidedBy)
	}
	if j.Next.Code != judge.Rematch && j.Next.Code != judge.Regrind {
		t.Errorf("next %+v", j.Next)
	}
}

// Joints that were not read at the edge carry the extrapolation's uncertainty, √2 of it with both sides unread.
func TestJointsNotReadAtTheEdge(t *testing.T) {
	plain := func() *face.Face {
		f := grid(flat)
		g := *f
		n := 54
		g.X, g.Y, g.Z, g.Row = f.X[:n], f.Y[:n], f.Z[:n], nil
		return &g
	}
	j := judged(t, question(bed.NineFoot(), grid(flat), plain(), plain()))
	for name, want := range map[judge.Name]float64{judge.StepHead: 0.030, judge.StepFoot: 0.030 * math.Sqrt2} {
		f := j.Finding(name)
		if p := f.Parts[3]; p.Name != judge.PartJoint || math.Abs(p.U-want) > 1e-6 || f.U < want {
			t.Errorf("%s: %+v", name, f.Parts)
		}
	}
	if p := judged(t, question(bed.NineFoot(), grid(flat), grid(flat), grid(flat))).Finding(judge.StepHead).Parts[3]; p.U != 0 {
		t.Errorf("read at the edge: %+v", p)
	}
}

func TestWarnings(t *testing.T) {
	// Readings without any noise whose file says that they have some.
	calm := question(bed.NineFoot(), grid(second(0, 0.01, 0)), grid(second(0, 0.01, 0)), grid(second(0, 0.01, 0)))
	for _, f := range calm.Faces {
		f.U = 0.03
	}
	if j := judged(t, calm); len(j.Warnings) != 1 || !strings.Contains(j.Warnings[0], "scatter less") {
		t.Errorf("%q", j.Warnings)
	}
	// Edges that cannot meet.
	j := judged(t, question(bed.NineFoot(), grid(second(0, 0.5, 0)), grid(second(0, -0.5, 0)), grid(second(0, 0.5, 0))))
	if len(j.Warnings) != 1 || !strings.Contains(j.Warnings[0], "cannot be kept") || j.Verdict != judge.DoesNotConform {
		t.Errorf("%q, %v", j.Warnings, j.Verdict)
	}
}

// At most √2 − 1 of a figure is taken off for noise, so a nearly flat stone never becomes flatter than its readings allow.
func TestCorrectionIsBounded(t *testing.T) {
	f := func() *face.Face { g := grid(second(0, 0.02, 0)); g.U = 0.05; return g }
	j := judged(t, question(bed.NineFoot(), f(), f(), f()))
	z := j.Finding(judge.Zone)
	if z.Noise <= 0 || z.Noise > (math.Sqrt2-1)*z.Read+1e-6 || z.Value < 0.58*z.Read {
		t.Errorf("%+v", z)
	}
}

func TestSetRefuses(t *testing.T) {
	good := input(t, question(bed.NineFoot(), grid(flat), grid(flat), grid(flat)), judge.FewestDraws)
	for name, c := range map[string]struct {
		spoil func(in *judge.Input)
		code  string
		kind  trouble.Kind
	}{
		"never simulated": {func(in *judge.Input) { in.Doubt = judge.Doubt{} }, "no-doubt", trouble.KindOwn},
		"no such day":     {func(in *judge.Input) { in.Issued = "2026-11-31" }, "bad-date", trouble.KindUsage},
		"no face":         {func(in *judge.Input) { in.Question.Faces[1] = nil }, "no-file", trouble.KindUsage},
		"no size":         {func(in *judge.Input) { in.Question.Faces[1] = &face.Face{} }, "no-size", trouble.KindData},
	} {
		in := good
		c.spoil(&in)
		_, err := judge.Set(in)
		var is *trouble.Trouble
		if !errors.As(err, &is) || is.Code != c.code || is.Kind != c.kind {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Growing one figure of a set, or its spread, never makes the verdict better; a spread never turns what was doubtful into a proof.
func TestSetIsMonotone(t *testing.T) {
	base := input(t, question(bed.NineFoot(), grid(second(0.02, 0.10, 0.05)), grid(second(0, 0.08, -0.05)), grid(second(-0.03, 0.12, 0))), judge.FewestDraws)
	base.Reseater = nil
	rapid.Check(t, func(t *rapid.T) {
		judge1 := func(in judge.Input) judge.Judgement {
			j, err := judge.Set(in)
			if err != nil {
				t.Fatal(err)
			}
			return j
		}
		in := base
		in.Question.MaxZone = 1 // no other seating is tried: the figures below are not of these faces
		in.Result.Zone = rapid.Float64Range(0.3, 0.7).Draw(t, "zone")
		in.Doubt.Zone.SD = rapid.Float64Range(0, 0.05).Draw(t, "sd")
		was := judge1(in)
		flatter, sharper := in, in
		flatter.Result.Zone -= rapid.Float64Range(0, 0.3).Draw(t, "less")
		sharper.Doubt.Zone.SD *= rapid.Float64Range(0, 1).Draw(t, "share")
		if better := judge1(flatter); better.Verdict > was.Verdict {
			t.Fatalf("flatter: %v, was %v", better.Verdict, was.Verdict)
		}
		if sharp := judge1(sharper); was.Verdict != judge.CannotTell && sharp.Verdict != was.Verdict {
			t.Fatalf("sharper: %v, was %v", sharp.Verdict, was.Verdict)
		}
	})
}
