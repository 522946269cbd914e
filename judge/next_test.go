package judge_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/seating"
)

// equal is a bed of three equal pieces.
func equal(spec bed.Spec, s shape) seating.Question {
	return question(spec, grid(s), grid(s), grid(s))
}

// lenient is the default specification with other limits than the zone's out of the way.
func lenient() bed.Spec {
	s := bed.NineFoot()
	s.Limits.Lengthwise, s.Limits.Across, s.Limits.Step = 5, 5, 5
	return s
}

// In doubt, the advice names the uncertainty that would decide: with it the finding conforms, with 0.001 mm more it does not.
func TestTheUncertaintyThatDecides(t *testing.T) {
	spec := lenient()
	cases := []struct {
		name   string
		change func(s *bed.Spec)
		code   judge.Code
		says   string
	}{
		{"readings", func(*bed.Spec) {}, judge.BetterGauge, "better gauge"},
		{"between the points", func(s *bed.Spec) { s.Uncertainty.BetweenPoints = 0.030 }, judge.FinerGrid, "finer grid"},
	}
	for _, c := range cases {
		s := spec
		c.change(&s)
		q := equal(s, second(0, 0.3, 0.5))
		in := input(t, q, 100)
		// put the limit where the finding is in doubt: half a guard band above its value
		z := set(t, in).Finding(judge.Zone)
		in.Question.Spec.Limits.Zone = z.Value + 0.8*z.Guard
		j := set(t, in)
		z = j.Finding(judge.Zone)
		if j.Verdict != judge.CannotTell || j.Next.Code != c.code || !strings.Contains(j.Next.Text, c.says) || j.Next.Unit != "mm" || j.Next.Why == "" {
			t.Errorf("%s: %v, %+v", c.name, j.Verdict, j.Next)
			continue
		}
		for _, more := range []float64{0, 0.001001} {
			sharper := z.Characteristic
			sharper.U = j.Next.Number + more
			if r := judge.Decide(sharper, s.Decision); (r.Verdict == judge.Conforms) != (more == 0) {
				t.Errorf("%s: u = %v gives %v", c.name, sharper.U, r.Verdict)
			}
		}
	}
}

// A joint that nobody read at the edge: read it there.
func TestJointRowIsAsked(t *testing.T) {
	spec := bed.NineFoot()
	var faces []*face.Face
	for range 3 {
		f := grid(second(0, 0.05, 0))
		f.X, f.Y, f.Z, f.Row = f.X[:54], f.Y[:54], f.Z[:54], nil
		faces = append(faces, f)
	}
	in := input(t, question(spec, faces...), 100)
	in.Question.MaxZone = 1 // the steps are as small as they can be
	s := set(t, in).Finding(judge.StepHead)
	in.Question.Spec.Limits.Step = s.Value + 0.7*s.Guard
	j := set(t, in)
	if j.Verdict != judge.CannotTell || j.Next.Code != judge.ReadJoint || !strings.Contains(j.Next.Text, "arris") {
		t.Errorf("%v by %s, %+v", j.Verdict, j.DecidedBy, j.Next)
	}
}

// Where no usual gauge decides, stone has to come off: at the limit, and beyond it.
func TestMeasuringCannotDecide(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	in := input(t, equal(lenient(), second(0, 0.3, 0.5)), 100)
	z := set(t, in).Finding(judge.Zone)
	for _, share := range []float64{0.2, -0.5} {
		in.Question.Spec.Limits.Zone = z.Value + share*z.Guard
		if j := set(t, in); j.Verdict != judge.CannotTell || j.Next.Code != judge.Rematch && j.Next.Code != judge.Regrind {
			t.Errorf("%v of the guard band inside: %v, %+v", share, j.Verdict, j.Next)
		}
	}
}

// ground is the question with the face at the place cut level with the bed, as the advice says.
func ground(in judge.Input, piece int, depth float64) seating.Question {
	q := in.Question
	s := in.Result.Pieces[piece]
	f := *q.Faces[s.Index]
	z := make([]float64, len(f.Z))
	top := math.Inf(-1)
	height := func(i int) float64 {
		x, y := f.X[i], f.Y[i]
		if s.Turned {
			x, y = -x, -y
		}
		return f.Z[i] + s.Height + s.TiltX*x + s.TiltY*y
	}
	for i := range z {
		top = max(top, height(i))
	}
	for i := range z {
		z[i] = f.Z[i] + min(0, top-depth-height(i))
	}
	f.Z = z
	q.Faces[s.Index] = &f
	return q
}

