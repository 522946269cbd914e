package reckon_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/internal/jobs"
	"slatewright/internal/jobs/reckon"
)

// crowned is a face of 1000 x 1000 mm read on a grid every 100 mm, with the shape z = A·(1−(2x/L)²): flat across, its middle
// A above the edges that lie at −x and +x.
func crowned(a float64) *face.Face {
	f := &face.Face{Header: face.Header{Piece: "QH-0101", SizeX: 1000, SizeY: 1000, Side: face.Top,
		Support: face.Support{Kind: face.SupportBench, Text: "bench"}}}
	for x := -450.0; x <= 450; x += 100 {
		for y := -450.0; y <= 450; y += 100 {
			f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, a*(1-(2*x/1000)*(2*x/1000)))
		}
	}
	return f
}

func TestScanOfAShapeThatIsKnown(t *testing.T) {
	s := shelf{}
	const a = 0.4
	// A cylinder between two parallel planes: the highest line, at x = ±50, above the lowest, at x = ±450.
	zone := a * (0.9*0.9 - 0.1*0.1)
	for name, digest := range map[string]string{"CSV": s.csv(t, crowned(a)), "PLY": s.ply(t, crowned(a))} {
		var r reckon.ScanResult
		slices, err := run(t, worker(t, s, "scan"), reckon.ScanInput{Blob: digest}, &r)
		if err != nil || slices != 1 {
			t.Fatalf("%s: %d slices, %v", name, slices, err)
		}
		if r.Blob != digest || r.Piece != "QH-0101" || r.Face != "top" || r.State != "laid" || r.Points != 100 || r.JointPoints != 0 {
			t.Errorf("%s: %+v", name, r)
		}
		for what, x := range map[string][2]float64{"zone": {r.ZoneMM, zone}, "bow along": {*r.BowAlongMM, a}, "bow across": {*r.BowAcrossMM, 0},
			"twist": {*r.TwistMM, 0}, "remainder": {*r.RemainderMM, 0}, "edge unread": {*r.EdgeUnreadMM, 50}, "least squares": {r.LeastSquaresMM, zone}} {
			if math.Abs(x[0]-x[1]) > 1e-7 {
				t.Errorf("%s, %s: %v, want %v", name, what, x[0], x[1])
			}
		}
		if r.ZoneLowMM > zone+1e-9 || r.ZoneHighMM < zone-1e-9 || len(r.Contacts) < 4 || r.Normal[2] < 0.999999 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

func TestScanLeavesJointRowsOut(t *testing.T) {
	s, f := shelf{}, crowned(0)
	f.Row = make([]face.Row, f.Len())
	f.X, f.Y, f.Z, f.Row = append(f.X, 495), append(f.Y, 0), append(f.Z, 0.3), append(f.Row, face.JointPlus)
	f.SizeX, f.SizeY, f.Support = 0, 0, face.Support{}
	var r reckon.ScanResult
	if _, err := run(t, worker(t, s, "scan"), reckon.ScanInput{Blob: s.csv(t, f)}, &r); err != nil {
		t.Fatal(err)
	}
	if r.ZoneMM > 1e-9 || r.Points != 100 || r.JointPoints != 1 || r.BowAlongMM != nil || r.State != "as read" {
		t.Errorf("%+v", r)
	}
	wantWarning(t, r.Warnings, "1 reading of a joint row is not")
	wantWarning(t, r.Warnings, "need the size of the piece")
}

func TestScanStandingOnEdge(t *testing.T) {
	s, f := shelf{}, crowned(0)
	for i := range f.Z {
		f.Z[i] = f.X[i]
	}
	var r reckon.ScanResult
	if _, err := run(t, worker(t, s, "scan"), reckon.ScanInput{Blob: s.csv(t, f)}, &r); err != nil {
		t.Fatal(err)
	}
	wantWarning(t, r.Warnings, "more than 5° from level")
}

func TestScanRefusals(t *testing.T) {
	s := shelf{}
	w := worker(t, s, "scan")
	for input, code := range map[string]string{
		`{"blob":"x"}`: "bad-digest", `{}`: "bad-digest", `{"scan":"x"}`: "bad-input", `[]`: "bad-input", `{"blob":"x"} {}`: "bad-input", `{"blob":"x"}}`: "bad-input",
	} {
		wantTrouble(t, w.Check(json.RawMessage(input)), code)
	}
	var r reckon.ScanResult
	_, err := run(t, w, reckon.ScanInput{Blob: strings.Repeat("0", 64)}, &r)
	wantTrouble(t, err, "no-such-blob")
	_, err = run(t, w, reckon.ScanInput{Blob: s.text(t, "x,y,z\n1,2,3\n4,5,six\n")}, &r)
	wantTrouble(t, err, "bad-number", "blob ", ":3")
	line := s.text(t, "# unit: mm\nx,y,z\n0,0,0\n1,1,0\n2,2,0\n3,3,0\n")
	_, err = run(t, w, reckon.ScanInput{Blob: line}, &r)
	wantTrouble(t, err, "points-on-a-line", "blob "+line[:12])
}

func TestScanStopsWhenItIsTold(t *testing.T) {
	s := shelf{}
	input, _ := json.Marshal(reckon.ScanInput{Blob: s.csv(t, crowned(0.1))})
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := worker(t, s, "scan").Work(ctx, jobs.Job{Input: input}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}
