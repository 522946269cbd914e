package holefile_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/bed/holes"
	"slatewright/bed/holes/fit"
	"slatewright/bed/holes/holefile"
	"slatewright/sheet"
	"slatewright/trouble"
)

func drawing() *holes.Drawing {
	d := &holes.Drawing{Rails: []string{"rail"}, Pieces: []holes.Piece{{Name: "head"}, {Name: "centre"}, {Name: "foot"}}, Joints: []holes.Joint{{Before: 0}, {Before: 1}}}
	for i := range 6 {
		d.Features = append(d.Features, holes.Feature{Name: fmt.Sprint("rb-", i+1), At: fit.Vector{X: float64(i) * 200}, Diameter: 12.7, Piece: i / 2, Kind: "rail-bolt", Bolt: 9.5, Rail: i%2 - 1})
	}
	return d
}

func read(text string) (*holes.Measured, []string, error) {
	s, err := sheet.Read("m.csv", strings.NewReader(text))
	if err != nil {
		return nil, nil, err
	}
	return holefile.Read(s, drawing())
}

func TestListsAsPeopleWriteThem(t *testing.T) {
	m, warnings, err := read("# method: Camera\n# frame: piece\n# rails: one\n# datum: edges\n# joint opens: 0.3 mm\n# colour: grey\n# stop: -457 mm, -500 mm, +x\n# stop: -457 mm, 500 mm, +x\n# stop: 0 mm, -700 mm, +Y\n" +
		"feature,x_in,y,diameter,u_mm,run\nRB-2,1,-2.5,12.75,,3\nrb-1,0.25,3 mm,,0.2,1\n")
	if err != nil {
		t.Fatal(err)
	}
	r := m.Readings
	if m.Method != holes.Camera || m.Frame != holes.EachPiece || m.Rails != holes.RailsAsOne || m.Datum != holes.DatumEdges || m.Opens != 0.3 || m.Slides != holes.JointSlides || len(m.Stops) != 3 || len(warnings) != 1 {
		t.Errorf("%+v, %q", m, warnings)
	}
	if len(r) != 2 || r[0].Feature != 1 || r[0].At.X != 25.4 || r[0].At.Y != -2.5 || r[0].Diameter != 12.75 || r[0].U != 0 || r[0].Run != 3 || r[1].U != 0.2 || !r[1].Located || r[1].At.Y != 3 {
		t.Errorf("%+v", r)
	}
	if math.Abs(m.Finest-0.1) > 1e-12 {
		t.Errorf("finest step %g", m.Finest)
	}
	if m.Stops[2].N != (fit.Vector{Y: 1}) || m.Stops[1].At.Y != 500 {
		t.Errorf("%+v", m.Stops)
	}
}

func TestMethodsByRow(t *testing.T) {
	m, _, err := read("# u: 0.3 mm\nfeature,x,y,method,u_mm,u_diameter\nrb-1,1,2,Tape,,\nrb-2,1,2,arm,0.04,0.01\nrb-3,1,2,,,\n")
	if err != nil {
		t.Fatal(err)
	}
	if r := m.Readings; !m.ByRow || r[0].U != 0.5 || r[0].UDia != 0.3 || r[1].U != 0.04 || r[1].UDia != 0.01 || r[2].U != 0.3 || r[2].UDia != 0 {
		t.Errorf("%+v", r)
	}
	var told *trouble.Trouble
	if _, _, err := read("feature,x,y,method\nrb-1,1,2,eye\n"); !errors.As(err, &told) || told.Code != "bad-method" {
		t.Error(err)
	}
}

func TestGaugesAndRims(t *testing.T) {
	m, _, err := read("# pin: 11 mm\nfeature,gauge\nrb-1,go\nrb-2,No-Go\n")
	if err != nil || m.Pin != 11 || m.Readings[0].Gauge != holes.Go || m.Readings[1].Gauge != holes.NoGo || m.Readings[0].Located {
		t.Errorf("%+v, %v", m, err)
	}
	m, _, err = read("# plug: rail-bolt, 12.5 mm, 12.9 mm\nfeature,plug\nrb-1,Good\nrb-2,large\n")
	if err != nil || m.Plugs["rail-bolt"] != (holes.PlugEnds{Go: 12.5, NoGo: 12.9}) || m.Readings[0].Plug != holes.Good || m.Readings[1].Plug != holes.Large {
		t.Errorf("%+v, %v", m, err)
	}
	text := "# u: 0.02 mm\nfeature,point,x,y\n"
	for k := range 6 {
		sin, cos := math.Sincos(float64(k))
		text += fmt.Sprintf("rb-3,%d,%.4f,%.4f\n", k+1, 400+6.4*cos, 1+6.4*sin)
	}
	m, _, err = read(text + "rb-4,,600,0\n")
	if err != nil {
		t.Fatal(err)
	}
	r := m.Readings[0]
	if len(m.Readings) != 2 || math.Abs(r.At.X-400) > 1e-3 || math.Abs(r.Diameter-12.8) > 1e-3 || r.U < 0.01 || r.U > 0.03 || r.UDia < 0.01 || r.Form > 1e-3 || m.Readings[1].U != 0.02 {
		t.Errorf("%+v", m.Readings)
	}
}

