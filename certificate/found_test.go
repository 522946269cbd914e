package certificate

import (
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/judge"
)

// answered composes the invented set after a change, and asks the other packages for the same.
func answered(t *testing.T, change func(*Input)) (Found, answer) {
	t.Helper()
	in := invented()
	change(&in)
	b := composed(t, in)
	a, err := b.answer()
	if err != nil {
		t.Fatal(err)
	}
	return b.Found, a
}

// seals tells whether a sealed number is that number, rounded.
func seals[P places](d Decimal[P], x float64) bool {
	return math.Abs(d.Float64()-x) <= 0.5000001/scale[P]()
}

// Every figure of a result is the judge's, to its last digit.
func TestResultsAreTheJudges(t *testing.T) {
	f, a := answered(t, func(in *Input) { in.LayUp = readLayUp(t, inventedLayUp) })
	if len(f.Results) != len(a.verdict.Findings) || len(f.Results) != 8 {
		t.Fatalf("%d results of %d findings", len(f.Results), len(a.verdict.Findings))
	}
	for i, r := range f.Results {
		j := a.verdict.Findings[i]
		for what, ok := range map[string]bool{
			"name": r.Name == string(j.Name), "verdict": r.Verdict == j.Verdict.String(), "value": seals(r.Value, j.Value), "u": seals(r.U, j.U),
			"limit": seals(r.Limit, j.Limit), "at least": r.AtLeast == j.AtLeast, "accept": seals(r.Accept, j.Accept), "reject": seals(r.Reject, j.Reject),
			"margin": seals(r.Margin, j.Margin), "guard": seals(r.Guard, j.Guard), "probability": seals(r.Probability, j.Probability),
			"read": seals(r.Read, j.Read), "noise": seals(r.Noise, j.Noise), "between": seals(r.Between, j.Between), "lean": seals(r.Lean, j.Lean),
			"missing": r.Missing == j.Missing, "reason": r.Reason == j.Why, "parts": len(r.Parts) == len(j.Parts),
		} {
			if !ok {
				t.Errorf("%s: the %s is sealed otherwise: %+v of %+v", r.Name, what, r, j)
			}
		}
		sum := 0.0
		for k, p := range r.Parts {
			if p.Name != j.Parts[k].Name || !seals(p.U, j.Parts[k].U) {
				t.Errorf("%s: part %+v of %+v", r.Name, p, j.Parts[k])
			}
			sum += p.U.Float64() * p.U.Float64()
		}
		if math.Abs(math.Sqrt(sum)-r.U.Float64()) > 2e-6 {
			t.Errorf("%s: the parts make %v, and u is %s", r.Name, math.Sqrt(sum), r.U)
		}
	}
}

