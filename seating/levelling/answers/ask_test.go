package answers

import (
	"math"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/plate"
	"slatewright/seating/levelling"
	"slatewright/stone"
)

// held is a flat piece as it would be read on two lines at 0.22 of its length: only its sag, from a plate of the test's own mesh.
func held(t *testing.T, name string) *face.Face {
	t.Helper()
	p := plate.Piece{Outline: plate.Rectangle(914, 1473), Thickness: plate.Even(25.4), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}
	at := 1473 * (0.5 - 0.22)
	b, err := plate.Bend(p, plate.Under{Lines: []plate.Line{{Axis: 'y', At: at}, {Axis: 'y', At: -at}}}, 0.001)
	if err != nil {
		t.Fatal(err)
	}
	f := &face.Face{Header: face.Header{Name: name, SizeX: 914, SizeY: 1473, Side: face.Top,
		Support: face.Support{Kind: face.SupportLines, Lines: []face.Line{{Axis: 'y', At: at}, {Axis: 'y', At: -at}}}}}
	for i := range 6 {
		for j := range 9 {
			x, y := -437+874*float64(i)/5, -716.5+1433*float64(j)/8
			f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, b.Height(plate.Point{X: x, Y: y}))
		}
	}
	return f
}

func ask(t *testing.T) Ask {
	a := Ask{Spec: bed.NineFoot(), Stone: stone.Slate()}
	a.Spec.Lining = 0
	for k, name := range []string{"head", "centre", "foot"} {
		a.Faces[k] = held(t, name)
	}
	return a
}

// Gravity is taken off a face by what its file says of the support: what is left of a flat piece is flat to a micrometre.
func TestGravityIsTakenOff(t *testing.T) {
	a := ask(t)
	q, err := a.question(48000)
	if err != nil {
		t.Fatal(err)
	}
	for k, p := range q.Layout.Pieces {
		for i, z := range p.Z {
			if math.Abs(z) > 5e-4 {
				t.Fatalf("piece %d, reading %d: %.5f mm are left of a flat face", k, i, z)
			}
		}
	}
	if sag := math.Abs(a.Faces[0].Z[0] - a.Faces[0].Z[4]); sag < 0.005 {
		t.Errorf("the sag was only %.4f mm: the test looks at nothing", sag)
	}
	a.Faces[1].Support = face.Support{}
	b, err := a.Answer()
	if err != nil || !strings.Contains(strings.Join(b.Warnings, "\n"), "gravity was not taken off") {
		t.Errorf("a support that is not said: %v, %v", err, b)
	}
}

// The verdict hangs on the stone where soft stone breaks a limit that stiff stone keeps.
func TestTheVerdictKnowsTheStone(t *testing.T) {
	a := ask(t)
	f, err := levelling.FrameNamed("ring")
	if err != nil {
		t.Fatal(err)
	}
	a.Frame = &f
	at := func(limit float64) judge.Verdict {
		a.Spec.Limits = bed.Limits{Lengthwise: 5, Across: limit, Zone: 5, Step: 1}
		b, err := a.Answer()
		if err != nil {
			t.Fatal(err)
		}
		if b.Range.AcrossMM[0] > b.AcrossMM || b.Range.AcrossMM[1] < b.AcrossMM {
			t.Errorf("%v does not hold %v", b.Range.AcrossMM, b.AcrossMM)
		}
		return b.Says
	}
	b, err := a.Answer()
	if err != nil {
		t.Fatal(err)
	}
	r := b.Range.AcrossMM
	if got := at(r[1] * 1.01); got != judge.Conforms {
		t.Errorf("beyond the softest: %v", got)
	}
	if got := at((r[0] + r[1]) / 2); got != judge.CannotTell {
		t.Errorf("between: %v", got)
	}
	if got := at(r[0] / 2); got != judge.DoesNotConform {
		t.Errorf("below the stiffest: %v", got)
	}
}

// Every assumed frame holds a piece.
func TestEveryFrameHoldsAPiece(t *testing.T) {
	a := ask(t)
	frames := levelling.Frames()
	if len(frames) != 4 {
		t.Fatalf("%d frames", len(frames))
	}
	for _, f := range frames {
		a.Frame = &f
		b, err := a.Answer()
		if err != nil || b.Frame != f.Name || !strings.Contains(strings.Join(b.Warnings, "\n"), "the frame is assumed") {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
}
