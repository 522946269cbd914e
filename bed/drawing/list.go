package drawing

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"slatewright/bed/pattern"
)

// Columns are those of the list of holes. Places are in the bed frame and in the frame of the piece, whatever the view.
var Columns = []string{"mark", "feature", "kind", "piece", "x", "y", "piece_x_mm", "piece_y_mm", "diameter", "diameter_tol_mm", "depth_mm", "depth_tol_mm", "from",
	"sink", "sink_diameter_mm", "sink_depth_mm", "sink_angle_deg", "sink_from", "chamfer_mm", "position_mm", "bolt_mm"}

// CSV writes the list of the holes in a piece, or of all with piece −1: one line each, by their marks. The columns feature, x, y and
// diameter are those of a list of measured holes. A blank depth is a hole that goes through.
func CSV(w io.Writer, p pattern.Pattern, piece int) error {
	out := csv.NewWriter(w)
	if err := out.Write(Columns); err != nil {
		return err
	}
	for _, g := range Groups(p) {
		for n, i := range g.Holes {
			h := p.Holes[i]
			if piece >= 0 && h.Piece != piece {
				continue
			}
			if err := out.Write(row(p, h, g.Letter+strconv.Itoa(n+1))); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func row(p pattern.Pattern, h pattern.Hole, mark string) []string {
	name, u, v := "", 0.0, 0.0
	if h.Piece >= 0 {
		at := p.Pieces[h.Piece]
		name, u, v = at.Name, h.X-at.Middle.X, h.Y-at.Middle.Y
	}
	r := []string{mark, h.Name, string(h.Kind), name, exact(h.X), exact(h.Y), exact(u), exact(v), exact(h.Diameter), said(h.Tolerance.Diameter), said(h.Depth), said(h.Tolerance.Depth), h.From.String(),
		"", "", "", "", "", said(h.Chamfer), said(h.Position), said(h.Bolt)}
	if c := h.Counter; c != nil {
		sink := []string{"counterbore", exact(c.Diameter), exact(c.Depth), "", c.From.String()}
		if c.Angle > 0 {
			sink = []string{"countersink", exact(c.Diameter), exact(SinkDepth(h)), exact(c.Angle * 180 / math.Pi), c.From.String()}
		}
		copy(r[13:], sink)
	}
	return r
}

// exact writes a length to a micrometre.
func exact(x float64) string { return strconv.FormatFloat(math.Round(x*1000)/1000+0, 'f', -1, 64) }

// said writes what may be absent.
func said(x float64) string {
	if x == 0 {
		return ""
	}
	return exact(x)
}
