package cli

import (
	"fmt"
	"slices"

	"slatewright/face"
	"slatewright/flatness"
	"slatewright/internal/cli/verb"
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
	File           string       `json:"file"`
	Piece          string       `json:"piece"`
	Face           string       `json:"face"`
	State          string       `json:"state"`
	Points         int          `json:"points"`
	JointPoints    int          `json:"joint_row_points"` // read, and not in the numbers
	ZoneMM         float64      `json:"zone_mm"`
	ZoneLowMM      float64      `json:"zone_low_mm"` // no orientation of two planes does with less
	ZoneHighMM     float64      `json:"zone_high_mm"`
	LeastSquaresMM float64      `json:"least_squares_mm"`
	Kind           string       `json:"kind"`
	Normal         [3]float64   `json:"normal"`
	Contacts       [][3]float64 `json:"contacts"` // the file's frame, mm, upper side first
	UpperContacts  int          `json:"upper_contacts"`
	faceShape
	MaxZoneMM *float64          `json:"max_zone_mm"`
	Verdict   *string           `json:"verdict"`           // null without a limit
	Answers   map[string]string `json:"answers,omitempty"` // the mill's own, when a book was named
	Warnings  []string          `json:"warnings"`
	status    verb.Outcome
	steep     bool    // the planes stand far from level
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
	points, joint := withoutJointRows(f)
	zone, err := flatness.MinimumZone(points)
	if err != nil {
		return nil, refusal(err, f)
	}
	plane, err := flatness.LeastSquares(points)
	if err != nil {
		return nil, refusal(err, f)
	}
	r := &faceReport{
		File: f.Name, Piece: f.Piece, Face: f.Side.String(), State: stateOf(f), Points: points.Len(), JointPoints: joint,
		ZoneMM: zone.Value, ZoneLowMM: zone.Low, ZoneHighMM: zone.High, LeastSquaresMM: plane.PeakToValley,
		shortSide: min(f.SizeX, f.SizeY), Kind: zone.Kind, Normal: zone.Normal, Contacts: [][3]float64{}, Warnings: []string{},
	}
	for i, c := range zone.Contacts {
		r.Contacts = append(r.Contacts, [3]float64{points.X[c], points.Y[c], points.Z[c]})
		if zone.ContactUpper[i] {
			r.UpperContacts++
		}
	}
	r.steep = zone.Normal[2] < levelNormal
	if r.steep {
		r.warn("the planes stand more than 5° from level: check that the third column is the height of the face, and that the " +
			"readings are spread over it")
	}
	r.warn(f.Warnings...)
	r.warn(zone.Warnings...)
	r.warn(plane.Warnings...)
	if joint > 0 {
		r.warn(trouble.Count(joint, "reading of a joint row is not in these numbers: it belongs",
			"readings of joint rows are not in these numbers: they belong") + " to the joint")
	}
	if err := r.addShape(f); err != nil {
		return nil, refusal(err, f)
	}
	r.decide(v.MaxZone)
	r.Answers, err = millAnswers(s, v.Book)
	return r, err
}

// levelNormal is the cosine of 5°: a face is laid level to measure it, far better than this.
const levelNormal = 0.9962

// withoutJointRows returns the readings of the face itself, in the file's frame, and the number of readings left out.
func withoutJointRows(f *face.Face) (flatness.Points, int) {
	all := flatness.Points{X: f.X, Y: f.Y, Z: f.Z}
	if f.Row == nil {
		return all, 0
	}
	var kept flatness.Points
	for i, row := range f.Row {
		if row == face.NoRow {
			kept.X, kept.Y, kept.Z = append(kept.X, f.X[i]), append(kept.Y, f.Y[i]), append(kept.Z, f.Z[i])
		}
	}
	return kept, all.Len() - kept.Len()
}

// The states of a result: what it holds for.
const (
	laid   = "laid"
	asRead = "as read"
)

// stateOf tells what the numbers hold for: gravity is not computed, so only a bench that carries the piece everywhere gives
// more than the readings.
func stateOf(f *face.Face) string {
	if f.Support.Kind == face.SupportBench {
		return laid
	}
	return asRead
}

// warn adds warnings that are not there yet.
func (r *faceReport) warn(warnings ...string) {
	for _, w := range warnings {
		if !slices.Contains(r.Warnings, w) {
			r.Warnings = append(r.Warnings, w)
		}
	}
}

// mostUnread is how much of a piece may lie beyond its outermost readings, as a share of the shorter side, before a verdict on
// the face is withheld: a fifth. Common practice, no source; a certificate asks for more.
const mostUnread = 0.2

// unread tells whether so much of the face was not read that its zone says nothing of the piece, and warns of it.
func (r *faceReport) unread() bool {
	if r.EdgeUnreadMM == nil || *r.EdgeUnreadMM <= mostUnread*r.shortSide {
		return false
	}
	r.warn(fmt.Sprintf("up to %s mm along an edge were not read: what the face does there is not known, so there is no verdict on it",
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
	case r.steep, r.unread():
	case r.ZoneHighMM <= limit.MM:
		verdict = judge.Conforms
	case r.ZoneLowMM > limit.MM:
		verdict = judge.DoesNotConform
	}
	words := verdict.String()
	r.MaxZoneMM, r.Verdict, r.status = &limit.MM, &words, verb.OutcomeOf(verdict)
	r.warn("the verdict is on the points as read: the doubt of the readings and what lies between them are not in it")
}

func (r *faceReport) Outcome() verb.Outcome { return r.status }
