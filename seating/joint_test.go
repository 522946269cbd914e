package seating_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/seating"
)

// TestEdgeOfAGrid carries the outer two columns on in a straight line, and says so.
func TestEdgeOfAGrid(t *testing.T) {
	grid := func(name string, slope float64) *face.Face {
		f := made(name, 6, 9, func(x, y float64) float64 { return slope * x * y * y / 1e6 })
		var g face.Face
		g.Header = f.Header
		for i := range f.Z {
			if f.Row[i] == face.NoRow && math.Abs(f.X[i]) < sizeX/2-15 {
				g.X, g.Y, g.Z = append(g.X, f.X[i]), append(g.Y, f.Y[i]), append(g.Z, f.Z[i])
			}
		}
		return &g
	}
	q := fixed(question(grid("h", 1e-3), grid("c", 0), grid("f", 0), 0.127))
	r := seat(t, q)
	if r.Joints[0].Measured != [2]bool{false, false} {
		t.Errorf("measured: %v", r.Joints[0].Measured)
	}
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "not measured at the edge") {
		t.Errorf("no warning: %q", r.Warnings)
	}
	p := r.Pieces
	for s, y := range r.Joints[0].Y { // z is linear in x for each y, so the line carried on is exact
		edge := 1e-3 * (sizeX / 2) * y * y / 1e6
		want := p[1].Height - p[1].TiltX*sizeX/2 + p[1].TiltY*y - (edge + p[0].Height + p[0].TiltX*sizeX/2 + p[0].TiltY*y)
		near(t, "step", r.Joints[0].Step[s], want, 1e-12)
	}
}

// only keeps the readings for which keep holds.
func only(f *face.Face, keep func(x, y float64, row face.Row) bool) *face.Face {
	g := &face.Face{Header: f.Header}
	for i := range f.Z {
		if keep(f.X[i], f.Y[i], f.Row[i]) {
			g.X, g.Y, g.Z, g.Row = append(g.X, f.X[i]), append(g.Y, f.Y[i]), append(g.Z, f.Z[i]), append(g.Row, f.Row[i])
		}
	}
	return g
}

// warned tells whether some warning holds the words.
func warned(r seating.Result, words string) bool {
	return strings.Contains(strings.Join(r.Warnings, "\n"), words)
}

// TestColumnInTheEdgeBandIsTheJoint: a column 10 mm from the arris lies in the band of 20 mm, so it stays out of the zone, but it is
// what was read at the joint.
func TestColumnInTheEdgeBandIsTheJoint(t *testing.T) {
	lip := func(x, y float64) float64 { // rolls off by 0.05 mm in the last 15 mm
		if math.Abs(x) > sizeX/2-15 {
			return -0.05
		}
		return 0
	}
	rowless := func(name string, z func(x, y float64) float64) *face.Face {
		f := made(name, 6, 9, z)
		for i := range f.Row { // the joint rows become columns of the grid
			f.Row[i] = face.NoRow
		}
		return f
	}
	r := seat(t, fixed(question(rowless("h", lip), rowless("c", plain), rowless("f", plain), 0.127)))
	if r.Joints[0].Measured != [2]bool{true, true} || warned(r, "not measured") {
		t.Errorf("measured %v, warnings %q", r.Joints[0].Measured, r.Warnings)
	}
	if !warned(r, "lie in the edge band") {
		t.Errorf("no word on the readings in the band: %q", r.Warnings)
	}
	near(t, "zone", r.Zone, 0, 1e-8)
	near(t, "step", r.Joints[0].Largest, 0.05, 1e-8)
}

// TestOneUnreadableEdge leaves out the turns that would bring it to a joint, and says so.
func TestOneUnreadableEdge(t *testing.T) {
	head := only(made("head", 6, 9, plain), func(x, y float64, row face.Row) bool {
		return row == face.JointPlus || row == face.NoRow && x > 430 // one column and a joint row: nothing at −x
	})
	head.X, head.Y, head.Z, head.Row = append(head.X, 0), append(head.Y, 0.25), append(head.Z, 0), append(head.Row, face.NoRow)
	q := question(head, made("c", 6, 9, plain), made("f", 6, 9, plain), 0.127)
	r := seat(t, q)
	if r.Pieces[0].Turned || r.Tried != 4 || !warned(r, "4 of 8 arrangements could not be tried") {
		t.Errorf("turned %v, tried %d, %q", r.Pieces[0].Turned, r.Tried, r.Warnings)
	}
}

