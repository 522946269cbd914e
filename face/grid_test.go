package face_test

import (
	"testing"

	"slatewright/face"
)

// gridFace reads 9 x 6 stations of the reference piece with a 20 mm edge band: pitch 174.8 along x and 179.125 mm along y.
func gridFace() *face.Face {
	f := &face.Face{Header: face.Header{Name: "grid", SizeX: 914, SizeY: 1473}}
	for j := range 9 {
		for i := range 6 {
			f.X = append(f.X, -437+174.8*float64(i))
			f.Y = append(f.Y, -716.5+179.125*float64(j))
			f.Z = append(f.Z, 0)
		}
	}
	return f
}

func TestGrid(t *testing.T) {
	f := gridFace()
	xs, ys, ok := f.Grid()
	if !ok || len(xs) != 6 || len(ys) != 9 {
		t.Fatalf("%v %v %v", xs, ys, ok)
	}
	for i := range f.Z {
		if xs[i%6] != f.X[i] || ys[i/6] != f.Y[i] {
			t.Fatalf("reading %d at %v %v, stations %v %v", i, f.X[i], f.Y[i], xs[i%6], ys[i/6])
		}
	}
	if _, _, ok := scan(20_000).Grid(); ok {
		t.Error("a scan is taken for a grid")
	}
}

// A joint row is no column of the grid, and a face of nothing else has none.
func TestJointRowsAreNoGrid(t *testing.T) {
	f := gridFace()
	f.Row = make([]face.Row, f.Len())
	for j := range 9 {
		f.X, f.Y, f.Z, f.Row = append(f.X, 447), append(f.Y, f.Y[6*j]), append(f.Z, 0), append(f.Row, face.JointPlus)
	}
	if xs, ys, ok := f.Grid(); !ok || len(xs) != 6 || len(ys) != 9 {
		t.Errorf("with a joint row: %v %v %v", xs, ys, ok)
	}
	for i := range f.Row {
		f.Row[i] = face.JointPlus
	}
	if xs, ys, ok := f.Grid(); ok {
		t.Errorf("nothing but a joint row: %v %v", xs, ys)
	}
}
