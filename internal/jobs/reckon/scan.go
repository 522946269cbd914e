package reckon

import (
	"context"
	"encoding/json"
	"math"
	"slices"

	"slatewright/face"
	"slatewright/flatness"
	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/trouble"
)

// ScanInput asks how flat one face is.
type ScanInput struct {
	Blob string `json:"blob"` // digest of a scan or readings file, PLY or CSV
}

// ScanResult is how flat it is. A field of the shape is null where the size of the piece is not known, or where the readings
// cannot tell it.
type ScanResult struct {
	Blob           string       `json:"blob"`
	Piece          string       `json:"piece"`
	Face           string       `json:"face"`
	State          string       `json:"state"` // what the numbers hold for: laid (on a bench) or as read; gravity is not computed
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
	BowAlongMM     *float64     `json:"bow_along_mm"`
	BowAlongSEMM   *float64     `json:"bow_along_se_mm"`
	BowAcrossMM    *float64     `json:"bow_across_mm"`
	BowAcrossSEMM  *float64     `json:"bow_across_se_mm"`
	TwistMM        *float64     `json:"twist_mm"`
	TwistSEMM      *float64     `json:"twist_se_mm"`
	RollOffMM      *float64     `json:"roll_off_mm"`
	RollOffSEMM    *float64     `json:"roll_off_se_mm"`
	EdgeUnreadMM   *float64     `json:"edge_unread_mm"`
	RemainderMM    *float64     `json:"remainder_mm"`
	RemainderSEMM  *float64     `json:"remainder_se_mm"`
	Warnings       []string     `json:"warnings"`
}

// scan is the worker.
type scan struct{ source }

// Scan computes the flatness of one face: its minimum zone, its least-squares flatness and its shape. It takes one slice: three
// million readings, the most that an upload of 64 MB holds, take less than a second to read and measure.
func Scan(b book.Blobs) jobs.Worker { return scan{source{b}} }

func (scan) Kind() string { return "scan" }

func (scan) Check(input json.RawMessage) error {
	var in ScanInput
	if err := decode("scan", input, &in); err != nil {
		return err
	}
	return checkDigest("blob", in.Blob)
}

func (s scan) Work(ctx context.Context, j jobs.Job) (jobs.Slice, error) {
	var in ScanInput
	if err := decode("scan", j.Input, &in); err != nil {
		return jobs.Slice{}, err
	}
	f, err := s.face(ctx, "blob "+in.Blob[:12], in.Blob)
	if err != nil {
		return jobs.Slice{}, err
	}
	r, err := measure(f)
	if err != nil {
		return jobs.Slice{}, err
	}
	r.Blob = in.Blob
	text, err := json.Marshal(r)
	return jobs.Slice{Progress: 1, Said: trouble.Count(r.Points, "reading", "readings") + " measured", Done: true, Result: text}, err
}

// level is the cosine of 5°: a face is laid level to measure it, far better than this.
const level = 0.9962

// measure computes everything that is said of a face.
func measure(f *face.Face) (*ScanResult, error) {
	points, joint := withoutJointRows(f)
	zone, err := flatness.MinimumZone(points)
	if err != nil {
		return nil, refused(f, err)
	}
	plane, err := flatness.LeastSquares(points)
	if err != nil {
		return nil, refused(f, err)
	}
	r := &ScanResult{Piece: f.Piece, Face: f.Side.String(), State: stateOf(f), Points: points.Len(), JointPoints: joint,
		ZoneMM: zone.Value, ZoneLowMM: zone.Low, ZoneHighMM: zone.High, LeastSquaresMM: plane.PeakToValley,
		Kind: zone.Kind, Normal: zone.Normal, Contacts: [][3]float64{}, Warnings: []string{}}
	for i, c := range zone.Contacts {
		r.Contacts = append(r.Contacts, [3]float64{points.X[c], points.Y[c], points.Z[c]})
		if zone.ContactUpper[i] {
			r.UpperContacts++
		}
	}
	if zone.Normal[2] < level {
		r.warn("the planes stand more than 5° from level: check that the third column is the height of the face, and that the readings are spread over it")
	}
	r.warn(f.Warnings...)
	r.warn(zone.Warnings...)
	r.warn(plane.Warnings...)
	if joint > 0 {
		r.warn(trouble.Count(joint, "reading of a joint row is not in these numbers: it belongs",
			"readings of joint rows are not in these numbers: they belong") + " to the joint")
	}
	return r, r.addShape(f)
}

// addShape fits the shape, if the size of the piece is known.
func (r *ScanResult) addShape(f *face.Face) error {
	if f.SizeX == 0 {
		r.warn("bow and twist need the size of the piece: add a line such as '# size: 914 x 1473 mm' (x by y) to the file")
		return nil
	}
	centred, err := f.Centred()
	if err != nil {
		return refused(f, err)
	}
	points, _ := withoutJointRows(centred)
	s, err := flatness.FitShape(points, f.SizeX, f.SizeY)
	if err != nil {
		return refused(f, err)
	}
	r.BowAlongMM, r.BowAlongSEMM = known(s.BowAlong), known(s.BowAlongSE)
	r.BowAcrossMM, r.BowAcrossSEMM = known(s.BowAcross), known(s.BowAcrossSE)
	r.TwistMM, r.TwistSEMM = known(s.Twist), known(s.TwistSE)
	r.RollOffMM, r.RollOffSEMM = known(s.RollOff), known(s.RollOffSE)
	r.EdgeUnreadMM = known(s.EdgeUnread)
	r.RemainderMM, r.RemainderSEMM = known(s.Remainder), known(s.RemainderSE)
	r.warn(s.Warnings...)
	return nil
}

// warn adds warnings that are not there yet.
func (r *ScanResult) warn(warnings ...string) {
	for _, w := range warnings {
		if !slices.Contains(r.Warnings, w) {
			r.Warnings = append(r.Warnings, w)
		}
	}
}

// withoutJointRows returns the readings of the face itself and the number of readings left out.
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

// stateOf tells what the numbers hold for: only a bench that carries the piece everywhere gives more than the readings.
func stateOf(f *face.Face) string {
	if f.Support.Kind == face.SupportBench {
		return "laid"
	}
	return "as read"
}

// known is nil for what could not be told.
func known(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}