// scan reads a face at n random places up to so far from the edges.
func scan(name string, seed uint64, n int, margin float64, z func(x, y float64) float64) *face.Face {
	r := rand.New(rand.NewPCG(seed, 4))
	f := &face.Face{Header: face.Header{Name: name, SizeX: sizeX, SizeY: sizeY, Side: face.Top}}
	for range n {
		x, y := (sizeX-2*margin)*(r.Float64()-0.5), (sizeY-2*margin)*(r.Float64()-0.5)
		f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, z(x, y))
	}
	return f
}

// TestScanToTheEdge: means over cells of a plane surface with a lip of 0.05 mm on one side show the lip.
func TestScanToTheEdge(t *testing.T) {
	lip := func(x, y float64) float64 {
		if x > sizeX/2-25 {
			return 0.05
		}
		return 0
	}
	q := fixed(question(scan("h", 1, 40_000, 0, lip), scan("c", 2, 40_000, 0, plain), scan("f", 3, 40_000, 0, plain), 0.127))
	r := seat(t, q)
	if r.Joints[0].Measured != [2]bool{true, true} {
		t.Errorf("measured %v: %q", r.Joints[0].Measured, r.Warnings)
	}
	p := r.Pieces
	for s, y := range r.Joints[0].Y {
		const middle = sizeX/2 - 12.5 // of the strip
		want := p[1].Height - p[1].TiltX*middle + p[1].TiltY*y - (0.05 + p[0].Height + p[0].TiltX*middle + p[0].TiltY*y)
		near(t, "step", r.Joints[0].Step[s], want, 4e-4) // the means of a cell's places differ by some mm from its middle
	}
}

// TestScanShortOfTheEdge is carried on in a straight line: exact for a face that is straight along x.
func TestScanShortOfTheEdge(t *testing.T) {
	saddle := func(x, y float64) float64 { return 0.1 * (x / sizeX) * (y / sizeY) * (y / sizeY) }
	q := fixed(question(scan("h", 1, 60_000, 40, saddle), scan("c", 2, 60_000, 40, plain), scan("f", 3, 60_000, 40, plain), 0.127))
	r := seat(t, q)
	if r.Joints[0].Measured[0] || !warned(r, "its scan ends 40 mm from the edge") || !warned(r, "not measured at the edge") {
		t.Errorf("measured %v: %q", r.Joints[0].Measured, r.Warnings)
	}
	p := r.Pieces
	for s, y := range r.Joints[0].Y {
		edge := 0.1 * 0.5 * (y / sizeY) * (y / sizeY)
		want := p[1].Height - p[1].TiltX*sizeX/2 + p[1].TiltY*y - (edge + p[0].Height + p[0].TiltX*sizeX/2 + p[0].TiltY*y)
		near(t, "step", r.Joints[0].Step[s], want, 5e-4) // the y of cells differ a little
	}
}

// TestRuleOfJointRows: the mill's rule decides what counts as measured.
func TestRuleOfJointRows(t *testing.T) {
	build := func(keep func(x, y float64, row face.Row) bool) seating.Result {
		return seat(t, fixed(question(only(made("h", 6, 9, plain), keep), made("c", 6, 9, plain), made("f", 6, 9, plain), 0.127)))
	}
	r := build(func(x, y float64, row face.Row) bool { return row != face.JointPlus || y > -600 })
	if r.Joints[0].Measured[0] || !warned(r, "its joint row has 8 stations, fewer than 9") || !warned(r, "uncertain by 0.03 mm more") {
		t.Errorf("%v %q", r.Joints[0].Measured, r.Warnings)
	}
	q := fixed(question(made("h", 6, 9, plain), made("c", 6, 9, plain), made("f", 6, 9, plain), 0.127))
	q.Spec.JointRow.MaxFromArris = 5
	if r := seat(t, q); r.Joints[0].Measured[0] || !warned(r, "lies up to 10.0 mm from the arris, more than 5 mm") {
		t.Errorf("%v %q", r.Joints[0].Measured, r.Warnings)
	}
}

