package mapfile_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/cutting/layer"
	"slatewright/cutting/layer/mapfile"
	"slatewright/sheet"
	"slatewright/trouble"
)

// stated is what a list says of layer and saw.
const stated = `# depth: 100 mm
# kerf: 6 mm
# reach: 120 mm
# margin: 20 mm
# overlength: 30 mm
# clear: 15 mm
# error: 20 mm
# bearing: 90
# directions: -3 to 3 by 0.5
# runs: along
`

const survey = stated + `# block: 9 ft, 1473 x 914 mm, value 300, most 40, turn
what,name,x_m,y_m,x2_m,y2_m,stance,dip,toward,length_m,chance,error_mm,clear_mm,photo
outline,,0,0
outline,,9,0
outline,,9,6
joint,J1,3,0,3,5,steep,,,,60%,,,IMG-1
joint,J1,4,6,,
joint,J2,5,2,,,,45,0,2,0.5,40,25,
vein,V1,6,1,7,1,leaning
stain,S1,1,1
stain,S1,2,1,,,,,,,,,30
stain,S1,2,2
`

const geojson = `{"type":"FeatureCollection","unit":"m","depth_mm":100,"kerf_mm":6,"bearing_deg":90,"directions_deg":[-1,1,1],"overlength_mm":10,
"blocks":[{"name":"9 ft","length_mm":1500,"width_mm":900,"value":3,"most":2}],"features":[
{"geometry":{"type":"Polygon","coordinates":[[[0,0],[9,0],[9,6],[0,0]],[[1,1],[2,1],[2,2],[1,1]]]},"properties":{"kind":"outline"}},
{"geometry":{"type":"LineString","coordinates":[[3,0],[3,5],[4,6]]},"properties":{"kind":"vein","stance":"steep","chance":0.5}},
{"geometry":{"type":"Point","coordinates":[5,2]},"properties":{"kind":"joint","name":"J2","dip_deg":45,"toward_deg":0,"length_mm":2000}}]}`

func read(t *testing.T, text string) *mapfile.Map {
	t.Helper()
	return readWith(t, text, "")
}

