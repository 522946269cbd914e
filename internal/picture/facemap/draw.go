package facemap

import (
	"math"
	"strings"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// drawing is a map on its way to paper.
type drawing struct {
	Map
	scale Scale
}

// Room around the face for names and arrows, mm of paper, and the sizes of marks.
const (
	side        = 6.5
	above       = 5.0
	below       = 7.0
	contactSize = 2.6
	dotSize     = 0.35
	mostDots    = 600 // more would cover the map
)

// all draws everything one below the other, w wide, and returns where it ends.
func (d drawing) all(s ink.Sheet, margin, w float64) float64 {
	y := margin
	if d.Mark != "" {
		y += look.DrawBanner(s, d.Mark, margin, y, w, look.Banner.Sized(10)) + 2.5
	}
	if d.Title != "" {
		t := ink.Fit(s, d.Title, look.Head.Sized(11), w, 6)
		s.Text(ink.Point{X: margin, Y: y + 3.6}, d.Title, t)
		y += 6
	}
	v := d.View(margin+side, y+above, w-2*side)
	d.face(s, v)
	d.names(s, v)
	y = v.Top + (d.MaxY-d.MinY)*v.Scale + below
	d.heights(s, margin, y, w)
	y += 13
	y += d.key(s, margin, y, w)
	y += paragraph(s, d.sentence(), look.Caption, margin, y, w)
	for _, text := range d.Warnings {
		s.Text(ink.Point{X: margin, Y: y + look.Leading(look.Text)}, "!", look.Strong.In(look.Bad))
		y += paragraph(s, text, look.Text, margin+4, y, w-4)
	}
	return y
}

// sentence says what is shown and how heights between the readings were found.
func (d drawing) sentence() string {
	parts := []string{d.About}
	if d.scale.Step > 0 {
		step := d.Words.number(look.Fixed(d.scale.Step, contour.Decimals(d.scale.Step)))
		parts = append(parts, strings.Replace(d.Words.Every, "{n}", step, 1))
	}
	return strings.TrimSpace(strings.Join(parts, " "))
}

// paragraph sets words from y down and returns the height used.
func paragraph(s ink.Sheet, text string, t ink.Type, x, y, w float64) float64 {
	start := y
	for _, l := range ink.Wrap(s, text, t, w) {
		y += look.Leading(t)
		s.Text(ink.Point{X: x, Y: y}, l, t)
	}
	return y - start
}

// face draws the map itself: what was not read, the bands one on the other, lines, frame and marks.
func (d drawing) face(s ink.Sheet, v View) {
	edge := v.rect(d.MinX, d.MinY, d.MaxX, d.MaxY)
	s.Fill([]contour.Line{edge}, look.Unread)
	a, c := edge.P[0], edge.P[2]
	s.Strokes(ink.Hatch(a.X, a.Y, c.X-a.X, c.Y-a.Y, 0.9), ink.Pen{Colour: look.Unhatch, Width: 0.12})
	for i := 0; i <= len(d.scale.Levels); i++ {
		level := math.Inf(-1)
		if i > 0 {
			level = d.scale.Levels[i-1]
		}
		var rings []contour.Line
		for _, l := range d.Mesh.Region(level) {
			rings = append(rings, l.Map(v.At).Simplify(paperTolerance))
		}
		s.Fill(rings, look.Tint(d.scale.Share(i)))
	}
	lines, placer := d.lines(v, d.scale, look.Level)
	d.dots(s, v)
	for _, l := range lines {
		for _, part := range contour.Cut(l.Line, l.Labels) {
			s.Stroke(part, d.scale.pen(l.Level))
		}
		for _, b := range l.Labels {
			look.SetInBox(s, b.Box, l.Figure, look.Level)
		}
	}
	d.extremes(s, v, placer)
	if b := d.EdgeBand; b > 0 {
		s.Stroke(v.rect(d.MinX+b, d.MinY+b, d.MaxX-b, d.MaxY-b), look.BandPen)
	}
	s.Stroke(edge, ink.Pen{Colour: look.Stone, Width: 0.4})
	for _, k := range d.Contacts {
		at := v.At(contour.Point{X: k.X, Y: k.Y})
		look.DrawContact(s, at.X, at.Y, contactSize, k.Upper)
	}
}

// dots marks the places that were read, unless they are too many to be seen.
func (d drawing) dots(s ink.Sheet, v View) {
	if len(d.Readings) > mostDots {
		return
	}
	for _, p := range d.Readings {
		at := v.At(p)
		s.Fill([]contour.Line{ink.Disc(at.X, at.Y, dotSize)}, look.Soft)
	}
}

// extremes writes high and low at the places that are, where there is room.
func (d drawing) extremes(s ink.Sheet, v View, p *contour.Placer) {
	low, zLow, _ := d.Mesh.Lowest()
	high, zHigh, _ := d.Mesh.Highest()
	if zHigh == zLow {
		return
	}
	t := look.Caption.In(look.Stone)
	for _, e := range []struct {
		at   contour.Point
		word string
	}{{high, d.Words.High}, {low, d.Words.Low}} {
		at := v.At(e.at)
		for _, by := range [][2]float64{{0, 0}, {0, 3}, {0, -3}, {5, 0}, {-5, 0}, {5, 3}, {-5, 3}, {5, -3}, {-5, -3}, {0, 6}, {0, -6}} {
			b := contour.Box{At: ink.Point{X: at.X + by[0], Y: at.Y + by[1]}, W: s.Width(e.word, t), H: t.Height()}
			if p.Free(b.Grown(0.6)) {
				look.SetInBox(s, b, e.word, t)
				p.Block(b.Grown(0.6))
				break
			}
		}
	}
}

// names writes what lies around the face: the sides of the table, axes and a length to go by.
func (d drawing) names(s ink.Sheet, v View) {
	quiet := look.Map.In(look.Soft).To(ink.Middle)
	middleX, middleY := (d.MinX+d.MaxX)/2, (d.MinY+d.MaxY)/2
	left, right := v.At(contour.Point{X: d.MinX, Y: middleY}), v.At(contour.Point{X: d.MaxX, Y: middleY})
	top, bottom := v.At(contour.Point{X: middleX, Y: d.MaxY}), v.At(contour.Point{X: middleX, Y: d.MinY})
	s.Text(ink.Point{X: top.X, Y: top.Y - 1.5}, d.Words.Right, quiet)
	s.Text(ink.Point{X: bottom.X, Y: bottom.Y + 3.2}, d.Words.Left, quiet)
	minus, plus := d.Words.Head, d.Words.Foot
	if d.Bottom { // turned over about the y axis
		minus, plus = plus, minus
	}
	up := quiet
	up.Angle = -math.Pi / 2
	s.Text(ink.Point{X: left.X - 1.8, Y: left.Y}, minus, up)
	up.Angle = math.Pi / 2
	s.Text(ink.Point{X: right.X + 1.8, Y: right.Y}, plus, up)
	d.axes(s, left.X-4.2, bottom.Y+4.2)
	d.length(s, v, right.X, bottom.Y+3.4)
}

// axes draws the arrows of x and y from their corner.
func (d drawing) axes(s ink.Sheet, x, y float64) {
	pen, t := ink.Pen{Colour: look.Soft, Width: 0.22}, look.Map.In(look.Soft)
	look.DrawArrow(s, x, y, x+9, y, pen)
	look.DrawArrow(s, x, y, x, y-9, pen)
	s.Text(ink.Point{X: x + 10.4, Y: y + 0.8}, "x", t)
	s.Text(ink.Point{X: x, Y: y - 10.4}, "y", t.To(ink.Middle))
}

// length draws a length to go by, ending at x.
func (d drawing) length(s ink.Sheet, v View, x, y float64) {
	const long = 200.0
	from := x - long*v.Scale
	s.Stroke(ink.Path(from, y-2, from, y-0.9, x, y-0.9, x, y-2), ink.Pen{Colour: look.Soft, Width: 0.22})
	s.Text(ink.Point{X: (from + x) / 2, Y: y + 1.9}, "200 mm ("+d.Words.number("7.9")+" in)", look.Map.In(look.Soft).To(ink.Middle))
}