// TestUnevenStations compares at the stations of both pieces, each in a straight line between its own, and only where both were read.
func TestUnevenStations(t *testing.T) {
	bend := func(x, y float64) float64 { return 0.1 * math.Abs(y) / sizeY }
	head := made("h", 6, 9, bend)
	for i := range head.Y {
		if head.Row[i] == face.JointPlus {
			head.Y[i] = head.Y[i]*0.9 + 30 // other places
			head.Z[i] = bend(0, head.Y[i])
		}
	}
	r := seat(t, fixed(question(head, made("c", 6, 9, bend), made("f", 6, 9, bend), 0.127)))
	if n := len(r.Joints[0].Y); n != 16 { // nine of the head, and those seven of the centre between −614.85 and 674.85
		t.Errorf("%d stations: %v", n, r.Joints[0].Y)
	}
	for s := 1; s < len(r.Joints[0].Y); s++ {
		if r.Joints[0].Y[s] <= r.Joints[0].Y[s-1] {
			t.Errorf("stations out of order: %v", r.Joints[0].Y)
		}
	}
}

// TestUnreadMiddleHasNoLevel says at how many marks nothing can be said.
func TestUnreadMiddleHasNoLevel(t *testing.T) {
	gap := only(made("h", 6, 9, plain), func(x, y float64, row face.Row) bool {
		return row != face.NoRow || math.Abs(x) > 100 || math.Abs(y) > 100
	})
	r := seat(t, fixed(question(gap, made("c", 6, 9, plain), made("f", 6, 9, plain), 0.127)))
	if len(r.Levels) >= 18 || !warned(r, "of 18 marks") {
		t.Errorf("%d level readings, %q", len(r.Levels), r.Warnings)
	}
}

// TestJointReadInItsMiddleOnly is not covered, however many stations there are.
func TestJointReadInItsMiddleOnly(t *testing.T) {
	narrow := func(name string) *face.Face {
		f := made(name, 6, 9, plain)
		for i := range f.Y {
			if f.Row[i] != face.NoRow {
				f.Y[i] *= 0.02
			}
		}
		return f
	}
	r := seat(t, fixed(question(narrow("h"), made("c", 6, 9, plain), made("f", 6, 9, plain), 0.127)))
	if r.Joints[0].Covered || !r.Joints[1].Covered || !warned(r, "was not read from end to end") {
		t.Errorf("covered %v %v, %q", r.Joints[0].Covered, r.Joints[1].Covered, r.Warnings)
	}
}

// TestRockingPiece: two diagonal packs are the higher ones, so the piece rocks on them, and it is said.
func TestRockingPiece(t *testing.T) {
	q := question(nil, nil, nil, 0.127)
	for k := range q.Faces {
		q.Faces[k] = thick(made("piece", 6, 9, plain), func(x, y float64) float64 { return 26 })
	}
	for i, at := range q.Faces[0].Thickness { // thinner over two diagonal corners: higher packs are asked for, and none exists between
		if at.X*at.Y > 0 {
			q.Faces[0].Thickness[i].T -= 0.03
			q.Faces[0].Lined[i].T -= 0.03
		}
	}
	r := seat(t, q)
	if r.Rounded == nil || !warned(r, "the head piece can rock") {
		t.Errorf("rounded %v, %q", r.Rounded, r.Warnings)
	}
}

func TestResampleWantsAllReadings(t *testing.T) {
	q := random(1, 6, 9)
	q.MaxStep = 0.127
	s, err := seating.NewResampler(q, seat(t, q))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Resample([3][]float64{}); err == nil {
		t.Error("resampled without changes for every reading")
	}
}