func TestWhatIsRefused(t *testing.T) {
	for text, code := range map[string]string{
		"feature,x,y\nrb-9,1,2\n":                                        "no-feature",
		"feature,x,y\nrb-1,1,2\nrb-1,1,2\n":                              "twice",
		"feature,x,y\nrb-1,1,\n":                                         "no-place",
		"feature,x,y\nrb-1,,\n":                                          "no-place",
		"feature,x\nrb-1,1\n":                                            "columns",
		"feature\nrb-1\n":                                                "columns",
		"feature,gauge\nrb-1,go\n":                                       "no-pin",
		"# pin: 9 mm\nfeature,gauge\nrb-1,maybe\n":                       "bad-gauge",
		"feature,x,y,diameter\nrb-1,1,2,-3\n":                            "bad-number",
		"feature,x,y,colour\nrb-1,1,2,grey\n":                            "bad-title",
		"# method: guess\nfeature,x,y\nrb-1,1,2\n":                       "bad-header",
		"# stop: 1 mm, 2 mm\nfeature,x,y\nrb-1,1,2\n":                    "bad-header",
		"# stop: 1mm, 2mm, +x\nfeature,x,y\nrb-1,1,2\n":                  "bad-header",
		"feature,point,x,y\nrb-1,1,1,2\nrb-1,2,3,4\n":                    "too-few-points",
		"feature,point,x,y\nrb-1,1,,\n":                                  "no-place",
		"feature,plug\nrb-1,good\n":                                      "no-plug",
		"# plug: rail-bolt, 12.9 mm, 12.5 mm\nfeature,plug\nrb-1,good\n": "bad-header",
		"# plug: rail-bolt, 12 mm, 13 mm\nfeature,plug\nrb-1,fine\n":     "bad-gauge",
	} {
		_, _, err := read(text)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != code || told.Next == "" {
			t.Errorf("%q: %v, want %s", text, err, code)
		}
	}
}

func TestADrawingWithoutHoles(t *testing.T) {
	s, err := sheet.Read("m.csv", strings.NewReader("feature,x,y\nrb-1,1,2\n"))
	if err != nil {
		t.Fatal(err)
	}
	var told *trouble.Trouble
	if _, _, err = holefile.Read(s, &holes.Drawing{Name: "bare"}); !errors.As(err, &told) || told.Code != "no-features" {
		t.Error(err)
	}
}

func edges(text string) (*holefile.Edges, []string, error) {
	s, err := sheet.Read("e.csv", strings.NewReader(text))
	if err != nil {
		return nil, nil, err
	}
	return holefile.ReadEdges(s, drawing(), 0.03)
}

func TestEdges(t *testing.T) {
	e, _, err := edges("# thickness: 30 mm\nedge,at,top,bottom,chip,u_mm\nhead / centre,0,0,0.1,,\nhead/centre,200,0.1,0.1,2,0.01\nhead/centre,100,0,,,\ncentre/head,0,0,0,,\ncentre/head,100,0,0,,\ncentre/head,200,0,0,,\n")
	if err != nil {
		t.Fatal(err)
	}
	h := e.Joints[0].Head
	if len(e.Joints) != 1 || e.Thickness != 30 || e.Joints[0].Foot == nil || h.Readings[1].At != 100 || h.Readings[1].HasBottom || h.Readings[2].Chip != 2 || h.Readings[2].U != 0.01 || h.Readings[0].U != 0.03 {
		t.Errorf("%+v", h)
	}
	for text, code := range map[string]string{
		"edge,at,top\nhead/foot,0,0\n":                      "no-edge",
		"edge,at,top\nhead/centre,0,0\nhead/centre,1,0\n":   "too-few-points",
		"edge,at,top,chip\nhead/centre,0,0,-1\n":            "bad-number",
		"edge,at\nhead/centre,0\n":                          "columns",
		"edge,at,top\nhead/centre,x,0\n":                    "bad-number",
		"# u: much\nedge,at,top\nhead/centre,0,0\n":         "bad-header",
		"# thickness: big\nedge,at,top\nhead/centre,0,0\n":  "bad-header",
		"edge,at,top\nhead/centre,0,0\n,1,1\n":              "no-edge",
		"edge,at,top,sheen\nhead/centre,0,0,1\n":            "bad-title",
		"edge,at,top\nfoot/centre,0,0\nfoot/centre,0,0.1\n": "too-few-points",
	} {
		_, _, err := edges(text)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != code {
			t.Errorf("%q: %v, want %s", text, err, code)
		}
	}
}

// Whatever stands in a list, it is read or refused with a place; what was read can be checked, or is refused.
func FuzzRead(f *testing.F) {
	f.Add("# method: tape\nfeature,x,y\nrb-1,1,2\nrb-2,200,0\n")
	f.Add("# pin: 11 mm\nfeature,x,y,gauge\nrb-1,,,go\nrb-2,200,0,\nrb-3,400.5,1,\n")
	f.Add("feature;point;x;y\nrb-3;1;1,5;2\nrb-3;2;1;9\nrb-3;3;4;4\n")
	f.Fuzz(func(t *testing.T, text string) {
		m, _, err := read(text)
		if err == nil {
			_, err = holes.Check(drawing(), m, 0)
		}
		var told *trouble.Trouble
		if err != nil && (!errors.As(err, &told) || told.Kind == trouble.KindOwn) {
			t.Fatalf("%q: %v", text, err)
		}
	})
}

func FuzzReadEdges(f *testing.F) {
	f.Add("edge,at,top,bottom\nhead/centre,0,0,0\nhead/centre,1,0,0\nhead/centre,2,0.1,0\n")
	f.Fuzz(func(t *testing.T, text string) {
		_, _, err := edges(text)
		var told *trouble.Trouble
		if err != nil && (!errors.As(err, &told) || told.Kind == trouble.KindOwn) {
			t.Fatalf("%q: %v", text, err)
		}
	})
}
