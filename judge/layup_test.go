package judge_test

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/seating"
	"slatewright/trouble"
)

// twoJoints is a good set whose steps are as given at nine places from −700 to 700 mm, whatever the seating made of them.
func twoJoints(t *testing.T, head, foot func(y float64) float64) (judge.Input, judge.Judgement) {
	t.Helper()
	in := input(t, equal(bed.NineFoot(), second(0, 0.1, 0)), judge.FewestDraws)
	for i, step := range []func(float64) float64{head, foot} {
		in.Result.Joints[i] = seating.Joint{Measured: [2]bool{true, true}, Covered: true}
		j := &in.Result.Joints[i]
		for _, y := range stations(9, 700) {
			j.Y, j.Step = append(j.Y, y), append(j.Step, step(y))
			j.Largest = max(j.Largest, math.Abs(step(y)))
		}
	}
	return in, set(t, in)
}

func level(float64) float64 { return 0 }

// tilted is a straight line that is 0.02 mm at one end of the joint and −0.02 mm at the other.
func tilted(y float64) float64 { return 0.02 * y / 700 }

// dry is a lay-up of that set, read at seven places with these steps.
func dry(head, foot func(y float64) float64) judge.LayUp {
	l := judge.LayUp{Name: "lay-up.csv", Instrument: "step gauge 3", Date: "2026-11-22", U: 0.005}
	for i, step := range []func(float64) float64{head, foot} {
		for _, y := range stations(7, 660) {
			l.Steps[i] = append(l.Steps[i], judge.StepReading{Y: math.Round(y), Step: step(y)})
		}
	}
	return l
}

