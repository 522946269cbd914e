package layermap_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/cutting/layer/answers"
	"slatewright/cutting/layer/mapfile"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/layermap"
)

func TestSVG(t *testing.T) {
	m := layermap.Map{Title: "layer 14 & 15", About: "invented", Outline: []contour.Point{{X: 0, Y: 0}, {X: 9000, Y: 0}, {X: 9000, Y: 6000}},
		Joints: []layermap.Line{{Points: []contour.Point{{X: 0, Y: 0}, {X: 1, Y: 1}}, Name: "J1"}, {Points: []contour.Point{{X: 0, Y: 0}, {X: 1, Y: 1}}, Name: "J<2", Doubtful: true}},
		Blocks: []layermap.Block{{Corners: [4]contour.Point{{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}, {X: 1, Y: 2}}, Chance: 0.5}}}
	var one, two bytes.Buffer
	if err := m.SVG(&one, 200); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(bytes.NewReader(one.Bytes()))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"J1", "J&lt;2", "stroke-dasharray", "1 m"} {
		if !strings.Contains(one.String(), want) {
			t.Errorf("lacks %s", want)
		}
	}
	var drawing bytes.Buffer
	if err := m.DXF(&drawing); err != nil || !strings.Contains(drawing.String(), "CRACKS") || strings.Count(drawing.String(), "POLYLINE") != 4 {
		t.Errorf("%v, %s", err, drawing.String())
	}
	if m.SVG(&two, 200); one.String() != two.String() {
		t.Error("not the same twice")
	}
}

const survey = `# depth: 140 mm
# kerf: 6 mm
# block: 9 ft, 1500 x 900 mm, value 10
what,name,x_m,y_m,x2_m,y2_m,stance,chance
outline,,0,0
outline,,3.1,0
outline,,3.1,2
outline,,0,2
crack,J1,1.55,-1,1.56,1,steep,0.5
stain,S,0.1,1.9
stain,S,0.2,1.9
stain,S,0.2,2
`

// A plan's blocks, cuts and cracks come onto paper, into the list and into the drawing.
func TestPlan(t *testing.T) {
	m, err := mapfile.Read("survey.csv", strings.NewReader(survey), nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := answers.Of(m)
	if err != nil {
		t.Fatal(err)
	}
	drawn := layermap.Of(a, "layer 14", "invented")
	if len(drawn.Blocks) != len(a.Blocks) || len(drawn.Joints) != 1 || !drawn.Joints[0].Doubtful || len(drawn.Stains) != 1 || len(drawn.Runs) == 0 {
		t.Errorf("%+v", drawn)
	}
	cuts := layermap.Cuts(a, "run", "cross cut")
	if len(cuts) != len(a.Cuts) || cuts[0][1] != "run" || cuts[len(cuts)-1][1] != "cross cut" || !strings.Contains(cuts[0][3], ", ") {
		t.Errorf("%q", cuts)
	}
	var list bytes.Buffer
	if err := layermap.CSV(&list, a); err != nil || strings.Count(list.String(), "\n") != 1+len(a.Blocks)+len(a.Cuts) {
		t.Errorf("%v, %s", err, list.String())
	}
	var few, many bytes.Buffer
	for out, n := range map[*bytes.Buffer]int{&few: 1, &many: 40} {
		l := layermap.List{Lines: []string{"a line"}, Heads: []string{"cut", "kind", "run", "from m", "to m", "done"}, Cautions: []string{"Faces: stay clear."}}
		for range n {
			l.Cuts = append(l.Cuts, cuts...)
		}
		if err := drawn.PDF(out, l, nil); err != nil || !bytes.HasPrefix(out.Bytes(), []byte("%PDF")) {
			t.Fatal(err)
		}
	}
	if pages := func(b bytes.Buffer) int { return bytes.Count(b.Bytes(), []byte("/Type /Page\n")) }; pages(few) != 1 || pages(many) < 3 {
		t.Errorf("%d and %d pages", pages(few), pages(many))
	}
}

// Another program (ezdxf) reads the drawing without a fault, and finds each line on its layer.
func TestAnotherReader(t *testing.T) {
	m := layermap.Map{Outline: []contour.Point{{X: 0, Y: 0}, {X: 9000, Y: 0}, {X: 9000, Y: 6000}}, Stains: [][]contour.Point{{{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}}},
		Joints: []layermap.Line{{Points: []contour.Point{{X: 3000, Y: 0}, {X: 3100, Y: 6000}}, Name: "Spalt Ü"}},
		Blocks: []layermap.Block{{Corners: [4]contour.Point{{X: 10, Y: 10}, {X: 20, Y: 10}, {X: 20, Y: 20}, {X: 10, Y: 20}}}}, Runs: []layermap.Line{{Points: []contour.Point{{X: 0, Y: 3}, {X: 9, Y: 3}}, Name: "1"}}}
	path := filepath.Join(t.TempDir(), "plan.dxf")
	var drawing bytes.Buffer
	if err := m.DXF(&drawing); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, drawing.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	const script = `
import sys, ezdxf
from ezdxf import recover
doc, auditor = recover.readfile(sys.argv[1])
bad = auditor.errors
for e in doc.modelspace():
    what = e.dxf.text if e.dxftype() == 'TEXT' else str([tuple(round(c) for c in v.dxf.location)[:2] for v in e.vertices]) + str(e.is_closed)
    print(e.dxf.layer, e.dxftype(), what)
print(len(bad))
`
	cmd := exec.Command("/usr/bin/python3", "-c", script, path)
	cmd.Env = append(cmd.Environ(), "PYTHONIOENCODING=utf-8", "HOME="+t.TempDir())
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("ezdxf (Debian package python3-ezdxf): %v", err)
	}
	want := "OUTLINE POLYLINE [(0, 0), (9000, 0), (9000, 6000)]True\nSTAINS POLYLINE [(1, 1), (2, 1), (2, 2)]True\nCRACKS POLYLINE [(3000, 0), (3100, 6000)]False\nCRACKS TEXT Spalt Ü\n" +
		"BLOCKS POLYLINE [(10, 10), (20, 10), (20, 20), (10, 20)]True\nNAMES TEXT 1\nRUNS POLYLINE [(0, 3), (9, 3)]False\nNAMES TEXT 1\n0\n"
	if string(out) != want {
		t.Errorf("%s\nwant\n%s", out, want)
	}
}
