package judge

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/trouble"
)

// LayUp is what was read on the set as it lay dry on the bench, shimmed as planned. Steps have the sign of the seating's.
type LayUp struct {
	Name       string // of the file, for messages
	Instrument string
	Date       string           // YYYY-MM-DD
	U          float64          // standard uncertainty of one step, mm; 0: not stated
	Steps      [2][]StepReading // head to centre, centre to foot; y ascending, no y twice
}

// StepReading is one step with its place across the table, mm.
type StepReading struct{ Y, Step float64 }

// What the steps of a lay-up must be like. Common practice, no source.
const (
	// LayUpStations is the fewest places at which each joint must be read.
	LayUpStations = 5
	// LayUpSpan is the least share of a joint's length from the first place to the last.
	LayUpSpan = 0.6
	// LayUpBeyond is how far, mm, a place may lie beyond the outermost one of the prediction, which is carried on there in a
	// straight line: from readings that end at the edge band to the end of the arris, and a little more.
	LayUpBeyond = 40.0
)

// Laid is a judgement in which the lay-up has its say.
type Laid struct {
	Judgement               // findings, hindrances, verdict and next step of prediction and measurement together
	Joints    [2]Comparison // head to centre, centre to foot
}

// LaidUp judges the steps that were measured on the laid-up set, besides those that were predicted from its three pieces: a
// lay-up can confirm a prediction or spoil it, and it never betters it. predicted is what [Set] made of the input.
//
// A measured step counts as it is, wherever the pieces have come to lie. But if it differs from the prediction in a way that no
// move of rigid pieces explains, one of the two is wrong, and the joint cannot be told.
//
// Errors are *trouble.Trouble of kind data: steps at too few places, off the joint, on too short a part of it, or where nothing
// was predicted.
func LaidUp(in Input, predicted Judgement, l LayUp) (Laid, error) {
	out := Laid{Judgement: predicted}
	out.Findings, out.Hindrances, out.Warnings = append([]Finding{}, predicted.Findings...), append([]Hindrance{}, predicted.Hindrances...),
		append([]string{}, predicted.Warnings...)
	u := l.u(in.Question.Spec)
	out.Hindrances = append(out.Hindrances, l.readiness(in, u)...)
	for i, name := range []Name{StepHead, StepFoot} {
		if err := l.covers(i, in); err != nil {
			return Laid{}, err
		}
		out.Joints[i] = compare(l.Steps[i], in.Result.Joints[i], misfitU(in, i, u))
		out.Findings = append(out.Findings, measured(LaidUpPrefix+name, out.Joints[i].Largest, u, in.Question.Spec))
		out.disagree(i, l.Name, u, in.Doubt.Steps[i])
	}
	out.Hindrances = gather(out.Hindrances)
	out.decide()
	out.nextAfterLayUp(predicted)
	return out, nil
}

// u is the standard uncertainty of one step: as stated, else that of two readings.
func (l LayUp) u(spec bed.Spec) float64 {
	const root2 = 1.4142135623730951
	if l.U > 0 {
		return l.U
	}
	return sealed(root2 * spec.Uncertainty.Reading)
}

// readiness lists what keeps a lay-up from being judged.
func (l LayUp) readiness(in Input, u float64) []Hindrance {
	var list []Hindrance
	for _, h := range []*Hindrance{stated(u), named(l.Instrument), l.dated(in)} {
		if h != nil {
			h.Of, h.On = l.Name, []Name{LaidUpHead, LaidUpFoot}
			list = append(list, *h)
		}
	}
	return list
}

