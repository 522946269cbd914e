// Package flat measures one face: how flat it is, with the proof, and of which shape. The command line and the long computations
// say the same of a face because both ask here.
//
// It computes nothing of its own: package flatness does. It gives no verdict, takes nothing away for gravity, and reads no file.
package flat

import (
	"errors"
	"math"
	"slices"

	"slatewright/face"
	"slatewright/flatness"
	"slatewright/trouble"
)

// Flat is how flat a face is. Its names are a contract with other programs.
type Flat struct {
	Piece          string       `json:"piece"`
	Face           string       `json:"face"`
	State          string       `json:"state"` // what the numbers hold for: Laid or AsRead
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
	Shape
	Warnings []string `json:"warnings"`
}

// Shape is the shape of a face. A field is nil where the size of the piece is not known, or where the readings cannot tell it.
type Shape struct {
	BowAlongMM    *float64 `json:"bow_along_mm"`
	BowAlongSEMM  *float64 `json:"bow_along_se_mm"`
	BowAcrossMM   *float64 `json:"bow_across_mm"`
	BowAcrossSEMM *float64 `json:"bow_across_se_mm"`
	TwistMM       *float64 `json:"twist_mm"`
	TwistSEMM     *float64 `json:"twist_se_mm"`
	RollOffMM     *float64 `json:"roll_off_mm"` // how much the outer ring of readings falls away
	RollOffSEMM   *float64 `json:"roll_off_se_mm"`
	EdgeUnreadMM  *float64 `json:"edge_unread_mm"` // largest distance of an edge from the outermost readings
	RemainderMM   *float64 `json:"remainder_mm"`   // peak to valley of what bow and twist do not explain
	RemainderSEMM *float64 `json:"remainder_se_mm"`
}

// The states: gravity is not computed, so only a bench that carries the piece everywhere gives more than the readings.
const (
	Laid   = "laid"
	AsRead = "as read"
)

// level is the cosine of 5°: a face is laid level to measure it, far better than this.
const level = 0.9962

// Steep tells whether the planes stand so far from level that it can hardly be a face that was measured.
func (r *Flat) Steep() bool { return r.Normal[2] < level }

// Warn adds warnings that are not there yet.
func (r *Flat) Warn(warnings ...string) {
	for _, w := range warnings {
		if !slices.Contains(r.Warnings, w) {
			r.Warnings = append(r.Warnings, w)
		}
	}
}

// Of measures a face. Readings of joint rows stay out of the numbers. A refusal names the face.
func Of(f *face.Face) (Flat, error) {
	r, err := measure(f)
	return r, Refusal(err, f)
}

func measure(f *face.Face) (Flat, error) {
	points, joint := withoutJointRows(f)
	zone, err := flatness.MinimumZone(points)
	if err != nil {
		return Flat{}, err
	}
	plane, err := flatness.LeastSquares(points)
	if err != nil {
		return Flat{}, err
	}
	r := Flat{Piece: f.Piece, Face: f.Side.String(), State: stateOf(f), Points: points.Len(), JointPoints: joint,
		ZoneMM: zone.Value, ZoneLowMM: zone.Low, ZoneHighMM: zone.High, LeastSquaresMM: plane.PeakToValley,
		Kind: zone.Kind, Normal: zone.Normal, Contacts: [][3]float64{}, Warnings: []string{}}
	for i, c := range zone.Contacts {
		r.Contacts = append(r.Contacts, [3]float64{points.X[c], points.Y[c], points.Z[c]})
		if zone.ContactUpper[i] {
			r.UpperContacts++
		}
	}
	if r.Steep() {
		r.Warn("the planes stand more than 5° from level: check that the third column is the height of the face, and that the readings are spread over it")
	}
	r.Warn(f.Warnings...)
	r.Warn(zone.Warnings...)
	r.Warn(plane.Warnings...)
	if joint > 0 {
		r.Warn(trouble.Count(joint, "reading of a joint row is not in these numbers: it belongs",
			"readings of joint rows are not in these numbers: they belong") + " to the joint")
	}
	return r, r.addShape(f)
}

// addShape fits the shape to the readings of the face itself, if the size of the piece is known.
func (r *Flat) addShape(f *face.Face) error {
	if f.SizeX == 0 {
		r.Warn("bow and twist need the size of the piece: add a line such as '# size: 914 x 1473 mm' (x by y) to the file")
		return nil
	}
	centred, err := f.Centred()
	if err != nil {
		return err
	}
	points, _ := withoutJointRows(centred)
	s, err := flatness.FitShape(points, f.SizeX, f.SizeY)
	if err != nil {
		return err
	}
	r.Shape = Shape{
		BowAlongMM: known(s.BowAlong), BowAlongSEMM: known(s.BowAlongSE),
		BowAcrossMM: known(s.BowAcross), BowAcrossSEMM: known(s.BowAcrossSE),
		TwistMM: known(s.Twist), TwistSEMM: known(s.TwistSE),
		RollOffMM: known(s.RollOff), RollOffSEMM: known(s.RollOffSE),
		EdgeUnreadMM: known(s.EdgeUnread), RemainderMM: known(s.Remainder), RemainderSEMM: known(s.RemainderSE),
	}
	r.Warn(s.Warnings...)
	return nil
}

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

func stateOf(f *face.Face) string {
	if f.Support.Kind == face.SupportBench {
		return Laid
	}
	return AsRead
}

// known is nil for what could not be told.
func known(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}

// mostCauses is how many warnings of a file are told with a refusal.
const mostCauses = 3

// Refusal is the trouble of a computation with the readings of f: it gets the name of the file as its place, or before a place within
// it, and what reading the file has warned of, since that may be the cause. Other errors stay as they are.
func Refusal(err error, f *face.Face) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) || t.Kind != trouble.KindData {
		return err
	}
	told := *t
	if told.Where = f.Name; t.Where != "" {
		told.Where += ", " + t.Where
	}
	for i, w := range f.Warnings {
		if i == mostCauses {
			told.What += "; and more"
			break
		}
		told.What += "; " + w
	}
	return told.Because(err)
}
