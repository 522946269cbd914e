// Package sawing turns a plan of cuts into what is done at the saw, row by row: which part lies there, how the saw is set, where it enters and leaves the stone,
// and what falls on either side.
//
// It finds no plan and changes none, and gives no feed, speed or depth: how a saw is run is its maker's and the mill's affair. slab/check says
// whether a plan holds; here it is followed by the parts of stone once more, and what does not follow is refused.
package sawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slatewright/cutting/slab"
	"slatewright/polygon"
	"slatewright/trouble"
)

// Side is an edge of a part, as the slab is drawn in the saw's frame: along is to the right, across is up.
type Side int

// The sides.
const (
	Left Side = iota
	Right
	Lower
	Upper
)

// Use is what becomes of a part.
type Use int

// The uses.
const (
	Cut    Use = iota // it is cut again
	Kept              // it is a piece
	Offcut            // stone that becomes no piece of this plan
	Air               // no stone at all
)

// Part is a part of the slab between cuts: a rectangle in the frame, from its lower left corner, mm. Where the slab's own edge runs through it, it is less.
type Part struct {
	Name           string // of what is cut: A, B, C …; of a piece its number; otherwise empty
	X1, Y1, X2, Y2 float64
	Use            Use
	Piece          int     // of the plan; −1
	Stone          float64 // of the rectangle, mm²
	sawn           [4]bool
}

// Row is one way of the saw.
type Row struct {
	Number  int
	Part    *Part   // what lies on the saw
	Along   bool    // along the frame
	Angle   float64 // of the cut on the slab, degrees from its x axis
	Turn    bool    // by a quarter against the cut before
	Setting float64 // of the middle of the kerf, from the lower or left end of the slab in the frame, mm
	Fence   float64 // from an edge of the part to the near side of the kerf, mm
	From    Side    // that edge
	Sawn    bool    // it was sawn before; otherwise it is the slab's own edge, and Fence is from the farthest stone
	A, B    slab.Point
	In, Out slab.Point // where the middle of the kerf meets stone first and last, from A to B; A and B where it does not
	Length  float64    // of stone that is sawn through, mm; 0: none lies there, and the cut need not be made
	Low     *Part      // at the lower or left side; nil: less than the kerf is left there
	High    *Part
}

// Order is a plan in rows.
type Order struct {
	Rows    []Row
	Pieces  []*Part // by the number of the plan's piece
	Offcuts []*Part // of stone, the largest first
	Length  float64 // of stone that is sawn through, mm
}

const near = 1e-5 // mm, of rounding

// follower is an order in the making.
type follower struct {
	s     *slab.Slab
	p     *slab.Plan
	frame slab.Frame
	rim   []slab.Point // outline in the frame, from its lower left corner
	open  []*Part
	made  []*Part
	names int
	out   *Order
}

// Of follows a plan. One without pieces has no rows: the slab stays whole. A plan that does not hold is our own fault.
func Of(s *slab.Slab, p *slab.Plan) (*Order, error) {
	if len(p.Pieces) == 0 {
		return &Order{}, nil
	}
	f := &follower{s: s, p: p, frame: slab.NewFrame(p.Angle), out: &Order{Pieces: make([]*Part, len(p.Pieces))}}
	for _, q := range f.frame.All(s.Outline) {
		f.rim = append(f.rim, slab.Point{X: q.X - p.Corner.X, Y: q.Y - p.Corner.Y})
	}
	f.open = []*Part{{X2: p.Size.X, Y2: p.Size.Y, Piece: -1}}
	for i, c := range p.Cuts {
		if err := f.cut(i, c); err != nil {
			return nil, err
		}
	}
	return f.out, f.name()
}

func (f *follower) fault(format string, args ...any) error {
	return trouble.Own("bad-plan", f.s.Name, fmt.Sprintf(format, args...), "please report it with the slab")
}

func same(a, b float64) bool { return math.Abs(a-b) < near }

// in is a place of the slab in the frame, from its lower left corner.
func (f *follower) in(p slab.Point) slab.Point {
	q := f.frame.In(p)
	return slab.Point{X: q.X - f.p.Corner.X, Y: q.Y - f.p.Corner.Y}
}

