package drafting

import (
	"math"

	"slatewright/internal/picture/ink"
)

// Dimensions is the layer of dimensions.
const Dimensions Layer = "DIMENSIONS"

// Sizes of what a dimension is made of, mm.
const (
	arrow  = 2.5 // length of an arrowhead; its angle is 30°, filled
	gap    = 1.0 // between what is measured and the extension line
	beyond = 1.5 // how far an extension line reaches beyond the dimension line
	over   = 0.8 // between a dimension line and its figure
)

// Arrow draws an arrowhead whose tip is at tip, pointing along (dx, dy).
func (d *Drawing) Arrow(l Layer, tip Point, dx, dy float64) {
	n := math.Hypot(dx, dy)
	dx, dy = dx/n, dy/n
	half := arrow * math.Tan(15*math.Pi/180)
	back := At(tip.X-arrow*dx, tip.Y-arrow*dy)
	d.Fill(l, tip, At(back.X-half*dy, back.Y+half*dx), At(back.X+half*dy, back.Y-half*dx))
}

// Across draws a dimension between two places along x at the height y of the sheet; from is where its extension lines begin. It
// reports whether the figure had to stand on the right, beyond the dimension.
func (d *Drawing) Across(x0, x1, from, y float64, words string) (outside bool) {
	side := math.Copysign(1, y-from)
	for _, x := range [2]float64{x0, x1} {
		if math.Abs(y-from) > gap {
			d.Line(Dimensions, Thin, At(x, from+side*gap), At(x, y+side*beyond))
		}
	}
	w := d.Measure(words, Least, false)
	if x1-x0 < 2*arrow+2 {
		d.Line(Dimensions, Thin, At(x0-2*arrow, y), At(x1+2*arrow+over+w, y))
		d.Arrow(Dimensions, At(x0, y), 1, 0)
		d.Arrow(Dimensions, At(x1, y), -1, 0)
		d.Text(Text{Layer: Dimensions, At: At(x1+2*arrow+over, y-over), Words: words, Height: Least})
		return true
	}
	d.Line(Dimensions, Thin, At(x0, y), At(x1, y))
	d.Arrow(Dimensions, At(x0, y), -1, 0)
	d.Arrow(Dimensions, At(x1, y), 1, 0)
	if w > x1-x0-2*arrow-0.5 { // an arrowhead would lie under the figure's end
		d.Line(Dimensions, Thin, At(x1, y), At(x1+over+w, y))
		d.Text(Text{Layer: Dimensions, At: At(x1+2*over, y-over), Words: words, Height: Least})
		return true
	}
	d.Text(Text{Layer: Dimensions, At: At((x0+x1)/2, y-over), Words: words, Height: Least, Align: ink.Middle})
	return false
}

// Upright draws a dimension between two places along y at the place x of the sheet; from is where its extension lines begin. It
// reports whether the figure had to stand above, beyond the dimension.
func (d *Drawing) Upright(y0, y1, from, x float64, words string) (outside bool) {
	side := math.Copysign(1, x-from)
	for _, y := range [2]float64{y0, y1} {
		if math.Abs(x-from) > gap {
			d.Line(Dimensions, Thin, At(from+side*gap, y), At(x+side*beyond, y))
		}
	}
	w := d.Measure(words, Least, false)
	low, high := math.Max(y0, y1), math.Min(y0, y1)
	if low-high < 2*arrow+2 || w > low-high-2*arrow-0.5 { // the figure stands above, beyond the upper arrow
		d.Line(Dimensions, Thin, At(x, low+2*arrow), At(x, high-2*arrow-w))
		d.Arrow(Dimensions, At(x, low), 0, -1)
		d.Arrow(Dimensions, At(x, high), 0, 1)
		d.Text(Text{Layer: Dimensions, At: At(x-over, high-2*arrow), Words: words, Height: Least, Turned: true})
		return true
	}
	d.Line(Dimensions, Thin, At(x, low), At(x, high))
	d.Arrow(Dimensions, At(x, low), 0, 1)
	d.Arrow(Dimensions, At(x, high), 0, -1)
	d.Text(Text{Layer: Dimensions, At: At(x-over, (low+high)/2), Words: words, Height: Least, Align: ink.Middle, Turned: true})
	return false
}

// Leader draws a line from a figure at a knee to a place, with an arrowhead there, and words on a shelf beside the knee. It
// runs to the right where right is true.
func (d *Drawing) Leader(l Layer, tip, knee Point, words string, right bool) {
	w := d.Measure(words, Least, false)
	d.Line(l, Thin, tip, knee)
	d.Arrow(l, tip, tip.X-knee.X, tip.Y-knee.Y)
	if right {
		d.Line(l, Thin, knee, At(knee.X+w+1, knee.Y))
		d.Text(Text{Layer: l, At: At(knee.X+0.5, knee.Y-over), Words: words, Height: Least})
		return
	}
	d.Line(l, Thin, knee, At(knee.X-w-1, knee.Y))
	d.Text(Text{Layer: l, At: At(knee.X-0.5, knee.Y-over), Words: words, Height: Least, Align: ink.Right})
}

// Datum draws a datum feature (ISO 5459): a filled triangle whose base is at a place, and its letter in a frame a way off
// along (dx, dy), one of which is 0.
func (d *Drawing) Datum(l Layer, at Point, dx, dy float64, letter string) {
	const half, high, stem, frame = 1.5, 2.6, 3.0, 5.0
	tip := At(at.X+high*dx, at.Y+high*dy)
	d.Fill(l, At(at.X-half*dy, at.Y+half*dx), At(at.X+half*dy, at.Y-half*dx), tip)
	end := At(tip.X+stem*dx, tip.Y+stem*dy)
	d.Line(l, Thin, tip, end)
	mid := At(end.X+frame/2*dx, end.Y+frame/2*dy)
	d.Box(l, Thin, mid.X-frame/2, mid.Y-frame/2, frame, frame)
	d.Text(Text{Layer: l, At: At(mid.X, mid.Y+Least/2), Words: letter, Height: Least, Align: ink.Middle})
}

// Frame draws a tolerance frame for a position (ISO 1101) from its left end, its middle at height y, and returns its width.
func (d *Drawing) Frame(l Layer, x, y float64, zone string, datums ...string) float64 {
	const high = 5.0
	top := y - high/2
	at := x
	cell := func(w float64) (mid float64) {
		d.Box(l, Thin, at, top, w, high)
		mid = at + w/2
		at += w
		return mid
	}
	c := At(cell(high), y)
	d.Circle(l, Thin, c, 1.1, "")
	d.Line(l, Thin, At(c.X-1.8, c.Y), At(c.X+1.8, c.Y))
	d.Line(l, Thin, At(c.X, c.Y-1.8), At(c.X, c.Y+1.8))
	for _, words := range append([]string{zone}, datums...) {
		mid := cell(d.Measure(words, Least, false) + 2.4)
		d.Text(Text{Layer: l, At: At(mid, y+Least/2), Words: words, Height: Least, Align: ink.Middle})
	}
	return at - x
}

// Cross draws a centre mark: two short lines through a place, reaching r from it.
func (d *Drawing) Cross(l Layer, at Point, r float64) {
	kind := Thin
	if r > 6 { // a short centre line is drawn without dashes
		kind = Centre
	}
	d.Line(l, kind, At(at.X-r, at.Y), At(at.X+r, at.Y))
	d.Line(l, kind, At(at.X, at.Y-r), At(at.X, at.Y+r))
}
