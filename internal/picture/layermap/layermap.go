// Package layermap draws a quarry layer from above: the edge of good ground, joints, stains, and the saw's plan with its blocks and cuts, as SVG, as sheets of
// paper (PDF) with the list of cuts, as DXF, and the plan as CSV.
//
// It plans nothing and computes nothing but the scale. What is written on paper comes from the caller.
package layermap

import (
	"io"
	"math"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// Line is a line on the layer, mm, x to the right and y up.
type Line struct {
	Points   []contour.Point
	Name     string
	Doubtful bool
	Weight   float64 // 0 to 1: how much a second look at it is worth beside the others
}

// Block is a block of the plan.
type Block struct {
	Corners [4]contour.Point
	Chance  float64 // to be whole
}

// Map is a layer to draw.
type Map struct {
	Title, About string
	Outline      []contour.Point
	Stains       [][]contour.Point
	Joints       []Line
	Blocks       []Block
	Runs         []Line // cuts through the whole layer
}

// margin is the room around the layer, mm of paper.
const margin = 6.0

// mostNames is up to how many joints and runs are named; more would cover the map.
const mostNames = 60

// box is the box around the outline.
func (m Map) box() (low, high contour.Point) {
	low, high = contour.Point{X: math.Inf(1), Y: math.Inf(1)}, contour.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range m.Outline {
		low = contour.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}
		high = contour.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	return low, high
}

// on lays the map on a sheet, its upper left corner at a place.
func (m Map) on(sheet ink.Sheet, x, y, scale float64) drawing {
	low, high := m.box()
	return drawing{m, sheet, func(p contour.Point) contour.Point {
		return contour.Point{X: x + (p.X-low.X)*scale, Y: y + (high.Y-p.Y)*scale}
	}, scale}
}

// draw draws all but the words above; the length to compare with stands at a height.
func (d drawing) draw(x, y float64) {
	d.ground()
	d.plan()
	d.joints()
	d.ruler(x, y)
}

// SVG writes the map w mm wide.
func (m Map) SVG(out io.Writer, w float64) error {
	low, high := m.box()
	scale := (w - 2*margin) / max(high.X-low.X, high.Y-low.Y, 1)
	h := 3*margin + 4 + (high.Y-low.Y)*scale
	s := ink.NewSVG()
	s.Fill([]contour.Line{ink.Rect(0, 0, w, h)}, look.Page)
	s.Text(ink.Point{X: margin, Y: margin + 1}, m.Title, ink.Fit(s, m.Title, look.Head, w-2*margin, 5))
	s.Text(ink.Point{X: margin, Y: margin + 5}, m.About, ink.Fit(s, m.About, look.Caption, w-2*margin, 4))
	m.on(s, margin, 2*margin+4, scale).draw(margin, h-margin/2)
	return s.Write(out, w, h, m.Title+": "+m.About)
}

type drawing struct {
	Map
	sheet ink.Sheet
	at    func(contour.Point) contour.Point
	scale float64
}

func (d drawing) ring(points []contour.Point) contour.Line {
	var xy []float64
	for _, p := range points {
		q := d.at(p)
		xy = append(xy, q.X, q.Y)
	}
	return ink.Ring(xy...)
}

func (d drawing) path(points []contour.Point) contour.Line {
	var xy []float64
	for _, p := range points {
		q := d.at(p)
		xy = append(xy, q.X, q.Y)
	}
	return ink.Path(xy...)
}

func (d drawing) ground() {
	outline := d.ring(d.Outline)
	d.sheet.Fill([]contour.Line{outline}, look.Sheet)
	for _, s := range d.Stains {
		d.sheet.Fill([]contour.Line{d.ring(s)}, look.Unhatch)
	}
	d.sheet.Stroke(outline, ink.Pen{Colour: look.Stone, Width: 0.4})
}

// plan draws the blocks, the likelier to be whole the darker, and the runs.
func (d drawing) plan() {
	for _, b := range d.Blocks {
		ring := d.ring(b.Corners[:])
		d.sheet.Fill([]contour.Line{ring}, look.MidTint.Mix(look.LowTint, b.Chance*b.Chance))
		d.sheet.Stroke(ring, ink.Pen{Colour: look.Good, Width: 0.12})
	}
	for _, r := range d.Runs {
		d.sheet.Stroke(d.path(r.Points), ink.Pen{Colour: look.Soft, Width: 0.12, Dash: []float64{1.2, 0.8}})
	}
	if len(d.Runs) > mostNames {
		return
	}
	for _, r := range d.Runs {
		p := d.at(r.Points[0])
		d.sheet.Text(ink.Point{X: p.X + 0.4, Y: p.Y - 0.4}, r.Name, look.Level.In(look.Soft))
	}
}

// joints draws those that are sure with a full line, the others dashed, and the thicker the more a second look at them is worth.
func (d drawing) joints() {
	for _, j := range d.Joints {
		pen := ink.Pen{Colour: look.Bad, Width: 0.3 + 0.7*j.Weight}
		if j.Doubtful {
			pen.Dash = []float64{0.9, 0.6}
		}
		d.sheet.Stroke(d.path(j.Points), pen)
	}
	if len(d.Joints) > mostNames {
		return
	}
	for _, j := range d.Joints {
		p := d.at(j.Points[len(j.Points)/2])
		d.sheet.Text(ink.Point{X: p.X + 0.6, Y: p.Y - 0.4}, j.Name, look.Level.In(look.Bad))
	}
}

// ruler draws a length of 1, 2, 5, 10 … m.
func (d drawing) ruler(x, y float64) {
	length := 1000.0
	for i := 0; length*d.scale < 12 && i < 20; i++ {
		length *= []float64{2, 2.5, 2}[i%3]
	}
	d.sheet.Stroke(ink.Segment(x, y, x+length*d.scale, y), ink.Pen{Colour: look.Stone, Width: 0.5})
	d.sheet.Text(ink.Point{X: x + length*d.scale + 1.5, Y: y + 0.8}, look.Fixed(length/1000, 0)+" m", look.Small)
}
