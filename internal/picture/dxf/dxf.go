// Package dxf writes drawings in the old form of DXF that every program reads (R12): lines, rings and names in mm, on named layers.
//
// It knows nothing of what is drawn, reads nothing, and has no colours beyond the nine numbers of that form.
package dxf

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/picture/contour"
)

// Layer is a layer of a drawing; Colour is 1 red, 3 green, 5 blue, 7 black or white.
type Layer struct {
	Name   string
	Colour int
}

// Drawing is a drawing being made.
type Drawing struct{ text strings.Builder }

// New begins a drawing.
func New(layers ...Layer) *Drawing {
	d := &Drawing{}
	d.group(0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1009", 0, "ENDSEC")
	d.group(0, "SECTION", 2, "TABLES", 0, "TABLE", 2, "LAYER", 70, len(layers))
	for _, l := range layers {
		d.group(0, "LAYER", 2, l.Name, 70, 0, 62, l.Colour, 6, "CONTINUOUS")
	}
	d.group(0, "ENDTAB", 0, "ENDSEC", 0, "SECTION", 2, "ENTITIES")
	return d
}

// group writes pairs of a code and a value, each on a line of its own.
func (d *Drawing) group(pairs ...any) {
	for i := 0; i+1 < len(pairs); i += 2 {
		value := fmt.Sprint(pairs[i+1])
		if x, ok := pairs[i+1].(float64); ok {
			value = fmt.Sprintf("%.4f", math.Round(x*1e4)/1e4+0) // no minus before zero
		}
		fmt.Fprintf(&d.text, "%3d\n%s\n", pairs[i], value)
	}
}

// Line draws a line through points, back to the first when closed.
func (d *Drawing) Line(layer string, points []contour.Point, closed bool) {
	flag := 0
	if closed {
		flag = 1
	}
	d.group(0, "POLYLINE", 8, layer, 66, 1, 10, 0.0, 20, 0.0, 30, 0.0, 70, flag)
	for _, p := range points {
		d.group(0, "VERTEX", 8, layer, 10, p.X, 20, p.Y)
	}
	d.group(0, "SEQEND", 8, layer)
}

// Name writes words at a place, high mm high; characters beyond ASCII in the form that the old files have for them.
func (d *Drawing) Name(layer string, at contour.Point, high float64, words string) {
	d.group(0, "TEXT", 8, layer, 10, at.X, 20, at.Y, 40, high, 1, encode(words))
}

// encode writes words in the characters of the old form.
func encode(words string) string {
	var out strings.Builder
	for _, r := range words {
		switch {
		case r < ' ' || r == 127:
		case r < 127:
			out.WriteRune(r)
		case r <= 0xffff:
			fmt.Fprintf(&out, `\U+%04X`, r)
		}
	}
	return out.String()
}

// Write ends the drawing and writes it.
func (d *Drawing) Write(w io.Writer) error {
	_, err := io.WriteString(w, d.text.String()+"  0\nENDSEC\n  0\nEOF\n")
	return err
}
