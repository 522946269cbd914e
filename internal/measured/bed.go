package measured

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/measured/kept"
	"slatewright/internal/picture/bedmap"
	"slatewright/judge"
)

// Triple is three faces to be laid as one bed and judged, as slatewright certify does it. All fields go into the judged body; with
// the same fields as certify was given, the body is the same.
type Triple struct {
	Faces         [3]string // digests of the readings: head, centre, foot
	Names         [3]string // what their files are called, in the body too; "": the piece's mark. Certify from the book says number.csv
	Specification string    // digest; "": the nine-foot bed
	LayUp         string    // digest; "": not laid up
	LayUpName     string    // what that file is called
	Set           string
	Mill          string
	DateCode      string
	Issued        string // "": the day of the latest reading
	Demo          bool   // the mill's data are invented
	AnyPlace      bool   // the pieces may change places
	MaxZone       float64
	Seed          uint64 // 0: 1, as certify has it
	// Fixed says that holes or pockets are cut: the comparison of turns and places then knows this one only.
	Fixed bool
}

// Bed is three pieces seated and judged. Body has all of it as it would be sealed; the other fields are its figures as numbers.
type Bed struct {
	Body      certificate.Body
	Verdict   judge.Verdict
	DecidedBy judge.Name
	Results   []Result
	Next      certificate.Step // what would change the verdict, or what to do next
	Joints    [2]Joint
	Turns     []Turn // every place and turn that is allowed, the best first
	TurnsLeft string // why some could not be tried
	Picture   bedmap.Map
}

// Result is one limit with the value held against it, mm. Where a hindrance keeps it from being told, Reason says so, and the numbers
// are of the readings all the same; where nothing was read, Missing.
type Result struct {
	Name           judge.Name
	Verdict        judge.Verdict
	Value          float64
	U              float64    // standard uncertainty
	Interval       [2]float64 // value ∓ 2 u, to the good side widened by the lean: where the true value lies with about 95 %
	Limit          float64
	AtLeast        bool     // the limit is the least that conforms, else the most
	Accept, Reject float64  // up to Accept conformity is proven, beyond Reject the opposite (AtLeast: from, below)
	Margin         float64  // how far the value is on the good side of Accept
	Probability    *float64 // that the true value conforms; nil where it cannot be told
	Missing        bool
	Reason         string
}

// Joint is the steps along one joint of the seated bed, from left to right. A step is positive where the foot side stands proud.
type Joint struct {
	X         float64   // bed frame
	Y         []float64 // bed frame
	Step      []float64 // as predicted, or as measured where the set was laid up
	Predicted []float64 // beside measured steps; nil where Step is the prediction
	U         float64   // standard uncertainty of the largest of them
	Largest   float64
	AtEdge    bool // read at the arris on both sides; else the faces were carried on to it
}

// Bed seats and judges three pieces and compares their turns and places. With the file of a lay-up the steps measured on it have their say.
func (r *Room) Bed(ctx context.Context, t Triple) (*Bed, error) {
	return kept.Get(ctx, r.shelf, t.key(), r.bedWork(t))
}

// AskBed is Bed for a page: at first it is being computed.
func (r *Room) AskBed(t Triple) Asked[*Bed] {
	return kept.Ask(r.shelf, t.key(), r.options.Patience, r.bedWork(t))
}

// KnownBed is what is known of a bed without computing it.
func (r *Room) KnownBed(t Triple) Asked[*Bed] { return kept.Known[*Bed](r.shelf, t.key()) }

// WantBed has a bed computed behind, after all that somebody looks at, and never waits.
func (r *Room) WantBed(t Triple) Asked[*Bed] {
	return kept.Want(r.shelf, t.key(), r.bedWork(t))
}

// BedMap is a bed for a screen on which it is so many pixels wide.
func (r *Room) BedMap(ctx context.Context, t Triple, width int) (Map, error) {
	return kept.Get(ctx, r.shelf, t.mapKey(width), r.bedMapWork(t, width))
}

// AskBedMap is BedMap for a page.
func (r *Room) AskBedMap(t Triple, width int) Asked[Map] {
	return kept.Ask(r.shelf, t.mapKey(width), r.options.Patience, r.bedMapWork(t, width))
}

func (t Triple) mapKey(width int) string { return fmt.Sprintf("map %d %s", widthFor(width), t.key()) }

func (r *Room) bedMapWork(t Triple, width int) kept.Work[Map] {
	return kept.Work[Map]{
		Bytes: Map.bytes,
		Do: func(ctx context.Context) (Map, error) {
			b, err := r.Bed(ctx, t)
			if err != nil {
				return Map{}, err
			}
			return turn(ctx, r, light, func() (Map, error) { return b.screen(widthFor(width)) })
		},
	}
}

func (t Triple) key() string { return fmt.Sprintf("bed %+q", fmt.Sprintf("%+v", t)) }

func (r *Room) bedWork(t Triple) kept.Work[*Bed] {
	return kept.Work[*Bed]{
		Bytes: (*Bed).bytes,
		Do: func(ctx context.Context) (*Bed, error) {
			in, err := r.input(ctx, t)
			if err != nil {
				return nil, err
			}
			return turn(ctx, r, heavy, func() (*Bed, error) { return newBed(ctx, in, t.Fixed) })
		},
	}
}

