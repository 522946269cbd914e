package patternfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/peterstace/simplefeatures/geom"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/trouble"
)

const examples = "../../../docs/examples"

func shipped(t testing.TB) map[string]pattern.Pattern {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(examples, "bed", "*foot.yaml"))
	if err != nil || len(files) != 4 {
		t.Fatalf("%v, %v", files, err)
	}
	list := map[string]pattern.Pattern{}
	for _, file := range files {
		p, err := ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		list[p.Name] = p
		if p.Name+".yaml" != filepath.Base(file) {
			t.Errorf("%s is the pattern %s", file, p.Name)
		}
	}
	return list
}

// Every piece is a contour; pieces, joints and cuts make up the bed: the areas of the pieces and of what the pockets take add up to
// the whole, and every name is there once.
func TestShippedPatternsAddUp(t *testing.T) {
	for name, p := range shipped(t) {
		whole, left := p.SizeX*p.SizeY, 0.0
		for _, piece := range p.Pieces {
			if err := piece.Outline.Check(); err != nil {
				t.Errorf("%s, %s: %v", name, piece.Name, err)
			}
			left += piece.Outline.Area()
		}
		taken := 0.0
		for _, k := range p.Pockets {
			_, _, err := shape.Subtract(p.Outline(), k.Outline)
			outside, _, err2 := shape.Subtract(k.Outline, p.Outline())
			if err != nil || err2 != nil {
				t.Fatal(err, err2)
			}
			taken += k.Outline.Area()
			for _, o := range outside {
				taken -= o.Area()
			}
		}
		if math.Abs(whole-left-taken) > 1e-3 {
			t.Errorf("%s: %.3f mm² of stone are left of %.3f, the pockets take %.3f", name, left, whole, taken)
		}
		seen := map[string]bool{}
		for _, h := range p.Holes {
			if seen[h.Name] {
				t.Errorf("%s: two holes are called %s", name, h.Name)
			}
			seen[h.Name] = true
			piece := p.Pieces[h.Piece]
			if at := (shape.Point{X: h.X, Y: h.Y}); !piece.Outline.Inside(at) {
				t.Errorf("%s: %s is not in the stone of its piece %s", name, h.Name, piece.Name)
			}
		}
		if len(p.Holes) == 0 || len(p.Pockets) != 6 || len(p.Joints) != len(p.Pieces)-1 {
			t.Errorf("%s: %d holes, %d pockets, %d joints", name, len(p.Holes), len(p.Pockets), len(p.Joints))
		}
	}
	if n := len(shipped(t)["snooker-twelve-foot"].Pieces); n != 5 {
		t.Errorf("the snooker bed has %d pieces", n)
	}
}

// The area of every piece is that of a rectangle less the pockets, as a general polygon library finds it on polygons whose arcs are
// within a hundredth of a micrometre.
func TestPiecesAgainstPolygonLibrary(t *testing.T) {
	const chord = 1e-5
	polygon := func(c shape.Contour) geom.Geometry {
		var flat []float64
		list := c.Polygon(chord)
		for _, p := range append(list, list[0]) {
			flat = append(flat, p.X, p.Y)
		}
		return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(flat, geom.DimXY))}).AsGeometry()
	}
	for name, p := range shipped(t) {
		for i, piece := range p.Pieces {
			left := polygon(shape.Rectangle(shape.Point{X: piece.From, Y: -p.SizeY / 2}, shape.Point{X: piece.To, Y: p.SizeY / 2}))
			for _, k := range p.Pockets {
				var err error
				if left, err = geom.Difference(left, polygon(k.Outline)); err != nil {
					t.Fatal(err)
				}
			}
			if math.Abs(left.Area()-piece.Area()) > chord*2000 {
				t.Errorf("%s, %s: %.3f mm², the library has %.3f", name, piece.Name, piece.Area(), left.Area())
			}
			if rough, mass := piece.Area()*p.Thickness*p.Promise.Density*1e-9, p.Mass(i, p.Thickness); mass >= rough || mass < 0.99*rough {
				t.Errorf("%s, %s: %.2f kg, %.2f kg without its holes", name, piece.Name, mass, rough)
			}
		}
	}
}