// One crowned piece among good ones: the advice is to re-grind it, and when that is done the set conforms.
func TestRegrindTheOneAtFault(t *testing.T) {
	for place := range 3 {
		if testing.Short() && place != 1 {
			continue
		}
		faces := []*face.Face{grid(second(0.01, 0.02, 0.03)), grid(second(0, 0.02, -0.02)), grid(second(0.02, 0, 0.02))}
		faces[place] = grid(second(0.02, 0.45, 0.05))
		faces[place].TurnFixed = place != 1
		in := input(t, question(bed.NineFoot(), faces...), 100)
		j := set(t, in)
		name := "P-" + string(rune('1'+place))
		if j.Verdict != judge.DoesNotConform || j.Next.Code != judge.Regrind || !strings.Contains(j.Next.Text, name) ||
			!strings.Contains(j.Next.Text, bed.Place(place).String()) || !strings.Contains(j.Next.Why, "first estimate") {
			t.Errorf("%s: %v by %s, %+v", name, j.Verdict, j.DecidedBy, j.Next)
			continue
		}
		if d := j.Next.Number; d < 0.15 || d > 0.45 {
			t.Errorf("%s: %v mm of a crown of 0.45", name, d)
		}
		after := judged(t, ground(in, place, j.Next.Number))
		if after.Verdict != judge.Conforms {
			w := after.Finding(after.DecidedBy)
			if w.Margin < -0.003 { // the noise correction and the uncertainty of the cut face are its own
				t.Errorf("%s: cut by %v mm: %v by %s, %+v", name, j.Next.Number, after.Verdict, after.DecidedBy, w)
			}
		}
		if before := judged(t, ground(in, place, j.Next.Number/2)); before.Verdict == judge.Conforms {
			t.Errorf("%s: half the cut would have done", name)
		}
	}
}

// A cut may not go deeper than the stone leaves, nor without anything to try it on.
func TestRegrindNeedsStone(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	faces := []*face.Face{grid(flat), grid(second(0.02, 0.45, 0.05)), grid(flat)}
	for i := range faces[1].Thickness {
		faces[1].Thickness[i].T = 25.5
	}
	in := input(t, question(bed.NineFoot(), faces...), 60)
	if j := set(t, in); j.Verdict != judge.DoesNotConform || j.Next.Code != judge.Rematch {
		t.Errorf("with 0.1 mm to spare: %v, %+v", j.Verdict, j.Next)
	}
	for i := range faces[1].Thickness {
		faces[1].Thickness[i].T = 25.9
	}
	in = input(t, question(bed.NineFoot(), faces...), 60)
	in.Reseater = nil
	if j := set(t, in); j.Next.Code != judge.Rematch {
		t.Errorf("without a reseater: %+v", j.Next)
	}
}

// A cure that cannot be tried costs the advice, not the verdict, and it is said.
func TestCureThatCannotBeTried(t *testing.T) {
	in := input(t, question(bed.NineFoot(), grid(flat), grid(second(0.02, 0.45, 0.05)), grid(flat)), judge.FewestDraws)
	tried := set(t, in)
	in.Reseater = failing{}
	j := set(t, in)
	if j.Verdict != tried.Verdict || tried.Next.Code != judge.Regrind || j.Next.Code != judge.Rematch {
		t.Errorf("%v with %v, without %v with %v", tried.Verdict, tried.Next.Code, j.Verdict, j.Next.Code)
	}
	if len(j.Warnings) != len(tried.Warnings)+1 || !strings.HasSuffix(j.Warnings[len(j.Warnings)-1], "there may be a better next step than the one given: broken") {
		t.Errorf("%q", j.Warnings)
	}
}

// Three pieces that are all wrong are matched anew.
func TestRematch(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	j := judged(t, equal(bed.NineFoot(), second(0, 0.5, 0)))
	if j.Verdict != judge.DoesNotConform || j.Next.Code != judge.Rematch || !strings.Contains(j.Next.Why, "accepted") {
		t.Errorf("%v, %+v", j.Verdict, j.Next)
	}
}

// bumped is a flat face whose joint row stands up at one place.
func bumped(row face.Row, y, height float64) *face.Face {
	f := grid(second(0, 0.02, 0))
	for i := range f.Z {
		if f.Row[i] == row && math.Abs(f.Y[i]-y) < 1 {
			f.Z[i] += height
		}
	}
	return f
}

