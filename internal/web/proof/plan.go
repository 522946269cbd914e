package proof

import (
	"math"
	"strconv"

	"slatewright/internal/picture/chart"
	"slatewright/internal/picture/contour"
	"slatewright/internal/tongue"
)

// plan is the face seen from above: x to the right, y up.
type plan struct {
	*chart.Pen
	w            tongue.Words
	x0, y1       float64 // the left upper corner, mm
	scale        float64 // picture for a mm
	left, top    float64 // of the face in the picture
	right, below float64
}

// Room about the face, and how high it may be drawn.
const (
	margin  = 46.0
	highest = 560.0
	barRoom = 74.0 // for the bar of the answer below
)

// planOf lays places out in a picture so wide, with room below for something else.
func planOf(w tongue.Words, width, room float64, places [][2]float64, title string) *plan {
	x0, x1, y0, y1 := extent(places)
	dx, dy := max(x1-x0, (y1-y0)/8, 1), max(y1-y0, (x1-x0)/8, 1)
	x0, y1 = (x0+x1)/2-dx/2, (y0+y1)/2+dy/2
	scale := min((width-2*margin)/dx, highest/dy)
	p := &plan{w: w, x0: x0, y1: y1, scale: scale, left: (width - scale*dx) / 2, top: margin - 10}
	p.right, p.below = p.left+scale*dx, p.top+scale*dy
	p.Pen = chart.Classed("proven", width, p.below+margin+room, title)
	return p
}

func extent(places [][2]float64) (x0, x1, y0, y1 float64) {
	x0, x1, y0, y1 = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, at := range places {
		x0, x1, y0, y1 = min(x0, at[0]), max(x1, at[0]), min(y0, at[1]), max(y1, at[1])
	}
	return x0, x1, y0, y1
}

func (p *plan) place(at [2]float64) (x, y float64) {
	return p.left + (at[0]-p.x0)*p.scale, p.top + (p.y1-at[1])*p.scale
}

// edges names the edges of a piece: x runs to its foot, y to its right.
func (p *plan) edges() {
	middle := (p.left + p.right) / 2
	p.Text("soft", "middle", middle, p.top-8, p.w.Word("place", "right"))
	p.Text("soft", "middle", middle, p.below+16, p.w.Word("place", "left"))
	p.Text("soft", "start", p.left, p.below+16, p.w.Word("place", "head"))
	p.Text("soft", "end", p.right, p.below+16, p.w.Word("place", "foot"))
}

// axes draws the directions of x and y, and a length to go by.
func (p *plan) axes() {
	x, y := 12.0, p.below+26
	p.Line("thin", x, y, x+30, y)
	p.Run("tip", [][2]float64{{x + 30, y - 3}, {x + 37, y}, {x + 30, y + 3}}, true)
	p.Line("thin", x, y, x, y-30)
	p.Run("tip", [][2]float64{{x - 3, y - 30}, {x, y - 37}, {x + 3, y - 30}}, true)
	p.Text("soft", "start", x+41, y+4, "x")
	p.Text("soft", "middle", x, y-41, "y")
	long := roundLength(p.w, 0.4*(p.right-p.left)/p.scale)
	to := p.Width - 12
	from := to - long*p.scale
	p.Run("thin", [][2]float64{{from, y - 5}, {from, y}, {to, y}, {to, y - 5}}, false)
	p.Text("soft", "end", to, y+14, p.w.Size(long))
}

// roundLength is the largest round length within one, mm: round as the reader's units are.
func roundLength(w tongue.Words, most float64) float64 {
	unit := 1.0
	if w.Units() == tongue.Inch {
		unit = 25.4
	}
	base := unit * math.Pow(10, math.Floor(math.Log10(most/unit)))
	best := base
	for _, k := range []float64{2, 5} {
		if base*k <= most {
			best = base * k
		}
	}
	return best
}