// The patterns that stand in the handbook's examples twice, bare and drawn whole, promise the same.
func TestDrawnPatternsPromiseTheSame(t *testing.T) {
	for _, name := range []string{"nine-foot", "eight-foot", "seven-foot"} {
		bare, err := ReadFile(filepath.Join(examples, name+".yaml"))
		if err != nil {
			t.Fatal(err)
		}
		want, err := bare.Spec()
		if err != nil {
			t.Fatal(err)
		}
		got, err := shipped(t)[name].Spec()
		if err != nil {
			t.Fatal(err)
		}
		got.Revision, want.Revision = "", ""
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\n%+v\nand\n%+v", name, got, want)
		}
	}
}

func TestFivePiecesAreRefusedByAClearWord(t *testing.T) {
	_, err := shipped(t)["snooker-twelve-foot"].Spec()
	var bad *trouble.Trouble
	if !errors.As(err, &bad) || bad.Code != "not-three-pieces" || !strings.Contains(bad.What, "5 pieces") {
		t.Error(err)
	}
}

// A corner pocket by its shelf. The mouth's line lies mouth/2 inside the field's corner along the diagonal; from it the shelf leads
// to the edge of the drop, and a radius on is its middle.
func TestShelfAndCentreSayTheSame(t *testing.T) {
	const field = "field: 2540 x 1270 mm\nsymmetry: quarter\n"
	p := read(t, head+field+"pockets:\n  - {name: corner, at: corner, mouth: 116 mm, shelf: 40 mm, radius: 60 mm}\n  - {name: side, at: side, mouth: 128 mm, shelf: 5 mm, radius: 66 mm}\n")
	if len(p.Pockets) != 6 {
		t.Fatalf("%d pockets", len(p.Pockets))
	}
	off := (40 + 60 - 58) / math.Sqrt2
	var corner, side pattern.Pocket
	for _, k := range p.Pockets {
		switch k.Name {
		case "corner-fr":
			corner = k
		case "side-r":
			side = k
		}
	}
	if math.Abs(corner.X-1270-off) > 1e-9 || math.Abs(corner.Y-635-off) > 1e-9 || side.X != 0 || math.Abs(side.Y-635-5-66) > 1e-9 {
		t.Errorf("corner at %v, %v; side at %v, %v", corner.X, corner.Y, side.X, side.Y)
	}
	// The drop's edge is the shelf beyond the mouth's line, and the line as long as the mouth where it meets the noses.
	mid := 1270 - 58/math.Sqrt2
	if _, d := corner.Outline.Nearest(shape.Point{X: mid, Y: mid - 635}); math.Abs(d-40) > 1e-9 {
		t.Errorf("the drop begins %v mm from the mouth's middle", d)
	}
	at := "[" + mmText(corner.X) + ", " + mmText(corner.Y) + "]"
	again := read(t, head+field+"pockets:\n  - {name: corner, at: corner, mouth: 116 mm, centre: "+at+", radius: 60 mm}\n")
	for _, k := range again.Pockets {
		if !k.HasShelf || math.Abs(k.Shelf-40) > 1e-9 {
			t.Errorf("%s has a shelf of %v", k.Name, k.Shelf)
		}
	}
	names := []string{}
	for _, k := range again.Pockets {
		names = append(names, k.Name)
		sx, sy := math.Copysign(1, k.X), math.Copysign(1, k.Y)
		if sin, cos := math.Sincos(k.Out); sin*sy <= 0 || cos*sx <= 0 {
			t.Errorf("%s looks to %v", k.Name, k.Out)
		}
	}
	if slices.Sort(names); !slices.Equal(names, []string{"corner-fl", "corner-fr", "corner-hl", "corner-hr"}) {
		t.Errorf("%v", names)
	}
}

func mmText(v float64) string { return strings.TrimSpace(string(must(json.Marshal(v)))) + " mm" }

func must(b []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return b
}

