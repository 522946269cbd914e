package levelling

import (
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/plate"
	"slatewright/seating"
)

// slate is a plate of 25.4 mm, 48 GPa, 2790 kg/m³.
func slate(t *testing.T, modulus float64) *plate.Plate {
	t.Helper()
	p, err := plate.New(plate.Piece{Outline: plate.Rectangle(sizeX, sizeY), Thickness: plate.Even(25.4), Elastic: plate.Isotropic(modulus, 0.2), Density: 2790}, 60)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func bedOf(t *testing.T, f [3]*face.Face, turned [3]bool) Question {
	t.Helper()
	spec := bed.NineFoot()
	l, err := seating.Lay(f, spec, turned)
	if err != nil {
		t.Fatal(err)
	}
	q := Question{Layout: l, Spec: spec}
	p := slate(t, 48000)
	q.Plates = [3]*plate.Plate{p, p, p}
	return q
}

func leveled(t *testing.T, q Question) Result {
	t.Helper()
	r, err := Level(q)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func flat() (f [3]*face.Face) {
	for k, name := range []string{"head", "centre", "foot"} {
		f[k] = made(name, func(x, y float64) float64 { return 0 })
	}
	return f
}

// Flat pieces of even thickness on a true frame: what is left is what the plate alone says of its sag between the supports.
func TestFlatPiecesSagAsThePlateSays(t *testing.T) {
	q := bedOf(t, flat(), [3]bool{})
	q.Spec.Shims = []float64{50} // no pack is of use: all supports stand alike
	r := leveled(t, q)
	var supports []plate.Support
	for _, at := range q.Spec.Supports[0] {
		supports = append(supports, plate.Support{X: at[0], Y: at[1]})
	}
	s, err := slate(t, 48000).Stand(supports, nil)
	if err != nil {
		t.Fatal(err)
	}
	rest, err := s.Rest(nil)
	if err != nil {
		t.Fatal(err)
	}
	var z []float64
	for _, p := range q.places()[0][:54] {
		z = append(z, rest.Height(plate.Point{X: p[0], Y: p[1]}))
	}
	want := slices.Max(z) - slices.Min(z)
	if math.Abs(r.Zone-want) > 1e-6 || r.Steps[0] > 1e-6 {
		t.Errorf("zone %.6f, steps %v, want %.6f and none", r.Zone, r.Steps, want)
	}
	for k, feet := range r.Feet {
		for i, f := range feet {
			if f.Pack.Height != 0 || math.Abs(f.Force-rest.Force[i]) > 1e-6 {
				t.Errorf("piece %d: %+v, the plate has %g N there", k, f, rest.Force[i])
			}
		}
	}
}

// The bed by this package against the bed put together by hand: the plate at rest on the packs that were found, plus the free shape.
func TestBedAgainstThePlate(t *testing.T) {
	f := faces(21, 0.15)
	q := bedOf(t, f, [3]bool{})
	q.Test = &plate.Load{N: 90.7 * 9.80665, SideX: 100, SideY: 100}
	r := leveled(t, q)
	if r.Share < r.Bound-1e-9 || !r.Proven {
		t.Errorf("share %.6f, bound %.6f (proven %v)", r.Share, r.Bound, r.Proven)
	}
	var edge [3]func(x, y float64) float64
	for k, feet := range r.Feet {
		var supports []plate.Support
		for i, ft := range feet {
			supports = append(supports, plate.Support{X: ft.X, Y: ft.Y, Height: ft.Pack.Height - q.Layout.Pieces[k].Undersides[i].Z})
		}
		s, err := slate(t, 48000).Stand(supports, nil)
		if err != nil {
			t.Fatal(err)
		}
		rest, err := s.Rest(nil)
		if err != nil {
			t.Fatal(err)
		}
		edge[k] = func(x, y float64) float64 { return rest.Height(plate.Point{X: x, Y: y}) }
	}
	for j, joint := range q.Layout.Joints {
		worst := 0.0
		for _, st := range joint {
			worst = max(worst, math.Abs(st.Foot.Z+edge[j+1](st.Foot.X, st.Foot.Y)-st.Head.Z-edge[j](st.Head.X, st.Head.Y)))
		}
		if math.Abs(worst-r.Steps[j]) > 1e-6 {
			t.Errorf("joint %d: %.6f, by hand %.6f", j, r.Steps[j], worst)
		}
	}
	// Supported all round at 380 and 520 mm the middle goes down by a tenth of a millimetre or so, not by none and not by a millimetre.
	if r.TestSag < 0.02 || r.TestSag > 0.762 {
		t.Errorf("the test load sinks %.4f mm", r.TestSag)
	}
}

// A bed whose every piece is turned and which is seen from its other end is the same bed.
func TestTurnedBedIsTheSameBed(t *testing.T) {
	f := faces(8, 0.15)
	a := leveled(t, bedOf(t, f, [3]bool{}))
	b := leveled(t, bedOf(t, [3]*face.Face{f[2], f[1], f[0]}, [3]bool{true, true, true}))
	for _, v := range [][2]float64{{a.Bound, b.Bound}, {a.Ideal.Zone, b.Ideal.Zone}, {a.Ideal.Lengthwise, b.Ideal.Lengthwise}} {
		if math.Abs(v[0]-v[1]) > 1e-4*v[0] {
			t.Errorf("%.6f and %.6f", v[0], v[1])
		}
	}
}

// Softer stone on the same packs gives another bed; the same stone the same.
func TestSamePacksOtherStone(t *testing.T) {
	q := bedOf(t, faces(4, 0.15), [3]bool{})
	r := leveled(t, q)
	same, err := on(q, r)
	if err != nil || math.Abs(same.Zone-r.Zone) > 1e-9 {
		t.Errorf("the same stone: %+v and %+v (%v)", same, r.Figures, err)
	}
	p := slate(t, 30000)
	q.Plates = [3]*plate.Plate{p, p, p}
	soft, err := on(q, r)
	if err != nil || math.Abs(soft.Zone-r.Zone) < 1e-5 {
		t.Errorf("softer stone: zone %.6f, the harder has %.6f (%v)", soft.Zone, r.Zone, err)
	}
}

func on(q Question, r Result) (Figures, error) {
	f, err := Prepare(q)
	if err != nil {
		return Figures{}, err
	}
	return f.On(r.Packs())
}

// A bowed piece that screws hold down is said to be forced, and the forces still carry its weight.
func TestScrewsAreNamed(t *testing.T) {
	var f [3]*face.Face
	for k, name := range []string{"head", "centre", "foot"} {
		f[k] = made(name, func(x, y float64) float64 { v := 2 * y / sizeY; return 1.5 * v * v })
	}
	q := bedOf(t, f, [3]bool{})
	q.Spec.Limits.Across = 0.01
	loose := leveled(t, q)
	q.Pull, q.Strength, q.Factor = 2000, 20, 5
	r := leveled(t, q)
	if r.Bound >= loose.Bound {
		t.Errorf("with screws %.4f of the limits, without %.4f", r.Bound, loose.Bound)
	}
	pulls, forced := 0, 0
	for _, feet := range r.Feet {
		sum := 0.0
		for _, ft := range feet {
			sum += ft.Force
			if ft.Force < 0 {
				pulls++
			}
		}
		if w := q.Plates[0].WeightN(); math.Abs(sum-w) > 1e-5*w {
			t.Errorf("the supports carry %.3f N, the piece weighs %.3f N", sum, w)
		}
	}
	for _, w := range r.Warnings {
		if strings.Contains(w, "must be forced") {
			forced++
		}
	}
	if pulls == 0 || forced < pulls {
		t.Errorf("%d screws pull, %d are named: %q", pulls, forced, r.Warnings)
	}
}
