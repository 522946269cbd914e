package layer

import (
	"cmp"
	"math"
	"slices"
)

// Block is a block of a plan.
type Block struct {
	Size          int      // index
	Turned        bool     // it lies across the grid's own direction
	Corners       [4]Point // from the corner nearest the start of its run, around
	Length, Width float64  // along the run and across it
	Run           int
	Chance        float64 // to be whole
}

// Cut is one cut of the saw, in the order in which they are made: the runs first, then the cross cuts of each.
type Cut struct {
	From, To Point
	Run      int  // that it bounds; a cut between two runs bounds the second
	Cross    bool // within its run
}

// Direction is what one direction of the saw gives in the first look, and what no plan of it can pass.
type Direction struct {
	Degrees float64
	Across  bool
	Value   float64
	Bound   float64 // NaN: not reckoned
}

// Plan is a plan with its doubt.
type Plan struct {
	Degrees float64 // of the grid from the base line
	Across  bool    // the runs go along the grid's y
	Blocks  []Block
	Cuts    []Cut
	Counts  []int // by size
	Spread
	Bound      float64 // no plan of runs in these directions is worth more
	Proven     bool    // every direction was bounded; else Bound is that of the area alone
	Area       float64 // value that the area alone allows any plan whatever
	Directions []Direction
	Blind      Blind
	Knowing    []Knowing // uncertain joints, the one that is worth most first
	Lifts      int       // that the disc needs for the layer's depth
	Used       float64   // share of the good ground that becomes whole blocks, on average
	Stopped    bool      // before all was done
}

// Spread is what a plan is worth over many draws of the uncertain joints.
type Spread struct {
	Value, SD float64
	Low, High float64 // 5 and 95 of 100 draws are below
	Draws     int     // 1: nothing is uncertain
}

// search is a question being answered.
type search struct {
	*Question
	d      draws
	frames []*frame
	prices []float64
	done   int
	total  int
}

// cells are the sizes of the cells for the first look, the second and the last, by the size of the layer.
func cells(f *frame) (first, second, last float64) {
	side := math.Sqrt(f.w * f.h)
	pick := func(n, least float64) float64 { return max(least, 5*math.Ceil(side/n/5)) }
	return pick(600, 30), pick(1600, 20), pick(2500, 10)
}

// ratio is how many positions a cell has.
const ratio = 5

// Lay finds the plan. What it needs on one acre with 300 joints is in speed.
//
// On each grid the plan is the best there is: within a run the cross cuts, and over the layer the runs, are found by dynamic programming, and the value is the
// mean over the draws. So the search is over directions and grids only.
//
// Errors: bad-outline, bad-joint, bad-area, bad-size, bad-saw, too-many.
func Lay(q *Question) (*Plan, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	q = unbound(q)
	s := &search{Question: q, d: draw(q.Joints, q.Samples, q.Seed), prices: make([]float64, len(q.Sizes))}
	for _, a := range q.Saw.angles() {
		for _, across := range []bool{false, true} {
			if q.Saw.Runs == Either || across == (q.Saw.Runs == Across) {
				s.frames = append(s.frames, newFrame(&q.Ground, a, across))
			}
		}
	}
	s.total = 2*len(s.frames) + 8
	p := &Plan{}
	ranked := s.look(p)
	s.setPrices(ranked)
	f, runs := s.choose(ranked)
	if s.capped() {
		s.recut(f, runs)
	} else {
		runs = s.polish(f, runs)
	}
	s.tell(p, f, runs)
	s.moved(1)
	s.bound(p, worth(runs, s.Sizes))
	p.Spread = s.weigh(p, f)
	p.Blind = s.blind()
	s.moved(1)
	p.Knowing = s.knowing(f, runs)
	s.moved(s.total - s.done)
	p.Stopped = q.stopped()
	return p, nil
}

// unbound leaves out limits that more blocks than the layer holds would keep.
func unbound(q *Question) *Question {
	out := *q
	out.Sizes = slices.Clone(q.Sizes)
	for i := range out.Sizes {
		if z := &out.Sizes[i]; float64(z.Most)*z.Length*z.Width >= area(q.Outline) {
			z.Most = 0
		}
	}
	return &out
}

func (s *search) moved(n int) {
	if s.done = min(s.total, s.done+n); s.Moved != nil {
		s.Moved(s.done, s.total)
	}
}

// look tries every direction on a coarse grid and returns the frames, the best first.
func (s *search) look(p *Plan) []*frame {
	first, _, _ := cells(s.frames[0])
	value := map[*frame]float64{}
	for i, f := range s.frames {
		d := Direction{Degrees: f.degrees, Across: f.across, Bound: math.NaN()}
		if i == 0 || !s.stopped() {
			d.Value, _ = s.on(f, first)
		}
		value[f] = d.Value
		p.Directions = append(p.Directions, d)
		s.moved(1)
	}
	ranked := slices.Clone(s.frames)
	slices.SortStableFunc(ranked, func(a, b *frame) int { return cmp.Compare(value[b], value[a]) })
	return ranked
}