// A flared drop: the flanks touch the arc and turn away from the pocket's direction by the flare.
func TestFlanksTouchTheDrop(t *testing.T) {
	p := read(t, head+"field: 2540 x 1270 mm\npockets:\n  - {name: k, at: right, shelf: 5 mm, radius: 60 mm, flare: 10 deg}\n")
	if len(p.Pockets) != 1 || p.Pockets[0].Name != "k-r" {
		t.Fatalf("%+v", p.Pockets)
	}
	for _, s := range p.Pockets[0].Outline.Segments() {
		if s.Radius > 0 {
			if math.Abs(s.Radius-60) > 1e-9 || math.Abs(s.Sweep-160*math.Pi/180) > 1e-9 {
				t.Errorf("an arc of %v over %v", s.Radius, s.Sweep)
			}
			continue
		}
		dx, dy := s.To.X-s.From.X, s.To.Y-s.From.Y
		if tilt := math.Atan2(math.Abs(dx), math.Abs(dy)); math.Abs(dy) > 1e-9 && math.Abs(tilt-10*math.Pi/180) > 1e-9 {
			t.Errorf("a flank leans by %v", tilt)
		}
	}
}

// The shelf of a drop drawn freely, and of one that reaches inside the nose line: its inner side lies 52 mm inside the centre.
func TestShelfOfADrawnDrop(t *testing.T) {
	for centre, want := range map[string]float64{"700 mm": 700 - 52 - 635, "680 mm": 680 - 52 - 635} {
		p := read(t, head+"field: 2540 x 1270 mm\nsymmetry: sides\npockets:\n  - name: bay\n    at: side\n    centre: [0 mm, "+centre+"]\n    shape: [[70 mm, 55 mm], [-52 mm, 55 mm, 40 mm], [-52 mm, -55 mm, 40 mm], [70 mm, -55 mm]]\n")
		for _, k := range p.Pockets {
			if !k.HasShelf || math.Abs(k.Shelf-want) > 1e-9 {
				t.Errorf("%s at %s: a shelf of %v, want %v", k.Name, centre, k.Shelf, want)
			}
		}
	}
}

// A drop drawn freely: a bay of 110 by 112 mm whose inner corners are rounded loses (4 − π)/2 · r² of its rectangle.
func TestDrawnDrop(t *testing.T) {
	p := read(t, head+"pockets:\n  - name: bay\n    at: left\n    centre: [0 mm, 700 mm]\n    shape: [[60 mm, 55 mm], [-52 mm, 55 mm, 40 mm], [-52 mm, -55 mm, 40 mm], [60 mm, -55 mm]]\n")
	k := p.Pockets[0]
	if k.HasShelf {
		t.Error("a shelf without a field")
	}
	if want := 110*112 - (4-math.Pi)/2*1600; math.Abs(k.Outline.Area()-want) > 1e-6 {
		t.Errorf("area %v, want %v", k.Outline.Area(), want)
	}
	if low, high := k.Outline.Bounds(); k.Name != "bay-l" || math.Abs(low.Y+760) > 1e-9 || math.Abs(high.Y+648) > 1e-9 || math.Abs(low.X+55) > 1e-9 {
		t.Errorf("%s lies between %v and %v", k.Name, low, high)
	}
}

func holes(p pattern.Pattern) (list []string) {
	for _, h := range p.Holes {
		list = append(list, h.Name)
	}
	return list
}

func TestSymmetryNamesItsImages(t *testing.T) {
	const group = "holes:\n  - {name: rb, kind: rail-bolt, diameter: 12 mm, at: [[100 mm, 200 mm], [0 mm, 50 mm], [30 mm, 0 mm], [0 mm, 0 mm]]}\n"
	for symmetry, want := range map[string]string{
		"quarter": "rb-1fr rb-1hr rb-1hl rb-1fl rb-2r rb-2l rb-3f rb-3h rb-4",
		"ends":    "rb-1fr rb-1hr rb-2r rb-3f rb-3h rb-4",
		"sides":   "rb-1fr rb-1fl rb-2r rb-2l rb-3f rb-4",
		"turned":  "rb-1fr rb-1hl rb-2r rb-2l rb-3f rb-3h rb-4",
		"none":    "rb-1 rb-2 rb-3 rb-4",
	} {
		p := read(t, head+"symmetry: "+symmetry+"\n"+group)
		if got := strings.Join(holes(p), " "); got != want {
			t.Errorf("%s: %s, want %s", symmetry, got, want)
		}
	}
	p := read(t, head+"symmetry: quarter\n"+strings.Replace(group, "name: rb", "symmetry: ends, name: rb", 1))
	if got := strings.Join(holes(p), " "); got != "rb-1fr rb-1hr rb-2r rb-3f rb-3h rb-4" || !p.Holes[0].Alone {
		t.Errorf("a group of its own symmetry: %s", got)
	}
}