// What the simulation found stands under the name of its figure.
func TestDoubtIsTheSimulations(t *testing.T) {
	f, a := answered(t, func(*Input) {})
	d := a.doubt
	if len(f.Doubt.Spreads) != 5 || !seals(f.Doubt.BenchU, bed.NineFoot().Uncertainty.Bench) || !seals(f.Doubt.GuardFactor, bed.ISO14253Factor) {
		t.Fatalf("%+v", f.Doubt)
	}
	for i, want := range []struct {
		name judge.Name
		of   judge.Spread
	}{{judge.Lengthwise, d.Lengthwise}, {judge.Across, d.Across}, {judge.Zone, d.Zone}, {judge.StepHead, d.Steps[0]}, {judge.StepFoot, d.Steps[1]}} {
		got := f.Doubt.Spreads[i]
		if got.Name != string(want.name) || !seals(got.Shift, want.of.Shift) || !seals(got.SD, want.of.SD) || !seals(got.Rise, want.of.Rise) || got.SD <= 0 {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
	for _, u := range f.Doubt.ReadingU {
		if u != 5000 { // as the files state
			t.Errorf("the readings have an uncertainty of %s mm", u)
		}
	}
}

// How the pieces lie, joint by joint and contact by contact, is the seating's; places are given once, in their order.
func TestSeatingIsTheSeatings(t *testing.T) {
	f, a := answered(t, func(in *Input) { in.AnyPlace = true })
	s, r := f.Seating, a.seated
	if s.Feasible != r.Feasible || !seals(s.Zone, r.Zone) || !seals(s.ZoneBound, r.ZoneBound) || s.Tried != r.Tried || len(s.Joints) != 2 || len(s.Contacts) != len(r.Contacts) {
		t.Errorf("%+v of %+v", s, r)
	}
	for i, joint := range s.Joints {
		of := r.Joints[i]
		if !seals(joint.Largest, of.Largest) || joint.Measured != of.Measured || len(joint.Stations) != len(of.Y) || len(of.Y) < 9 {
			t.Errorf("joint %d: %+v of %+v", i, joint, of)
		}
		for k, at := range joint.Stations {
			if !seals(at[0], of.Y[k]) || !seals(at[1], of.Step[k]) {
				t.Errorf("joint %d, station %d: %v of %v, %v", i, k, at, of.Y[k], of.Step[k])
			}
		}
	}
	for i, c := range s.Contacts {
		if of := r.Contacts[i]; c.Place != of.Place || c.Upper != of.Upper || !seals(c.Point[0], of.X) || !seals(c.Point[1], of.Y) || !seals(c.Point[2], of.Z) {
			t.Errorf("contact %+v of %+v", c, of)
		}
	}
	var read []int
	for i, p := range f.Pieces {
		of := r.Pieces[i]
		if p.Place != bed.Place(i) || p.Reading != of.Index || p.Turned != of.Turned || !seals(p.Height, of.Height) || !seals(p.TiltX, of.TiltX) || !seals(p.TiltY, of.TiltY) {
			t.Errorf("piece %+v of %+v", p, of)
		}
		if p.Piece != a.question.Faces[p.Reading].Piece || !seals(p.WidestGap, a.verdict.Gaps[p.Reading]) {
			t.Errorf("the %s is %s with a gap of %s mm", p.Place, p.Piece, p.WidestGap)
		}
		read = append(read, p.Reading)
	}
	if slices.Sort(read); !slices.Equal(read, []int{0, 1, 2}) {
		t.Errorf("the readings are used as %v", read)
	}
}

// The shim card and the level readings are those of the seating, or say why there are none.
func TestCardsAreTheSeatings(t *testing.T) {
	f, a := answered(t, func(*Input) {})
	r := a.seated
	if len(f.Shims.Shims) != len(r.Shims) || len(r.Shims) != 18 || f.Shims.NotGiven != "" || f.Shims.Rounded == nil || len(f.Levels) != len(r.Levels) || len(r.Levels) == 0 {
		t.Fatalf("%d shims, %d levels, %q", len(f.Shims.Shims), len(f.Levels), f.Shims.NotGiven)
	}
	for i, s := range f.Shims.Shims {
		of := r.Shims[i]
		if s.Place != of.Place || !seals(s.At[0], of.X) || !seals(s.At[1], of.Y) || !seals(s.Height, of.Height) || len(s.Pack) != len(of.Pack.Shims) {
			t.Errorf("shim %+v of %+v", s, of)
		}
	}
	if got, of := f.Shims.Rounded, r.Rounded; !seals(got.Zone, of.Zone) || !seals(got.Steps[1], of.Steps[1]) || !seals(got.Lengthwise, of.Lengthwise) || !seals(got.Across, of.Across) {
		t.Errorf("rounded %+v of %+v", got, of)
	}
	for i, l := range f.Levels {
		of := r.Levels[i]
		if l.Place != of.Place || l.Along != of.Along || !seals(l.Base, of.Foot) || !seals(l.Slope, of.Slope) || len(l.Divisions) != 2 {
			t.Errorf("level %+v of %+v", l, of)
		}
		// 0.02 mm/m: a slope of 1e-6 is a twentieth of a division.
		if d := l.Divisions[0]; d.Division != "0.02 mm/m" || math.Abs(d.Reading.Float64()-of.Slope/2e-5) > 0.0006 {
			t.Errorf("%+v for a slope of %v", d, of.Slope)
		}
	}
	f, _ = answered(t, func(in *Input) { in.Faces[1].Lined, in.Faces[1].Thickness = nil, nil })
	if f.Shims.NotGiven == "" || len(f.Shims.Shims) != 0 || f.Shims.Rounded != nil {
		t.Errorf("without thickness: %+v", f.Shims)
	}
}

// A hindrance is sealed with its words, and the deciding result says what it is and what the margin is.
func TestHindrancesAreSealed(t *testing.T) {
	f, a := answered(t, func(in *Input) { in.Faces[1].DrySince, in.Faces[2].DrySince = "", "" })
	if len(f.Hindrances) != 1 || f.Verdict != "cannot tell" {
		t.Fatalf("%s, %+v", f.Verdict, f.Hindrances)
	}
	h, of := f.Hindrances[0], a.verdict.Hindrances[0]
	if h.Code != string(judge.Wet) || h.Of != "QH-0402, QH-0403" || h.Reason != of.Why || h.Next != of.Next || len(h.On) != 5 || f.Next.Code != h.Code {
		t.Errorf("%+v of %+v, next %+v", h, of, f.Next)
	}
	for _, r := range f.Results {
		if r.Name == f.DecidedBy && (!strings.HasPrefix(r.Reason, h.Reason) || !strings.Contains(r.Reason, "The margin to what is accepted is ")) {
			t.Errorf("%s decides: %q", r.Name, r.Reason)
		}
	}
}