// A bump at a joint is dressed, on the side where it stands.
func TestDressTheProudSide(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	y := (pieceY/2 - 20) / 2
	for _, c := range []struct {
		name  string
		faces []*face.Face
		says  []string
	}{
		{"foot side of the second joint", []*face.Face{grid(flat), grid(flat), bumped(face.JointMinus, y, 0.30)}, []string{"centre and foot", "foot piece", "P-3", "y = 358"}},
		{"head side of the first joint", []*face.Face{bumped(face.JointPlus, -y, 0.30), grid(flat), grid(flat)}, []string{"head and centre", "head piece", "P-1", "y = -358"}},
	} {
		q := question(bed.NineFoot(), c.faces...)
		in := input(t, q, 60)
		j := set(t, in)
		if j.Verdict == judge.Conforms || j.Next.Code != judge.Dress || j.Next.Number <= 0 || j.Next.Number > judge.MaxDress {
			t.Errorf("%s: %v by %s, %+v", c.name, j.Verdict, j.DecidedBy, j.Next)
			continue
		}
		for _, s := range c.says {
			if !strings.Contains(j.Next.Text, s) {
				t.Errorf("%s: %q is not in %q", c.name, s, j.Next.Text)
			}
		}
		if w := j.Finding(j.DecidedBy); j.Next.Number < -w.Margin || j.Next.Number > w.Read-target(t, j.Next)+0.005001 {
			t.Errorf("%s: %v for %v", c.name, j.Next.Number, w.Margin)
		}
	}
}

// dressed is the question with every step beyond the target taken down to it on its proud side, seated for that target.
func dressed(in judge.Input, target float64) seating.Question {
	q := in.Question
	for k, joint := range in.Result.Joints {
		for side, row := range []face.Row{face.JointPlus, face.JointMinus} {
			piece := *q.Faces[k+side]
			piece.Z = append([]float64{}, piece.Z...)
			for i := range piece.Z {
				for n, y := range joint.Y {
					over := joint.Step[n]*float64(2*side-1) - target
					if piece.Row[i] == row && math.Abs(piece.Y[i]-y) < 1e-6 && over > 0 {
						piece.Z[i] -= over
					}
				}
			}
			q.Faces[k+side] = &piece
		}
	}
	q.MaxStep = target
	return q
}

// target is the step down to which the advice wants the joints dressed.
func target(t *testing.T, s judge.Step) (mm float64) {
	t.Helper()
	_, rest, _ := strings.Cut(s.Text, "reads more than ")
	if _, err := fmt.Sscanf(rest, "%f mm", &mm); err != nil || mm <= 0 || !strings.Contains(s.Why, fmt.Sprintf("steps of at most %.3f mm", mm)) {
		t.Fatalf("%+v: %v", s, err)
	}
	return mm
}

// Advice, on beds of drawn faces: what it says would help does.
func TestAdviceIsTrue(t *testing.T) {
	given, followed, helped := map[judge.Code]int{}, 0, 0
	beds := 40
	if testing.Short() {
		beds = 2
	}
	for n := range beds {
		draw := chance.NewStream(5).Split("bed").Split(string(rune('a' + n)))
		var faces []*face.Face
		for range 3 {
			s := plus(second(0.08*draw.Normal(), 0.12*draw.Normal(), 0.15*draw.Normal()), waves(draw, 0.008))
			faces = append(faces, disturb(grid(s), draw, 0.008))
		}
		in := input(t, question(bed.NineFoot(), faces...), 60)
		j := set(t, in)
		given[j.Next.Code]++
		if j.Next.Text == "" || j.Next.Why == "" || !strings.HasSuffix(j.Next.Text, ".") || !strings.HasSuffix(j.Next.Why, ".") {
			t.Errorf("bed %d: %+v", n, j.Next)
		}
		if again := set(t, in); again.Next != j.Next {
			t.Errorf("bed %d: %+v, then %+v", n, j.Next, again.Next)
		}
		q, slack := in.Question, 0.0
		switch j.Next.Code {
		case judge.Reseat:
			q.MaxStep = j.Next.Number
		case judge.Regrind:
			slack = 0.015 // a first estimate: a bed that is cut flatter is less sure of its steps
			for place := range 3 {
				if strings.Contains(j.Next.Text, " "+bed.Place(place).String()+" ") {
					q = ground(in, place, j.Next.Number)
				}
			}
		case judge.Dress:
			q = dressed(in, target(t, j.Next))
		default:
			continue
		}
		after := set(t, input(t, q, 60))
		if j.Next.Code == judge.Regrind && after.Next.Code == judge.Reseat { // the seating spends what came off on the zone until it is told not to
			q.MaxStep = after.Next.Number
			after = set(t, input(t, q, 60))
		}
		w := after.Finding(after.DecidedBy)
		if after.Verdict != judge.Conforms && w.Margin < -slack {
			t.Errorf("bed %d: %s %v by %+v", n, j.Next.Text, after.Verdict, w)
		}
		followed++
		if after.Verdict == judge.Conforms {
			helped++
		}
	}
	if helped < followed*3/4 {
		t.Errorf("of %d sets that followed the advice %d conform", followed, helped)
	}
	t.Logf("%v; of %d that were followed %d helped at once", given, followed, helped)
	if testing.Short() {
		return // too few for every kind of advice
	}
	if given[judge.LayUpDry] == 0 || given[judge.Reseat] == 0 || given[judge.Regrind] == 0 || given[judge.Dress] == 0 {
		t.Errorf("too little was advised: %v", given)
	}
}