func TestRows(t *testing.T) {
	p := read(t, head+`holes:
  - {name: a, kind: rail-bolt, diameter: 12 mm, row: {from: [100 mm, 600 mm], to: [400 mm, 630 mm], count: 4}}
  - {name: b, kind: bed-screw, diameter: 8 mm, depth: through, from: bottom, row: {from: [0 mm, 0 mm], step: [10 mm, -5 mm], count: 3}}
`)
	want := [][2]float64{{100, 600}, {200, 610}, {300, 620}, {400, 630}, {0, 0}, {10, -5}, {20, -10}}
	if len(p.Holes) != len(want) {
		t.Fatalf("%v", holes(p))
	}
	for i, h := range p.Holes {
		if math.Hypot(h.X-want[i][0], h.Y-want[i][1]) > 1e-9 || !h.Through() || h.Piece != 1 {
			t.Errorf("%s at %v, %v in piece %d", h.Name, h.X, h.Y, h.Piece)
		}
	}
	if p.Holes[0].From != pattern.Top || p.Holes[4].From != pattern.Bottom {
		t.Error("faces are mixed up")
	}
}

// A cone of 90° from 14 mm to 8 mm is (14 − 8)/2 deep.
func TestHolesInFull(t *testing.T) {
	p := read(t, head+`tolerances:
  bed-screw: {position: 2 mm, depth: 0.5 mm}
holes:
  - {name: s, kind: bed-screw, diameter: 8 mm, bolt: 5.5 mm, countersink: {diameter: 14 mm, angle: 90 deg}, at: [[0 mm, 0 mm]]}
  - {name: c, kind: bed-screw, diameter: 8 mm, mating: 1 mm, chamfer: 0.5 mm, counterbore: {diameter: 20 mm, depth: 8 mm, from: bottom}, tolerance: {position: 1 mm}, at: [[50 mm, 0 mm]]}
  - {name: d, kind: accessory, diameter: 6 mm, depth: 1/2 in, from: bottom, at: [[90 mm, 0 mm]]}
`)
	s, c, d := p.Holes[0], p.Holes[1], p.Holes[2]
	if s.Counter == nil || math.Abs(s.Counter.Depth-3) > 1e-12 || s.Counter.From != pattern.Top || s.Position != 2 || s.Tolerance.Depth != 0.5 || s.Bolt != 5.5 {
		t.Errorf("%+v", s)
	}
	if c.Counter.From != pattern.Bottom || c.Counter.Angle != 0 || c.Position != 1 || c.Tolerance.Depth != 0 || c.Mating != 1 || c.Chamfer != 0.5 {
		t.Errorf("%+v", c)
	}
	if d.Depth != 12.7 || d.From != pattern.Bottom || d.Line != 9 || d.Group != "d" {
		t.Errorf("%+v", d)
	}
}

func TestPiecesJointsAndDowels(t *testing.T) {
	p := read(t, head+`symmetry: quarter
joint_gap: 1 mm
pieces: [{name: top, length: 900 mm}, 941 mm, 900 mm]
joints: {top_chamfer: 0.3 mm, dowels: {diameter: 8 mm, depth: 25 mm, below: 12 mm, at: [0 mm, 400 mm]}}
supports:
  each: [[-300 mm, -400 mm], [300 mm, -400 mm], [0 mm, 400 mm]]
  top: [[-200 mm, -400 mm], [200 mm, -400 mm], [0 mm, 400 mm]]
`)
	if len(p.Joints) != 2 || p.Joints[0].X != -471 || p.Joints[1].X != 471 || p.Joints[0].Name != "a" || p.Joints[1].Before != 1 || p.Joints[0].Gap != 1 {
		t.Errorf("%+v", p.Joints)
	}
	var names []string
	for _, d := range append(p.Joints[0].Dowels, p.Joints[1].Dowels...) {
		names = append(names, d.Name)
	}
	if got := strings.Join(names, " "); got != "dowel-a1 dowel-a2r dowel-a2l dowel-b1 dowel-b2r dowel-b2l" {
		t.Error(got)
	}
	if p.Pieces[0].Name != "top" || p.Pieces[1].Name != "centre" || p.Pieces[1].From != -470.5 || p.Pieces[0].Supports[0][0] != -200 || p.Pieces[2].Supports[0][0] != -300 {
		t.Errorf("%+v", p.Pieces)
	}
	if _, err := p.Spec(); err == nil {
		t.Error("unequal pieces gave a specification")
	}
}

