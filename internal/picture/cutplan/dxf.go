package cutplan

import (
	"fmt"
	"io"
	"strings"

	"slatewright/cutting/slab"
)

// DXF writes the plan as a drawing in the old form that every program reads (R12): outline, flaws, pieces, cuts and names on layers of their own, in mm.
func DXF(w io.Writer, s *slab.Slab, p *slab.Plan) error {
	var d dxf
	d.group(0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1009", 0, "ENDSEC")
	d.group(0, "SECTION", 2, "TABLES", 0, "TABLE", 2, "LAYER", 70, 5)
	for i, name := range []string{"OUTLINE", "FLAWS", "PIECES", "CUTS", "NAMES"} {
		d.group(0, "LAYER", 2, name, 70, 0, 62, []int{7, 1, 5, 3, 7}[i], 6, "CONTINUOUS")
	}
	d.group(0, "ENDTAB", 0, "ENDSEC", 0, "SECTION", 2, "ENTITIES")
	d.polyline("OUTLINE", s.Outline, true)
	for _, f := range s.Flaws {
		if len(f.Points) == 1 {
			d.group(0, "POINT", 8, "FLAWS", 10, f.Points[0].X, 20, f.Points[0].Y)
			continue
		}
		d.polyline("FLAWS", f.Points, f.Area)
	}
	for _, q := range p.Pieces {
		c := q.Corners(p.Angle)
		d.polyline("PIECES", c[:], true)
		d.text((c[0].X+c[2].X)/2, (c[0].Y+c[2].Y)/2, s.Types[q.Kind].Name)
	}
	for i, c := range p.Cuts {
		d.group(0, "LINE", 8, "CUTS", 10, c.A.X, 20, c.A.Y, 11, c.B.X, 21, c.B.Y)
		d.text(c.A.X, c.A.Y, fmt.Sprint(i+1))
	}
	d.group(0, "ENDSEC", 0, "EOF")
	_, err := io.WriteString(w, d.String())
	return err
}

type dxf struct{ strings.Builder }

// group writes pairs of a code and a value, each on a line of its own.
func (d *dxf) group(pairs ...any) {
	for i := 0; i+1 < len(pairs); i += 2 {
		value := fmt.Sprint(pairs[i+1])
		if x, ok := pairs[i+1].(float64); ok {
			value = fmt.Sprintf("%.6f", round(x))
		}
		fmt.Fprintf(d, "%3d\n%s\n", pairs[i], value)
	}
}

func (d *dxf) polyline(layer string, points []slab.Point, closed bool) {
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

// text writes a name; characters beyond ASCII in the form that the old files have for them.
func (d *dxf) text(x, y float64, words string) {
	var out strings.Builder
	for _, r := range words {
		switch {
		case r < ' ':
		case r < 127:
			out.WriteRune(r)
		case r <= 0xffff:
			fmt.Fprintf(&out, `\U+%04X`, r)
		}
	}
	d.group(0, "TEXT", 8, "NAMES", 10, x, 20, y, 40, 25.0, 1, out.String())
}