// on is the other way.
func (f *follower) on(p slab.Point) slab.Point {
	return f.frame.Out(slab.Point{X: p.X + f.p.Corner.X, Y: p.Y + f.p.Corner.Y})
}

// cut finds the part that a cut runs through, the last one first, and divides it.
func (f *follower) cut(i int, c slab.Cut) error {
	a, b := f.in(c.A), f.in(c.B)
	half := f.p.Kerf / 2
	for k := len(f.open) - 1; k >= 0; k-- {
		part := f.open[k]
		through := same(min(a.X, b.X), part.X1) && same(max(a.X, b.X), part.X2) && a.Y+half > part.Y1-near && a.Y-half < part.Y2+near && same(a.Y, b.Y)
		if !c.Along {
			through = same(min(a.Y, b.Y), part.Y1) && same(max(a.Y, b.Y), part.Y2) && a.X+half > part.X1-near && a.X-half < part.X2+near && same(a.X, b.X)
		}
		if through {
			f.open = slices.Delete(f.open, k, k+1)
			f.divide(i, c, part)
			return nil
		}
	}
	return f.fault("cut %d runs through no part from edge to edge", i+1)
}

// divide cuts a part and writes the row.
func (f *follower) divide(i int, c slab.Cut, part *Part) {
	half := f.p.Kerf / 2
	at := f.in(c.A).Y
	low, high, kerf := *part, *part, *part
	if c.Along {
		low.Y2, high.Y1, kerf.Y1, kerf.Y2 = at-half, at+half, max(part.Y1, at-half), min(part.Y2, at+half)
		low.sawn[Upper], high.sawn[Lower] = true, true
	} else {
		at = f.in(c.A).X
		low.X2, high.X1, kerf.X1, kerf.X2 = at-half, at+half, max(part.X1, at-half), min(part.X2, at+half)
		low.sawn[Right], high.sawn[Left] = true, true
	}
	r := Row{Number: i + 1, Part: part, Along: c.Along, Angle: f.p.Angle, Setting: at, A: c.A, B: c.B, In: c.A, Out: c.B}
	if !c.Along {
		r.Angle += 90
	}
	if i > 0 {
		r.Turn = f.p.Cuts[i-1].Along != c.Along
	}
	for _, half := range []struct {
		part Part
		to   **Part
	}{{high, &r.High}, {low, &r.Low}} {
		if q := half.part; q.X2-q.X1 > near && q.Y2-q.Y1 > near {
			*half.to = &q
			f.open, f.made = append(f.open, &q), append(f.made, &q)
		}
	}
	f.meets(&r, kerf)
	f.out.Rows = append(f.out.Rows, r)
	f.out.Length += r.Length
}

// meets finds where a cut runs through stone.
func (f *follower) meets(r *Row, kerf Part) {
	wide := kerf.Y2 - kerf.Y1
	if !r.Along {
		wide = kerf.X2 - kerf.X1
	}
	a, b := f.in(r.A), f.in(r.B)
	spans := within(f.rim, a, b)
	if wide > near {
		r.Length = f.stone(kerf) / wide
	} else {
		for _, s := range spans {
			r.Length += s[1] - s[0]
		}
	}
	if r.Length < 0.1 {
		r.Length = 0
		return
	}
	if len(spans) > 0 {
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		point := func(t float64) slab.Point {
			return f.on(slab.Point{X: a.X + (b.X-a.X)*t/long, Y: a.Y + (b.Y-a.Y)*t/long})
		}
		r.In, r.Out = point(spans[0][0]), point(spans[len(spans)-1][1])
	}
}