func TestSizeFromField(t *testing.T) {
	for text, want := range map[string][2]float64{
		"field: 100 x 50 in\noverhang: 4 in\n":                                  {2743.2, 1473.2},
		"field: 2540 x 1270 mm\noverhang: 100 x 90 mm\n":                        {2740, 1450},
		"names: {l: 2540 mm, w: l / 2, o: 100 mm}\nfield: l × w\noverhang: o\n": {2740, 1470},
		"names: {l: 2540 mm}\nsize: l + 8 in x l / 2 + 8 in\n":                  {2743.2, 1473.2},
		"size: 2743.2 x 1473.2 mm\nfield: 2540 x 1270 mm\noverhang: 101.6 mm\n": {2743.2, 1473.2},
	} {
		p := read(t, "pattern: p\nrevision: r\n"+text)
		if math.Hypot(p.SizeX-want[0], p.SizeY-want[1]) > 1e-9 {
			t.Errorf("%s: %v x %v", text, p.SizeX, p.SizeY)
		}
	}
}

func TestFaultsNameLineAndNextStep(t *testing.T) {
	const hole = head + "holes:\n  - name: rb\n    kind: rail-bolt\n    diameter: 12 mm\n"
	const pocket = head + "field: 2540 x 1270 mm\npockets:\n  - name: corner\n    at: corner\n"
	for name, c := range map[string]struct{ text, where, what, next string }{
		"slip":               {hole + "    bolts: 9 mm\n", "t.yaml:8", `holes[0] has no key "bolts"`, "did you mean bolt?"},
		"kind":               {head + "holes: [{kind: rail_bolt}]\n", "t.yaml:4", `"rail_bolt" is not known here`, "did you mean rail-bolt?"},
		"claim":              {head + "claims: wpa-10ft\n", "t.yaml:4", `"wpa-10ft" is not known`, "did you mean wpa-9ft?"},
		"no place":           {hole, "t.yaml:5", "holes without a place", "row:"},
		"no name":            {head + "holes:\n  - kind: accessory\n", "t.yaml:5", "it has no name", "name:"},
		"name of two words":  {head + "holes:\n  - name: side rail\n    kind: accessory\n", "t.yaml:5", `"side rail" is not one word`, "side-rail"},
		"name with a comma":  {head + "pockets:\n  - {at: corner, name: 'a,b'}\n", "t.yaml:5", `"a,b" is not one word`, "corner"},
		"same in the end":    {hole + "    at: [[9 mm, 9 mm]]\nstrips: [{name: rb-1, from: [0 mm, 0 mm], to: [9 mm, 9 mm], thickness: 9 mm}]\n", "t.yaml:9", `two features are called "rb-1"`, "another name"},
		"no kind":            {head + "holes:\n  - name: a\n", "t.yaml:5", "what the holes are for", "kind:"},
		"two of a name":      {hole + "    at: [[0 mm, 0 mm]]\n  - {name: rb, kind: accessory, diameter: 5 mm, at: [[9 mm, 9 mm]]}\n", "t.yaml:4", `two are called "rb"`, "own"},
		"no diameter":        {head + "holes:\n  - {name: a, kind: accessory, at: [[0 mm, 0 mm]]}\n", "t.yaml:5", "holes[0].diameter: 0 mm; it must be between 1 and 200", ""},
		"bolt too thick":     {hole + "    bolt: 13 mm\n", "t.yaml:8", "holes[0].bolt: 13 mm", ""},
		"both counters":      {hole + "    counterbore: {diameter: 20 mm, depth: 5 mm}\n    countersink: {diameter: 20 mm, angle: 90 deg}\n", "t.yaml:9", "a counterbore and a countersink", "keep one"},
		"narrow counter":     {hole + "    counterbore: {diameter: 10 mm, depth: 5 mm}\n", "t.yaml:8", "counterbore.diameter: 10 mm", ""},
		"no angle":           {hole + "    countersink: {diameter: 20 mm}\n", "t.yaml:8", "countersink.angle: 0°", "90 deg"},
		"angle as length":    {hole + "    countersink: {angle: 90 mm}\n", "t.yaml:8", "a length where an angle is wanted", "142 deg"},
		"angle no unit":      {hole + "    countersink: {angle: 90}\n", "t.yaml:8", "a number without a unit where an angle", "142 deg"},
		"too deep":           {hole + "    depth: 30 mm\n", "t.yaml:8", "depth: 30 mm; it must be between 0 and 25.4", ""},
		"no depth":           {hole + "    depth: 0 mm\n", "t.yaml:8", "a hole of no depth", "through"},
		"row of two ends":    {hole + "    row: {from: [0 mm, 0 mm], to: [9 mm, 0 mm], step: [1 mm, 0 mm], count: 3}\n", "t.yaml:8", "either its last place or its step", "count:"},
		"row without end":    {hole + "    row: {from: [0 mm, 0 mm], count: 3}\n", "t.yaml:8", "either its last place", ""},
		"row of one":         {hole + "    row: {from: [0 mm, 0 mm], to: [9 mm, 0 mm], count: 1}\n", "t.yaml:8", "1 places in a row", "count:"},
		"row of many":        {hole + "    row: {from: [0 mm, 0 mm], to: [9 mm, 0 mm], count: 100000}\n", "t.yaml:8", "100000 places", ""},
		"far away":           {hole + "    at: [[0 mm, 0 mm], [99 m, 0 mm]]\n", "t.yaml:8", "a place at 99000, 0 mm", "middle"},
		"place of one":       {hole + "    at: [[0 mm]]\n", "t.yaml:8", "at[0]: a position is two lengths", "[-380 mm, 520 mm]"},
		"no pocket place":    {head + "pockets: [{name: a}]\n", "t.yaml:4", "where the pocket is", "corner"},
		"pocket twice":       {pocket + "    centre: [1300 mm, 660 mm]\n    radius: 60 mm\n  - {name: corner, at: head-left, centre: [1300 mm, 660 mm], radius: 60 mm}\n", "t.yaml:5", `two are called "corner-hl"`, ""},
		"centre and shelf":   {pocket + "    centre: [1300 mm, 660 mm]\n    shelf: 40 mm\n    radius: 60 mm\n", "t.yaml:6", "either its centre or its shelf", ""},
		"neither":            {pocket + "    radius: 60 mm\n", "t.yaml:6", "either its centre or its shelf", ""},
		"no radius":          {pocket + "    centre: [1300 mm, 660 mm]\n", "t.yaml:6", "either the radius of its drop or a shape", ""},
		"shelf of what":      {pocket + "    shelf: 40 mm\n    radius: 60 mm\n", "t.yaml:8", "that line is not known", "mouth:"},
		"wide flare":         {pocket + "    centre: [1300 mm, 660 mm]\n    radius: 60 mm\n    flare: 70 deg\n", "t.yaml:10", "flare: 70°", ""},
		"a cut through":      {pocket + "    centre: [0 mm, 0 mm]\n    radius: 60 mm\n    out: 0 deg\n", "t.yaml:6", "leaves 2 parts", "size"},
		"crossed shape":      {pocket + "    centre: [1300 mm, 660 mm]\n    shape: [[0 mm, 0 mm], [9 mm, 9 mm], [9 mm, 0 mm], [0 mm, 9 mm]]\n", "t.yaml:6", "meet themselves", ""},
		"tight corner":       {pocket + "    centre: [1300 mm, 660 mm]\n    shape: [[0 mm, 0 mm, 20 mm], [9 mm, 0 mm], [0 mm, 9 mm]]\n", "t.yaml:9", "does not fit between its sides", "smaller"},
		"pieces add":         {head + "pieces: [900 mm, 900 mm]\n", "t.yaml:4", "1800 mm long together, the bed less its gaps is 2743 mm", "mend"},
		"no pieces":          {head + "pieces: 0\n", "t.yaml:4", "0 pieces", "number such as 3"},
		"pieces of a name":   {head + "pieces: [{name: a, length: 1743 mm}, {name: a, length: 1000 mm}]\n", "t.yaml:4", `two are called "a"`, ""},
		"supports of none":   {head + "pieces: 5\nsupports: {middle: []}\n", "t.yaml:5", `supports has no key "middle"`, "head-centre"},
		"support off five":   {head + "pieces: 5\nsupports:\n  each:\n    - [-100 mm, 0 mm]\n    - [400 mm, 0 mm]\n    - [0 mm, 50 mm]\n", "t.yaml:8", "supports.head[1]", "middle of the piece"},
		"supports in line":   {head + "pieces: 5\nsupports:\n  centre: [[-100 mm, 0 mm]]\n", "t.yaml:6", "supports.centre: the supports do not hold", "three"},
		"size twice said":    {head + "field: 2540 x 1270 mm\noverhang: 90 mm\n", "t.yaml:3", "but field and overhang make 2720 x 1450", "take one"},
		"overhang of what":   {head + "overhang: 90 mm\n", "t.yaml:4", "a field that is not given", "field:"},
		"big field":          {head + "field: 3000 x 1270 mm\n", "t.yaml:4", "not smaller than the bed", ""},
		"no size":            {"pattern: p\nrevision: r\nfield: 2540 x 1270 mm\n", "t.yaml", "no size", "overhang"},
		"strip of none":      {head + "strips: [{name: s, from: [0 mm, 0 mm], to: [0 mm, 9 mm], thickness: 9 mm}]\n", "t.yaml:4", "a strip of 0 x 9 mm", "corners"},
		"dowel too low":      {head + "joints: {dowels: {diameter: 8 mm, depth: 25 mm, below: 24 mm, at: [0 mm]}}\n", "t.yaml:4", "below: 24 mm", ""},
		"dowels nowhere":     {head + "joints: {dowels: {diameter: 8 mm, depth: 25 mm, below: 12 mm}}\n", "t.yaml:4", "0 places", "at:"},
		"negative clearance": {head + "clearances: {web: -1 mm}\n", "t.yaml:4", "clearances.web: -1 mm", ""},
		"alias":              {head + "holes: &h []\nstrips: *h\n", "t.yaml:5", "refers to another place", ""},
		"one value for list": {head + "holes: none\n", "t.yaml:4", "a list is wanted", "name"},
	} {
		_, err := Read("t.yaml", strings.NewReader(c.text))
		var bad *trouble.Trouble
		if !errors.As(err, &bad) {
			t.Errorf("%s: got %v", name, err)
			continue
		}
		if bad.Kind != trouble.KindData || bad.Where != c.where || !strings.Contains(bad.What, c.what) || !strings.Contains(bad.Next, c.next) || bad.Next == "" {
			t.Errorf("%s: where %q, what %q, next %q", name, bad.Where, bad.What, bad.Next)
		}
	}
}