func laid(t *testing.T, in judge.Input, predicted judge.Judgement, l judge.LayUp) judge.Laid {
	t.Helper()
	out, err := judge.LaidUp(in, predicted, l)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// What was predicted is measured: the set conforms and is done, and every number is rounded.
func TestLayUpConfirms(t *testing.T) {
	in, predicted := twoJoints(t, tilted, level)
	got := laid(t, in, predicted, dry(tilted, level))
	if got.Verdict != judge.Conforms || got.Next.Code != judge.Done || len(got.Warnings) != 0 || len(got.Hindrances) != 0 || len(got.Findings) != 8 {
		t.Fatalf("%v, next %+v, %q, %+v, %d findings", got.Verdict, got.Next, got.Warnings, got.Hindrances, len(got.Findings))
	}
	if !reflect.DeepEqual(got.Findings[:6], predicted.Findings) || predicted.Next.Code != judge.LayUpDry {
		t.Error("the prediction was changed")
	}
	for i, name := range []judge.Name{judge.LaidUpHead, judge.LaidUpFoot} {
		f, c := got.Finding(name), got.Joints[i]
		largest := []float64{0.02 * 660 / 700, 0}[i]
		if math.Abs(f.Value-largest) > 1e-6 || c.Largest != f.Value || f.U != 0.005 || f.Limit != 0.127 || f.Lean != 0 ||
			!slices.Equal(f.Parts, []judge.Part{{Name: judge.PartGauge, U: 0.005}}) {
			t.Errorf("%s: %+v, %+v", name, f, c)
		}
		if c.Misfit > 2e-6 || c.Allowed < 0.02 || len(c.Stations) != 7 {
			t.Errorf("%s: %+v", name, c)
		}
	}
	if n, bad := rounded("", reflect.ValueOf(got.Judgement)); n < 60 || len(bad) != 0 {
		t.Errorf("not rounded: %q", bad)
	}
}

// The measured step is held against the limit: 0.127 mm, u = 0.005 mm, ISO 14253-1: accepted up to 0.127 − 1.644854·0.005 =
// 0.118776, refused beyond 0.135224. Pieces that lie askew, or on packs of another height, are measured as they lie.
func TestMeasuredStepsAreJudged(t *testing.T) {
	in, predicted := twoJoints(t, tilted, level)
	for _, c := range []struct {
		largest float64
		verdict judge.Verdict
		next    judge.Code
	}{
		{0.118776, judge.Conforms, judge.Done}, {0.118777, judge.CannotTell, judge.ShimLayUp}, {0.135224, judge.CannotTell, judge.ShimLayUp},
		{0.135225, judge.DoesNotConform, judge.ShimLayUp},
	} {
		for how, step := range map[string]func(y float64) float64{
			"higher": func(float64) float64 { return c.largest },
			"lower":  func(float64) float64 { return -c.largest },
			"askew":  func(y float64) float64 { return c.largest * y / 660 },
		} {
			got := laid(t, in, predicted, dry(tilted, step))
			f := got.Finding(judge.LaidUpFoot)
			if got.Verdict != c.verdict || f.Verdict != c.verdict || got.Next.Code != c.next || len(got.Hindrances) != 0 {
				t.Errorf("%v mm %s: %v, %v, next %+v, %+v", c.largest, how, got.Verdict, f.Verdict, got.Next, got.Hindrances)
			}
			if c.verdict != judge.Conforms && got.DecidedBy != judge.LaidUpFoot || (f.Why != "") != (c.verdict == judge.CannotTell) {
				t.Errorf("%v mm %s: decided by %s, %q", c.largest, how, got.DecidedBy, f.Why)
			}
			if len(got.Warnings) != 1 || !strings.Contains(got.Warnings[0], "the step between centre and foot was measured as ") {
				t.Errorf("%v mm %s: warned %q", c.largest, how, got.Warnings)
			}
		}
	}
}

// A difference that no move of rigid pieces explains means that one of prediction and measurement is wrong: nothing is told
// of that joint, neither that it conforms nor that it does not.
func TestMisfit(t *testing.T) {
	in, predicted := twoJoints(t, level, tilted)
	spike := func(h float64) func(float64) float64 {
		return func(y float64) float64 {
			if math.Abs(y) < 1 {
				return h
			}
			return 0
		}
	}
	for name, c := range map[string]struct {
		step func(float64) float64
		at   string
	}{
		"a bend":               {func(y float64) float64 { return 0.15 * (1 - y*y/660/660) }, "y = -660 mm"},
		"one place, too low":   {spike(-0.1), "y = 0 mm"},
		"one place, no step":   {spike(0.2), "y = 0 mm"}, // would be refused
		"the end of the joint": {func(y float64) float64 { return 0.12 * max(0, y-440) / 220 }, "y = 660 mm"},
	} {
		got := laid(t, in, predicted, dry(c.step, tilted))
		f := got.Finding(judge.LaidUpHead)
		if got.Verdict != judge.CannotTell || f.Verdict != judge.CannotTell || got.DecidedBy != judge.LaidUpHead || len(got.Warnings) != 0 {
			t.Errorf("%s: %v, %v, decided by %s, warned %q", name, got.Verdict, f.Verdict, got.DecidedBy, got.Warnings)
		}
		if len(got.Hindrances) != 1 || got.Hindrances[0].Code != judge.Misfit || !slices.Equal(got.Hindrances[0].On, []judge.Name{judge.LaidUpHead}) ||
			!strings.Contains(f.Why, "one of the two is wrong") || !strings.Contains(f.Why, "margin") {
			t.Errorf("%s: %+v, %q", name, got.Hindrances, f.Why)
		}
		if got.Next.Code != judge.Misfit || !strings.Contains(got.Next.Text, "lay-up.csv: Read the step at "+c.at) {
			t.Errorf("%s: next %+v", name, got.Next)
		}
		if other := got.Finding(judge.LaidUpFoot); other.Verdict != judge.Conforms || got.Joints[1].Misfit > 2e-6 {
			t.Errorf("%s: the other joint %+v, %+v", name, other, got.Joints[1])
		}
	}
}

// A joint where nothing is wrong, but for errors of the stated size and pieces that lie askew, is called a misfit once in 100
// lay-ups: hardly less often, as the inequality of Bonferroni is nearly sharp for so rare events, and not more often. An
// uncertainty taken for half as large would call far more.
func TestMisfitsByChance(t *testing.T) {
	in, predicted := twoJoints(t, level, tilted)
	in.Doubt.ReadingU, in.Doubt.BenchU, in.Question.Spec.Uncertainty = [3]float64{}, 0, bed.Uncertainty{}
	lays := 4000
	if testing.Short() {
		lays = 500
	}
	draw := chance.NewStream(9)
	called := [2]int{} // with the uncertainty as it is, and taken for half
	for range lays {
		height, slope := 0.05*draw.Normal(), 1e-4*draw.Normal()
		step := func(y float64) float64 { return height + slope*y + 0.005*draw.Normal() }
		for k, u := range []float64{0.005, 0.0025} {
			l := dry(step, step)
			l.U = u
			for _, c := range laid(t, in, predicted, l).Joints {
				if c.Misfit > c.Allowed {
					called[k]++
				}
			}
		}
	}
	joints := 2 * float64(lays)
	expected, sd := 0.01*joints, math.Sqrt(0.01*joints)
	if n := float64(called[0]); n > expected+4*sd || n < 0.8*expected-4*sd {
		t.Errorf("of %v joints %v were called misfits, want about %v", joints, n, expected)
	}
	if float64(called[1]) < 5*expected {
		t.Errorf("with half the uncertainty %d", called[1])
	}
}

// On invented faces, read with noise and over a bench that is not quite known, seated, laid up on packs that are off, and read
// with a gauge: what is measured is next to never called a misfit, and one step misread by 0.15 mm nearly always is.
func TestTrueLayUpsAreNoMisfits(t *testing.T) {
	if testing.Short() {
		t.Skip("long statistics")
	}
	const beds, u, slip = 10, 0.010, 0.15
	joints, misfits, seen := 0, 0, 0
	for _, kind := range kinds {
		for n := range beds {
			draw := chance.NewStream(2000).Split(kind.name + strconv.Itoa(n))
			var shapes [3]shape
			var faces []*face.Face
			for i := range shapes {
				piece := draw.Split("piece" + strconv.Itoa(i))
				shapes[i] = kind.face(piece)
				bench := second(0.004*piece.Normal(), 0.004*piece.Normal(), 0.015*piece.Normal())
				faces = append(faces, disturb(grid(plus(shapes[i], bench)), piece.Split("noise"), u))
			}
			in := input(t, question(bed.NineFoot(), faces...), judge.FewestDraws)
			l := judge.LayUp{Name: "lay-up.csv", Instrument: "step gauge", Date: "2026-11-22", U: 0.005}
			var moved [3]shape
			for i, s := range in.Result.Pieces {
				height, tx, ty := s.Height+0.03*draw.Normal(), s.TiltX+3e-5*draw.Normal(), s.TiltY+3e-5*draw.Normal()
				moved[i] = func(x, y float64) float64 { return shapes[i](x, y) + height + tx*x + ty*y }
			}
			const x = pieceX/2 - 5
			for j := range 2 {
				for _, y := range stations(7, 660) {
					l.Steps[j] = append(l.Steps[j], judge.StepReading{Y: y, Step: moved[j+1](-x, y) - moved[j](x, y) + 0.005*draw.Normal()})
				}
			}
			predicted := set(t, in)
			wrong := l
			for j, c := range laid(t, in, predicted, l).Joints {
				joints++
				if c.Misfit > c.Allowed {
					misfits++
				}
				wrong.Steps[j] = slices.Clone(l.Steps[j])
				wrong.Steps[j][3].Step += slip
			}
			for _, c := range laid(t, in, predicted, wrong).Joints {
				if c.Misfit > c.Allowed {
					seen++
				}
			}
		}
	}
	t.Logf("of %d joints %d were called misfits, and %d when one step was misread", joints, misfits, seen)
	if joints == 0 || misfits > joints/30 || seen < joints*9/10 {
		t.Errorf("of %d joints %d were called misfits, and %d when one step was misread", joints, misfits, seen)
	}
}

// Every part of the doubt about a difference makes room for it: one step, one reading of either edge, the bench, what lies between
// the stations, and an edge that was not read.
func TestMisfitUncertainty(t *testing.T) {
	in, predicted := twoJoints(t, level, level)
	in.Doubt.ReadingU, in.Doubt.BenchU = [3]float64{0.010, 0.020, 0.030}, 0.007
	in.Question.Spec.Uncertainty = bed.Uncertainty{BetweenPoints: 0.011, JointExtrapolation: 0.025}
	in.Result.Joints[1].Measured = [2]bool{false, true}
	in.Result.Pieces[2].Index, in.Result.Pieces[0].Index = 0, 2
	got := laid(t, in, predicted, dry(level, level))
	// In the middle of seven places the leverage is 1/7; all residuals are 0, so the place with the least allowed counts: an end,
	// where it is 1/7 + 9/28 = 13/28.
	factor := chance.Quantile(1-0.01/14) * math.Sqrt(15.0/28)
	for i, u := range []float64{
		math.Sqrt(0.005*0.005 + 0.030*0.030 + 0.020*0.020 + 0.007*0.007 + 0.011*0.011),
		math.Sqrt(0.005*0.005 + 0.020*0.020 + 0.010*0.010 + 0.007*0.007 + 0.011*0.011 + 0.025*0.025),
	} {
		if c := got.Joints[i]; math.Abs(c.Allowed-factor*u) > 1e-6 || math.Abs(c.MisfitY) != 660 {
			t.Errorf("joint %d: %+v, want %v allowed", i, c, factor*u)
		}
	}
}

// The prediction between two stations is on their straight line, and beyond the outermost on the line through that and the next
// that is 40 mm away or more.
func TestPredictionAtTheStations(t *testing.T) {
	in, predicted := twoJoints(t, level, level)
	in.Result.Joints[0].Y = []float64{-700, -690, -655, 0, 600, 650}
	in.Result.Joints[0].Step = []float64{0.010, 0.020, 0.055, 0.030, -0.030, -0.010}
	l := dry(level, level)
	l.Steps[0] = nil
	want := map[float64]float64{-735: -0.025, -700: 0.010, -695: 0.015, -300: 0.055 - 0.025*355/655, 0: 0.030, 300: 0, 650: -0.010, 690: 0.006}
	for _, y := range []float64{-735, -700, -695, -300, 0, 300, 650, 690} {
		l.Steps[0] = append(l.Steps[0], judge.StepReading{Y: y, Step: 0.001})
	}
	got := laid(t, in, predicted, l).Joints[0].Stations
	if len(got) != len(want) {
		t.Fatalf("%d stations", len(got))
	}
	for _, s := range got {
		if math.Abs(s.Predicted-want[s.Y]) > 1e-6 || s.Measured != 0.001 {
			t.Errorf("at %v mm: %+v, want %v", s.Y, s, want[s.Y])
		}
	}
	// One station of the prediction, and places all around it.
	in.Result.Joints[0].Y, in.Result.Joints[0].Step = []float64{0}, []float64{0.03}
	if _, err := judge.LaidUp(in, predicted, l); err == nil {
		t.Error("nothing is predicted so far from the only station")
	}
}

func TestLayUpsThatShowNoJoint(t *testing.T) {
	in, predicted := twoJoints(t, level, level)
	at := func(ys ...float64) func(*judge.LayUp) {
		return func(l *judge.LayUp) {
			l.Steps[1] = nil
			for _, y := range ys {
				l.Steps[1] = append(l.Steps[1], judge.StepReading{Y: y})
			}
		}
	}
	for name, c := range map[string]struct {
		change func(*judge.LayUp)
		code   string
		says   string
	}{
		"four places":             {at(-700, -300, 300, 700), "few-stations", "centre-foot is read at 4 places"},
		"none":                    {at(), "few-stations", "at 0 places"},
		"off the table":           {at(-700, -300, 0, 300, 737), "off-joint", "y = 737 mm, and the bed ends at 736.5 mm"},
		"from a corner":           {at(0, 300, 700, 1000, 1400), "off-joint", "1400 mm"},
		"in metres":               {at(-0.7, -0.3, 0, 0.3, 0.7), "short-lay-up", "from y = -0.7 to 0.7 mm only"},
		"half the joint":          {at(-440, -200, 0, 200, 440), "short-lay-up", "over 883.8 mm or more of its 1473 mm"},
		"one end and four others": {at(-700, 0, 0.1, 100, 300), "short-lay-up", "1 place on one side of the middle and 3 on the other"},
		"the other end":           {at(-300, -200, -100, 0, 700), "short-lay-up", "3 places on one side of the middle and 1 on the other"},
		"nearly a whole joint":    {at(-441.9, -200, 200, 400, 441.8), "short-lay-up", "883.8"},
	} {
		l := dry(level, level)
		c.change(&l)
		_, err := judge.LaidUp(in, predicted, l)
		var is *trouble.Trouble
		if !errors.As(err, &is) || is.Kind != trouble.KindData || is.Code != c.code || is.Where != "lay-up.csv" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, ys := range map[string][]float64{
		"the ends of the arris": {-736.5, -300, 0, 300, 736.5}, "just enough": {-441.9, -200, 0, 200, 441.9}, "none in the middle": {-600, -500, -400, 500, 600},
	} {
		l := dry(level, level)
		at(ys...)(&l)
		if got := laid(t, in, predicted, l); got.Verdict != judge.Conforms {
			t.Errorf("%s: %v", name, got.Verdict)
		}
	}
	in.Result.Joints[1].Y[0] = -690 // readings that end 46.5 mm short of the arris
	l := dry(level, level)
	at(-736.5, -300, 0, 300, 736.5)(&l)
	var is *trouble.Trouble
	if _, err := judge.LaidUp(in, predicted, l); !errors.As(err, &is) || is.Code != "off-prediction" || !strings.Contains(is.What, "only from -690 to 700 mm") {
		t.Errorf("%v", err)
	}
}

// What a lay-up does not say keeps both its steps from being told.
func TestLayUpHindrances(t *testing.T) {
	in, predicted := twoJoints(t, level, level)
	both := []judge.Name{judge.LaidUpHead, judge.LaidUpFoot}
	for name, c := range map[string]struct {
		change func(*judge.LayUp)
		codes  []judge.Code
		says   string
	}{
		"no uncertainty":         {func(l *judge.LayUp) { l.U = 0 }, []judge.Code{judge.NoU}, "Neither"},
		"no instrument":          {func(l *judge.LayUp) { l.Instrument = "" }, []judge.Code{judge.NoInstrument}, "not named"},
		"no date":                {func(l *judge.LayUp) { l.Date = "" }, []judge.Code{judge.NoDate}, "The day of the lay-up"},
		"no such day":            {func(l *judge.LayUp) { l.Date = "2026-11-31" }, []judge.Code{judge.BadDate}, "2026-11-31"},
		"before the readings":    {func(l *judge.LayUp) { l.Date = "2026-11-19" }, []judge.Code{judge.BadDate}, "before a piece of it was read"},
		"after the verdict":      {func(l *judge.LayUp) { l.Date = "2026-11-26" }, []judge.Code{judge.BadDate}, "after the day of this verdict"},
		"neither name nor gauge": {func(l *judge.LayUp) { l.Date, l.U = "", 0 }, []judge.Code{judge.NoU, judge.NoDate}, "Neither"},
	} {
		in := in
		in.Question.Spec.Uncertainty.Reading = 0
		l := dry(level, level)
		c.change(&l)
		got := laid(t, in, predicted, l)
		var codes []judge.Code
		for _, h := range got.Hindrances {
			codes = append(codes, h.Code)
			if h.Of != "lay-up.csv" || !slices.Equal(h.On, both) || h.Next == "" {
				t.Errorf("%s: %+v", name, h)
			}
		}
		if !slices.Equal(codes, c.codes) || !strings.Contains(got.Hindrances[0].Why, c.says) {
			t.Errorf("%s: %+v", name, got.Hindrances)
			continue
		}
		if got.Verdict != judge.CannotTell || got.Finding(judge.LaidUpHead).Verdict != judge.CannotTell || got.Next.Code != c.codes[0] {
			t.Errorf("%s: %v, next %+v", name, got.Verdict, got.Next)
		}
	}
	for name, date := range map[string]string{"on the day of the readings": "2026-11-20", "on the day of the verdict": "2026-11-25"} {
		l := dry(level, level)
		l.Date = date
		if got := laid(t, in, predicted, l); got.Verdict != judge.Conforms {
			t.Errorf("%s: %+v", name, got.Hindrances)
		}
	}
	// Without a statement, a step is the difference of two readings of the specification's uncertainty.
	l := dry(level, level)
	l.U = 0
	if f := laid(t, in, predicted, l).Finding(judge.LaidUpHead); math.Abs(f.U-0.010*math.Sqrt2) > 1e-6 {
		t.Errorf("u = %v", f.U)
	}
}

// A good lay-up betters nothing, and what the pieces need is said first; but one that proves the opposite decides.
func TestLayUpBettersNothing(t *testing.T) {
	in, _ := twoJoints(t, level, level)
	wet := *in.Question.Faces[0]
	wet.DrySince = ""
	in.Question.Faces[0] = &wet
	predicted := set(t, in)
	got := laid(t, in, predicted, dry(level, level))
	if got.Verdict != judge.CannotTell || got.Next != predicted.Next || got.DecidedBy == judge.LaidUpHead || got.Next.Code != judge.Wet {
		t.Errorf("%v by %s, next %+v", got.Verdict, got.DecidedBy, got.Next)
	}
	high := func(float64) float64 { return 0.2 }
	if got := laid(t, in, predicted, dry(level, high)); got.Verdict != judge.DoesNotConform || got.DecidedBy != judge.LaidUpFoot || got.Next.Code != judge.ShimLayUp {
		t.Errorf("%v by %s, next %+v", got.Verdict, got.DecidedBy, got.Next)
	}
}
