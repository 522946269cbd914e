package flat_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/internal/flat"
	"slatewright/trouble"
)

// dished is a face of 1000 x 1000 mm read on a grid every 100 mm, with the shape z = −A·(1−(2y/L)²): low in the middle along y.
func dished(a float64) *face.Face {
	f := &face.Face{Header: face.Header{Piece: "QH-0101", SizeX: 1000, SizeY: 1000, Side: face.Top, Support: face.Support{Kind: face.SupportBench}}}
	f.Name = "a.csv"
	for x := -450.0; x <= 450; x += 100 {
		for y := -450.0; y <= 450; y += 100 {
			f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, -a*(1-(2*y/1000)*(2*y/1000)))
		}
	}
	return f
}

func measured(t *testing.T, f *face.Face) flat.Flat {
	t.Helper()
	r, err := flat.Of(f)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestAShapeThatIsKnown(t *testing.T) {
	const a = 0.3
	r := measured(t, dished(a))
	// A cylinder between parallel planes: the lowest line, at y = ±50, below the highest, at y = ±450.
	zone := a * (0.9*0.9 - 0.1*0.1)
	for what, x := range map[string][2]float64{"zone": {r.ZoneMM, zone}, "least squares": {r.LeastSquaresMM, zone},
		"bow": {math.Abs(*r.BowAlongMM + *r.BowAcrossMM), a}, "twist": {*r.TwistMM, 0}, "unread": {*r.EdgeUnreadMM, 50}} {
		if math.Abs(x[0]-x[1]) > 1e-7 {
			t.Errorf("%s: %v, want %v", what, x[0], x[1])
		}
	}
	if r.ZoneLowMM > zone+1e-9 || r.ZoneHighMM < zone-1e-9 || r.Points != 100 || r.State != flat.Laid || r.Face != "top" || r.Steep() ||
		r.UpperContacts < 1 || r.UpperContacts >= len(r.Contacts) || len(r.Warnings) > 0 {
		t.Errorf("%+v", r)
	}
}

// Readings of joint rows are counted and told, and stay out of the numbers and of the shape.
func TestJointRowsStayOut(t *testing.T) {
	for n, words := range map[int]string{1: "1 reading of a joint row is not in these numbers: it belongs to the joint",
		2: "2 readings of joint rows are not in these numbers: they belong to the joint"} {
		f := dished(0)
		f.Row = make([]face.Row, f.Len())
		for i := range n {
			f.X, f.Y, f.Z, f.Row = append(f.X, 495), append(f.Y, float64(100*i)), append(f.Z, 0.3), append(f.Row, face.JointPlus)
		}
		r := measured(t, f)
		if r.ZoneMM > 1e-9 || math.Abs(*r.BowAlongMM) > 1e-9 || r.Points != 100 || r.JointPoints != n || strings.Join(r.Warnings, "\n") != words {
			t.Errorf("%+v", r)
		}
	}
}

// What the file does not say is warned of once, and is null for programs.
func TestWhatIsNotKnown(t *testing.T) {
	f := dished(0.1)
	f.SizeX, f.SizeY, f.Support = 0, 0, face.Support{}
	f.Warnings = []string{"odd", "odd"}
	for i := range f.Z {
		f.Z[i] += f.X[i] / 5
	}
	r := measured(t, f)
	if !r.Steep() || r.State != flat.AsRead || r.BowAlongMM != nil || len(r.Warnings) != 3 || !strings.Contains(r.Warnings[0], "more than 5°") ||
		r.Warnings[1] != "odd" || !strings.Contains(r.Warnings[2], "# size:") {
		t.Errorf("%+v", r)
	}
	text, err := json.Marshal(r)
	if err != nil || !strings.Contains(string(text), `"bow_along_mm":null`) || !strings.Contains(string(text), `"joint_row_points":0`) {
		t.Errorf("%s %v", text, err)
	}
}

func TestRefusalsNameTheFace(t *testing.T) {
	f := dished(0)
	f.X, f.Y, f.Z = f.X[:1], f.Y[:1], f.Z[:1]
	_, err := flat.Of(f)
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Code != "too-few-points" || !strings.HasPrefix(told.Where, "a.csv") || !strings.HasPrefix(told.What, "1 point is too few") {
		t.Errorf("%v", err)
	}
}