func TestReadingTheFileItself(t *testing.T) {
	var bad *trouble.Trouble
	if _, err := ReadFile("no such file"); !errors.As(err, &bad) || bad.Kind != trouble.KindIO {
		t.Errorf("a missing file gives %v", err)
	}
	if _, err := Read("pipe", iotest.ErrReader(io.ErrClosedPipe)); !errors.As(err, &bad) || bad.Kind != trouble.KindIO || !errors.Is(err, io.ErrClosedPipe) {
		t.Errorf("a broken pipe gives %v", err)
	}
}

// Read never panics; its errors are troubles that name the file; what it accepts has pieces with sound outlines.
func FuzzRead(f *testing.F) {
	for _, glob := range []string{"bed/*.yaml", "*foot.yaml"} {
		files, err := filepath.Glob(filepath.Join(examples, glob))
		if err != nil || len(files) < 3 {
			f.Fatalf("no seeds: %v, %v", files, err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
	f.Add([]byte("a: &a [*a]\n"))
	f.Add([]byte(head + "names: {a: b, b: (a + 1 mm) / 0}\n"))
	f.Add([]byte(head + "pieces: 12\nholes: [{name: a, kind: accessory, diameter: 1 mm, row: {from: [0 m, 0 m], step: [1 mm, 1 mm], count: 200}}]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := Read("fuzz", bytes.NewReader(text))
		if err != nil {
			var bad *trouble.Trouble
			if !errors.As(err, &bad) || !strings.HasPrefix(bad.Where, "fuzz") || bad.What == "" {
				t.Fatalf("%#v", err)
			}
			return
		}
		if len(p.Pieces) == 0 || len(p.Joints) != len(p.Pieces)-1 {
			t.Fatalf("%d pieces, %d joints", len(p.Pieces), len(p.Joints))
		}
		for _, piece := range p.Pieces {
			if piece.Outline.Area() <= 0 {
				t.Fatalf("%s has no area", piece.Name)
			}
		}
	})
}
