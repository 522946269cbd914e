package surfacing

import (
	"html/template"
	"math"
	"strconv"

	"slatewright/internal/picture/chart"
	"slatewright/surfacing/disc"
	"slatewright/surfacing/disc/answers"
)

// draw shows the disc from the side that cuts, its bits as they stand, the changes as arrows; and beside it, or below on a telephone, the unbalance before and
// after within the circle of what is permissible.
func (b balanced) draw(width float64) template.HTML {
	face := math.Min(width, 430)
	wide := width > 600
	height, inset := face, math.Min(250, width-face)
	if !wide {
		inset = 250
		height = face + inset
	}
	p := chart.New(width, height, b.Say("disc.picture", "n", len(b.Swaps)))
	arrows := len(b.Swaps) <= few
	if !wide { // where there is less room, arrows and names would hide each other
		arrows = len(b.Swaps) <= few/2-1
	}
	b.face(p, face/2, face/2, face/2-34, arrows)
	if wide {
		b.vectors(p, width-inset/2-6, face/2, inset/2-26)
	} else {
		b.vectors(p, width/2, face+inset/2-8, inset/2-30)
	}
	return p.End()
}

// around is a place at an angle, degrees anticlockwise, and a distance from the middle.
func around(cx, cy, degrees, r float64) (x, y float64) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return cx + r*cos, cy - r*sin
}

// spot is a place on the picture.
type spot struct{ x, y float64 }

// face draws the disc into a circle, with arrows and the names of places where there is room for them.
func (b balanced) face(p *chart.Pen, cx, cy, r float64, arrows bool) {
	outer, nearest := 0.0, math.Inf(1)
	for _, s := range b.Arrangement {
		outer = math.Max(outer, s.Radius)
	}
	scale := r / (outer * 1.08)
	spots := map[string]spot{}
	for _, s := range b.Arrangement {
		if s.Radius == 0 {
			continue
		}
		x, y := around(cx, cy, s.Angle, s.Radius*scale)
		for _, o := range spots {
			nearest = math.Min(nearest, math.Hypot(x-o.x, y-o.y))
		}
		spots[s.Position] = spot{x, y}
	}
	bit := math.Min(math.Max(0.36*nearest, 2), 9)
	p.Disc("pieces", cx, cy, r+bit)
	p.Line("grid", cx-6, cy, cx+6, cy)
	p.Line("grid", cx, cy-6, cx, cy+6)
	b.sense(p, cx, cy, r+bit)
	b.stand(p, spots, bit)
	if arrows {
		for i, s := range b.Swaps {
			from, on := spots[s[0]]
			to, on2 := spots[s[1]]
			if on && on2 {
				both(p, from.x, from.y, to.x, to.y, bit+3)
				p.Text("name", "middle", (from.x+to.x)/2, (from.y+to.y)/2-5, strconv.Itoa(i+1)+".")
			}
		}
	}
	proud := positions(b.Heights.Proud)
	for _, s := range b.Arrangement {
		o, on := spots[s.Position]
		if !on || s.From == s.Position && !proud[s.Position] {
			continue
		}
		if s.From != s.Position {
			p.Disc("trend", o.x, o.y, bit+2.5)
		}
		x, y := around(cx, cy, s.Angle, s.Radius*scale+bit+11)
		if s.Radius < 0.8*outer {
			x, y = around(cx, cy, s.Angle, s.Radius*scale-bit-11)
		}
		if arrows || proud[s.Position] {
			p.Within("name", x, y+4, short(s.Position))
		}
	}
}

