package seating_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
	"slatewright/trouble"
)

const (
	sizeX = 914.0
	sizeY = 1473.0
)

// made is a piece read on nx × ny points from 20 mm inside the edges, and along both joints 10 mm from the arris.
func made(name string, nx, ny int, z func(x, y float64) float64) *face.Face {
	f := &face.Face{Header: face.Header{Name: name, SizeX: sizeX, SizeY: sizeY, Side: face.Top}}
	add := func(x, y float64, row face.Row) {
		f.X, f.Y, f.Z, f.Row = append(f.X, x), append(f.Y, y), append(f.Z, z(x, y)), append(f.Row, row)
	}
	for i := range nx {
		for j := range ny {
			add(spread(i, nx, sizeX/2-20), spread(j, ny, sizeY/2-20), face.NoRow)
		}
	}
	for j := range 9 {
		add(sizeX/2-10, spread(j, 9, sizeY/2-20), face.JointPlus)
		add(-(sizeX/2 - 10), spread(j, 9, sizeY/2-20), face.JointMinus)
	}
	return f
}

func spread(i, n int, half float64) float64 { return half * (2*float64(i)/float64(n-1) - 1) }

func plain(x, y float64) float64 { return 0 }

func question(head, centre, foot *face.Face, step float64) seating.Question {
	return seating.Question{Faces: [3]*face.Face{head, centre, foot}, Spec: bed.NineFoot(), MaxStep: step}
}

func seat(t *testing.T, q seating.Question) seating.Result {
	t.Helper()
	r, err := seating.Seat(q)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g ± %g", what, got, want, tolerance)
	}
}

// random makes three pieces of smooth random shape with noise.
func random(seed uint64, nx, ny int) seating.Question {
	r := rand.New(rand.NewPCG(seed, 5))
	var f [3]*face.Face
	for k, name := range []string{"a", "b", "c"} {
		a, b, c := 0.1*r.NormFloat64(), 0.1*r.NormFloat64(), 0.05*r.NormFloat64()
		h, tx, ty := r.NormFloat64(), 1e-3*r.NormFloat64(), 1e-3*r.NormFloat64()
		f[k] = made(name, nx, ny, func(x, y float64) float64 {
			u, v := 2*x/sizeX, 2*y/sizeY
			return h + tx*x + ty*y + a*(1-u*u) + b*(1-v*v) + c*u*v + 0.01*r.NormFloat64()
		})
	}
	return question(f[0], f[1], f[2], 0.03)
}

func TestFlatPiecesLieInOnePlane(t *testing.T) {
	tilted := func(h, tx, ty float64) *face.Face {
		return made("tilted", 6, 9, func(x, y float64) float64 { return h + tx*x + ty*y })
	}
	r := seat(t, question(tilted(0.3, 1e-3, -2e-3), tilted(-0.1, 0, 1e-3), tilted(0, 4e-3, 0), 0.127))
	if !r.Feasible {
		t.Error("not feasible")
	}
	near(t, "zone", r.Zone, 0, 3e-9)
	near(t, "step", max(r.Joints[0].Largest, r.Joints[1].Largest), 0, 3e-9)
	want := [3][3]float64{{-0.3, -1e-3, 2e-3}, {0.1, 0, -1e-3}, {0, -4e-3, 0}}
	for k, p := range r.Pieces {
		if p.Place != bed.Place(k) || p.Index != k {
			t.Errorf("piece %d stands at %v as %d", k, p.Place, p.Index)
		}
		sign := 1.0
		if p.Turned {
			sign = -1
		}
		near(t, "height", p.Height, want[k][0], 1e-8)
		near(t, "tilt x", p.TiltX, sign*want[k][1], 1e-10)
		near(t, "tilt y", p.TiltY, sign*want[k][2], 1e-10)
	}
}

// bedOf works out where a reading lies, from the definition alone: turned, moved, set down at its place. It is the test's own
// second way.
func bedOf(r seating.Result, q seating.Question, keep func(face.Row) bool, at func(place int, x, y, z float64, row face.Row)) {
	for place, p := range r.Pieces {
		f := q.Faces[p.Index]
		sign := 1.0
		if p.Turned {
			sign = -1
		}
		for i := range f.Z {
			if keep(f.Row[i]) {
				x, y := sign*f.X[i], sign*f.Y[i]
				row := f.Row[i]
				if p.Turned && row != face.NoRow {
					row = face.JointPlus + face.JointMinus - row
				}
				at(place, x+float64(place-1)*sizeX, y, f.Z[i]+p.Height+p.TiltX*x+p.TiltY*y, row)
			}
		}
	}
}

