// Package ground works out where a piece may stand on a slab: for each way that a type may lie in a turned frame, row by row of a grid of 1 mm, the places at
// which it lies inside the outline, clear of every flaw that is not hidden in what is cut away of it, and on stone that is thick enough.
//
// It computes runs of places in closed form, not place by place. It knows nothing of cuts, values or plans.
package ground

import (
	"fmt"
	"math"
	"slices"

	"slatewright/cutting/slab"
	"slatewright/polygon"
)

// Span is a run of whole places along a row.
type Span struct{ From, To int32 }

// Stance is a type as it lies in the frame: its size there, and where it may stand. Rows[y − Y0] are the places of its lower left corner.
type Stance struct {
	Kind    int // type
	Quarter int
	Over    bool
	W, H    int
	Y0      int
	Rows    [][]Span
}

// Next finds the first place from x on in a row; None when there is none.
func (s *Stance) Next(x, y int) int {
	if y < s.Y0 || y-s.Y0 >= len(s.Rows) {
		return None
	}
	for _, r := range s.Rows[y-s.Y0] {
		if int(r.To) >= x {
			return max(x, int(r.From))
		}
	}
	return None
}

// None stands for no place.
const None = math.MaxInt32

// bar is a flaw as strokes in the frame.
type bar struct {
	strokes []stroke
	corners []slab.Point // of an area
	box     slab.Box     // with the clearance
	clear   float64
	hull    []slab.Point // points that must lie in a zone, clearance inward, to be hidden
	face    slab.Face
	playing bool
}

func newBar(f slab.Flaw, fr slab.Frame) bar {
	p := fr.All(f.Points)
	b := bar{clear: f.Clearance, hull: p, face: f.Face, playing: f.Playing}
	for i := range p {
		switch {
		case i+1 < len(p):
			b.strokes = append(b.strokes, stroke{p[i], p[i+1], f.Clearance})
		case f.Area:
			b.strokes = append(b.strokes, stroke{p[i], p[0], f.Clearance})
		case len(p) == 1:
			b.strokes = append(b.strokes, stroke{p[0], p[0], f.Clearance})
		}
	}
	if f.Area {
		b.corners = p
	}
	b.box = slab.Around(p)
	b.box.X1, b.box.Y1 = b.box.X1-f.Clearance, b.box.Y1-f.Clearance
	b.box.X2, b.box.Y2 = b.box.X2+f.Clearance, b.box.Y2+f.Clearance
	return b
}

// thin gives the places where the slab is thinner than a piece needs, as areas.
func thin(t *slab.Thickness, need float64) (list []slab.Flaw) {
	const far = 1e5
	edge := func(x []float64, i int) float64 {
		switch {
		case i <= 0:
			return x[0] - far
		case i > len(x):
			return x[len(x)-1] + far
		}
		return x[i-1]
	}
	at := func(i, j int) float64 {
		return t.T[min(max(j, 0), len(t.Y)-1)][min(max(i, 0), len(t.X)-1)]
	}
	for j := range len(t.Y) + 1 {
		from := -1
		for i := range len(t.X) + 2 {
			isThin := i <= len(t.X) && min(at(i-1, j-1), at(i, j-1), at(i-1, j), at(i, j)) < need
			if isThin && from < 0 {
				from = i
			}
			if !isThin && from >= 0 {
				x1, x2, y1, y2 := edge(t.X, from), edge(t.X, i), edge(t.Y, j), edge(t.Y, j+1)
				list = append(list, slab.Flaw{Name: "thin", Area: true, Points: []slab.Point{{X: x1, Y: y1}, {X: x2, Y: y1}, {X: x2, Y: y2}, {X: x1, Y: y2}}})
				from = -1
			}
		}
	}
	return list
}

// Ground holds what is the same for all stances in a frame.
type Ground struct {
	Slab    *slab.Slab
	Frame   slab.Frame
	outline bar
	flaws   []bar
	X0, Y0  int // whole mm around the outline
	X1, Y1  int
	known   map[string]*Stance
}

// New turns the frame of a slab by degrees.
func New(s *slab.Slab, degrees float64) *Ground {
	g := &Ground{Slab: s, Frame: slab.NewFrame(degrees), known: map[string]*Stance{}}
	g.outline = newBar(slab.Flaw{Points: s.Outline, Area: true}, g.Frame)
	b := g.outline.box
	g.X0, g.Y0 = int(math.Floor(b.X1+slab.Touch)), int(math.Floor(b.Y1+slab.Touch))
	g.X1, g.Y1 = int(math.Ceil(b.X2-slab.Touch)), int(math.Ceil(b.Y2-slab.Touch))
	for _, f := range s.Flaws {
		g.flaws = append(g.flaws, newBar(f, g.Frame))
	}
	return g
}

// Stances lists how a type may lie: by the turns and faces that it allows and by the grain.
func (g *Ground) Stances(kind int, degrees float64) (list []*Stance) {
	t := g.Slab.Types[kind]
	overs := []bool{false}
	switch t.Shown {
	case slab.PlaysBottom:
		overs = []bool{true}
	case slab.PlaysEither:
		overs = []bool{false, true}
	}
	for _, over := range overs {
		for q := range 4 {
			if !t.Quarters[q] || !g.Slab.Lies(t, degrees+90*float64(q)) {
				continue
			}
			if s := g.stance(kind, q, over); s != nil {
				list = append(list, s)
			}
		}
	}
	return list
}