// readWith reads a survey with a list of blocks beside it; "" for none.
func readWith(t *testing.T, text, blocks string) *mapfile.Map {
	t.Helper()
	m, err := mapfile.Read("f", strings.NewReader(text), listed(t, blocks))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func listed(t *testing.T, blocks string) *sheet.Sheet {
	t.Helper()
	if blocks == "" {
		return nil
	}
	s, err := sheet.Read("blocks", strings.NewReader(blocks))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(a, b layer.Point) bool { return math.Hypot(a.X-b.X, a.Y-b.Y) < 1e-6 }

func TestList(t *testing.T) {
	m := read(t, survey)
	if len(m.Outline) != 3 || m.Depth != 100 || m.Margin != 20 || m.Saw != (layer.Saw{Kerf: 6, Reach: 120, From: -3, To: 3, By: 0.5, Runs: layer.Along}) ||
		m.Sizes[0] != (layer.Size{Name: "9 ft", Length: 1503, Width: 944, Value: 300, Most: 40, Turn: true}) || len(m.Warnings) != 0 {
		t.Errorf("%+v", m)
	}
	j := m.Joints[0]
	if len(j.Trace) != 3 || j.Chance != 0.6 || j.Error != 20 || j.Clear != 15 || !j.Both || m.Photos[0] != "IMG-1" {
		t.Errorf("%+v", j)
	}
	if lean := math.Hypot(j.Lean.X, j.Lean.Y); math.Abs(lean-100/math.Tan(80*math.Pi/180)) > 1e-9 {
		t.Errorf("a steep joint leans %v", lean)
	}
	// The base line runs east, so north is its left: a joint that dips 45° to the north moves the depth of the layer that way, and strikes along the line.
	j = m.Joints[1]
	if !near(j.Lean, layer.Point{Y: 100}) || j.Both || j.Error != 40 || j.Clear != 25 || !near(j.Trace[0], layer.Point{X: 6000, Y: 2000}) || !near(j.Trace[1], layer.Point{X: 4000, Y: 2000}) {
		t.Errorf("%+v", j)
	}
	if j = m.Joints[2]; math.Abs(math.Abs(j.Lean.Y)-100/math.Tan(60*math.Pi/180)) > 1e-9 || j.Chance != 1 {
		t.Errorf("%+v", j)
	}
	if a := m.Areas[0]; len(m.Areas) != 1 || len(a.Ring) != 3 || a.Clear != 30 {
		t.Errorf("%+v", a)
	}
}

// A crack far off, as a slip of the unit puts it, is pointed at.
func TestCracksBesideTheLayer(t *testing.T) {
	if m := read(t, survey+"joint,J9,3000,0,3000,5000,steep\njoint,J10,3,-9,4,-9,steep\n"); len(m.Warnings) != 1 || !strings.Contains(m.Warnings[0], "(2, the first is J9)") {
		t.Errorf("%q", m.Warnings)
	}
	if m := read(t, survey+"joint,J9,9.05,0,9.05,5,steep\n"); len(m.Warnings) != 0 { // its clearance and error reach in
		t.Errorf("%q", m.Warnings)
	}
}

func TestGeoJSON(t *testing.T) {
	m := read(t, geojson)
	if len(m.Outline) != 3 || m.Outline[1] != (layer.Point{X: 9000}) || len(m.Areas) != 1 || m.Sizes[0].Length != 1510 || m.Saw.By != 1 || len(m.Warnings) != 0 {
		t.Errorf("%+v", m)
	}
	if a, b := m.Joints[1], read(t, survey).Joints[1]; !near(a.Lean, b.Lean) || !near(a.Trace[0], b.Trace[0]) || m.Joints[0].Name != "crack 1" {
		t.Errorf("%+v, as a list %+v", a, b)
	}
}

func TestRefused(t *testing.T) {
	for want, changes := range map[string][][2]string{
		"no-header":   {{"# depth: 100 mm\n", ""}, {"# kerf: 6 mm\n", ""}},
		"bad-header":  {{"-3 to 3 by", "-3 until 3 by"}, {"bearing: 90", "bearing: east"}, {"value 300", "value much"}, {"1473 x 914 mm", "1473"}, {"most 40", "most 1.5"}},
		"bad-joint":   {{"vein,V1,6,1,7,1", "vein,V1,6,1,6,1"}, {"# bearing: 90\n", ""}, {",steep,", ",upright,"}, {",45,0,2,", ",45,0,,"}, {",45,0,2,", ",95,0,2,"}, {",45,0,2,", ",5,0,2,"}},
		"bad-outline": {{"outline,,9,6", "outline,,435009,6"}},
		"bad-row":     {{"vein,V1", "fault,V1"}, {"vein,V1", "vein,"}, {"joint,J1,4,6,,", "joint,J1,4,6,,,leaning"}, {"outline,,9,0", "outline,,9,0,9,6"}, {"stain,S1,1,1", "stain,S1,1,1,2"}},
		"bad-number":  {{"60%", "160%"}, {"vein,V1,6", "vein,V1,six"}},
		"bad-title":   {{"stance", "stands"}},
		"bad-json":    {},
		"bad-feature": {},
	} {
		for _, c := range changes {
			refuse(t, want, strings.Replace(survey, c[0], c[1], 1))
		}
	}
	for want, changes := range map[string][][2]string{
		"bad-json": {{`"FeatureCollection"`, `"Feature"`}, {`[-1,1,1]`, `[1]`}, {`"unit":"m"`, `"unit":"ft"`}, {`"value":3`, `"value":"3"`}, {`"bearing_deg":90`, `"bearing_deg":-90`}, {`"kerf_mm":6`, `"kerf_mm":6,"density_kg_per_m3":2.8`},
			{`]}`, `]}{}`}},
		"no-unit":    {{`"unit":"m",`, ``}},
		"geographic": {{`"unit":"m",`, `"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}},"unit":"m",`}, {`[[[0,0],[9,0],[9,6],[0,0]]`, `[[[-3.90001,52.9],[-3.9,52.9],[-3.9,52.90001],[-3.90001,52.9]]`}},
		"no-header":  {{`"depth_mm":100,`, ``}},
		"bad-feature": {{`"vein"`, `"fault"`}, {`"LineString"`, `"Polygon"`}, {`[3,0],[3,5]`, `[3],[3,5]`}, {`"vein"`, `"outline"`}, {`"LineString"`, `"MultiLineString"`}, {`"LineString"`, `"GeometryCollection"`}, {`"LineString","coordinates":[[3,0],[3,5],[4,6]]`, `"LineString","coordinates":[[3,0]]`},
			{`"outline"`, `"stain"`}, {`"coordinates":[5,2]`, `"coordinates":[]`}, {`"Polygon","coordinates":[[[0,0],[9,0],[9,6],[0,0]],`, `"Polygon","coordinates":[[],`},
			{`{"geometry":{"type":"Polygon"`, `{"geometry":{"type":"Polygon","coordinates":[[[0,0],[9,0],[9,6]]]},"properties":{"kind":"outline"}},{"geometry":{"type":"Polygon"`}},
		"bad-joint": {{`"dip_deg":45,`, ``}},
	} {
		for _, c := range changes {
			refuse(t, want, strings.Replace(geojson, c[0], c[1], 1))
		}
	}
}

func refuse(t *testing.T, want, text string) {
	t.Helper()
	refuseWith(t, want, text, "")
}

func refuseWith(t *testing.T, want, text, blocks string) {
	t.Helper()
	_, err := mapfile.Read("f", strings.NewReader(text), listed(t, blocks))
	var tr *trouble.Trouble
	if !errors.As(err, &tr) || tr.Code != want {
		t.Errorf("%s: %v in %.200q", want, err, text)
	}
}

// What is read is either trouble with a code or a question that package layer can refuse or answer.
func FuzzRead(f *testing.F) {
	f.Add(survey)
	f.Add(geojson)
	f.Add(plan)
	f.Fuzz(func(t *testing.T, text string) {
		blocks, err := sheet.Read("blocks", strings.NewReader(wanted))
		if err != nil {
			t.Fatal(err)
		}
		m, err := mapfile.Read("f", strings.NewReader(text), blocks)
		var tr *trouble.Trouble
		if err != nil && (!errors.As(err, &tr) || tr.Code == "" || tr.Kind != trouble.KindData) {
			t.Fatal(err)
		}
		if err == nil && (len(m.Photos) != len(m.Joints)) {
			t.Fatal("photos and joints part")
		}
	})
}
