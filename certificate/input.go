package certificate

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
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
	Demo     bool   // the readings are invented; also if they say so themselves
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
	return q, g.threePieces(q.Faces)
}

// threePieces refuses one piece that is given as two: by its mark, or by readings that are the same to the last digit, which
// no instrument gives twice.
func (g Given) threePieces(faces [3]*face.Face) error {
	for i := range faces {
		for j := range i {
			where := g.Readings[j].Name + ", " + g.Readings[i].Name
			if mark := faces[i].Piece; mark != "" && mark == faces[j].Piece {
				return trouble.Data("same-piece", where, "both are readings of the piece "+strconv.Quote(mark),
					"name three pieces; if they are three, correct '# piece:'")
			}
			if slices.Equal(g.Readings[i].data(), g.Readings[j].data()) {
				return trouble.Data("same-piece", where, "both hold the very same readings", "name the files of three pieces, each read for itself")
			}
		}
	}
	return nil
}

// invented tells whether something given says of itself that it is invented.
func (g Given) invented() bool {
	says := func(text string) bool { return strings.Contains(strings.ToLower(text), Invented) }
	for _, r := range g.Readings {
		if slices.ContainsFunc(r.CSV, func(line string) bool { return strings.HasPrefix(line, "#") && says(line) }) {
			return true
		}
	}
	return g.LayUp != nil && slices.ContainsFunc(g.LayUp.Remarks, says)
}
