package drafting

import (
	"io"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/dxf"
	"slatewright/internal/picture/ink"
)

// black is the colour of lines and words.
var black = ink.Colour{R: 20, G: 24, B: 28}

// ink returns the pen for a kind of line. Dashes are those of ISO 128-2, in widths of the line: a dash of 12, a gap of 3, a
// long dash of 24, a dot of half a width (here a whole one, so that it shows).
func (d *Drawing) ink(k Kind) ink.Pen {
	narrow := d.Pen / 2
	p := ink.Pen{Colour: black, Width: narrow, Dash: dashes(k, narrow)}
	if k == Wide {
		p.Width = d.Pen
	}
	return p
}

func dashes(k Kind, width float64) (list []float64) {
	for _, x := range map[Kind][]float64{Hidden: {12, 3}, Centre: {24, 3, 1, 3}, Phantom: {24, 3, 1, 3, 1, 3}}[k] {
		list = append(list, x*width)
	}
	return list
}

// On draws the sheet on paper.
func (d *Drawing) On(b ink.Board) {
	for k := Thin; k <= Phantom; k++ {
		var list []ink.Curve
		for _, s := range d.Strokes {
			if s.Kind == k {
				list = append(list, s.Curve)
			}
		}
		b.Curves(list, d.ink(k))
	}
	for _, c := range d.Circles {
		b.Circle(c.At, c.R, d.ink(c.Kind), c.Name)
	}
	for _, f := range d.Fills {
		b.Fill([]contour.Line{{P: f.P, Closed: true}}, black)
	}
	for _, t := range d.Texts {
		b.Text(t.At, t.Words, t.Type().In(black))
	}
}

// SVG writes the sheet as a picture in mm.
func (d *Drawing) SVG(w io.Writer) error {
	out := ink.NewSVG()
	out.Fill([]contour.Line{ink.Rect(0, 0, d.Width, d.Height)}, ink.Colour{R: 255, G: 255, B: 255})
	d.On(out)
	return out.Write(w, d.Width, d.Height, d.Title)
}

// DXF writes the drawing at the size of the thing, its origin at the origin, y upward, in mm. Layers are those of what is
// drawn; lines that are not continuous are on a layer of the same name with the kind behind it.
func (d *Drawing) DXF(w io.Writer) error {
	var layers []dxf.Styled
	known := map[string]bool{}
	on := func(l Layer, k Kind) string {
		name := string(l) + endings[k]
		if !known[name] {
			known[name] = true
			styled := dxf.Styled{Layer: dxf.Layer{Name: name, Colour: colours[k]}}
			for i, x := range dashes(k, d.Pen/2) {
				if i%2 == 1 {
					x = -x
				}
				styled.Line.Parts = append(styled.Line.Parts, x*d.Scale)
			}
			styled.Line.Name = lineTypes[k]
			layers = append(layers, styled)
		}
		return name
	}
	for _, s := range d.Strokes {
		on(s.Layer, s.Kind)
	}
	for _, c := range d.Circles {
		on(c.Layer, c.Kind)
	}
	for _, f := range d.Fills {
		on(f.Layer, Thin)
	}
	for _, t := range d.Texts {
		on(t.Layer, Thin)
	}
	out := dxf.NewStyled(layers...)
	at := func(p Point) contour.Point {
		return contour.Point{X: (p.X - d.Origin.X) * d.Scale, Y: (d.Origin.Y - p.Y) * d.Scale}
	}
	for _, s := range d.Strokes {
		var corners []dxf.Corner
		for _, c := range s.Curve.C {
			p := at(c.Point)
			corners = append(corners, dxf.Corner{X: p.X, Y: p.Y, Bulge: c.Bulge})
		}
		out.Curve(on(s.Layer, s.Kind), corners, s.Curve.Closed)
	}
	for _, c := range d.Circles {
		out.Circle(on(c.Layer, c.Kind), at(c.At), c.R*d.Scale)
	}
	for _, f := range d.Fills {
		var p []contour.Point
		for _, q := range f.P {
			p = append(p, at(q))
		}
		out.Solid(on(f.Layer, Thin), p)
	}
	for _, t := range d.Texts {
		angle := 0.0
		if t.Turned {
			angle = 90
		}
		out.Words(on(t.Layer, Thin), at(t.At), t.Height*d.Scale, narrowed, dxf.Align(t.Align), angle, t.Words)
	}
	return out.Write(w)
}

// narrowed makes the letters of a drawing program about as wide as ours.
const narrowed = 0.8

var (
	endings   = [...]string{Thin: "", Wide: "", Hidden: "-HIDDEN", Centre: "-CENTRE", Phantom: "-BESIDE"}
	lineTypes = [...]string{Thin: "", Wide: "", Hidden: "DASHED", Centre: "DASHDOT", Phantom: "DIVIDE"}
	colours   = [...]int{Thin: 7, Wide: 7, Hidden: 8, Centre: 5, Phantom: 6}
)
