package cli

import (
	"fmt"

	"slatewright/internal/cli/verb"
	"slatewright/internal/flat"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/trouble"
)

// flatnessVerb measures one face.
type flatnessVerb struct {
	File    string       `arg:"" help:"Readings of one face, CSV or PLY; - is standard input."`
	Book    string       `placeholder:"PLACE" help:"The mill's book: its answers are printed with the numbers."`
	MaxZone *verb.Length `name:"max-zone" placeholder:"LENGTH" help:"Say whether the zone keeps within this limit, such as 0.25mm or 10thou."`
}

func (flatnessVerb) About() verb.About {
	return verb.About{
		Text: `Finds the two closest parallel planes that hold every reading, in any orientation: their distance is the minimum
			zone of ISO 1101, and the contact points listed with it prove it. Beside it stand the flatness about the least-squares
			plane, and the shape: bow along and bow across (+ is high in the middle), and twist (+ is the corners at +x+y and -x-y
			high), each with its standard error.

			Readings of a joint row (column row) belong to the joint and stay out of these numbers. The numbers hold for the support
			on which the piece was read; nothing is taken away for gravity. The shape needs the size of the piece (a header
			line such as '# size: 914 x 1473 mm', x by y).

			With --max-zone the exit status is the verdict on the zone of the points as read. The doubt of each reading and what lies
			between the points are not in it: for a promise to a customer, seat and certify the set.`,
		Examples: []verb.Example{
			{"slatewright flatness head.csv", "the numbers, for people, in mm and thousandths of an inch"},
			{"slatewright flatness scan.ply --json", "the same as one JSON object"},
			{"slatewright flatness head.csv --max-zone 0.254mm && echo flat", "a verdict, as exit status 0 or 1"},
			{"slatewright flatness - <head.csv", "readings from standard input"},
		},
	}
}

// faceReport is the answer. Its names are a contract with other programs.
type faceReport struct {
	File string `json:"file"`
	flat.Flat
	MaxZoneMM *float64          `json:"max_zone_mm"`
	Verdict   *string           `json:"verdict"`           // null without a limit
	Answers   map[string]string `json:"answers,omitempty"` // the mill's own, when a book was named
	status    verb.Outcome
	shortSide float64 // of the piece, mm; 0 when its size is not known
}

// Run measures the face.
func (v flatnessVerb) Run(s *verb.Session) (verb.Report, error) {
	if v.MaxZone != nil && v.MaxZone.MM <= 0 {
		return nil, trouble.Usage("bad-limit", "slatewright flatness", "--max-zone must be more than 0", "give the largest zone that is good enough, such as 0.25mm")
	}
	f, err := readFace(s, v.File)
	if err != nil {
		return nil, err
	}
	found, err := flat.Of(f)
	if err != nil {
		return nil, err
	}
	r := &faceReport{File: f.Name, Flat: found, shortSide: min(f.SizeX, f.SizeY)}
	r.decide(v.MaxZone)
	r.Answers, err = millAnswers(s, v.Book)
	return r, err
}

// mostUnread is how much of a piece may lie beyond its outermost readings, as a share of the shorter side, before a verdict on
// the face is withheld: a fifth. Common practice, no source; a certificate asks for more.
const mostUnread = 0.2

// unread tells whether so much of the face was not read that its zone says nothing of the piece, and warns of it.
func (r *faceReport) unread() bool {
	if r.EdgeUnreadMM == nil || *r.EdgeUnreadMM <= mostUnread*r.shortSide {
		return false
	}
	r.Warn(fmt.Sprintf("up to %s mm along an edge were not read: what the face does there is not known, so there is no verdict on it",
		measure.Decimal(*r.EdgeUnreadMM, 0)))
	return true
}

// decide holds the zone of the points against a limit by simple acceptance, as far as the interval of the zone allows.
func (r *faceReport) decide(limit *verb.Length) {
	if limit == nil {
		return
	}
	verdict := judge.CannotTell
	switch {
	case r.Steep(), r.unread():
	case r.ZoneHighMM <= limit.MM:
		verdict = judge.Conforms
	case r.ZoneLowMM > limit.MM:
		verdict = judge.DoesNotConform
	}
	words := verdict.String()
	r.MaxZoneMM, r.Verdict, r.status = &limit.MM, &words, verb.OutcomeOf(verdict)
	r.Warn("the verdict is on the points as read: the doubt of the readings and what lies between them are not in it")
}

func (r *faceReport) Outcome() verb.Outcome { return r.status }
