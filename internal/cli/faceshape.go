package cli

import (
	"io"
	"math"

	"slatewright/face"
	"slatewright/flatness"
)

// faceShape holds the shape of a piece. A field is null where the size of the piece is not known, or where the readings
// cannot tell it.
type faceShape struct {
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

// addShape fits the shape to the readings of the face itself.
func (r *faceReport) addShape(f *face.Face) error {
	if f.SizeX == 0 {
		r.warn("bow and twist need the size of the piece: add a line such as '# size: 914 x 1473 mm' (x by y) to the file")
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
	r.faceShape = faceShape{
		BowAlongMM: known(s.BowAlong), BowAlongSEMM: known(s.BowAlongSE),
		BowAcrossMM: known(s.BowAcross), BowAcrossSEMM: known(s.BowAcrossSE),
		TwistMM: known(s.Twist), TwistSEMM: known(s.TwistSE),
		RollOffMM: known(s.RollOff), RollOffSEMM: known(s.RollOffSE),
		EdgeUnreadMM: known(s.EdgeUnread), RemainderMM: known(s.Remainder), RemainderSEMM: known(s.RemainderSE),
	}
	r.warn(s.Warnings...)
	return nil
}

// known is nil for what could not be told.
func known(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}

// print writes what is known of the shape.
func (s faceShape) Print(w io.Writer) {
	printSigned(w, "bow along", s.BowAlongMM, s.BowAlongSEMM, "crown: high in the middle", "dish: low in the middle")
	printSigned(w, "bow across", s.BowAcrossMM, s.BowAcrossSEMM, "crown: high in the middle", "dish: low in the middle")
	printSigned(w, "twist", s.TwistMM, s.TwistSEMM, "corners +x+y and -x-y high", "corners +x-y and -x+y high")
	printSigned(w, "edge roll-off", s.RollOffMM, s.RollOffSEMM, "the outer readings fall away", "the outer readings rise")
	if s.RemainderMM != nil {
		printLength(w, "remainder", *s.RemainderMM, "peak to valley of what is neither bow nor twist")
	}
}
