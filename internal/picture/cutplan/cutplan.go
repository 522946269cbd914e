// Package cutplan draws how a slab is cut: the slab with its flaws, the pieces and the numbered cuts, as SVG, as a PDF sheet for the saw, as DXF, and the
// cuts as CSV.
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

// Words are what a sheet says beside figures and names.
type Words struct {
	Title    string   // a heading
	Lines    []string // below it
	Columns  [6]string
	Along    string // a cut along the frame
	Across   string
	Cautions []string
}

// English are the words of the command line.
func English(title string, lines, cautions []string) Words {
	return Words{title, lines, [6]string{"cut", "way", "setting mm", "from mm", "to mm", "done"}, "along", "across", cautions}
}

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
		v.name(sheet, name, q, p.Angle)
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

// name writes a piece's type into its middle, along its longer side, where there is room for it.
func (v view) name(sheet ink.Sheet, name string, q slab.Piece, angle float64) {
	c := q.Corners(angle)
	mid := v.at(slab.Point{X: (c[0].X + c[2].X) / 2, Y: (c[0].Y + c[2].Y) / 2})
	room, low := q.Along, q.Across
	turn := -angle * math.Pi / 180
	if q.Across > q.Along {
		room, low = low, room
		turn -= math.Pi / 2
	}
	t := ink.Fit(sheet, name, look.Place.Sized(min(9, 1.8*low*v.scale)), 0.94*room*v.scale, 4).To(ink.Middle)
	if t.Angle = turn; sheet.Width(name, t) <= 0.94*room*v.scale {
		h := t.Height() / 2
		sheet.Text(ink.Point{X: mid.X - h*math.Sin(t.Angle), Y: mid.Y + h*math.Cos(t.Angle)}, name, t)
	}
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

// PDF writes a sheet for the saw: the picture, and each cut with its setting and a box to tick.
func PDF(w io.Writer, s *slab.Slab, p *slab.Plan, t Words) error {
	const wide, high, margin = 210.0, 297.0, 14.0
	doc := ink.NewPDF(wide, high, ink.Title{Name: t.Title}, nil)
	doc.Page()
	y := margin + 6
	doc.Text(ink.Point{X: margin, Y: y}, t.Title, ink.Fit(doc, t.Title, look.Title, wide-2*margin, 9))
	for _, l := range t.Lines {
		y += look.Leading(look.Text) + 0.8
		doc.Text(ink.Point{X: margin, Y: y}, l, look.Text)
	}
	y += 6
	y += Draw(doc, s, p, nil, margin, y, wide-2*margin, 120) + 8
	at := [6]float64{margin, margin + 12, margin + 52, margin + 100, margin + 148, wide - margin - 8}
	heads := func() {
		for i, h := range t.Columns {
			to := ink.Left
			if i >= 2 && i <= 4 {
				to = ink.Right
			}
			doc.Text(ink.Point{X: at[i], Y: y}, h, look.Strong.To(to))
		}
		y += 5
	}
	heads()
	for i, c := range p.Cuts {
		if y > high-margin {
			doc.Page()
			y = margin + 4
			heads()
		}
		way := t.Across
		setting := c.At - p.Corner.X
		if c.Along {
			way, setting = t.Along, c.At-p.Corner.Y
		}
		doc.Text(ink.Point{X: at[0], Y: y}, strconv.Itoa(i+1), look.Text)
		doc.Text(ink.Point{X: at[1], Y: y}, way, look.Text)
		for k, cell := range []string{figure(setting), figure(c.A.X) + ", " + figure(c.A.Y), figure(c.B.X) + ", " + figure(c.B.Y)} {
			doc.Text(ink.Point{X: at[k+2], Y: y}, cell, look.Text.To(ink.Right))
		}
		doc.Stroke(ink.Rect(at[5]+1, y-2.6, 3, 3), ink.Pen{Colour: look.Soft, Width: 0.2})
		y += 4.6
	}
	y += 3
	for _, text := range t.Cautions {
		lines := ink.Wrap(doc, text, look.Fine, wide-2*margin)
		if y+float64(len(lines))*look.Leading(look.Fine) > high-margin {
			doc.Page()
			y = margin + 4
		}
		for _, l := range lines {
			doc.Text(ink.Point{X: margin, Y: y}, l, look.Fine)
			y += look.Leading(look.Fine)
		}
		y += 1.2
	}
	return doc.Write(w)
}

// figure is a length to a tenth of a millimetre.
func figure(x float64) string {
	x = math.Round(x*10) / 10
	if x == 0 {
		x = 0 // not −0
	}
	return strconv.FormatFloat(x, 'f', 1, 64)
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