// on is the best plan in a frame on a grid, with no more of a size than is wanted.
func (s *search) on(f *frame, cell float64) (float64, []run) {
	g := newGrid(f, &s.d, cell, ratio, false)
	value, runs := g.best(lots(s.Sizes, s.prices, f.across), s.Saw.Kerf, s.Least)
	if s.capped() {
		runs = s.within(runs)
		runs = s.fill(g, runs)
		value = worth(runs, s.Sizes)
	}
	return value, runs
}

// choose looks at the best frames again on finer grids.
func (s *search) choose(ranked []*frame) (*frame, []run) {
	_, second, last := cells(ranked[0])
	best, runs := ranked[0], []run(nil)
	most := -1.0
	for _, f := range ranked[:min(3, len(ranked))] {
		if most >= 0 && s.stopped() {
			break
		}
		if v, r := s.on(f, second); v > most {
			most, best, runs = v, f, r
		}
		s.moved(1)
	}
	if last < second && !s.stopped() {
		if v, r := s.on(best, last); v > most {
			runs = r
		}
	}
	s.moved(1)
	return best, runs
}

// fineCell is the cell within a run when its cross cuts are found for good; mm.
const fineCell = 2

// narrow is the grid of one run alone, its cells as high as it is.
func (s *search) narrow(f *frame, r run, cell float64) *grid {
	g := &grid{f: f, d: &s.d, cell: cell, step: cell, ratio: 1, rows: 1, cols: int(math.Ceil(f.w/cell - hair))}
	g.mask = make([]uint64, g.cols)
	f.closed(r.y+hair, r.y+r.high-hair, 1, func(a, b float64) { g.fill(g.mask, a, b, s.d.all, false) })
	return g
}

// inRun marks what a joint reaches of a run.
func (g *grid) inRun(i int, r run, shift Point, bit uint64, col []uint64) (met bool) {
	t := &g.f.joints[i]
	for _, body := range t.parts {
		a, b, ok := reach(body, t.clear, r.y+hair-shift.Y, r.y+r.high-hair-shift.Y)
		if ok && b+shift.X > 0 && a+shift.X < g.f.w {
			g.fill(col, a+shift.X, b+shift.X, bit, true)
			met = true
		}
	}
	return met
}

// every marks all joints in the grid of one run.
func (g *grid) every(s *search, r run) {
	for i := range g.f.joints {
		if s.d.there[i] != 0 {
			g.eachPlace(i, func(shift Point, bit uint64) { g.inRun(i, r, shift, bit, g.mask) })
		}
	}
}

// cross finds the cross cuts of a run with joints as they are and not by cells.
func (s *search) cross(f *frame, r run, list []lot) []placed {
	g := s.narrow(f, r, fineCell)
	g.every(s, r)
	w := g.newWork(ofHeight(list, r.high), s.Saw.Kerf, s.Least)
	w.fit(g.mask)
	return w.blocks()
}

// ofHeight keeps the lots of one height.
func ofHeight(list []lot, high float64) []lot {
	return slices.DeleteFunc(slices.Clone(list), func(l lot) bool { return l.high != high })
}

// tell writes a plan in the layer's own frame.
func (s *search) tell(p *Plan, f *frame, runs []run) {
	p.Degrees, p.Across, p.Counts = f.degrees, f.across, make([]int, len(s.Sizes))
	p.Lifts = 1
	if s.Saw.Reach > 0 {
		p.Lifts = max(1, int(math.Ceil(s.Depth/s.Saw.Reach-hair)))
	}
	for i, r := range runs {
		for _, b := range r.blocks {
			x, y := b.x, r.y
			p.Blocks = append(p.Blocks, Block{Size: b.size, Turned: b.turned, Length: b.along, Width: b.high, Run: i,
				Corners: [4]Point{f.out(Point{x, y}), f.out(Point{x + b.along, y}), f.out(Point{x + b.along, y + b.high}), f.out(Point{x, y + b.high})}})
			p.Counts[b.size]++
		}
	}
	p.Cuts = s.cuts(f, runs)
}

// cuts lists the cuts: along both sides of each run through the whole layer, one where two runs lie a kerf apart, then the ends of the blocks in each run.
func (s *search) cuts(f *frame, runs []run) (list []Cut) {
	half := s.Saw.Kerf / 2
	through := func(y float64, i int) {
		from, to, ok := extent(f.outline, y, y)
		if !ok {
			from, to = 0, f.w
		}
		list = append(list, Cut{f.out(Point{from, y}), f.out(Point{to, y}), i, false})
	}
	last := math.Inf(-1)
	for i, r := range runs {
		if r.y-last >= 2*s.Saw.Kerf || i == 0 {
			through(r.y-half, i)
		}
		last = r.y + r.high
		through(last+half, i)
	}
	for i, r := range runs {
		last = math.Inf(-1)
		for k, b := range r.blocks {
			one := func(x float64) {
				list = append(list, Cut{f.out(Point{x, r.y}), f.out(Point{x, r.y + r.high}), i, true})
			}
			if b.x-last >= 2*s.Saw.Kerf || k == 0 {
				one(b.x - half)
			}
			last = b.x + b.along
			one(last + half)
		}
	}
	return list
}
