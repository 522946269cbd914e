package slabfile_test

import (
	"errors"
	"os"
	"reflect"
	"strings"
	"testing"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/slabfile"
	"slatewright/sheet"
	"slatewright/trouble"
)

const example = "../../../docs/examples/slab/slab.json"

// The slab of the handbook comes in as it is written.
func TestSlabOfTheHandbook(t *testing.T) {
	f, err := os.Open(example)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	q, err := slabfile.Read("slab.json", f, nil)
	if err != nil || len(q.Slabs) != 1 || len(q.Orders) != 0 {
		t.Fatal(q, err)
	}
	s := q.Slabs[0]
	centre, threshold := s.Types[0], s.Types[3]
	if s.Name != "B7-2" || len(s.Outline) != 8 || s.Kerf != 5 || len(s.Angles) != 5 || *s.Grain != 90 || len(s.Flaws) != 4 || len(s.Types) != 4 || s.Thickness.T[2][3] != 31 {
		t.Errorf("%+v", s)
	}
	if s.Flaws[0].Playing || s.Flaws[0].Clearance != 15 || !s.Flaws[2].Playing || !s.Flaws[3].Playing || !s.Flaws[3].Area || s.Flaws[3].Face != slab.Top {
		t.Errorf("%+v", s.Flaws)
	}
	if centre.Value != 200*slab.Unit || centre.Most != 2 || centre.Grain != slab.AlongGrain || centre.GrainWithin != 10 || centre.Shown != slab.PlaysEither ||
		len(centre.Zones) != 2 || centre.Zones[1].Radius != 60 || centre.Quarters != [4]bool{true, true, true, true} {
		t.Errorf("%+v", centre)
	}
	if threshold.Shown != slab.PlaysNone || s.Types[2].Most != -1 || len(s.Types[1].Zones[1].Corners) != 4 {
		t.Errorf("%+v", threshold)
	}
}

