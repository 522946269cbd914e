// Package cutplan draws how a slab is cut: the slab with its flaws, the pieces and the numbered cuts, as SVG and DXF, and writes the cuts as
// CSV and in words.
//
// It plans nothing and judges nothing: what is drawn is a plan of package cutting/slab as it stands, and what is said of its cuts is what cutting/sawing found.
package cutplan

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"slatewright/cutting/slab"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// view lays the slab on paper: x to the right, y up.
type view struct {
	x, y, scale float64 // of the slab's upper left corner on paper, mm a mm
	box         slab.Box
}

func (v view) at(p slab.Point) ink.Point {
	return ink.Point{X: v.x + (p.X-v.box.X1)*v.scale, Y: v.y + (v.box.Y2-p.Y)*v.scale}
}

func (v view) line(points []slab.Point, closed bool) contour.Line {
	l := contour.Line{Closed: closed}
	for _, p := range points {
		l.P = append(l.P, v.at(p))
	}
	return l
}

// extent is the box around the slab and the plan.
func extent(s *slab.Slab, p *slab.Plan) slab.Box {
	points := append([]slab.Point{}, s.Outline...)
	for _, c := range p.Cuts {
		points = append(points, c.A, c.B)
	}
	return slab.Around(points)
}

// Draw draws the slab and its plan into a width, and gives the height that it took. Names are those of the pieces; nil: their types.
func Draw(sheet ink.Sheet, s *slab.Slab, p *slab.Plan, names []string, x, y, width, most float64) (height float64) {
	b := extent(s, p)
	scale := math.Min(width/(b.X2-b.X1), most/(b.Y2-b.Y1))
	v := view{x, y, scale, b}
	sheet.Fill([]contour.Line{v.line(s.Outline, true)}, look.Unread)
	for _, q := range p.Pieces {
		c := q.Corners(p.Angle)
		sheet.Fill([]contour.Line{v.line(c[:], true)}, look.LowTint.Mix(look.Sheet, 0.5))
	}
	for _, f := range s.Flaws {
		v.flaw(sheet, f)
	}
	for i, q := range p.Pieces {
		c := q.Corners(p.Angle)
		sheet.Stroke(v.line(c[:], true), ink.Pen{Colour: look.Good, Width: 0.35})
		name := s.Types[q.Kind].Name
		if names != nil {
			name = names[i]
		}
		v.name(sheet, name, s, q, p.Angle)
	}
	sheet.Stroke(v.line(s.Outline, true), ink.Pen{Colour: look.Stone, Width: 0.5})
	for _, c := range p.Cuts {
		sheet.Stroke(v.line([]slab.Point{c.A, c.B}, false), ink.Pen{Colour: look.Bad, Width: 0.25, Dash: []float64{1.6, 0.8}})
	}
	v.numbers(sheet, p.Cuts)
	return (b.Y2 - b.Y1) * scale
}

// along are the places of a number on its cut, as shares of its length, the best first.
var along = []float64{0, 1, 0.06, 0.94, 0.12, 0.88, 0.18, 0.82, 0.25, 0.75, 0.35, 0.65, 0.5}

// numbers writes the number of each cut on it, where it covers no other.
func (v view) numbers(sheet ink.Sheet, cuts []slab.Cut) {
	type box struct{ x, y, half float64 }
	const high = 2.6
	var taken []box
	for i, c := range cuts {
		a, b := v.at(c.A), v.at(c.B)
		label := strconv.Itoa(i + 1)
		half := sheet.Width(label, look.Place)/2 + 0.5
		at := box{a.X, a.Y, half}
		for _, t := range along {
			here := box{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y), half}
			if !slices.ContainsFunc(taken, func(o box) bool { return math.Abs(o.x-here.x) < o.half+half && math.Abs(o.y-here.y) < high }) {
				at = here
				break
			}
		}
		taken = append(taken, at)
		sheet.Fill([]contour.Line{ink.Rect(at.x-half, at.y-high/2, 2*half, high)}, look.Sheet)
		sheet.Text(ink.Point{X: at.x, Y: at.y + look.Place.Height()/2}, label, look.Place.In(look.Bad).To(ink.Middle))
	}
}

// flaw draws a flaw with its clearance.
func (v view) flaw(sheet ink.Sheet, f slab.Flaw) {
	l := v.line(f.Points, f.Area)
	if wide := 2 * f.Clearance * v.scale; wide > 0.2 && len(f.Points) > 1 {
		sheet.Stroke(l, ink.Pen{Colour: look.HighTint.Mix(look.Sheet, 0.4), Width: wide, Round: true})
	}
	if f.Area {
		sheet.Fill([]contour.Line{l}, look.HighTint)
	}
	if len(f.Points) == 1 {
		p := l.P[0]
		r := math.Max(0.6, f.Clearance*v.scale)
		sheet.Fill([]contour.Line{ink.Rect(p.X-r, p.Y-r, 2*r, 2*r)}, look.HighTint)
		return
	}
	sheet.Stroke(l, ink.Pen{Colour: look.Doubt, Width: 0.35, Round: true})
}

// name writes a piece's name along its longer side, where there is room for it: in its middle, or beside the flaws there.
func (v view) name(sheet ink.Sheet, name string, s *slab.Slab, q slab.Piece, angle float64) {
	room, low := q.Along, q.Across
	turn := -angle * math.Pi / 180
	upright := q.Across > q.Along
	if upright {
		room, low = low, room
		turn -= math.Pi / 2
	}
	t := ink.Fit(sheet, name, look.Place.Sized(min(9, 1.8*low*v.scale)), 0.94*room*v.scale, 4).To(ink.Middle)
	t.Angle = turn
	long, h := sheet.Width(name, t), t.Height()/2
	if long > 0.94*room*v.scale {
		return
	}
	along, across := (long/2+h)/v.scale, 2*h/v.scale
	if upright {
		along, across = across, along
	}
	at := v.at(NamePlace(s, q, angle, along, across))
	sheet.Text(ink.Point{X: at.X - h*math.Sin(turn), Y: at.Y + h*math.Cos(turn)}, name, t)
}

// SVG writes the picture.
func SVG(w io.Writer, s *slab.Slab, p *slab.Plan, title string) error {
	const width, margin = 260.0, 6.0
	out := ink.NewSVG()
	b := extent(s, p)
	height := (b.Y2-b.Y1)*width/(b.X2-b.X1) + 2*margin
	out.Fill([]contour.Line{ink.Rect(0, 0, width+2*margin, height)}, look.Sheet)
	Draw(out, s, p, nil, margin, margin, width, math.Inf(1))
	return out.Write(w, width+2*margin, height, title)
}

// CSV writes the cuts, one a line.
func CSV(w io.Writer, p *slab.Plan) error {
	text := []byte("order,way,setting_mm,x1_mm,y1_mm,x2_mm,y2_mm\n")
	for i, c := range p.Cuts {
		way, setting := "across", c.At-p.Corner.X
		if c.Along {
			way, setting = "along", c.At-p.Corner.Y
		}
		text = fmt.Appendf(text, "%d,%s", i+1, way)
		for _, v := range []float64{setting, c.A.X, c.A.Y, c.B.X, c.B.Y} {
			text = append(text, ',')
			text = strconv.AppendFloat(text, round(v), 'f', -1, 64)
		}
		text = append(text, '\n')
	}
	_, err := w.Write(text)
	return err
}

// round takes rounding beyond a micrometre away.
func round(x float64) float64 {
	x = math.Round(x*1000) / 1000
	if x == 0 {
		return 0
	}
	return x
}