// Stance works out where a type may stand one way round. Ways that come to the same are worked out once; a type gets each only once.
func (g *Ground) stance(kind, quarter int, over bool) *Stance {
	t := g.Slab.Types[kind]
	length, width := t.Rough()
	w, h := length, width
	if quarter%2 == 1 {
		w, h = h, w
	}
	if w > g.X1-g.X0 || h > g.Y1-g.Y0 {
		return nil
	}
	zones := make([]zone, len(t.Zones))
	for i, z := range t.Zones {
		zones[i] = zone(z).laid(t.Allowance, float64(length), float64(width), quarter, over)
	}
	playing := slab.Top
	if over {
		playing = slab.Bottom
	}
	var bars []bar
	var which []int
	for i, f := range g.flaws {
		if !f.playing || t.Shown != slab.PlaysNone && (f.face == slab.Through || f.face == playing) {
			bars, which = append(bars, f), append(which, i)
		}
	}
	key := fmt.Sprint(w, h, zones, which, t.Thickness)
	ownKey := fmt.Sprint(kind, key)
	if g.known[ownKey] != nil {
		return nil // the same as another way of this type
	}
	if g.known[key] == nil {
		if g.Slab.Thickness != nil && t.Thickness > 0 {
			for _, f := range thin(g.Slab.Thickness, t.Thickness) {
				bars = append(bars, newBar(f, g.Frame))
			}
		}
		s := &Stance{W: w, H: h, Y0: g.Y0}
		for y := g.Y0; y+h <= g.Y1; y++ {
			s.Rows = append(s.Rows, g.row(y, w, h, bars, zones))
		}
		g.known[key] = s
	}
	s := *g.known[key]
	s.Kind, s.Quarter, s.Over = kind, quarter, over
	g.known[ownKey] = &s
	return &s
}

// overlap joins what is filled to what is around it.
const overlap = 8 * slab.Touch

// gap is an open run of forbidden places, as real numbers.
type gap struct{ from, to float64 }

// row finds the whole places in a row: inside the outline and clear of every flaw that is not hidden.
func (g *Ground) row(y, w, h int, bars []bar, zones []zone) []Span {
	low, high := float64(y)+slab.Touch, float64(y+h)-slab.Touch
	width := float64(w)
	forbidden := g.outline.forbids(low, high, width, false)
	for i := range bars {
		b := &bars[i]
		if b.box.Y2 <= low || b.box.Y1 >= high {
			continue
		}
		off := b.forbids(low, high, width, true)
		for _, z := range zones {
			if from, to, ok := z.hides(b, float64(y)); ok {
				off = without(off, from, to)
			}
		}
		forbidden = append(forbidden, off...)
	}
	return free(merged(forbidden))
}

// forbids lists the places at which a piece between two heights meets the bar: its strokes, and its inside (or, for the outline, its outside).
func (b *bar) forbids(low, high, width float64, within bool) []gap {
	var list []gap
	for _, s := range b.strokes {
		if left, right, there := s.reach(low, high); there {
			list = append(list, gap{left - width, right})
		}
	}
	if b.corners == nil {
		return list
	}
	list = merged(list)
	if !within && len(list) == 0 {
		return []gap{{math.Inf(-1), math.Inf(1)}}
	}
	var filled []gap
	if !within {
		filled = append(filled, gap{math.Inf(-1), list[0].from + overlap}, gap{list[len(list)-1].to - overlap, math.Inf(1)})
	}
	for i := range len(list) - 1 {
		from, to := list[i].to, list[i+1].from
		if polygon.Inside(b.corners, slab.Point{X: (from+to)/2 + width/2, Y: (low + high) / 2}) == within {
			filled = append(filled, gap{from - overlap, to + overlap})
		}
	}
	return append(list, filled...)
}

// merged sorts gaps and joins those that overlap; gaps that only slab.Touch leave the place between them free.
func merged(list []gap) []gap {
	slices.SortFunc(list, func(a, b gap) int {
		switch {
		case a.from < b.from:
			return -1
		case a.from > b.from:
			return 1
		}
		return 0
	})
	var out []gap
	for _, g := range list {
		if n := len(out); n > 0 && g.from < out[n-1].to-2*slab.Touch {
			out[n-1].to = math.Max(out[n-1].to, g.to)
			continue
		}
		out = append(out, g)
	}
	return out
}

// free lists the whole places between merged gaps that run from −∞ to ∞.
func free(gaps []gap) (list []Span) {
	for i := range len(gaps) - 1 {
		from, to := math.Ceil(gaps[i].to-slab.Touch), math.Floor(gaps[i+1].from+slab.Touch)
		if from <= to {
			list = append(list, Span{int32(from), int32(to)})
		}
	}
	return list
}

// without takes a closed run out of gaps.
func without(gaps []gap, from, to float64) (out []gap) {
	for _, g := range gaps {
		if g.to <= from || g.from >= to {
			out = append(out, g)
			continue
		}
		if g.from < from {
			out = append(out, gap{g.from, from})
		}
		if g.to > to {
			out = append(out, gap{to, g.to})
		}
	}
	return out
}

// Clean works out where nothing is wrong for any piece: the places of a square of 2 mm. A part is clean when every such square in it is.
func (g *Ground) Clean() *Stance {
	var need float64
	for _, t := range g.Slab.Types {
		need = math.Max(need, t.Thickness)
	}
	bars := g.flaws
	if g.Slab.Thickness != nil && need > 0 {
		bars = bars[:len(bars):len(bars)]
		for _, f := range thin(g.Slab.Thickness, need) {
			bars = append(bars, newBar(f, g.Frame))
		}
	}
	s := &Stance{W: 2, H: 2, Y0: g.Y0}
	for y := g.Y0; y+2 <= g.Y1; y++ {
		s.Rows = append(s.Rows, g.row(y, 2, 2, bars, nil))
	}
	return s
}
