package drafting

import (
	"fmt"
	"math"

	"slatewright/internal/picture/ink"
)

// Box is a rectangle on the sheet.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Grown returns the box with a margin around it.
func (b Box) Grown(by float64) Box { return Box{b.X0 - by, b.Y0 - by, b.X1 + by, b.Y1 + by} }

// Union returns the box around both.
func (b Box) Union(o Box) Box {
	return Box{math.Min(b.X0, o.X0), math.Min(b.Y0, o.Y0), math.Max(b.X1, o.X1), math.Max(b.Y1, o.Y1)}
}

func (b Box) moved(dx, dy float64) Box { return Box{b.X0 + dx, b.Y0 + dy, b.X1 + dx, b.Y1 + dy} }

// Common returns what both have in common.
func (b Box) Common(o Box) Box {
	return Box{math.Max(b.X0, o.X0), math.Max(b.Y0, o.Y0), math.Min(b.X1, o.X1), math.Min(b.Y1, o.Y1)}
}

// W is the width.
func (b Box) W() float64 { return b.X1 - b.X0 }

// H is the height.
func (b Box) H() float64 { return b.Y1 - b.Y0 }

func (b Box) over(o Box) bool { return b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1 }

func (b Box) holds(o Box) bool { return b.X0 <= o.X0 && o.X1 <= b.X1 && b.Y0 <= o.Y0 && o.Y1 <= b.Y1 }

// crossed reports whether a straight part passes through the box (Liang and Barsky 1984).
func (b Box) crossed(p part) bool {
	if p.a.X <= b.X0 && p.b.X <= b.X0 || p.a.X >= b.X1 && p.b.X >= b.X1 || p.a.Y <= b.Y0 && p.b.Y <= b.Y0 || p.a.Y >= b.Y1 && p.b.Y >= b.Y1 {
		return false
	}
	t0, t1 := 0.0, 1.0
	dx, dy := p.b.X-p.a.X, p.b.Y-p.a.Y
	for _, e := range [4][2]float64{{-dx, p.a.X - b.X0}, {dx, b.X1 - p.a.X}, {-dy, p.a.Y - b.Y0}, {dy, b.Y1 - p.a.Y}} {
		switch {
		case e[0] == 0 && e[1] <= 0:
			return false
		case e[0] < 0:
			t0 = math.Max(t0, e[1]/e[0])
		case e[0] > 0:
			t1 = math.Min(t1, e[1]/e[0])
		}
	}
	return t0 < t1
}

// below is how far letters reach under their baseline, of their height.
const below = 0.28

// BoxOf is the box of a line of words.
func (d *Drawing) BoxOf(t Text) Box {
	w := d.Measure(t.Words, t.Height, t.Bold)
	from := 0.0
	switch t.Align {
	case ink.Middle:
		from = -w / 2
	case ink.Right:
		from = -w
	}
	if t.Turned { // right is up the sheet
		return Box{t.At.X - t.Height, t.At.Y - from - w, t.At.X + below*t.Height, t.At.Y - from}
	}
	return Box{t.At.X + from, t.At.Y - t.Height, t.At.X + from + w, t.At.Y + below*t.Height}
}

// Bounds is the box around all that is drawn.
func (d *Drawing) Bounds() Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range d.parts {
		b = b.Union(Box{math.Min(p.a.X, p.b.X), math.Min(p.a.Y, p.b.Y), math.Max(p.a.X, p.b.X), math.Max(p.a.Y, p.b.Y)})
	}
	for _, o := range d.boxes {
		b = b.Union(o)
	}
	return b
}

// Clash is a word that lies over a word or a line.
type Clash struct {
	Words, Over string
	At          Box
}

func (c Clash) String() string {
	return fmt.Sprintf("%q over %s at (%.1f, %.1f)", c.Words, c.Over, c.At.X0, c.At.Y0)
}

