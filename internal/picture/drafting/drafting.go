// Package drafting is a technical drawing as a list of what is drawn: lines and arcs of the kinds that ISO 128-2 has, circles,
// filled arrowheads and words, in millimetres of a sheet, each on a layer.
//
// A [Drawing] is made once. [Drawing.On] draws it on a sheet of paper (SVG or PDF), [Drawing.DXF] writes it for programs that
// draw, at the size of the thing; so the three cannot differ. Dimensions by the custom of ISO 129-1 are made of the same lines and
// words, [Drawing.Mark] finds a place for a word where it lies over nothing, and [Drawing.Clashes] tells where words
// lie over words or lines.
//
// The package knows no bed and no stone. Letters have the heights of ISO 3098-1 and the shapes of the program's own typeface.
package drafting

import (
	"math"

	"slatewright/internal/picture/ink"
)

// Point is a place on the sheet, mm from the left and from the top.
type Point = ink.Point

// Kind is a kind of line.
type Kind int

// The kinds of lines, with their numbers in ISO 128-2.
const (
	Thin    Kind = iota // 01.1 continuous narrow: dimensions, extension lines, leaders, hatching
	Wide                // 01.2 continuous wide: what is seen
	Hidden              // 02.1 dashed narrow: hidden edges
	Centre              // 04.1 long dash and dot, narrow: centre lines
	Phantom             // 05.1 long dash and two dots, narrow: what stands beside
)

// Layer names what a thing belongs to. It is the layer's name in DXF: letters, digits and hyphens.
type Layer string

// Letter heights of ISO 3098-1, mm. Least is the smallest that is used: what is smaller is not read well from a sheet on a
// bench.
const (
	Least = 2.5
	Tall  = 3.5
	Large = 5.0
)

// Stroke is a line of straight parts and arcs.
type Stroke struct {
	Layer Layer
	Kind  Kind
	Curve ink.Curve
}

// Circle is a circle; Name is what it is.
type Circle struct {
	Layer Layer
	Kind  Kind
	At    Point
	R     float64
	Name  string
}

// Fill is a filled triangle or quadrangle.
type Fill struct {
	Layer Layer
	P     []Point
}

// Text is a line of words on its baseline.
type Text struct {
	Layer  Layer
	At     Point
	Words  string
	Height float64 // of capitals and figures
	Align  ink.Align
	Turned bool // runs up the sheet, read from the right
	Bold   bool
}

// Drawing is a sheet. The zero value is an empty one.
type Drawing struct {
	Name          string // of the file, without ending
	Title         string
	Width, Height float64
	Pen           float64 // width of wide lines; narrow ones are half of it
	// Scale is how many mm of the thing a mm of the sheet is, and Origin where on the sheet the thing's origin lies. DXF is
	// written with them.
	Scale  float64
	Origin Point

	Strokes []Stroke
	Circles []Circle
	Fills   []Fill
	Texts   []Text

	metric *ink.SVG
	parts  []part // straight parts of all lines
	boxes  []Box  // of the texts
	grid   grid   // of parts and boxes
}

// part is a straight part of a line, or the side of a circle.
type part struct{ a, b Point }

// New returns an empty sheet.
func New(pen, scale float64) *Drawing { return &Drawing{Pen: pen, Scale: scale, metric: ink.NewSVG()} }

// At makes a point.
func At(x, y float64) Point { return Point{X: x, Y: y} }

// Line draws straight parts through points.
func (d *Drawing) Line(l Layer, k Kind, p ...Point) { d.Curve(l, k, curve(p, false)) }

// Ring draws straight parts through points and back to the first.
func (d *Drawing) Ring(l Layer, k Kind, p ...Point) { d.Curve(l, k, curve(p, true)) }

// Box draws a rectangle from its upper left corner.
func (d *Drawing) Box(l Layer, k Kind, x, y, w, h float64) {
	d.Ring(l, k, At(x, y), At(x+w, y), At(x+w, y+h), At(x, y+h))
}

func curve(p []Point, closed bool) ink.Curve {
	c := ink.Curve{Closed: closed}
	for _, q := range p {
		c.C = append(c.C, ink.Corner{Point: q})
	}
	return c
}

// Curve draws a line of straight parts and arcs.
func (d *Drawing) Curve(l Layer, k Kind, c ink.Curve) {
	d.Strokes = append(d.Strokes, Stroke{l, k, c})
	p := Flat(c, 0.05)
	for i := 1; i < len(p); i++ {
		d.parts = append(d.parts, part{p[i-1], p[i]})
	}
}

// Circle draws a circle.
func (d *Drawing) Circle(l Layer, k Kind, at Point, r float64, name string) {
	d.Circles = append(d.Circles, Circle{l, k, at, r, name})
	d.circled(at, r)
}

func (d *Drawing) circled(at Point, r float64) {
	const n = 16
	last := At(at.X+r, at.Y)
	for i := 1; i <= n; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		next := At(at.X+r*cos, at.Y+r*sin)
		d.parts = append(d.parts, part{last, next})
		last = next
	}
}

// Fill fills a triangle or quadrangle.
func (d *Drawing) Fill(l Layer, p ...Point) {
	d.Fills = append(d.Fills, Fill{l, p})
	for i := range p {
		d.parts = append(d.parts, part{p[i], p[(i+1)%len(p)]})
	}
}

