package drawing

import (
	"bytes"
	"encoding/csv"
	"math"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/pattern/shape"
)

// shipped reads the patterns of the handbook.
func shipped(t *testing.T) map[string]pattern.Pattern {
	t.Helper()
	files, err := filepath.Glob("../../docs/examples/bed/*-foot.yaml")
	if err != nil || len(files) < 4 {
		t.Fatalf("%d patterns, %v", len(files), err)
	}
	list := map[string]pattern.Pattern{}
	for _, f := range files {
		p, err := patternfile.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		list[filepath.Base(f)] = p
	}
	return list
}

// polygonArea is the area of a contour by the polygon library.
func polygonArea(t *testing.T, c shape.Contour) float64 {
	t.Helper()
	const chord = 1e-4
	var xy []float64
	points := c.Polygon(chord)
	for _, p := range append(points, points[0]) {
		xy = append(xy, p.X, p.Y)
	}
	ring := geom.NewLineString(geom.NewSequence(xy, geom.DimXY))
	poly := geom.NewPolygon([]geom.LineString{ring})
	if err := poly.Validate(); err != nil {
		t.Fatal(err)
	}
	return poly.Area()
}

// Areas and masses against a polygon library, the holes as polygons too: what is drilled is subtracted by an independent hand.
func TestStoneAgainstPolygons(t *testing.T) {
	for name, p := range shipped(t) {
		for i, piece := range p.Pieces {
			got := StoneOf(p, i)
			area := polygonArea(t, piece.Outline)
			for _, c := range piece.Openings {
				area -= polygonArea(t, c)
			}
			if math.Abs(got.Area-area) > 1e-6*area {
				t.Errorf("%s, %s: %.3f mm², the library %.3f", name, piece.Name, got.Area, area)
			}
			volume := area * p.Thickness
			for _, h := range p.Holes {
				if h.Piece == i {
					volume -= layered(t, h, p.Thickness)
				}
			}
			for _, j := range p.Joints {
				if j.Before == i || j.Before == i-1 {
					for _, d := range j.Dowels {
						volume -= polygonArea(t, shape.Circle(shape.Point{}, d.Diameter/2)) * d.Depth
					}
				}
			}
			if mass := volume * p.Promise.Density / 1e9; math.Abs(got.Mass-mass) > 2e-6*mass {
				t.Errorf("%s, %s: %.6f kg, in layers %.6f", name, piece.Name, got.Mass, mass)
			}
		}
	}
}

// layered is the volume of a hole, summed in thin layers of the largest circle at each depth.
func layered(t *testing.T, h pattern.Hole, thickness float64) (v float64) {
	t.Helper()
	const n = 4000
	unit := polygonArea(t, shape.Circle(shape.Point{}, 100)) / 1e4
	for k := range n {
		z := thickness * (float64(k) + 0.5) / n // below the playing face
		from := func(f pattern.Face) float64 {
			if f == pattern.Bottom {
				return thickness - z
			}
			return z
		}
		r := 0.0
		if h.Depth == 0 || from(h.From) < h.Depth {
			r = h.Diameter / 2
		}
		if c := h.Counter; c != nil {
			switch in := from(c.From); {
			case c.Angle > 0:
				r = math.Max(r, c.Diameter/2-in*math.Tan(c.Angle/2))
			case in < c.Depth:
				r = math.Max(r, c.Diameter/2)
			}
		}
		v += unit * r * r * thickness / n
	}
	return v
}