// bytes is about what a bed takes: mostly the lines of its readings, once as text and once as numbers for the map.
func (b *Bed) bytes() int64 {
	bytes := int64(64 << 10)
	for _, r := range b.Body.Given.Readings {
		for _, line := range r.CSV {
			bytes += int64(len(line)) + 16
		}
	}
	for _, p := range b.Picture.Pieces {
		bytes += 24 * int64(len(p.Z))
	}
	return bytes
}

// input reads what a bed is composed from.
func (r *Room) input(ctx context.Context, t Triple) (certificate.Input, error) {
	in := certificate.Input{Program: r.options.Program, Demo: t.Demo, Mill: t.Mill, Set: t.Set, DateCode: t.DateCode, Issued: t.Issued,
		AnyPlace: t.AnyPlace, MaxZone: t.MaxZone, Seed: cmp.Or(t.Seed, 1)}
	var err error
	if in.Spec, err = r.specification(ctx, t.Specification); err != nil {
		return in, err
	}
	for k, digest := range t.Faces {
		if in.Faces[k], err = r.faceOf(ctx, t.Names[k], digest); err != nil {
			return in, err
		}
	}
	if in.LayUp, err = r.layUp(ctx, cmp.Or(t.LayUpName, "lay-up"), t.LayUp); err != nil {
		return in, err
	}
	if t.Issued == "" {
		in.Issued = latest(in)
	}
	return in, nil
}

// faceOf is a face under the name given, or that of its piece.
func (r *Room) faceOf(ctx context.Context, name, digest string) (*face.Face, error) {
	if name == "" {
		return r.Face(ctx, digest)
	}
	return r.faceCalled(ctx, name, digest)
}

// latest is the day of the latest reading, of the faces or of the laid-up set; empty when none is dated.
func latest(in certificate.Input) (day string) {
	for _, f := range in.Faces {
		day = max(day, f.Date)
	}
	if in.LayUp != nil {
		day = max(day, in.LayUp.Date)
	}
	return day
}

func newBed(ctx context.Context, in certificate.Input, fixed bool) (*Bed, error) {
	body, err := certificate.ComposeBest(in)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	b := &Bed{Body: body, DecidedBy: judge.Name(body.Found.DecidedBy), Next: body.Found.Next}
	b.Verdict, _ = judge.VerdictOf(body.Found.Verdict)
	for _, r := range body.Found.Results {
		b.Results = append(b.Results, resultOf(r, body.Found.Hindrances))
	}
	question, err := body.Given.Seating()
	if err != nil {
		return nil, err
	}
	if b.Picture, err = BedPicture(body); err != nil {
		return nil, err
	}
	b.addJoints()
	b.Turns, b.TurnsLeft, err = compareTurns(ctx, question, body, fixed)
	return b, err
}

// coverage is how many standard uncertainties an interval reaches to each side, for about 95 %.
const coverage = 2

func resultOf(r certificate.Result, hindrances []certificate.Hindrance) Result {
	out := Result{Name: judge.Name(r.Name), Value: r.Value.Float64(), U: r.U.Float64(), Limit: r.Limit.Float64(), AtLeast: r.AtLeast,
		Accept: r.Accept.Float64(), Reject: r.Reject.Float64(), Margin: r.Margin.Float64(), Missing: r.Missing, Reason: r.Reason}
	out.Verdict, _ = judge.VerdictOf(r.Verdict)
	out.Interval = [2]float64{out.Value - coverage*out.U, out.Value + coverage*out.U}
	if lean := r.Lean.Float64(); r.AtLeast {
		out.Interval[1] += lean
	} else {
		out.Interval[0] -= lean
	}
	if !r.AtLeast {
		out.Interval[0] = math.Max(0, out.Interval[0]) // a zone, a straightness or a step is not less than nothing
	}
	hindered := slices.ContainsFunc(hindrances, func(h certificate.Hindrance) bool { return slices.Contains(h.On, r.Name) })
	if !r.Missing && !(hindered && out.Verdict == judge.CannotTell) {
		p := r.Probability.Float64()
		out.Probability = &p
	}
	return out
}

// addJoints takes the joints over from the map, with the doubt of their largest steps.
func (b *Bed) addJoints() {
	names := [2][2]judge.Name{{judge.StepHead, judge.LaidUpHead}, {judge.StepFoot, judge.LaidUpFoot}}
	for j, m := range b.Picture.Joints {
		joint := Joint{X: m.X, AtEdge: !m.NotMeasured, Predicted: m.Predicted}
		for _, s := range m.Steps {
			joint.Y, joint.Step = append(joint.Y, s.Y), append(joint.Step, s.Height)
			joint.Largest = max(joint.Largest, math.Abs(s.Height))
		}
		name := names[j][0]
		if m.Predicted != nil {
			name = names[j][1]
		}
		if i := slices.IndexFunc(b.Results, func(r Result) bool { return r.Name == name }); i >= 0 {
			joint.U = b.Results[i].U
		}
		b.Joints[j] = joint
	}
}
