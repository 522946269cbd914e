package layermap

import (
	"fmt"
	"io"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/dxf"
)

// high is how high names are in a drawing, mm on the rock.
const high = 150.0

// DXF writes the map in mm of the quarry's own frame, with a layer for each kind of line; the runs are numbered.
func (m Map) DXF(out io.Writer) error {
	d := dxf.New(dxf.Layer{Name: "OUTLINE", Colour: 7}, dxf.Layer{Name: "STAINS", Colour: 1}, dxf.Layer{Name: "CRACKS", Colour: 1}, dxf.Layer{Name: "BLOCKS", Colour: 5},
		dxf.Layer{Name: "RUNS", Colour: 3}, dxf.Layer{Name: "NAMES", Colour: 7})
	d.Line("OUTLINE", m.Outline, true)
	for _, s := range m.Stains {
		d.Line("STAINS", s, true)
	}
	for _, j := range m.Joints {
		d.Line("CRACKS", j.Points, false)
		d.Name("CRACKS", j.Points[0], high, j.Name) // where a reader of surveys looks for it
	}
	for i, b := range m.Blocks {
		d.Line("BLOCKS", b.Corners[:], true)
		d.Name("NAMES", contour.Point{X: (b.Corners[0].X + b.Corners[2].X) / 2, Y: (b.Corners[0].Y + b.Corners[2].Y) / 2}, high, fmt.Sprint(i+1))
	}
	for _, r := range m.Runs {
		d.Line("RUNS", r.Points, false)
		d.Name("NAMES", r.Points[0], high, r.Name)
	}
	return d.Write(out)
}
