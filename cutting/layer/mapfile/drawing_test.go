package mapfile_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/cutting/layer"
)

// wanted is a list of blocks that says of layer and saw what no drawing does.
const wanted = stated + `# unit: m
name,length_mm,width_mm,value,most,turn
9 ft,1473,914,300,40,yes
7 ft,1204,700,150,,
`

// drawn makes a drawing in metres of entities, each given as codes and values by turns, parted by blanks.
func drawn(entities ...string) string {
	out := "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n6\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
	for _, e := range entities {
		out += strings.ReplaceAll(e, " ", "\n") + "\n"
	}
	return out + "0\nENDSEC\n0\nEOF\n"
}

const (
	edge  = "0 LWPOLYLINE 8 Outline 70 1 10 0 20 0 10 9 20 0 10 9 20 6"
	crack = "0 LINE 8 JOINT_LEANING_CHANCE60_25 10 3 20 0 11 3 21 5"
	vein  = "0 LWPOLYLINE 8 veins-dip45-toward0-error80 70 0 10 6 20 2 10 5 20 2 10 4 20 2"
	name  = "0 TEXT 8 JOINT_LEANING_CHANCE60_25 10 3.1 20 2 40 0.15 1 J7"
	far   = "0 TEXT 8 JOINT_LEANING_CHANCE60_25 10 4.1 20 2 40 0.15 1 J8"
	other = "0 TEXT 8 NAMES 10 3 20 2 40 0.15 1 12"
	stain = "0 LINE 8 STAIN_30 10 1 20 1 11 2 21 1 0 LINE 8 STAIN_30 10 2 20 2 11 1 21 1 0 LINE 8 STAIN_30 10 2 20 2 11 2 21 1"
	extra = "0 HATCH 8 STAIN_30 0 LINE 8 DIMENSIONS 10 1 20 1 11 2 21 1"
)

var plan = drawn(edge, crack, vein, name, far, other, stain, extra)

func TestDrawing(t *testing.T) {
	m := readWith(t, plan, wanted)
	if len(m.Outline) != 3 || m.Outline[2] != (layer.Point{X: 9000, Y: 6000}) || m.Depth != 100 || m.Margin != 20 || len(m.Photos) != 2 {
		t.Errorf("%+v", m)
	}
	if want := (layer.Saw{Kerf: 6, Reach: 120, From: -3, To: 3, By: 0.5, Runs: layer.Along}); m.Saw != want {
		t.Errorf("%+v", m.Saw)
	}
	if !slices.Equal(m.Sizes, []layer.Size{{Name: "9 ft", Length: 1503, Width: 944, Value: 300, Most: 40, Turn: true}, {Name: "7 ft", Length: 1234, Width: 730, Value: 150}}) {
		t.Errorf("%+v", m.Sizes)
	}
	j := m.Joints[0]
	if j.Name != "J7" || j.Chance != 0.6 || j.Clear != 25 || j.Error != 20 || !j.Both || math.Abs(math.Hypot(j.Lean.X, j.Lean.Y)-100/math.Tan(math.Pi/3)) > 1e-9 {
		t.Errorf("%+v", j)
	}
	j = m.Joints[1]
	if j.Name != "crack 2" || j.Chance != 1 || j.Clear != 15 || j.Error != 80 || j.Both || len(j.Trace) != 3 || !near(j.Lean, layer.Point{Y: 100}) {
		t.Errorf("%+v", j)
	}
	if a := m.Areas[0]; len(m.Areas) != 1 || len(a.Ring) != 3 || a.Clear != 30 || a.Name == "" {
		t.Errorf("%+v", a)
	}
	if want := []string{"the drawing has shapes that are not read: 1 HATCH", `the layer "DIMENSIONS" of the drawing is no part of a survey: 1 shapes are left out`}; !slices.Equal(m.Warnings, want) {
		t.Errorf("%q", m.Warnings)
	}
	if m = readWith(t, strings.Replace(drawn(edge), "\n70\n6\n", "\n70\n0\n", 1), wanted); len(m.Warnings) != 1 || m.Outline[2].X != 9 {
		t.Errorf("no unit: %q, %v", m.Warnings, m.Outline)
	}
}