// bar draws the answer below the face: the value with its interval on an axis from 0, and what lies beyond the limit hatched. What is not
// known is NaN.
func (p *plan) bar(low, value, high float64, limit *float64) {
	far := 0.0
	for _, mm := range []float64{low, value, high} {
		if !math.IsNaN(mm) && !math.IsInf(mm, 0) {
			far = max(far, mm)
		}
	}
	if limit != nil {
		far = max(far, *limit)
	}
	if far <= 0 {
		return
	}
	x0, x1, y := 12.0, p.Width-12, p.Height-34
	at := func(mm float64) float64 { return x0 + min(mm/(1.18*far), 1)*(x1-x0) }
	const half = 8.0
	if limit != nil {
		for x := at(*limit) + 6; x < x1+half; x += 7 {
			p.Line("beyond", max(x-half, at(*limit)), y+half, min(x+half, x1), y-half)
		}
	}
	p.Line("thin", x0, y, x1, y)
	p.Line("thin", x0, y-4, x0, y+4)
	p.Text("soft", "middle", x0+3, y+26, p.w.Number(0, 0))
	end := high
	if math.IsInf(high, 1) {
		end = far * 2
	}
	if !math.IsNaN(low) {
		p.Rect("doubt", at(low), y-half, max(2, at(end)-at(low)), 2*half)
		p.under("end", at(low)+6, y+26, p.w.Length(low))
		if !math.IsInf(high, 1) {
			p.under("start", max(at(high)-6, at(low)+14), y+26, p.w.Length(high))
		}
	}
	if !math.IsNaN(value) {
		p.Line("value", at(value), y-half-3, at(value), y+half+3)
		if math.IsNaN(low) {
			p.under("middle", at(value), y+26, p.w.Length(value))
		}
	}
	if limit != nil {
		p.Line("limit", at(*limit), y-half-8, at(*limit), y+half+8)
		words := p.w.Say("proof.limit-at", "limit_mm", *limit)
		p.Within("strong", at(*limit), y-half-13, words)
	}
}

// under sets a figure below the bar, kept within the picture.
func (p *plan) under(anchor string, x, y float64, words string) {
	b := chart.Words(anchor, x, y, words)
	x += max(0, 22-b.X0) - max(0, b.X1-p.Width+2)
	p.Text("", anchor, x, y, words)
}

// contours draws the height lines of many stations, with their figures on them.
func (p *plan) contours(places [][2]float64, z []float64) {
	var pts contour.Points
	for i, at := range places {
		pts.X, pts.Y, pts.Z = append(pts.X, at[0]), append(pts.Y, at[1]), append(pts.Z, z[i])
	}
	mesh, err := contour.Interpolate(pts, max(p.right-p.left, p.below-p.top)/p.scale/60)
	if err != nil { // stations on one line have no contours
		return
	}
	low, high := mesh.Range()
	levels, _ := contour.Levels(low, high, 8)
	for _, level := range levels {
		class := "height"
		if level < 0 {
			class += " under"
		}
		for _, l := range mesh.Lines(level) {
			var run [][2]float64
			for _, q := range l.P {
				x, y := p.place([2]float64{q.X, q.Y})
				run = append(run, [2]float64{x, y})
			}
			p.Run(class, run, l.Closed)
			if len(run) > 12 {
				q := run[len(run)/2]
				p.Label("fine", q[0], q[1], small(p.w, level), false)
			}
		}
	}
}

// small writes a height with its sign, in µm or thou, without the unit.
func small(w tongue.Words, mm float64) string {
	if w.Units() == tongue.Inch {
		return w.Signed(mm/0.0254, 2)
	}
	return w.Signed(mm*1000, 1)
}

// smallUnit is the unit of small.
func smallUnit(w tongue.Words) string {
	if w.Units() == tongue.Inch {
		return "thou"
	}
	return "µm"
}

// rows lists lines of a file, the first few.
func rows(w tongue.Words, list []int) string {
	var words []string
	for i, r := range list {
		if i == 8 {
			words = append(words, "…")
			break
		}
		words = append(words, strconv.Itoa(r))
	}
	return w.List(words...)
}
