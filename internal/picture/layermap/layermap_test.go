package layermap_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"
	"testing"

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
