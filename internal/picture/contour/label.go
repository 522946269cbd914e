package contour

import (
	"math"
	"sort"
)

// Label is a height set into its line: the words lie in Box, and the line is left out between From and To, measured along it
// in mm of paper.
type Label struct {
	Box
	From, To float64
}

// Placer finds places for labels. It works in mm of paper, y down.
//
//  1. No two labels overlap, and none overlaps a blocked box.
//  2. A label lies inside the bounds, turned along its line and never upside down.
//  3. No other line runs through a label, and its own line passes once, bending less than a fraction of the words' height.
type Placer struct {
	bounds Box
	taken  []Box
	lines  []Line
}

// NewPlacer returns a placer for labels within bounds that keeps them off all of the given lines.
func NewPlacer(bounds Box, lines []Line) *Placer { return &Placer{bounds: bounds, lines: lines} }

// Block keeps labels out of the box.
func (p *Placer) Block(b Box) { p.taken = append(p.taken, b) }

// Free says whether words could stand in the box: inside the bounds and clear of everything taken and of all lines.
func (p *Placer) Free(b Box) bool { return p.clear(b, -1) }

const (
	labelStep  = 0.8  // mm of paper between the places tried along a line
	labelApart = 45.0 // mm of paper at least between two labels of one line
	labelEvery = 90.0 // mm of paper of line for each further label
	labelPad   = 0.8  // mm of paper left free at each end of the words
	labelBend  = 0.22 // of the words' height that the line may bend beneath them
)

// Along places labels of w by h on line number i of the placer: none when no place is clear, more than one on a long line.
// Straight and level stretches are taken first.
func (p *Placer) Along(i int, w, h float64) []Label {
	r := newRuler(p.lines[i])
	want := 1 + int(r.length/labelEvery)
	var out []Label
	for _, c := range p.candidates(r, w, h) {
		if len(out) == want {
			break
		}
		if apart(out, c.label, r) && !r.returns(c.label) && p.clear(c.label.Box.Grown(labelPad/2), i) {
			out = append(out, c.label)
			p.Block(c.label.Box.Grown(labelPad))
		}
	}
	return out
}

type candidate struct {
	label Label
	score float64
}

// candidates lists the places along a line that are straight enough, best first.
func (p *Placer) candidates(r ruler, w, h float64) []candidate {
	half := w/2 + labelPad
	first, last := half, r.length-half
	if r.closed {
		first, last = 0, r.length-labelStep/2
	}
	var out []candidate
	for s := first; s <= last && r.length > 2.5*w; s += labelStep {
		a, b := r.at(s-half), r.at(s+half)
		bend := r.bend(s-half, s+half, a, b)
		if bend > labelBend*h {
			continue
		}
		angle := upright(math.Atan2(b.Y-a.Y, b.X-a.X))
		box := Box{At: Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}, W: w, H: h, Angle: angle}
		out = append(out, candidate{Label{box, s - half, s + half}, bend/h + 0.2*math.Abs(angle)})
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].score < out[b].score })
	return out
}

// upright turns an angle by half a turn where words along it would stand on their head.
func upright(a float64) float64 {
	switch {
	case a > math.Pi/2:
		return a - math.Pi
	case a <= -math.Pi/2:
		return a + math.Pi
	}
	return a
}

func apart(placed []Label, l Label, r ruler) bool {
	for _, o := range placed {
		d := math.Abs(l.From - o.From)
		if r.closed {
			d = math.Min(d, r.length-d)
		}
		if d < labelApart {
			return false
		}
	}
	return true
}

// clear says whether the box is inside the bounds and free of labels, blocks and lines other than number own.
func (p *Placer) clear(b Box, own int) bool {
	if !b.within(p.bounds) {
		return false
	}
	for _, o := range p.taken {
		if b.Overlaps(o) {
			return false
		}
	}
	for i, l := range p.lines {
		if i == own {
			continue
		}
		for k := range l.sides() {
			if a, c := l.side(k); b.Crosses(a, c) {
				return false
			}
		}
	}
	return true
}