// dated holds the day of the lay-up against those of the readings and of the verdict.
func (l LayUp) dated(in Input) *Hindrance {
	const next = "Correct the date of the lay-up, of the readings or of the certificate."
	if l.Date == "" {
		return &Hindrance{Code: NoDate, Why: "The day of the lay-up is not given.", Next: "Write '# date:' with the day on which the steps were read."}
	}
	if h := calendar(l.Date); h != nil {
		return h
	}
	for _, f := range in.Question.Faces {
		if n, ok := days(f.Date, l.Date); ok && n < 0 {
			return &Hindrance{Code: BadDate, Why: fmt.Sprintf("The lay-up is dated %s, before a piece of it was read, %s.", l.Date, f.Date), Next: next}
		}
	}
	if n, ok := days(l.Date, in.Issued); ok && n < 0 {
		return &Hindrance{Code: BadDate, Why: fmt.Sprintf("The lay-up is dated %s, after the day of this verdict, %s.", l.Date, in.Issued), Next: next}
	}
	return nil
}

// covers refuses steps that do not show a joint.
func (l LayUp) covers(joint int, in Input) error {
	list, predicted := l.Steps[joint], in.Result.Joints[joint].Y
	name := bed.Place(joint).String() + "-" + bed.Place(joint+1).String()
	refuse := func(code, what, next string) error {
		return trouble.Data(code, l.Name, "the joint "+name+" "+what, next)
	}
	if len(list) < LayUpStations {
		return refuse("few-stations", "is read at "+trouble.Count(len(list), "place", "places"),
			fmt.Sprintf("read each joint at %d places or more, from edge to edge", LayUpStations))
	}
	long := in.Question.Spec.SizeY
	first, last := list[0].Y, list[len(list)-1].Y
	for _, y := range []float64{first, last} {
		if math.Abs(y) > long/2 {
			return refuse("off-joint", fmt.Sprintf("is read at y = %s mm, and the bed ends at %s mm", short(y), short(long/2)),
				"count y across the table from the middle of the bed, and correct it or the '# unit:' line")
		}
	}
	sides := [2]int{}
	for _, s := range list {
		if s.Y < 0 {
			sides[0]++
		} else if s.Y > 0 {
			sides[1]++
		}
	}
	if last-first < float64(LayUpSpan*long) || min(sides[0], sides[1]) < 2 {
		return refuse("short-lay-up", fmt.Sprintf("is read from y = %s to %s mm only, %s on one side of the middle and %d on the other",
			short(first), short(last), trouble.Count(sides[0], "place", "places"), sides[1]),
			fmt.Sprintf("read it over %s mm or more of its %s mm, at two places or more on either side", short(LayUpSpan*long), short(long)))
	}
	for _, y := range []float64{first, last} {
		if y < predicted[0]-LayUpBeyond || y > predicted[len(predicted)-1]+LayUpBeyond {
			return refuse("off-prediction", fmt.Sprintf("is read at y = %s mm, and the edges of its pieces only from %s to %s mm: nothing is predicted there",
				short(y), short(predicted[0]), short(predicted[len(predicted)-1])), "read the edges of the faces out to their ends, or leave that place out")
		}
	}
	return nil
}

// measured is the finding of the largest step that was measured at a joint. The largest of readings with errors is high, so
// it is taken as it stands.
func measured(name Name, largest, u float64, spec bed.Spec) Finding {
	c := Characteristic{Name: name, Value: largest, U: u, Limit: spec.Limits.Step}
	f := Finding{Ruling: Decide(c, spec.Decision), Read: largest, Parts: []Part{{PartGauge, u}}}
	f.explain()
	return f
}

// nextAfterLayUp says what to do when the lay-up, and not the three pieces, decides.
func (l *Laid) nextAfterLayUp(predicted Judgement) {
	decides := l.Finding(l.DecidedBy)
	switch {
	case l.Verdict == Conforms:
		l.Next = Step{Code: Done, Text: "Pack the set with this certificate.",
			Why: "Every characteristic conforms, predicted from the three pieces and measured on the laid-up set."}
	case l.Verdict == predicted.Verdict: // what the pieces need comes first
	case l.hinders(l.DecidedBy) != nil:
		l.Next = l.clear()
	default:
		l.Next = Step{Code: ShimLayUp, Text: "Shim the laid-up set anew at the joint that decides, or dress it by hand, and read its steps again.",
			Why: fmt.Sprintf("The lay-up shows a step of %s mm where %s mm would be accepted.", mm(decides.Value), mm(decides.Accept))}
	}
}