// within are the stretches of the way from a to b that lie inside corners, as lengths from a, in order.
func within(rim []slab.Point, a, b slab.Point) (spans [][2]float64) {
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	if !(long > near) {
		return nil
	}
	ux, uy := (b.X-a.X)/long, (b.Y-a.Y)/long
	at := []float64{0, long}
	for i, p := range rim {
		q := rim[(i+1)%len(rim)]
		sp, sq := ux*(p.Y-a.Y)-uy*(p.X-a.X), ux*(q.Y-a.Y)-uy*(q.X-a.X)
		if (sp > 0) == (sq > 0) {
			continue
		}
		w := sp / (sp - sq)
		if t := ux*(p.X+w*(q.X-p.X)-a.X) + uy*(p.Y+w*(q.Y-p.Y)-a.Y); t > 0 && t < long {
			at = append(at, t)
		}
	}
	slices.Sort(at)
	for i := 1; i < len(at); i++ {
		middle := (at[i-1] + at[i]) / 2
		if at[i]-at[i-1] > near && polygon.Inside(rim, slab.Point{X: a.X + ux*middle, Y: a.Y + uy*middle}) {
			if n := len(spans); n > 0 && same(spans[n-1][1], at[i-1]) {
				spans[n-1][1] = at[i]
			} else {
				spans = append(spans, [2]float64{at[i-1], at[i]})
			}
		}
	}
	return spans
}

// stone is how much of a rectangle is stone, mm².
func (f *follower) stone(r Part) float64 {
	return math.Abs(polygon.Area(polygon.ClipBox(f.rim, slab.Point{X: r.X1, Y: r.Y1}, slab.Point{X: r.X2, Y: r.Y2})))
}

// name tells what becomes of each part, and gives names in the order of the rows.
func (f *follower) name() error {
	for i, q := range f.p.Pieces {
		at := f.in(q.At)
		k := slices.IndexFunc(f.open, func(s *Part) bool {
			return s.Use == Cut && same(s.X1, at.X) && same(s.Y1, at.Y) && same(s.X2, at.X+q.Along) && same(s.Y2, at.Y+q.Across)
		})
		if k < 0 {
			return f.fault("piece %d is not what the cuts leave", i+1)
		}
		f.open[k].Use, f.open[k].Piece, f.out.Pieces[i] = Kept, i, f.open[k]
	}
	for _, p := range f.open {
		if p.Stone = f.stone(*p); p.Use == Kept {
			continue
		}
		if p.Use = Offcut; p.Stone < 1 {
			p.Use = Air
			continue
		}
		f.out.Offcuts = append(f.out.Offcuts, p)
	}
	slices.SortStableFunc(f.out.Offcuts, func(a, b *Part) int { return cmp.Compare(b.Stone, a.Stone) })
	pieces := 0
	for i := range f.out.Rows {
		r := &f.out.Rows[i]
		if r.Part.Name == "" {
			r.Part.Name, r.Part.Stone = letters(f.names), f.stone(*r.Part)
			f.names++
		}
		for _, p := range []*Part{r.Low, r.High} {
			switch {
			case p == nil:
			case p.Use == Kept:
				pieces++
				p.Name = fmt.Sprint(pieces)
			case p.Use == Cut:
				p.Name, p.Stone = letters(f.names), f.stone(*p)
				f.names++
			}
		}
	}
	for i := range f.out.Rows {
		f.fence(&f.out.Rows[i])
	}
	return nil
}

// letters are A to Z, then AA, AB …
func letters(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// fence chooses the edge from which a cut is set: one that was sawn, if there is one, and at the side of what is kept.
func (f *follower) fence(r *Row) {
	low, high := Left, Right
	if r.Along {
		low, high = Lower, Upper
	}
	kept := func(p *Part) bool { return p != nil && p.Use == Kept }
	r.From = low
	switch a, b := r.Part.sawn[low], r.Part.sawn[high]; {
	case a != b:
		if b {
			r.From = high
		}
	case r.Low == nil, kept(r.High) && !kept(r.Low):
		if r.High != nil {
			r.From = high
		}
	}
	r.Sawn = r.Part.sawn[r.From]
	half := f.p.Kerf / 2
	from, to := r.Part.X1, r.Part.X2
	if r.Along {
		from, to = r.Part.Y1, r.Part.Y2
	}
	if r.From == low {
		r.Fence = r.Setting - half - from
	} else {
		r.Fence = to - r.Setting - half
	}
	r.Fence = max(r.Fence, 0)
}