// TestFiguresFollowFromMoves recomputes zone and steps from the printed moves.
func TestFiguresFollowFromMoves(t *testing.T) {
	for seed := range uint64(20) {
		q := random(seed, 6, 9)
		r := seat(t, q)
		low, high := math.Inf(1), math.Inf(-1)
		bedOf(r, q, func(row face.Row) bool { return row == face.NoRow }, func(_ int, _, _, z float64, _ face.Row) {
			low, high = min(low, z), max(high, z)
		})
		near(t, "zone", r.Zone, high-low, 1e-12)
		along, across := map[float64][][2]float64{}, map[float64][][2]float64{}
		bedOf(r, q, func(row face.Row) bool { return row == face.NoRow }, func(_ int, x, y, z float64, _ face.Row) {
			along[math.Round(y)] = append(along[math.Round(y)], [2]float64{x, z})
			across[math.Round(x)] = append(across[math.Round(x)], [2]float64{y, z})
		})
		near(t, "lengthwise", r.Lengthwise.Value, worst(along), 1e-12)
		near(t, "across", r.Across.Value, worst(across), 1e-12)
		if r.Lengthwise.Lines != 9 || r.Across.Lines != 18 {
			t.Errorf("%d lines along, %d across", r.Lengthwise.Lines, r.Across.Lines)
		}
		near(t, "middle of the zone", (high+low)/2, 0, 2e-9)
		heights := [2][2]map[float64]float64{{{}, {}}, {{}, {}}}
		bedOf(r, q, func(row face.Row) bool { return row != face.NoRow }, func(place int, _, y, z float64, row face.Row) {
			if row == face.JointPlus && place < 2 {
				heights[place][0][math.Round(y)] = z
			}
			if row == face.JointMinus && place > 0 {
				heights[place-1][1][math.Round(y)] = z
			}
		})
		for j, joint := range r.Joints {
			if len(joint.Y) != 9 || joint.Measured != [2]bool{true, true} {
				t.Fatalf("joint %d: %d stations, measured %v", j, len(joint.Y), joint.Measured)
			}
			largest := 0.0
			for s, y := range joint.Y {
				want := heights[j][1][math.Round(y)] - heights[j][0][math.Round(y)]
				near(t, "step", joint.Step[s], want, 1e-12)
				largest = max(largest, math.Abs(want))
			}
			near(t, "largest step", joint.Largest, largest, 1e-12)
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

// worst is the largest minimum zone of any line.
func worst(lines map[float64][][2]float64) float64 {
	most := 0.0
	for _, points := range lines {
		most = max(most, narrowest(points))
	}
	return most
}

// TestJointThatNoMoveCloses has a closed form: one edge crowned by 0.2 mm, the other hollow by 0.1 mm; what is left of a
// parabola of 0.3 mm after height and tilt is ± 0.15 mm (Chebyshev: its best straight line leaves half its height).
func TestJointThatNoMoveCloses(t *testing.T) {
	crown := func(a float64) func(x, y float64) float64 {
		return func(x, y float64) float64 { v := y / (sizeY/2 - 20); return a * (1 - v*v) }
	}
	q := fixed(question(made("crown", 6, 9, crown(0.2)), made("hollow", 6, 9, crown(-0.1)), made("like", 6, 9, crown(-0.1)), 0.05))
	r := seat(t, q)
	if r.Feasible {
		t.Error("feasible")
	}
	near(t, "best step", r.Joints[0].Largest, 0.15, 5e-9)
	near(t, "other joint", r.Joints[1].Largest, 0, 5e-9)
	near(t, "proven", r.StepBound, 0.15, 1e-9)
	if s := r.Joints[0].Step; !(s[4] < 0 && s[0] > 0) {
		t.Errorf("the crowned head must stand proud in the middle (step < 0) and the hollow centre at the ends: %v", s)
	}
	q.MaxStep = 0.1500001
	if r = seat(t, q); !r.Feasible {
		t.Error("0.1500001 mm can be met")
	}
}

// TestTurningFindsTheMatchingEdge: the head's two joint edges are unlike, and only the one that must be turned inward matches.
func TestTurningFindsTheMatchingEdge(t *testing.T) {
	wave := func(x, y float64) float64 {
		v := y / (sizeY/2 - 20)
		return 0.1 * (1 - 2*x/sizeX) * (v*v*v - 0.6*v) // at −x 0.2·(…), at +x nothing
	}
	head := made("head", 6, 9, wave)
	q := question(head, made("centre", 6, 9, plain), made("foot", 6, 9, plain), 0.127)
	r := seat(t, q)
	if r.Pieces[0].Turned || r.Joints[0].Largest > 0.01 {
		t.Errorf("turned %v, step %v", r.Pieces[0].Turned, r.Joints[0].Largest)
	}
	for i := range head.X { // the same piece, read from its other end
		head.X[i], head.Y[i] = -head.X[i], -head.Y[i]
		if head.Row[i] != face.NoRow {
			head.Row[i] = face.JointPlus + face.JointMinus - head.Row[i]
		}
	}
	turned := seat(t, q)
	if !turned.Pieces[0].Turned {
		t.Error("the head was not turned")
	}
	near(t, "step", turned.Joints[0].Largest, r.Joints[0].Largest, 1e-8)
	near(t, "zone", turned.Zone, r.Zone, 1e-8)
	head.TurnFixed = true
	if kept := seat(t, q); kept.Pieces[0].Turned || kept.Zone < r.Zone-1e-9 && kept.Joints[0].Largest < r.Joints[0].Largest {
		t.Error("a piece that may not be turned was turned, or fits better than it can")
	}
}

func TestAnyPlaceFindsTheOrder(t *testing.T) {
	slope := func(s float64) func(x, y float64) float64 {
		return func(x, y float64) float64 { v := y / (sizeY/2 - 20); return s * x / sizeX * v * v * v * v }
	}
	// Edges: a is +A at both joints? a's edges carry ∓0.1, b's ∓0.1, so that a|b meet only in one order.
	q := question(made("b", 6, 9, slope(0.2)), made("plain", 6, 9, plain), made("a", 6, 9, slope(-0.2)), 0.127)
	here := seat(t, q)
	q.AnyPlace = true
	any := seat(t, q)
	if any.Tried != 24 || here.Tried != 8 {
		t.Errorf("tried %d and %d arrangements, want 24 and 8", any.Tried, here.Tried)
	}
	if any.Zone > here.Zone+1e-9 {
		t.Errorf("any place gives %v, the given places %v", any.Zone, here.Zone)
	}
	seen := [3]bool{}
	for _, p := range any.Pieces {
		seen[p.Index] = true
	}
	if seen != [3]bool{true, true, true} {
		t.Errorf("pieces used: %v", seen)
	}
}

// TestAddedPlaneChangesNothing: how a piece lay when it was read is not its shape.
func TestAddedPlaneChangesNothing(t *testing.T) {
	for seed := range uint64(10) {
		q := fixed(random(seed, 6, 9))
		before := seat(t, q)
		f := q.Faces[seed%3]
		for i := range f.Z {
			f.Z[i] += 0.7 + 8e-4*f.X[i] - 6e-4*f.Y[i]
		}
		after := seat(t, q)
		near(t, "zone", after.Zone, before.Zone, 5e-9)
		near(t, "step 1", after.Joints[0].Largest, before.Joints[0].Largest, 1e-7)
		near(t, "step 2", after.Joints[1].Largest, before.Joints[1].Largest, 1e-7)
	}
}

func TestDeterminate(t *testing.T) {
	q := random(3, 6, 9)
	a, b := seat(t, q), seat(t, q)
	for k := range a.Pieces {
		if a.Pieces[k] != b.Pieces[k] {
			t.Errorf("twice asked, two answers: %+v %+v", a.Pieces[k], b.Pieces[k])
		}
	}
}

func TestRefusals(t *testing.T) {
	good := func() *face.Face { return made("good.csv", 6, 9, plain) }
	cases := []struct {
		code string
		bad  func(*face.Face)
	}{
		{"no-size", func(f *face.Face) { f.SizeX = 0 }},
		{"bottom-face", func(f *face.Face) { f.Side = face.Bottom }},
		{"tilted", func(f *face.Face) {
			for i := range f.Z {
				f.Z[i] = 0.006 * f.X[i]
			}
		}},
		{"one-line", func(f *face.Face) {
			for i := range f.X {
				f.X[i] = 0
			}
		}},
		{"too-few-points", func(f *face.Face) { f.X, f.Y, f.Z, f.Row = f.X[:3], f.Y[:3], f.Z[:3], f.Row[:3] }},
		{"no-joint", func(f *face.Face) {
			n := 9 // one column only
			f.X, f.Y, f.Z, f.Row = f.X[:n:n], f.Y[:n:n], f.Z[:n:n], f.Row[:n:n]
			f.X, f.Y, f.Z, f.Row = append(f.X, f.X[0]+0.5), append(f.Y, 0.3), append(f.Z, 0), append(f.Row, face.NoRow)
		}},
	}
	for _, c := range cases {
		f := good()
		c.bad(f)
		_, err := seating.Seat(question(good(), f, good(), 0.127))
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != c.code || tr.Where != "good.csv" || tr.Next == "" {
			t.Errorf("%s: got %v", c.code, err)
		}
	}
	if _, err := seating.Seat(question(good(), good(), good(), -1)); err == nil {
		t.Error("a negative step was taken")
	}
}

// TestAxesMultiply holds the frames of the program: x along, y across, z up, right-handed; turning is about z.
func TestAxesMultiply(t *testing.T) {
	ridge := made("ridge", 6, 9, func(x, y float64) float64 { // high only near (+x, +y): along × across = up
		if x > 300 && y > 500 {
			return 0.4
		}
		return 0
	})
	ridge.TurnFixed = true
	q := fixed(question(made("head", 6, 9, plain), made("centre", 6, 9, plain), ridge, 1))
	r := seat(t, q)
	found := false
	for _, c := range r.Contacts {
		found = found || c.Upper && c.Place == bed.Foot && c.X > sizeX+300 && c.Y > 500
	}
	if !found {
		t.Errorf("the high corner of the foot piece must touch above, at +x +y of the bed: %+v", r.Contacts)
	}
	x, y := [3]float64{1, 0, 0}, [3]float64{0, 1, 0}
	z := [3]float64{x[1]*y[2] - x[2]*y[1], x[2]*y[0] - x[0]*y[2], x[0]*y[1] - x[1]*y[0]}
	if z != [3]float64{0, 0, 1} {
		t.Errorf("along × across is %v, not up", z)
	}
}
