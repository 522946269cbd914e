package cutplan

import (
	"io"
	"strconv"

	"slatewright/cutting/slab"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/dxf"
)

// nameHeight is that of names and numbers in a drawing, mm of stone.
const nameHeight = 25

// DXF writes the plan as a drawing in the old form that every program reads (R12): outline, flaws, pieces, cuts and names on layers of their own, in mm.
func DXF(w io.Writer, s *slab.Slab, p *slab.Plan) error {
	const outline, flaws, pieces, cuts, names = "OUTLINE", "FLAWS", "PIECES", "CUTS", "NAMES"
	d := dxf.New(dxf.Layer{Name: outline, Colour: 7}, dxf.Layer{Name: flaws, Colour: 1}, dxf.Layer{Name: pieces, Colour: 5}, dxf.Layer{Name: cuts, Colour: 3},
		dxf.Layer{Name: names, Colour: 7})
	d.Line(outline, places(s.Outline), true)
	for _, f := range s.Flaws {
		d.Line(flaws, places(f.Points), f.Area)
	}
	for _, q := range p.Pieces {
		c := q.Corners(p.Angle)
		d.Line(pieces, places(c[:]), true)
		d.Name(names, contour.Point{X: (c[0].X + c[2].X) / 2, Y: (c[0].Y + c[2].Y) / 2}, nameHeight, s.Types[q.Kind].Name)
	}
	for i, c := range p.Cuts {
		d.Line(cuts, places([]slab.Point{c.A, c.B}), false)
		d.Name(names, contour.Point{X: c.A.X, Y: c.A.Y}, nameHeight, strconv.Itoa(i+1))
	}
	return d.Write(w)
}

func places(points []slab.Point) (out []contour.Point) {
	for _, p := range points {
		out = append(out, contour.Point{X: p.X, Y: p.Y})
	}
	return out
}
