package dxf

import (
	"fmt"
	"math"
	"strings"

	"slatewright/internal/picture/contour"
)

// LineType is how lines of a layer are broken: parts of a dash pattern in mm of the drawing, positive drawn, negative not.
type LineType struct {
	Name  string
	Parts []float64
}

// Styled is a layer with a type of line.
type Styled struct {
	Layer
	Line LineType // no parts: continuous
}

// NewStyled begins a drawing whose layers have types of lines, and which says that its unit is the mm.
func NewStyled(layers ...Styled) *Drawing {
	d := &Drawing{}
	d.group(999, "unit: mm", 0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1009", 9, "$INSUNITS", 70, 4, 9, "$MEASUREMENT", 70, 1, 9, "$LTSCALE", 40, 1.0, 0, "ENDSEC")
	types := []LineType{{Name: "CONTINUOUS"}}
	known := map[string]bool{"CONTINUOUS": true}
	for _, l := range layers {
		if len(l.Line.Parts) > 0 && !known[l.Line.Name] {
			types = append(types, l.Line)
			known[l.Line.Name] = true
		}
	}
	d.group(0, "SECTION", 2, "TABLES", 0, "TABLE", 2, "LTYPE", 70, len(types))
	for _, t := range types {
		whole := 0.0
		for _, x := range t.Parts {
			whole += math.Abs(x)
		}
		d.group(0, "LTYPE", 2, t.Name, 70, 0, 3, "", 72, 65, 73, len(t.Parts), 40, whole)
		for _, x := range t.Parts {
			d.group(49, x)
		}
	}
	d.group(0, "ENDTAB", 0, "TABLE", 2, "LAYER", 70, len(layers))
	for _, l := range layers {
		line := "CONTINUOUS"
		if len(l.Line.Parts) > 0 {
			line = l.Line.Name
		}
		d.group(0, "LAYER", 2, l.Name, 70, 0, 62, l.Colour, 6, line)
	}
	d.group(0, "ENDTAB", 0, "TABLE", 2, "STYLE", 70, 1, 0, "STYLE", 2, "STANDARD", 70, 0, 40, 0.0, 41, 1.0, 50, 0.0, 71, 0, 42, 2.5, 3, "txt", 4, "")
	d.group(0, "ENDTAB", 0, "ENDSEC", 0, "SECTION", 2, "ENTITIES")
	return d
}

// Corner is a corner of a curve and the bulge of the way to the next: the tangent of a quarter of the arc's angle, positive
// where it turns left.
type Corner struct{ X, Y, Bulge float64 }

// Curve draws straight parts and arcs, back to the first corner when closed.
func (d *Drawing) Curve(layer string, corners []Corner, closed bool) {
	flag := 0
	if closed {
		flag = 1
	}
	if len(corners) == 2 && !closed && corners[0].Bulge == 0 {
		d.group(0, "LINE", 8, layer, 10, corners[0].X, 20, corners[0].Y, 30, 0.0, 11, corners[1].X, 21, corners[1].Y, 31, 0.0)
		return
	}
	d.group(0, "POLYLINE", 8, layer, 66, 1, 10, 0.0, 20, 0.0, 30, 0.0, 70, flag)
	for _, c := range corners {
		d.group(0, "VERTEX", 8, layer, 10, c.X, 20, c.Y, 30, 0.0)
		if c.Bulge != 0 {
			d.group(42, fmt.Sprintf("%.12g", c.Bulge))
		}
	}
	d.group(0, "SEQEND", 8, layer)
}

// Circle draws a circle.
func (d *Drawing) Circle(layer string, at contour.Point, r float64) {
	d.group(0, "CIRCLE", 8, layer, 10, at.X, 20, at.Y, 30, 0.0, 40, r)
}

// Solid fills a triangle or a quadrangle, its corners in their order around.
func (d *Drawing) Solid(layer string, p []contour.Point) {
	if len(p) < 3 {
		return
	}
	q := [4]contour.Point{p[0], p[1], p[2], p[2]}
	if len(p) > 3 { // the form wants the last two crosswise
		q[2], q[3] = p[3], p[2]
	}
	d.group(0, "SOLID", 8, layer)
	for i, c := range q {
		d.group(10+i, c.X, 20+i, c.Y, 30+i, 0.0)
	}
}

// Align says which part of a line of words stands at the place given: 0 its left end, 1 its middle, 2 its right end.
type Align int

// Words writes words on their baseline, high mm high, turned by angle degrees to the left. width is how wide their letters
// are for their height, 1 as the reader's font has them. Signs that the old form has codes for are written so.
func (d *Drawing) Words(layer string, at contour.Point, high, width float64, align Align, angle float64, words string) {
	d.group(0, "TEXT", 8, layer, 10, at.X, 20, at.Y, 30, 0.0, 40, high, 1, plain.Replace(encode(words)), 50, angle, 41, width, 7, "STANDARD")
	if align != 0 {
		d.group(72, int(align), 11, at.X, 21, at.Y, 31, 0.0)
	}
}

// plain has what the old form says for signs beyond ASCII.
var plain = strings.NewReplacer(`\U+2300`, "%%c", `\U+00B1`, "%%p", `\U+00B0`, "%%d", `\U+2212`, "-", `\U+00D7`, "x", `\U+00A0`, " ", `\U+2013`, "-", `\U+00B2`, "2", `\U+2026`, "...")