// stand draws the bits as they stand now.
func (b balanced) stand(p *chart.Pen, spots map[string]spot, bit float64) {
	proud, low := positions(b.Heights.Proud), positions(b.Heights.Low)
	for i, now := range b.Balance.List.Ring.Bits {
		name := b.Balance.List.Ring.Places[i].Name
		o, on := spots[name]
		switch {
		case !on:
		case proud[name]:
			p.Mark(2, o.x, o.y, bit*1.25)
		case now.Mass == 0:
			p.Cross("due", o.x, o.y, bit*0.8)
		case low[name]:
			p.Mark(4, o.x, o.y, bit*0.8)
		case now.New:
			p.Rect("mark m3", o.x-bit*0.85, o.y-bit*0.85, bit*1.7, bit*1.7)
		default:
			p.Disc("mark", o.x, o.y, bit)
		}
	}
}

// sense says where angles begin and which way they run.
func (b balanced) sense(p *chart.Pen, cx, cy, r float64) {
	p.Line("base", cx+r, cy, cx+r+7, cy)
	p.Text("tick", "start", cx+r+9, cy+4, "0°")
	var arc [][2]float64
	for d := 4.0; d <= 16; d += 2 {
		x, y := around(cx, cy, d, r+12)
		arc = append(arc, [2]float64{x, y})
	}
	p.Run("base", arc, false)
	last := arc[len(arc)-1]
	tip(p, "base", arc[len(arc)-3][0], arc[len(arc)-3][1], last[0], last[1])
}

// vectors draws the unbalance before and after, towards the heavy side.
func (b balanced) vectors(p *chart.Pen, cx, cy, r float64) {
	before, after := b.Vectors()
	reach := 1.08 * math.Max(math.Max(before.Size(), after.Size()+b.Guard), b.Permissible)
	scale := r / reach
	p.Line("grid", cx-r, cy, cx+r, cy)
	p.Line("grid", cx, cy-r, cx, cy+r)
	p.Text("tick", "start", cx+r+3, cy+4, "0°")
	p.Disc("limit", cx, cy, b.Permissible*scale)
	to := func(v disc.Vector) (x, y float64) { return cx + v.X*scale, cy - v.Y*scale }
	x, y := to(after)
	p.Disc("band", x, y, math.Max(b.Guard*scale, 1.5))
	if len(b.Swaps) > 0 {
		bx, by := to(before)
		p.Line("trend second", cx, cy, bx, by)
		tip(p, "trend second", cx, cy, bx, by)
		p.Block(bx, by, 4)
		p.Label("label", bx, by, b.Say("disc.before-short"), false)
	}
	p.Line("trend", cx, cy, x, y)
	tip(p, "trend", cx, cy, x, y)
	p.Disc("mark m0", x, y, 2.6)
	p.Block(x, y, 4)
	word := "disc.after-short"
	if len(b.Swaps) == 0 {
		word = "disc.now"
	}
	p.Label("label", x, y, b.Say(word), false)
	p.Within("tick", cx, cy+r+16, b.Say("disc.circle", "permissible", b.gmm(b.Permissible)))
}

// both draws an arrow with two tips, so much shorter at each end.
func both(p *chart.Pen, x0, y0, x1, y1, less float64) {
	long := math.Hypot(x1-x0, y1-y0)
	if long < 2*less {
		return
	}
	dx, dy := (x1-x0)/long*less, (y1-y0)/long*less
	x0, y0, x1, y1 = x0+dx, y0+dy, x1-dx, y1-dy
	p.Line("trend", x0, y0, x1, y1)
	tip(p, "trend", x0, y0, x1, y1)
	tip(p, "trend", x1, y1, x0, y0)
}

// tip draws the head of an arrow that comes from a place.
func tip(p *chart.Pen, class string, x0, y0, x1, y1 float64) {
	long := math.Hypot(x1-x0, y1-y0)
	if long < 4 {
		return
	}
	dx, dy := (x1-x0)/long, (y1-y0)/long
	p.Line(class, x1, y1, x1-7*dx-3.5*dy, y1-7*dy+3.5*dx)
	p.Line(class, x1, y1, x1-7*dx+3.5*dy, y1-7*dy-3.5*dx)
}

func positions(list []answers.Off) map[string]bool {
	set := map[string]bool{}
	for _, o := range list {
		set[o.Position] = true
	}
	return set
}
