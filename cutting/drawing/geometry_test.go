package drawing_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"slatewright/cutting/drawing"
)

func TestGeometries(t *testing.T) {
	type P = drawing.Point
	for _, c := range []struct {
		kind, coordinates string
		want              [][][]P // nil: refused
	}{
		{"Point", "[1,2]", [][][]P{{{{1000, 2000}}}}},
		{"Point", "[1,2,7]", [][][]P{{{{1000, 2000}}}}},
		{"LineString", "[[0,0],[1,2],[0,0]]", [][][]P{{{{0, 0}, {1000, 2000}, {0, 0}}}}},
		{"Polygon", "[[[0,0],[3,0],[0,3],[0,0]],[[1,1],[2,1],[1,2]]]", [][][]P{{{{0, 0}, {3000, 0}, {0, 3000}}, {{1000, 1000}, {2000, 1000}, {1000, 2000}}}}},
		{"MultiLineString", "[[[0,0],[1,0]],[[2,0],[3,0]]]", [][][]P{{{{0, 0}, {1000, 0}}}, {{{2000, 0}, {3000, 0}}}}},
		{"MultiPolygon", "[[[[0,0],[1,0],[0,1],[0,0]]]]", [][][]P{{{{0, 0}, {1000, 0}, {0, 1000}}}}},
		{"Point", "[1]", nil}, {"Point", "[[1,2]]", nil}, {"Point", "null", nil}, {"LineString", "[1,2]", nil}, {"LineString", "[]", nil}, {"LineString", "[[1,2],[3]]", nil},
		{"Polygon", "[]", nil}, {"Polygon", "[[]]", nil}, {"Polygon", "[[0,0],[1,0],[0,1]]", nil}, {"MultiPolygon", "[]", nil}, {"MultiPolygon", "[[]]", nil}, {"MultiLineString", "[[]]", nil},
		{"Polygon", "", nil}, {"Polygon", "[[[0,", nil}, {"MultiPoint", "[[1,2]]", nil}, {"polygon", "[[[0,0],[1,0],[0,1]]]", nil}, {"", "[1,2]", nil},
	} {
		got, ok := drawing.Geometry{Type: c.kind, Coordinates: json.RawMessage(c.coordinates)}.Parts(1000)
		if ok != (c.want != nil) || ok && !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s %s: %v, %v", c.kind, c.coordinates, got, ok)
		}
	}
}

// FuzzGeometry gives any coordinates: they are refused, or every part and ring has a place.
func FuzzGeometry(f *testing.F) {
	f.Add("MultiPolygon", []byte("[[[[0,0],[1,0],[0,1],[0,0]]]]"))
	f.Add("LineString", []byte("[[0,0],[1,null]]"))
	f.Fuzz(func(t *testing.T, kind string, coordinates []byte) {
		parts, ok := drawing.Geometry{Type: kind, Coordinates: coordinates}.Parts(1)
		if ok && len(parts) == 0 {
			t.Fatal("no parts")
		}
		for _, part := range parts {
			for _, ring := range part {
				if ok && len(ring) == 0 {
					t.Fatalf("an empty ring in %v", part)
				}
			}
		}
	})
}