// Cut returns what remains of a line when the stretches beneath its labels are left out.
func Cut(l Line, labels []Label) []Line {
	if len(labels) == 0 {
		return []Line{l}
	}
	r := newRuler(l)
	gaps := make([][2]float64, 0, len(labels))
	for _, g := range labels {
		from := g.From
		if r.closed && from < 0 {
			from += r.length
		}
		gaps = append(gaps, [2]float64{from, from + g.To - g.From})
	}
	sort.Slice(gaps, func(a, b int) bool { return gaps[a][0] < gaps[b][0] })
	var out []Line
	if !r.closed {
		out = append(out, r.part(0, gaps[0][0]))
	}
	for i, g := range gaps {
		end := r.length
		switch {
		case i+1 < len(gaps):
			end = gaps[i+1][0]
		case r.closed:
			end = r.length + gaps[0][0]
		}
		out = append(out, r.part(g[1], end))
	}
	return shapes(out)
}

// ruler measures along a line; on a closed line it goes round.
type ruler struct {
	p      []Point // with the first point repeated at the end of a closed line
	s      []float64
	length float64
	closed bool
}

func newRuler(l Line) ruler {
	r := ruler{p: l.P, closed: l.Closed}
	if l.Closed {
		r.p = append(append(make([]Point, 0, len(l.P)+1), l.P...), l.P[0])
	}
	r.s = make([]float64, len(r.p))
	for i := 1; i < len(r.p); i++ {
		r.s[i] = r.s[i-1] + dist(r.p[i-1], r.p[i])
	}
	r.length = r.s[len(r.s)-1]
	return r
}

func (r ruler) wrap(s float64) float64 {
	if !r.closed {
		return math.Max(0, math.Min(r.length, s))
	}
	s = math.Mod(s, r.length)
	if s < 0 {
		s += r.length
	}
	return s
}

func (r ruler) at(s float64) Point {
	s = r.wrap(s)
	i := bracket(r.s, s)
	d := r.s[i+1] - r.s[i]
	if d == 0 {
		return r.p[i]
	}
	t := (s - r.s[i]) / d
	return Point{r.p[i].X + t*(r.p[i+1].X-r.p[i].X), r.p[i].Y + t*(r.p[i+1].Y-r.p[i].Y)}
}

// bend is the largest distance of the stretch from its chord a–b.
func (r ruler) bend(from, to float64, a, b Point) float64 {
	const looks = 9
	var worst float64
	for k := 1; k < looks; k++ {
		q := r.at(from + (to-from)*float64(k)/looks)
		worst = math.Max(worst, fromSide(q, a, b))
	}
	return worst
}

// part returns the stretch between two places, to ≥ from; on a closed line to may go past the length.
func (r ruler) part(from, to float64) Line {
	var l Line
	if to <= from {
		return l
	}
	l.P = append(l.P, r.at(from))
	for lap := 0.0; lap <= to; lap += r.length {
		for i, s := range r.s {
			if s+lap > from && s+lap < to && !(r.closed && i == 0 && lap > 0) {
				l.P = append(l.P, r.p[i])
			}
		}
		if !r.closed {
			break
		}
	}
	l.P = append(l.P, r.at(to))
	return l
}

// returns says whether the line comes back through the label's box somewhere else along its way.
func (r ruler) returns(l Label) bool {
	for i := 1; i < len(r.p); i++ {
		beneath := false
		for _, lap := range [3]float64{-r.length, 0, r.length} {
			beneath = beneath || (lap == 0 || r.closed) && r.s[i]+lap > l.From && r.s[i-1]+lap < l.To
		}
		if !beneath && l.Box.Crosses(r.p[i-1], r.p[i]) {
			return true
		}
	}
	return false
}