// Text sets words and returns the box that they take.
func (d *Drawing) Text(t Text) Box {
	if t.Words == "" {
		return Box{}
	}
	b := d.BoxOf(t)
	d.Texts, d.boxes = append(d.Texts, t), append(d.boxes, b)
	return b
}

// Words sets words of the least height, from the left.
func (d *Drawing) Words(l Layer, x, y float64, words string) Box {
	return d.Text(Text{Layer: l, At: At(x, y), Words: words, Height: Least})
}

// Type is how the words are set.
func (t Text) Type() ink.Type {
	ty := ink.Type{Face: ink.Plain, Size: t.Height / (0.729 * 25.4 / 72), Align: t.Align}
	if t.Bold {
		ty.Face = ink.Bold
	}
	if t.Turned {
		ty.Angle = -math.Pi / 2
	}
	return ty
}

// Measure is how long words of a height are, mm.
func (d *Drawing) Measure(words string, height float64, bold bool) float64 {
	return d.metric.Width(words, Text{Height: height, Bold: bold}.Type())
}

// Wrap breaks words into lines of at most width mm.
func (d *Drawing) Wrap(words string, height, width float64) []string {
	return ink.Wrap(d.metric, words, Text{Height: height}.Type(), width)
}

// Flat returns points along a curve, no arc further from them than chord, and the first again at the end of a closed one.
func Flat(c ink.Curve, chord float64) (list []Point) {
	n := len(c.C)
	for i, v := range c.C {
		list = append(list, v.Point)
		if v.Bulge == 0 || !c.Closed && i+1 == n {
			continue
		}
		to := c.C[(i+1)%n].Point
		off := (1 - v.Bulge*v.Bulge) / (4 * v.Bulge)
		dx, dy := to.X-v.X, to.Y-v.Y
		cx, cy := (v.X+to.X)/2+off*dy, (v.Y+to.Y)/2-off*dx
		r, start, sweep := math.Hypot(v.X-cx, v.Y-cy), math.Atan2(v.Y-cy, v.X-cx), -4*math.Atan(v.Bulge)
		steps := math.Ceil(math.Abs(sweep) / (2 * math.Acos(1-math.Min(chord/r, 1))))
		for k := 1.0; k < steps; k++ {
			sin, cos := math.Sincos(start + sweep*k/steps)
			list = append(list, At(cx+r*cos, cy+r*sin))
		}
	}
	if c.Closed && n > 0 {
		list = append(list, c.C[0].Point)
	}
	return list
}

// Move moves all that is drawn.
func (d *Drawing) Move(dx, dy float64) {
	move := func(p *Point) { p.X, p.Y = p.X+dx, p.Y+dy }
	for i := range d.Strokes {
		for k := range d.Strokes[i].Curve.C {
			move(&d.Strokes[i].Curve.C[k].Point)
		}
	}
	for i := range d.Circles {
		move(&d.Circles[i].At)
	}
	for i := range d.Fills {
		for k := range d.Fills[i].P {
			move(&d.Fills[i].P[k])
		}
	}
	for i := range d.Texts {
		move(&d.Texts[i].At)
		d.boxes[i] = d.boxes[i].moved(dx, dy)
	}
	for i := range d.parts {
		move(&d.parts[i].a)
		move(&d.parts[i].b)
	}
	d.grid = grid{}
	move(&d.Origin)
}

// Add takes over what is drawn on another sheet, where it stands.
func (d *Drawing) Add(o *Drawing) {
	d.Strokes = append(d.Strokes, o.Strokes...)
	d.Circles = append(d.Circles, o.Circles...)
	d.Fills = append(d.Fills, o.Fills...)
	d.Texts = append(d.Texts, o.Texts...)
	d.parts = append(d.parts, o.parts...)
	d.boxes = append(d.boxes, o.boxes...)
}

// Part returns a sheet with what reaches into a box, whole.
func (d *Drawing) Part(b Box) *Drawing {
	o := &Drawing{Pen: d.Pen, Scale: d.Scale, Origin: d.Origin, metric: d.metric}
	hold := b.Grown(d.Pen)
	for _, s := range d.Strokes {
		p := Flat(s.Curve, 0.5)
		for i := 1; i < len(p); i++ {
			if hold.crossed(part{p[i-1], p[i]}) {
				c := ink.Curve{C: append([]ink.Corner(nil), s.Curve.C...), Closed: s.Curve.Closed}
				o.Strokes = append(o.Strokes, Stroke{s.Layer, s.Kind, c})
				break
			}
		}
	}
	for _, c := range d.Circles {
		if hold.over(Box{c.At.X - c.R, c.At.Y - c.R, c.At.X + c.R, c.At.Y + c.R}) {
			o.Circles = append(o.Circles, c)
		}
	}
	for _, f := range d.Fills {
		box := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, p := range f.P {
			box = box.Union(Box{p.X, p.Y, p.X, p.Y})
		}
		if hold.over(box) {
			o.Fills = append(o.Fills, Fill{f.Layer, append([]Point(nil), f.P...)})
		}
	}
	for i, t := range d.Texts {
		if hold.over(d.boxes[i]) {
			o.Texts, o.boxes = append(o.Texts, t), append(o.boxes, d.boxes[i])
		}
	}
	return o
}
