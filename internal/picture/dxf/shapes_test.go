package dxf_test

import (
	"bytes"
	"strings"
	"testing"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/dxf"
)

// Layers bear their types of lines, signs are written in the old form's codes, and the corners of a filled quadrangle go crosswise. That
// another reader takes it all is tested where beds are drawn.
func TestShapes(t *testing.T) {
	dashed := dxf.LineType{Name: "DASHED", Parts: []float64{6, -1.5}}
	d := dxf.NewStyled(dxf.Styled{Layer: dxf.Layer{Name: "A", Colour: 7}}, dxf.Styled{Layer: dxf.Layer{Name: "A-HIDDEN", Colour: 8}, Line: dashed}, dxf.Styled{Layer: dxf.Layer{Name: "B-HIDDEN", Colour: 8}, Line: dashed})
	d.Curve("A", []dxf.Corner{{X: 0, Y: 0}, {X: 5, Y: 0}}, false)
	d.Curve("A", []dxf.Corner{{X: 0, Y: 0, Bulge: 0.5}, {X: 5, Y: 0}}, true)
	d.Circle("A-HIDDEN", contour.Point{X: 1, Y: 2}, 6.35)
	d.Solid("A", []contour.Point{{X: 1}, {X: 2}, {X: 3}, {X: 4}})
	d.Words("A", contour.Point{X: 1, Y: 2}, 25, 0.8, 2, 90, "⌀12.7 ±0.2 × 45° −1 m²")
	var out bytes.Buffer
	if err := d.Write(&out); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(out.String()), " ")
	for _, want := range []string{"9 $INSUNITS 70 4", "LTYPE 70 2", "0 LTYPE 2 DASHED 70 0 3 72 65 73 2 40 7.5000 49 6.0000 49 -1.5000", "2 A-HIDDEN 70 0 62 8 6 DASHED", "0 LINE 8 A 10 0.0000 20 0.0000 30 0.0000 11 5.0000",
		"70 1 0 VERTEX 8 A 10 0.0000 20 0.0000 30 0.0000 42 0.5 0 VERTEX", "0 CIRCLE 8 A-HIDDEN 10 1.0000 20 2.0000 30 0.0000 40 6.3500", "10 1.0000 20 0.0000 30 0.0000 11 2.0000 21 0.0000 31 0.0000 12 4.0000",
		"1 %%c12.7 %%p0.2 x 45%%d -1 m2 50 90.0000 41 0.8000 7 STANDARD 72 2 11 1.0000 21 2.0000"} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q in\n%s", want, text)
		}
	}
	if strings.Count(text, "0 LTYPE 2 DASHED") != 1 {
		t.Error("a type of line that two layers have is named twice")
	}
}
