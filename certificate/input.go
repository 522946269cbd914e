package certificate

import (
	"cmp"
	"time"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/seating"
	"slatewright/trouble"
)

// Input is what a certificate is made from.
type Input struct {
	Program  string // name and version of the program
	Demo     bool   // the readings are invented
	Mill     string // who answers for the set
	Set      string // set number
	DateCode string // as cut into the stone
	Issued   string // date YYYY-MM-DD, or empty

	Faces    [3]*face.Face // top faces as read: head, centre, foot unless AnyPlace
	Spec     bed.Spec
	MaxZone  float64 // mm; 0: the smallest zone is sought, with the steps within MaxStep
	MaxStep  float64 // mm; 0: the specification's limit. Not used with MaxZone
	AnyPlace bool
	Seed     uint64 // of the simulation
	Draws    int    // of the simulation; 0: judge.Draws
	LayUp    *LayUp // nil: not laid up
}

// body rounds what was given to what is sealed, and finds nothing yet.
func (in Input) body() (Body, error) {
	b := Body{Format: Format, Version: Version, Program: in.Program, Mill: in.Mill, Set: in.Set, DateCode: in.DateCode, Issued: in.Issued}
	if in.Demo {
		b.Mark = Invented
	}
	if _, err := time.Parse(time.DateOnly, in.Issued); in.Issued != "" && err != nil {
		return b, trouble.Usage("bad-date", "issued", "\""+in.Issued+"\" is no date", "write it as YYYY-MM-DD").Because(err)
	}
	var s sealer
	b.Given = Given{
		Question:   Question{MaxZone: s.mm(in.MaxZone), AnyPlace: in.AnyPlace},
		Spec:       s.spec(in.Spec),
		Simulation: Simulation{Seed: in.Seed, Draws: cmp.Or(in.Draws, judge.Draws)},
		LayUp:      in.LayUp,
	}
	if in.MaxZone == 0 {
		b.Given.Question.MaxStep = cmp.Or(s.mm(in.MaxStep), b.Given.Spec.Limits.Step)
	}
	for _, f := range in.Faces {
		if f == nil {
			return b, trouble.Usage("no-file", "", "three faces are needed", "name the head, centre and foot files")
		}
		r, err := sealReading(f)
		if err != nil {
			return b, err
		}
		b.Given.Readings = append(b.Given.Readings, r)
	}
	return b, s.err
}

// Seating returns the question that the seating is asked, from the sealed values.
func (g Given) Seating() (seating.Question, error) {
	q := seating.Question{Spec: g.Spec.Bed(), MaxStep: g.Question.MaxStep.Float64(), MaxZone: g.Question.MaxZone.Float64(), AnyPlace: g.Question.AnyPlace}
	if err := q.Spec.Validate(); err != nil {
		return q, err
	}
	if len(g.Readings) != len(q.Faces) {
		return q, trouble.Data("no-readings", "given.readings", "the certificate does not hold the readings of three faces", "ask the mill for the certificate again")
	}
	for i, r := range g.Readings {
		f, err := r.Face()
		if err != nil {
			return q, err
		}
		q.Faces[i] = f
	}
	return q, nil
}
