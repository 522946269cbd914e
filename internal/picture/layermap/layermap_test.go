package layermap_test

import (
	"bytes"
	"encoding/xml"
	"io"
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