func TestGroups(t *testing.T) {
	hole := pattern.Hole{Kind: pattern.BedScrew, Diameter: 8, Counter: &pattern.Counter{Diameter: 14, Angle: math.Pi / 2}}
	other := hole
	other.Counter = &pattern.Counter{Diameter: 14, Angle: math.Pi / 2}
	other.Name, other.X, other.Piece = "b", 100, 1
	below := hole
	below.Counter = &pattern.Counter{Diameter: 14, Angle: math.Pi / 2, From: pattern.Bottom}
	bolt := pattern.Hole{Kind: pattern.RailBolt, Diameter: 5}
	groups := Groups(pattern.Pattern{Holes: []pattern.Hole{hole, below, other, bolt}})
	if len(groups) != 3 || groups[0].Like.Kind != pattern.RailBolt || groups[0].Letter != "E" || len(groups[1].Holes) != 2 || groups[1].Letter != "F" || len(groups[2].Holes) != 1 {
		t.Fatalf("%+v", groups)
	}
	if m := Marks(groups); m[3] != "E1" || m[0] != "F1" || m[2] != "F2" || m[1] != "G1" || len(m) != 4 {
		t.Errorf("%v", m)
	}
	seen := map[string]bool{}
	for i := range 400 {
		l := letter(i)
		if seen[l] || l == "" {
			t.Fatalf("letter %d is %q again", i, l)
		}
		seen[l] = true
	}
}

func TestMM(t *testing.T) {
	for x, want := range map[float64]string{-1294.333: "−1294.33", 0: "0", -0.001: "0", 100: "100", 0.1049: "0.1", 12.70: "12.7"} {
		if got := MM(x); got != want {
			t.Errorf("%v is %q, want %q", x, got, want)
		}
	}
}

// Seen from below, the head is on the right, and what turns left still does.
func TestViewFromBelow(t *testing.T) {
	p := shipped(t)["nine-foot.yaml"]
	below, above := View{0, pattern.Bottom}, View{0, pattern.Top}
	for _, h := range p.Holes {
		u, w := below.At(p, shape.Point{X: h.X, Y: h.Y})
		x, y := above.At(p, shape.Point{X: h.X, Y: h.Y})
		if u != -x || w != y || math.Abs(x-(h.X-p.Pieces[0].Middle.X)) > 1e-12 {
			t.Fatalf("%s: (%v, %v) from below, (%v, %v) from above", h.Name, u, w, x, y)
		}
	}
	c := p.Pieces[0].Outline
	if a, b := below.Contour(p, c).Area(), c.Area(); math.Abs(a-b) > 1e-9*b {
		t.Errorf("area %v from below, %v", a, b)
	}
	if below.Name(p) != "head-bottom" || (View{Whole, pattern.Top}).Name(p) != "bed-top" {
		t.Errorf("%s", below.Name(p))
	}
}

// The list has every hole once, at its place.
func TestCSV(t *testing.T) {
	for name, p := range shipped(t) {
		var b bytes.Buffer
		if err := CSV(&b, p, Whole); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != len(p.Holes)+1 || len(rows[0]) != len(Columns) {
			t.Fatalf("%s: %d rows, %v", name, len(rows), err)
		}
		byName := map[string][]string{}
		for _, r := range rows[1:] {
			byName[r[1]] = r
		}
		for _, h := range p.Holes {
			r := byName[h.Name]
			x, _ := strconv.ParseFloat(r[4], 64)
			y, _ := strconv.ParseFloat(r[5], 64)
			u, _ := strconv.ParseFloat(r[6], 64)
			if math.Abs(x-h.X) > 5e-4 || math.Abs(y-h.Y) > 5e-4 || math.Abs(u+p.Pieces[h.Piece].Middle.X-h.X) > 1.1e-3 || r[3] != p.Pieces[h.Piece].Name {
				t.Errorf("%s: %v", h.Name, r)
			}
			if (r[10] == "") != h.Through() || (r[13] == "") != (h.Counter == nil) {
				t.Errorf("%s: %v", h.Name, r)
			}
		}
		var one bytes.Buffer
		if err := CSV(&one, p, 0); err != nil || bytes.Count(one.Bytes(), []byte("\n")) >= len(rows) {
			t.Errorf("%s: the head's list is as long as the bed's", name)
		}
	}
}