// What is no slab is refused with its place.
func TestNonsense(t *testing.T) {
	const piece = `"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1}]`
	for text, where := range map[string]string{
		``:                            "x.json:1",
		`{`:                           "x.json:1",
		"{\n\"outline\": 3}":          "x.json:2",
		"{\n\n\"kerf_mm\": \"wide\"}": "x.json:3",
		`{"rectangle_mm":[10]}`:       "rectangle_mm",
		`{"rectangle_mm":[100,100]}`:  "pieces",
		`{` + piece + `}`:             "outline",
		`[1]`:                         "x.json:1",
		`{"rectangle_mm":[90,90],` + piece + `} {}`:                                                                         "x.json:1",
		`{"rectangle_mm":[90,-90],` + piece + `,"kerf_mm":-1}`:                                                              "kerf_mm",
		`{"rectangle_mm":[90,90],` + piece + `,"kerf_mm":1e308}`:                                                            "kerf_mm",
		`{"rectangle_mm":[1e9,90],` + piece + `}`:                                                                           "outline",
		`{"rectangle_mm":[90,90],` + piece + `,"angles_deg":[1e9]}`:                                                         "angles_deg",
		`{"outline_mm":[[0,0],[9,9],[9,0],[0,9]],` + piece + `}`:                                                            "outline",
		`{"outline_mm":[[0,0],[1,1]],` + piece + `}`:                                                                        "outline",
		`{"rectangle_mm":[90,90],` + piece + `,"flaws":[{"kind":"hope","line_mm":[[0,0]]}]}`:                                "flaws[0]",
		`{"rectangle_mm":[90,90],` + piece + `,"flaws":[{}]}`:                                                               "flaws[0]",
		`{"rectangle_mm":[90,90],` + piece + `,"flaws":[{"line_mm":[]}]}`:                                                   "flaws[0]",
		`{"rectangle_mm":[90,90],` + piece + `,"flaws":[{"line_mm":[[1,2]],"clearance_mm":-1}]}`:                            "flaws[0]",
		`{"rectangle_mm":[90,90],` + piece + `,"thickness":{"x_mm":[1,0],"y_mm":[0],"t_mm":[[3,3]]}}`:                       "thickness",
		`{"rectangle_mm":[90,90],` + piece + `,"thickness":{"x_mm":[0],"y_mm":[0],"t_mm":[[3,3]]}}`:                         "thickness",
		`{"rectangle_mm":[90,90],"pieces":[{"length_mm":10,"width_mm":10,"value":1}]}`:                                      "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":0,"width_mm":10,"value":1}]}`:                            "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":-1}]}`:                          "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1e300}]}`:                       "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":0.00001}]}`:                     "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1,"most":-2}]}`:                 "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1,"turns_deg":[45]}]}`:          "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1,"turns_deg":[]}]}`:            "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1,"grain":"along"}]}`:           "pieces[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1,"cut_away":[{}]}]}`:           "cut_away[0]",
		`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1,"place":"under the table"}]}`: "pieces[0]",
		`{"slabs":[],"orders":[]}`:                                                                                   "x.json",
		`{"slabs":[{"name":"a","rectangle_mm":[90,90]}]}`:                                                            "x.json",
		`{"slabs":[{"rectangle_mm":[90,90]}],"orders":[{"name":"o",` + piece + `}]}`:                                 "slabs[0]",
		`{"slabs":[{"name":"a","rectangle_mm":[90,0]}],"orders":[{"name":"o",` + piece + `}]}`:                       "slabs[0]",
		`{"slabs":[{"name":"a","rectangle_mm":[90,90]}],"orders":[{` + piece + `}]}`:                                 "orders[0]",
		`{"slabs":[{"name":"a","rectangle_mm":[90,90]}],"orders":[{"name":"o"}]}`:                                    "pieces",
		`{"rectangle_mm":[9,9],"slabs":[{"name":"a","rectangle_mm":[90,90]}],"orders":[{"name":"o",` + piece + `}]}`: "x.json",
		"\xff": "x.json",
	} {
		var told *trouble.Trouble
		_, err := slabfile.Read("x.json", strings.NewReader(text), nil)
		if !errors.As(err, &told) || told.Kind != trouble.KindData || !strings.Contains(told.Where, where) || told.Next == "" {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// What the file says of the saw holds for every slab that does not say its own.
func TestSlabsAndOrders(t *testing.T) {
	const text = `{"kerf_mm":4,"angles_deg":[0,2],"slabs":[{"name":"a","rectangle_mm":[90,90]},{"name":"b","rectangle_mm":[80,90],"kerf_mm":0}],
		"orders":[{"name":"o","slabs":2,"pieces":[{"type":"p","length_mm":10,"width_mm":10,"value":1}]},{"name":"u","pieces":[{"type":"p","length_mm":10,"width_mm":10,"value":1}]}]}`
	q, err := slabfile.Read("x.json", strings.NewReader(text), nil)
	if err != nil || len(q.Slabs) != 2 || len(q.Orders) != 2 || q.Slabs[0].Kerf != 4 || q.Slabs[1].Kerf != 0 || q.Slabs[1].Angles[1] != 2 || q.Orders[0].Slabs != 2 || q.Orders[1].Slabs != 1 {
		t.Errorf("%+v, %v", q, err)
	}
}

const geo = `{"type":"FeatureCollection","unit":"m","name":"g","kerf_mm":4,"grain_deg":90,"features":[
	{"type":"Feature","properties":{"is":"slab","owner":"nobody"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[3,0],[3,1.5],[0,1.5],[0,0]]]}},
	{"type":"Feature","properties":{"is":"crack","clearance_mm":12},"geometry":{"type":"LineString","coordinates":[[1,0],[1.2,0.4]]}},
	{"type":"Feature","properties":{"is":"stain","face":"top"},"geometry":{"type":"Polygon","coordinates":[[[2,1],[2.1,1],[2.1,1.1]]]}}]}`

const rows = `# kerf: 4 mm
# grain: 90
# slab: g
what,name,x,y,clearance,face
outline,,0,0,,
outline,,3000,0,,
outline,,3000,1500,,
outline,,0,1500,,
crack,,1000,0,12,
crack,,1200,400,,
stain,,2000,1000,,top
stain,,2100,1000,,
stain,,2100,1100,,
`

// GeoJSON and a list say the same as the program's own form.
func TestOtherForms(t *testing.T) {
	pieces, err := slabfile.Pieces(list(t, "type,place,length_mm,width_mm,allowance_mm,thickness_mm,value,most,turns,grain,grain_within,plays\na,head,1473,914,10,33,200,2,0 180,along,12,either\nb,,300,200,,,7.5,,,,,\n"))
	if err != nil {
		t.Fatal(err)
	}
	a := pieces[0]
	if len(pieces) != 2 || a.Length != 1473 || a.Allowance != 10 || a.Thickness != 33 || a.Most != 2 || a.Quarters != [4]bool{true, false, true} || a.Grain != slab.AlongGrain ||
		a.GrainWithin != 12 || a.Shown != slab.PlaysEither || pieces[1].Value != 75000 || pieces[1].Most != -1 {
		t.Errorf("%+v", pieces)
	}
	one, err := slabfile.Read("x.geojson", strings.NewReader(geo), pieces)
	if err != nil {
		t.Fatal(err)
	}
	two, err := slabfile.Read("x.csv", strings.NewReader(rows), pieces)
	if err != nil {
		t.Fatal(err)
	}
	if s := one.Slabs[0]; len(s.Outline) != 4 || s.Flaws[0].Clearance != 12 || len(s.Flaws) != 2 || !s.Flaws[1].Area || s.Name != "g" || !reflect.DeepEqual(one, two) {
		t.Errorf("%+v\n%+v", one.Slabs[0], two.Slabs[0])
	}
	for _, text := range []string{strings.Replace(geo, `"m"`, `"ell"`, 1), strings.Replace(geo, `"crack"`, `"hope"`, 1), strings.Replace(geo, "LineString", "Blob", 1), strings.Replace(geo, `"slab"`, `""`, 1),
		strings.Replace(geo, "[3,0]", "[3]", 1), strings.Replace(geo, `"name":"g"`, `"rectangle_mm":[3,3]`, 1), strings.Replace(rows, "crack", "crock", 1), strings.Replace(rows, "90", "east", 1),
		strings.Replace(rows, "3000,0", "3000,x", 1), strings.Replace(rows, "12", "-12", 1), strings.Replace(rows, "what", "who", 1), `{"slabs":[{"name":"a","rectangle_mm":[9,9]}],"orders":[{"name":"b"}]}`} {
		var told *trouble.Trouble
		if _, err := slabfile.Read("x", strings.NewReader(text), pieces); !errors.As(err, &told) || told.Kind != trouble.KindData {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// pairs writes a drawing from codes and values.
func pairs(list ...string) string { return strings.Join(list, "\n") + "\n" }

var drawing = pairs("0", "SECTION", "2", "HEADER", "9", "$INSUNITS", "70", "5", "0", "ENDSEC", "0", "SECTION", "2", "ENTITIES",
	"0", "POLYLINE", "8", "OUTLINE", "66", "1", "10", "0", "20", "0", "70", "1", "0", "VERTEX", "8", "OUTLINE", "10", "0", "20", "0", "0", "VERTEX", "8", "OUTLINE", "10", "300", "20", "0",
	"0", "VERTEX", "8", "OUTLINE", "10", "300", "20", "150", "0", "VERTEX", "8", "OUTLINE", "10", "0", "20", "150", "0", "SEQEND",
	"0", "LINE", "8", "Crack_12", "10", "100", "20", "0", "11", "120", "21", "40",
	"0", "LWPOLYLINE", "8", "STAINS", "90", "3", "70", "1", "10", "200", "20", "100", "10", "210", "20", "100", "10", "210", "20", "110",
	"0", "CIRCLE", "8", "CRACK", "10", "7", "20", "7", "40", "9", "0", "POINT", "8", "HOLE", "10", "5", "20", "6", "0", "ENDSEC", "0", "EOF")

// A drawing in cm says what the list says, and a point more.
func TestDrawing(t *testing.T) {
	pieces := []slab.Type{{Name: "p", Length: 100, Width: 100, Value: 1, Most: -1, Quarters: [4]bool{true}}}
	q, err := slabfile.Read("x.dxf", strings.NewReader(drawing), pieces)
	if err != nil {
		t.Fatal(err)
	}
	s := q.Slabs[0]
	if len(s.Outline) != 4 || s.Outline[2] != (slab.Point{X: 3000, Y: 1500}) || len(s.Flaws) != 3 || s.Flaws[0].Clearance != 12 || s.Flaws[0].Area ||
		s.Flaws[0].Points[1] != (slab.Point{X: 1200, Y: 400}) || !s.Flaws[1].Area || !s.Flaws[1].Playing || s.Flaws[1].Points[2] != (slab.Point{X: 2100, Y: 1100}) ||
		len(s.Flaws[2].Points) != 1 || s.Flaws[2].Points[0] != (slab.Point{X: 50, Y: 60}) {
		t.Errorf("%+v", s)
	}
	if len(s.Unread) != 1 || s.Unread[0] != "the drawing has shapes that are not read: 1 CIRCLE" {
		t.Errorf("%q", s.Unread)
	}
	if q, err := slabfile.Read("x.dxf", strings.NewReader(strings.NewReplacer("STAINS", "PAPER", "$INSUNITS", "$OTHER").Replace(drawing)), pieces); err != nil || len(q.Slabs[0].Unread) != 3 || len(q.Slabs[0].Flaws) != 2 {
		t.Errorf("%+v, %v", q, err)
	}
	for _, text := range []string{strings.Replace(drawing, "\n5\n", "\n99\n", 1), strings.Replace(drawing, "POLYLINE\n8\nOUTLINE", "POLYLINE\n8\nPAPER", 1), strings.Replace(drawing, "70\n1\n", "70\n0\n", 1),
		strings.Replace(drawing, "Crack_12", "OUTLINE", 1), strings.Replace(drawing, "\n300\n", "\nwide\n", 1), strings.Replace(drawing, "ENTITIES\n", "ENTITIES\nodd\n", 1), "0\nSECTION\n"} {
		var told *trouble.Trouble
		if _, err := slabfile.Read("x.dxf", strings.NewReader(text), pieces); !errors.As(err, &told) || told.Kind != trouble.KindData {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func list(t *testing.T, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Read("x.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestInstances(t *testing.T) {
	s, err := slabfile.Instance(list(t, "item,item_length,item_width,max_copies,value\na,3,7,,20\nb,4,2,0,1.5\n"), slabfile.Plain{Stock: "12 x 9", Kerf: 1, Turned: true})
	if err != nil || s.Outline[2] != (slab.Point{X: 12, Y: 9}) || len(s.Types) != 2 || s.Types[0].Most != -1 || s.Types[1].Most != 0 || s.Types[1].Value != 15000 ||
		s.Types[0].Quarters != [4]bool{true, true} || s.Kerf != 1 {
		t.Errorf("%+v, %v", s, err)
	}
	several := "instance,stock_length,stock_width,item_length,item_width,value\none,5,6,3,2,1\ntwo,7,8,3,2,1\n"
	s, err = slabfile.Instance(list(t, several), slabfile.Plain{Name: "two"})
	if err != nil || len(s.Types) != 1 || s.Outline[2] != (slab.Point{X: 7, Y: 8}) {
		t.Errorf("%+v, %v", s, err)
	}
	for text, p := range map[string]slabfile.Plain{
		several: {}, several + "\n": {Name: "three"},
		"item_length,item_width\n1,2\n":                        {Stock: "9x9"},
		"item_length,item_width,value\n1,2,1\n":                {},
		"item_length,item_width,value\n1.5,2,1\n":              {Stock: "9x9"},
		"item_length,item_width,value\n-1,2,1\n":               {Stock: "9x9"},
		"item_length,item_width,value\n1,2,\n":                 {Stock: "9x9"},
		"item_length,item_width,value\n1,2,3\n":                {Stock: "9"},
		"item_length,item_width,value\n1,2,3\n\n":              {Stock: "0x9"},
		"item_length,item_width,value\n1,2,3\n\n\n":            {Stock: "1e9x9"},
		"item_length,item_width,max_copies,value\n1,2,0.5,3\n": {Stock: "9x9"},
	} {
		var told *trouble.Trouble
		if _, err := slabfile.Instance(list(t, text), p); !errors.As(err, &told) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// Whatever is read is a slab or trouble, and a slab can be worked with.
func FuzzRead(f *testing.F) {
	text, err := os.ReadFile(example)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(geo))
	f.Add([]byte(rows))
	f.Add([]byte(drawing))
	f.Add([]byte(`{"rectangle_mm":[90,90],"pieces":[{"type":"a","length_mm":10,"width_mm":10,"value":1}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		q, err := slabfile.Read("x.json", strings.NewReader(string(text)), nil)
		var told *trouble.Trouble
		if err != nil && !errors.As(err, &told) || err == nil && len(q.Orders) == 0 && q.Slabs[0].Check() != nil {
			t.Errorf("%v", err)
		}
	})
}