// Clashes lists every line of words whose box meets that of another, a line, an arrowhead or the sheet's edge.
func (d *Drawing) Clashes() (list []Clash) {
	boxes := make([]Box, len(d.Texts))
	for i, b := range d.boxes {
		boxes[i] = b.Grown(-0.05)
	}
	sheet := Box{0, 0, d.Width, d.Height}
	for i, b := range boxes {
		for k := range i {
			if b.over(boxes[k]) {
				list = append(list, Clash{d.Texts[i].Words, fmt.Sprintf("%q", d.Texts[k].Words), b})
			}
		}
		for _, p := range d.parts {
			if b.crossed(p) {
				list = append(list, Clash{d.Texts[i].Words, fmt.Sprintf("the line (%.1f, %.1f) to (%.1f, %.1f)", p.a.X, p.a.Y, p.b.X, p.b.Y), b})
				break
			}
		}
		if !sheet.holds(b) {
			list = append(list, Clash{d.Texts[i].Words, "the sheet's edge", b})
		}
	}
	return list
}

// Mark sets words beside a place, at least clear mm from it, where they lie over nothing, within the first of some boxes that has
// room: as near as there is, with a leader where that is not beside it. It reports whether there was room; where there was none, nothing
// is drawn. However much is drawn, it tries no more places than these.
func (d *Drawing) Mark(l Layer, at Point, clear float64, words string, within ...Box) bool {
	const reach, air, apart = 26.0, 0.35, 0.8
	w, h := d.Measure(words, Least, false), Least*(1+below)
	near := d.grown()
	var full []bool // which places, in their order, have no room: what one box has tried, the next need not
	for i, box := range within {
		n := -1
		for away := clear + 0.5; away < clear+reach-8; away += 0.8 {
			for _, dir := range directions {
				n++
				if i == 0 {
					full = append(full, false)
				}
				// The box's side nearest to the place is away from it.
				cx := at.X + dir.X*(away+math.Abs(dir.X)*w/2)
				cy := at.Y + dir.Y*(away+math.Abs(dir.Y)*h/2)
				b := Box{cx - w/2, cy - h/2, cx + w/2, cy + h/2}
				if full[n] || !box.holds(b) {
					continue
				}
				if near.taken(b, air, apart) {
					full[n] = true
					continue
				}
				if away > clear+1.5 {
					from := At(at.X+dir.X*clear, at.Y+dir.Y*clear)
					to := At(math.Max(b.X0-air, math.Min(b.X1+air, from.X)), math.Max(b.Y0-air, math.Min(b.Y1+air, from.Y)))
					if near.worded(part{from, to}) {
						full[n] = true
						continue
					}
					d.Line(l, Thin, from, to)
				}
				d.Text(Text{Layer: l, At: At(cx, b.Y0+Least), Words: words, Height: Least, Align: ink.Middle})
				return true
			}
		}
	}
	return false
}

// directions are where a word may stand from its place, the best first: right above, then around.
var directions = func() (list []Point) {
	for _, degrees := range []float64{45, 135, 315, 225, 0, 180, 90, 270, 22.5, 157.5, 337.5, 202.5, 67.5, 112.5, 292.5, 247.5} {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		list = append(list, At(cos, -sin))
	}
	return list
}()

// Free finds a box of a size that lies over nothing, its middle as near to a place as can be, within another box.
func (d *Drawing) Free(at Point, w, h float64, within Box) (Box, bool) {
	const step, reach = 1.0, 60
	g := d.grown()
	for r := 0.0; r < reach; r += step {
		n := max(1, int(2*math.Pi*r/step))
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			b := Box{at.X + r*cos - w/2, at.Y + r*sin - h/2, at.X + r*cos + w/2, at.Y + r*sin + h/2}
			if within.Grown(-0.5).holds(b) && !g.taken(b, 0.6, 0.8) {
				return b, true
			}
		}
	}
	return Box{}, false
}

// Reaches reports whether a straight line passes through no words.
func (d *Drawing) Reaches(from, to Point) bool {
	return !d.grown().worded(part{from, to})
}

// Clear reports whether a box lies over nothing.
func (d *Drawing) Clear(b Box) bool {
	return !d.grown().taken(b, 0.3, 0.8)
}

// Place sets words where they lie over nothing, as near to a place as can be, within a box. Where there is no room, nothing is drawn.
func (d *Drawing) Place(l Layer, at Point, words string, height float64, within Box) bool {
	b, ok := d.Free(at, d.Measure(words, height, false), height*(1+below), within)
	if ok {
		d.Text(Text{Layer: l, At: At(b.X0, b.Y0+height), Words: words, Height: height})
	}
	return ok
}
