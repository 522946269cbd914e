package face_test

import (
	"fmt"
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

// gridCases are changes of the grid, and what is found of it then.
var gridCases = []struct {
	name   string
	change func(f *face.Face)
	want   string
}{
	{"9 x 6", func(*face.Face) {}, "6 x 9"},
	{"placed by hand", func(f *face.Face) {
		for i := range f.X {
			f.X[i] += 0.3 * float64(i%3-1)
			f.Y[i] += 0.2 * float64(i%4-2)
		}
	}, "6 x 9"},
	{"some gaps", func(f *face.Face) { f.X, f.Y, f.Z = f.X[:50], f.Y[:50], f.Z[:50] }, "6 x 9"},
	{"joint rows aside", func(f *face.Face) {
		f.Row = make([]face.Row, 54, 55)
		f.X, f.Y, f.Z, f.Row = append(f.X, 450), append(f.Y, 3), append(f.Z, 0), append(f.Row, face.JointPlus)
	}, "6 x 9"},
	{"one stray reading", func(f *face.Face) { f.X[20] += 5 }, "7 x 9"},
	{"a station line too wide", func(f *face.Face) {
		for i := range f.X {
			f.X[i] += 0.6 * float64(i%3-1) * float64(i%2)
			f.X[i] += 0.7 * float64(i/18)
		}
	}, "none"},
	{"half the crossings", func(f *face.Face) {
		for i := range 27 {
			f.X[i], f.Y[i] = f.X[2*i+(2*i/6)%2], f.Y[2*i]
		}
		f.X, f.Y, f.Z = f.X[:27], f.Y[:27], f.Z[:27]
	}, "none"},
	{"repeats fill no crossing", func(f *face.Face) {
		for i := range 34 {
			f.X[20+i], f.Y[20+i] = f.X[0], f.Y[0]
		}
		f.Y[19] += 500
	}, "none"},
	{"one line", func(f *face.Face) { f.X, f.Y, f.Z = f.X[:6], f.Y[:6], f.Z[:6] }, "none"},
	{"nothing but joint rows", func(f *face.Face) {
		f.Row = make([]face.Row, 54)
		for i := range f.Row {
			f.Row[i] = face.JointPlus
		}
	}, "none"},
}

func TestGrid(t *testing.T) {
	for _, c := range gridCases {
		f := gridFace()
		c.change(f)
		xs, ys, ok := f.Grid()
		got := "none"
		if ok {
			got = fmt.Sprintf("%d x %d", len(xs), len(ys))
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s (%v %v)", c.name, got, c.want, xs, ys)
		}
	}
	if _, _, ok := scan(20_000).Grid(); ok {
		t.Error("a scan is taken for a grid")
	}
	if _, _, ok := scan(500).Grid(); ok {
		t.Error("scattered readings are taken for a grid")
	}
}

func TestGridStationsAreTheirCoordinatesExactly(t *testing.T) {
	f := gridFace()
	xs, ys, ok := f.Grid()
	if !ok {
		t.Fatal("no grid")
	}
	for i := range f.Z {
		if xs[i%6] != f.X[i] || ys[i/6] != f.Y[i] {
			t.Fatalf("reading %d at %v %v, stations %v %v", i, f.X[i], f.Y[i], xs[i%6], ys[i/6])
		}
	}
}

func TestStationIsTheNearest(t *testing.T) {
	stations := []float64{-3, 0, 5}
	for v, want := range map[float64]int{-9: 0, -3: 0, -1.5: 0, -1.4: 1, 0: 1, 2.5: 1, 2.6: 2, 5: 2, 99: 2} {
		if got := face.Station(stations, v); got != want {
			t.Errorf("%v: station %d, want %d", v, got, want)
		}
	}
}