// What a list of blocks says counts where the survey says nothing.
func TestBlocksBeside(t *testing.T) {
	m := readWith(t, survey, wanted)
	if len(m.Sizes) != 1 || m.Sizes[0].Most != 40 || len(m.Warnings) != 0 {
		t.Errorf("%+v, %q", m.Sizes, m.Warnings)
	}
	bare := strings.Replace(strings.Replace(survey, "# kerf: 6 mm\n", "", 1), "# block: 9 ft, 1473 x 914 mm, value 300, most 40, turn\n", "", 1)
	if m = readWith(t, bare, wanted); m.Saw.Kerf != 6 || len(m.Sizes) != 2 {
		t.Errorf("%+v", m)
	}
	plain := strings.Replace(geojson, `"unit":"m","depth_mm":100,"kerf_mm":6,`, `"depht_mm":100,`, 1)
	if m = readWith(t, plain, wanted); m.Saw.Reach != 120 || m.Outline[1].X != 9000 || !slices.Contains(m.Warnings, `the member "depht_mm" is not known and was not read`) {
		t.Errorf("%+v", m)
	}
	refuseWith(t, "no-header", plain, "")
}

func TestDrawingRefused(t *testing.T) {
	for want, texts := range map[string][]string{
		"bad-outline": {drawn(crack), drawn(edge, edge), drawn("0 LINE 8 OUTLINE 10 0 20 0 11 9 21 0")},
		"bad-area":    {drawn(edge, "0 LINE 8 STAIN 10 0 20 0 11 9 21 0")},
		"bad-drawing": {drawn(edge, strings.Replace(crack, "LEANING", "UPRIGHT", 1)), drawn(edge, strings.Replace(crack, "CHANCE60", "CHANCE160", 1)), drawn(edge, "0 POINT 8 CRACK 10 1 20 1"), drawn(strings.Replace(edge, "Outline", "OUTLINE_20", 1)), "AC1018\x00"},
		"bad-joint":   {drawn(edge, strings.Replace(vein, "dip45", "dip95", 1))},
		"too-many":    {drawn(strings.Repeat("0 LINE 8 OUTLINE 10 0 20 0 11 9 21 0 ", 2001) + "0 POINT")},
	} {
		for _, text := range texts {
			refuseWith(t, want, text, wanted)
		}
	}
	refuseWith(t, "no-header", plan, "")
	refuseWith(t, "no-header", plan, strings.Replace(wanted, "# kerf: 6 mm\n", "", 1))
	for want, change := range map[string][2]string{"bad-row": {"9 ft,", ","}, "bad-number": {"300,40", "300,1.5"}, "bad-title": {"most", "many"}, "bad-header": {"bearing: 90", "bearing: east"}} {
		refuseWith(t, want, plan, strings.Replace(wanted, change[0], change[1], 1))
	}
	refuseWith(t, "bad-row", plan, strings.Replace(wanted, "yes", "perhaps", 1))
}

// Features of several parts, as other programs write them, are as many shapes.
func TestSeveralParts(t *testing.T) {
	text := strings.Replace(geojson, `"LineString","coordinates":[[3,0],[3,5],[4,6]]},"properties":{`, `"MultiLineString","coordinates":[[[3,0],[3,5]],[[4,6],[5,5]]]},"properties":{"name":"V",`, 1)
	text = strings.Replace(text, `"Polygon","coordinates":[[[0,0],[9,0],[9,6],[0,0]],[[1,1],[2,1],[2,2],[1,1]]]`, `"MultiPolygon","coordinates":[[[[0,0],[9,0],[9,6],[0,0]],[[1,1],[2,1],[2,2],[1,1]]]]`, 1)
	m := read(t, text)
	if len(m.Joints) != 3 || m.Joints[0].Name != "V/1" || m.Joints[1].Name != "V/2" || len(m.Outline) != 3 || len(m.Areas) != 1 {
		t.Errorf("%+v", m)
	}
}
