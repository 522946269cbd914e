package slab

import (
	"fmt"
	"math"
	"slices"
)

// touch is how far shapes may overlap by rounding, mm.
const touch = 1e-6

// span is a run of whole places along a row.
type span struct{ from, to int32 }

// stance is a type as it lies in the frame: its size there, and where it may stand. Rows[y − y0] are the places of its lower left corner.
type stance struct {
	kind    int
	quarter int
	over    bool
	w, h    int
	y0      int
	rows    [][]span
}

// next finds the first place from x on in a row; none when there is none.
func (s *stance) next(x, y int) int {
	if y < s.y0 || y-s.y0 >= len(s.rows) {
		return none
	}
	for _, r := range s.rows[y-s.y0] {
		if int(r.to) >= x {
			return max(x, int(r.from))
		}
	}
	return none
}

const none = math.MaxInt32

// bar is a flaw as strokes in the frame.
type bar struct {
	strokes []stroke
	corners []Point // of an area
	box     box     // with the clearance
	clear   float64
	hull    []Point // points that must lie in a zone, clearance inward, to be hidden
	face    Face
	playing bool
}

func newBar(f Flaw, fr frame) bar {
	p := fr.all(f.Points)
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
	b.box = around(p)
	b.box = box{b.box.x1 - f.Clearance, b.box.y1 - f.Clearance, b.box.x2 + f.Clearance, b.box.y2 + f.Clearance}
	return b
}

// thin gives the places where the slab is thinner than a piece needs, as areas.
func (t *Thickness) thin(need float64) (list []Flaw) {
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
				list = append(list, Flaw{Name: "thin", Area: true, Points: []Point{{x1, y1}, {x2, y1}, {x2, y2}, {x1, y2}}})
				from = -1
			}
		}
	}
	return list
}

// rough is the size of a type with its allowance, up to the grid.
func (t Type) rough() (length, width int) {
	up := func(x float64) int { return int(math.Ceil(x + 2*t.Allowance - touch)) }
	return up(t.Length), up(t.Width)
}

// ground holds what is the same for all stances in a frame.
type ground struct {
	slab    *Slab
	fr      frame
	outline bar
	flaws   []bar
	x0, y0  int // whole mm around the outline
	x1, y1  int
	known   map[string]*stance
}

func newGround(s *Slab, degrees float64) *ground {
	g := &ground{slab: s, fr: newFrame(degrees), known: map[string]*stance{}}
	g.outline = newBar(Flaw{Points: s.Outline, Area: true}, g.fr)
	b := g.outline.box
	g.x0, g.y0 = int(math.Floor(b.x1+touch)), int(math.Floor(b.y1+touch))
	g.x1, g.y1 = int(math.Ceil(b.x2-touch)), int(math.Ceil(b.y2-touch))
	for _, f := range s.Flaws {
		g.flaws = append(g.flaws, newBar(f, g.fr))
	}
	return g
}

// stances lists how a type may lie: by the turns and faces that it allows and by the grain.
func (g *ground) stances(kind int, degrees float64) (list []*stance) {
	t := g.slab.Types[kind]
	overs := []bool{false}
	switch t.Shown {
	case PlaysBottom:
		overs = []bool{true}
	case PlaysEither:
		overs = []bool{false, true}
	}
	for _, over := range overs {
		for q := range 4 {
			if !t.Quarters[q] || !g.slab.lies(t, degrees+90*float64(q)) {
				continue
			}
			if s := g.stance(kind, q, over); s != nil {
				list = append(list, s)
			}
		}
	}
	return list
}

// lies tells whether a type may lie with its length in a direction.
func (s *Slab) lies(t Type, degrees float64) bool {
	if t.Grain == AnyGrain {
		return true
	}
	want := *s.Grain
	if t.Grain == AcrossGrain {
		want += 90
	}
	off := math.Mod(math.Abs(degrees-want), 180)
	return math.Min(off, 180-off) <= t.GrainWithin+1e-9
}

// stance works out where a type may stand one way round. Ways that come to the same are worked out once; a type gets each only once.
func (g *ground) stance(kind, quarter int, over bool) *stance {
	t := g.slab.Types[kind]
	length, width := t.rough()
	w, h := length, width
	if quarter%2 == 1 {
		w, h = h, w
	}
	if w > g.x1-g.x0 || h > g.y1-g.y0 {
		return nil
	}
	zones := make([]Zone, len(t.Zones))
	for i, z := range t.Zones {
		zones[i] = z.laid(t.Allowance, float64(length), float64(width), quarter, over)
	}
	playing := Top
	if over {
		playing = Bottom
	}
	var bars []bar
	var which []int
	for i, f := range g.flaws {
		if !f.playing || t.Shown != PlaysNone && (f.face == Through || f.face == playing) {
			bars, which = append(bars, f), append(which, i)
		}
	}
	key := fmt.Sprint(w, h, zones, which, t.Thickness)
	ownKey := fmt.Sprint(kind, key)
	if g.known[ownKey] != nil {
		return nil // the same as another way of this type
	}
	if g.known[key] == nil {
		if g.slab.Thickness != nil && t.Thickness > 0 {
			for _, f := range g.slab.Thickness.thin(t.Thickness) {
				bars = append(bars, newBar(f, g.fr))
			}
		}
		s := &stance{w: w, h: h, y0: g.y0}
		for y := g.y0; y+h <= g.y1; y++ {
			s.rows = append(s.rows, g.row(y, w, h, bars, zones))
		}
		g.known[key] = s
	}
	s := *g.known[key]
	s.kind, s.quarter, s.over = kind, quarter, over
	g.known[ownKey] = &s
	return &s
}

// overlap joins what is filled to what is around it.
const overlap = 8 * touch

// gap is an open run of forbidden places, as real numbers.
type gap struct{ from, to float64 }

// row finds the whole places in a row: inside the outline and clear of every flaw that is not hidden.
func (g *ground) row(y, w, h int, bars []bar, zones []Zone) []span {
	low, high := float64(y)+touch, float64(y+h)-touch
	width := float64(w)
	forbidden := g.outline.forbids(low, high, width, false)
	for i := range bars {
		b := &bars[i]
		if b.box.y2 <= low || b.box.y1 >= high {
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
		if inside(b.corners, Point{(from+to)/2 + width/2, (low + high) / 2}) == within {
			filled = append(filled, gap{from - overlap, to + overlap})
		}
	}
	return append(list, filled...)
}

// merged sorts gaps and joins those that overlap; gaps that only touch leave the place between them free.
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
		if n := len(out); n > 0 && g.from < out[n-1].to-2*touch {
			out[n-1].to = math.Max(out[n-1].to, g.to)
			continue
		}
		out = append(out, g)
	}
	return out
}

// free lists the whole places between merged gaps that run from −∞ to ∞.
func free(gaps []gap) (list []span) {
	for i := range len(gaps) - 1 {
		from, to := math.Ceil(gaps[i].to-touch), math.Floor(gaps[i+1].from+touch)
		if from <= to {
			list = append(list, span{int32(from), int32(to)})
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
