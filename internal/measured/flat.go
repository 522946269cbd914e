package measured

import (
	"context"
	"errors"
	"math"
	"slices"

	"slatewright/face"
	"slatewright/flatness"
	"slatewright/internal/measured/kept"
	"slatewright/trouble"
)

// Flat is how flat a face is, and of which shape. A field of the shape is nil where the size of the piece is not known, or where
// the readings cannot tell it.
type Flat struct {
	Piece          string       `json:"piece"`
	Face           string       `json:"face"`
	State          string       `json:"state"` // what the numbers hold for: laid (on a bench) or as read; gravity is not computed
	Support        string       `json:"support"`
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
	Middle         *[2]float64  `json:"middle_mm"` // of the piece, in the file's frame; null when it is not known
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

// Flat measures one face.
func (r *Room) Flat(ctx context.Context, digest string) (Flat, error) {
	return kept.Get(ctx, r.shelf, flatKey(digest), r.flat(digest))
}

// AskFlat is Flat for a page: it never waits longer than the room's patience.
func (r *Room) AskFlat(digest string) Asked[Flat] {
	return kept.Ask(r.shelf, flatKey(digest), r.options.Patience, r.flat(digest))
}

// KnownFlat is what is known of a face without reading it.
func (r *Room) KnownFlat(digest string) Asked[Flat] {
	return kept.Known[Flat](r.shelf, flatKey(digest))
}

func flatKey(digest string) string { return "flat " + digest }

func (r *Room) flat(digest string) kept.Work[Flat] {
	return kept.Work[Flat]{
		Bytes: func(f Flat) int64 {
			bytes := 1024 + 24*int64(len(f.Contacts))
			for _, w := range f.Warnings {
				bytes += int64(len(w)) + 16
			}
			return bytes
		},
		Do: func(ctx context.Context) (Flat, error) {
			f, err := r.Face(ctx, digest)
			if err != nil {
				return Flat{}, err
			}
			return turn(ctx, r, light, func() (Flat, error) { return FlatOf(f) })
		},
	}
}

// turn computes when it is its turn.
func turn[T any](ctx context.Context, r *Room, weight int, compute func() (T, error)) (v T, err error) {
	done, err := r.shelf.Turn(ctx, weight)
	if err != nil {
		return v, err
	}
	defer done()
	return compute()
}

// level is the cosine of 5°: a face is laid level to measure it, far better than this.
const level = 0.9962

// FlatOf measures a face that is at hand: its minimum zone with its proof, its least-squares flatness, and its shape. Joint rows
// stay out of the numbers. Nothing is taken away for gravity.
func FlatOf(f *face.Face) (Flat, error) {
	points, joint := withoutJointRows(f)
	zone, err := flatness.MinimumZone(points)
	if err != nil {
		return Flat{}, refused(f, err)
	}
	plane, err := flatness.LeastSquares(points)
	if err != nil {
		return Flat{}, refused(f, err)
	}
	r := Flat{Piece: f.Piece, Face: f.Side.String(), State: stateOf(f), Support: f.Support.Text, Points: points.Len(), JointPoints: joint,
		ZoneMM: zone.Value, ZoneLowMM: zone.Low, ZoneHighMM: zone.High, LeastSquaresMM: plane.PeakToValley,
		Kind: zone.Kind, Normal: zone.Normal, Contacts: [][3]float64{}, Middle: middleOf(f), Warnings: []string{}}
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
		r.warn(trouble.Count(joint, "reading of a joint row is", "readings of joint rows are") + " not in these numbers: such readings belong to the joint")
	}
	return r, r.addShape(f)
}

// addShape fits the shape, if the size of the piece is known.
func (r *Flat) addShape(f *face.Face) error {
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
func (r *Flat) warn(warnings ...string) {
	for _, w := range warnings {
		if !slices.Contains(r.Warnings, w) {
			r.Warnings = append(r.Warnings, w)
		}
	}
}

// Contact is a reading that touches one of the planes of the zone, counted from the middle of the piece.
type Contact struct {
	X, Y, Z float64
	Upper   bool
}

// Places are the contact points where they lie on the piece; counted as in the file where its middle is not known.
func (r Flat) Places() []Contact {
	var middle [2]float64
	if r.Middle != nil {
		middle = *r.Middle
	}
	list := make([]Contact, len(r.Contacts))
	for i, c := range r.Contacts {
		list[i] = Contact{c[0] - middle[0], c[1] - middle[1], c[2], i < r.UpperContacts}
	}
	return list
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

// middleOf is where the middle of the piece lies in the file's frame.
func middleOf(f *face.Face) *[2]float64 {
	switch {
	case f.Origin == face.Middle:
		return &[2]float64{}
	case f.SizeX > 0:
		return &[2]float64{f.SizeX / 2, f.SizeY / 2}
	}
	return nil
}

// known is nil for what could not be told.
func known(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}

// mostCauses is how many warnings of a file are told with a refusal: one of them may be its cause.
const mostCauses = 3

// refused adds to a refusal which face it was and what was doubtful about its file.
func refused(f *face.Face, err error) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) || t.Kind != trouble.KindData {
		return err
	}
	told := *t
	told.Where = f.Name
	if t.Where != "" {
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
