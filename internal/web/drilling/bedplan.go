package drilling

import (
	"math"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
)

// bedPlan is a view of a bed on a chart: the whole bed or one piece, from above or from below.
type bedPlan struct {
	*chart.Pen
	p       pattern.Pattern
	view    drawing.View
	x, y    float64 // px of the view's own origin
	scale   float64 // px a mm
	upright bool    // the table's length runs down the picture: on a telephone
}

// The room around the stone, px, and how high a picture grows.
const (
	beside  = 16.0
	over    = 26.0
	under   = 24.0
	highest = 560.0
)

// newBedPlan opens a chart in which the bed, and what else it is as large as, has room; below is left free under it. A whole bed is turned upright where the chart is narrow.
func newBedPlan(width, below float64, title string, v drawing.View, beds ...pattern.Pattern) *bedPlan {
	b := &bedPlan{p: beds[0], view: v, upright: v.Piece < 0 && width < 500}
	u0, w0, u1, w1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range beds {
		for i, piece := range p.Pieces {
			if v.Shows(i) {
				low, high := v.Contour(p, piece.Outline).Bounds()
				u0, w0, u1, w1 = min(u0, low.X), min(w0, low.Y), max(u1, high.X), max(w1, high.Y)
			}
		}
	}
	wide, high := u1-u0, w1-w0
	if b.upright {
		wide, high = high, wide
	}
	b.scale = min((width-2*beside)/wide, highest/high)
	b.Pen = chart.New(width, over+high*b.scale+under+below, title)
	left := (width - wide*b.scale) / 2
	if b.upright {
		b.x, b.y = left-w0*b.scale, over-u0*b.scale
	} else {
		b.x, b.y = left-u0*b.scale, over+w1*b.scale
	}
	return b
}

// on is the place on the chart of a place in the bed frame.
func (b *bedPlan) on(q shape.Point) (x, y float64) { return b.px(b.view.At(b.p, q)) }

func (b *bedPlan) px(u, w float64) (x, y float64) {
	if b.upright {
		return b.x + w*b.scale, b.y + u*b.scale
	}
	return b.x + u*b.scale, b.y - w*b.scale
}

// along turns a step in the bed frame into one on the chart, px for mm.
func (b *bedPlan) along(dx, dy float64) (x, y float64) {
	if b.view.Face == pattern.Bottom {
		dx = -dx
	}
	if b.upright {
		return dy, dx
	}
	return dx, -dy
}

// bottom is where the stone ends below, with the words under it.
func (b *bedPlan) bottom(below float64) float64 { return b.Height - below }

// stone draws the pieces as they are cut; classes are of the stone and of what is cut out of it.
func (b *bedPlan) stone(p pattern.Pattern, class, opening string) {
	for i, piece := range p.Pieces {
		if !b.view.Shows(i) {
			continue
		}
		b.contour(class, p, piece.Outline)
		for _, o := range piece.Openings {
			b.contour(opening, p, o)
		}
	}
}

// contour draws a closed contour with chords that no eye can tell from the arc.
func (b *bedPlan) contour(class string, p pattern.Pattern, c shape.Contour) {
	var places [][2]float64
	for _, q := range b.view.Contour(p, c).Polygon(0.2 / b.scale) {
		x, y := b.px(q.X, q.Y)
		places = append(places, [2]float64{x, y})
	}
	b.Run(class, places, true)
}

// hole draws a hole in its size, at least large enough to be seen, with its counterbore; dashed, or grey where dashes would not be seen, what lies on the other face.
func (b *bedPlan) hole(h pattern.Hole, class string) {
	const dashes = 5.0 // px of a radius at which dashes are seen
	x, y := b.on(shape.Point{X: h.X, Y: h.Y})
	hidden := func(r float64) string {
		if r < dashes {
			return "tie"
		}
		return "later"
	}
	if c := h.Counter; c != nil && c.Diameter*b.scale/2 > 2.5 {
		ring, r := "tie", c.Diameter*b.scale/2
		if c.From != b.view.Face {
			ring = hidden(r)
		}
		b.Disc(ring, x, y, r)
	}
	r := max(h.Diameter*b.scale/2, 1.6)
	if !h.Through() && h.From != b.view.Face {
		class = hidden(r)
	}
	b.Disc(class, x, y, r)
}

// ends names head and foot at the ends of the bed, and the pieces in their middles.
func (b *bedPlan) ends(w tongue.Words, below float64) {
	first, last := "head", "foot"
	if b.view.Face == pattern.Bottom {
		first, last = last, first
	}
	if b.upright {
		b.Within("tick", b.Width/2, 16, w.Word("place", first))
		b.Within("tick", b.Width/2, b.bottom(below)-8, w.Word("place", last))
		return
	}
	b.Text("tick", "start", beside, 16, w.Word("place", first))
	b.Text("tick", "end", b.Width-beside, 16, w.Word("place", last))
}

// names sets the names of the pieces into their middles.
func (b *bedPlan) names(w tongue.Words) {
	for i, piece := range b.p.Pieces {
		if b.view.Shows(i) {
			x, y := b.on(piece.Middle)
			b.Text("name", "middle", x, y+4, chart.Short(pieceName(w, piece.Name), int(max(6, (piece.To-piece.From)*b.scale/7))))
		}
	}
}

// pieceName is the name of a piece as its reader says it, where it is one of the usual ones.
func pieceName(w tongue.Words, name string) string { return w.Word("place", name) }

// key sets signs with their words in rows below the picture, from a height on, and returns where the next row begins.
func (b *bedPlan) key(y float64, signs []sign) float64 {
	x := beside
	for _, s := range signs {
		words := chart.Words("start", x+18, y, s.words)
		if words.X1 > b.Width-4 && x > beside {
			x, y = beside, y+18
			words = chart.Words("start", x+18, y, s.words)
		}
		s.draw(x+7, y-4)
		b.Text("tick", "start", x+18, y, s.words)
		x = words.X1 + 16
	}
	return y + 18
}

// sign is a mark with its words.
type sign struct {
	words string
	draw  func(x, y float64)
}

// keyHigh is how high a key grows at most in a chart of a width.
func keyHigh(width float64, words ...string) float64 {
	rows, x := 1.0, beside
	for _, s := range words {
		end := chart.Words("start", x+18, 0, s).X1
		if end > width-4 && x > beside {
			rows++
			end = chart.Words("start", beside+18, 0, s).X1
		}
		x = end + 16
	}
	return 18 * rows
}

// arrow draws an arrow from a place by a step, px.
func (b *bedPlan) arrow(class string, x, y, dx, dy float64) {
	b.Line(class, x, y, x+dx, y+dy)
	long := math.Hypot(dx, dy)
	if long < 3 {
		return
	}
	head := min(6, long/2)
	ux, uy := dx/long*head, dy/long*head
	b.Run(class, [][2]float64{{x + dx - ux - uy*0.5, y + dy - uy + ux*0.5}, {x + dx, y + dy}, {x + dx - ux + uy*0.5, y + dy - uy - ux*0.5}}, false)
}
