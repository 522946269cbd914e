package layer

import (
	"math"
	"slices"

	"slatewright/chance"
)

// fresh is the number of draws by which a plan is weighed. They are other draws than those it was made for, which would flatter it.
const fresh = 1000

// weigh gives every block its chance and the plan its spread.
func (s *search) weigh(p *Plan, f *frame) Spread {
	var doubtful []int
	for i, j := range s.Joints {
		if !j.sure() && j.Chance > 0 {
			doubtful = append(doubtful, i)
		}
	}
	if doubtful == nil {
		out := Spread{Draws: 1}
		for k := range p.Blocks {
			p.Blocks[k].Chance = 1
			out.Value += s.Sizes[p.Blocks[k].Size].Value
			p.Used += p.Blocks[k].Length * p.Blocks[k].Width
		}
		p.Used /= area(s.Outline)
		out.Low, out.High = out.Value, out.Value
		return out
	}
	near := s.near(p, f, doubtful)
	stream := chance.NewStream(s.Seed).Split("weigh")
	values := make([]float64, fresh)
	for n := range values {
		hit := make([]bool, len(p.Blocks))
		for k, i := range doubtful {
			j := s.Joints[i]
			there, z := stream.Float64() < j.Chance, 0.0
			if j.Error > 0 {
				z = stream.Normal()
			}
			if !there {
				continue
			}
			for _, b := range near[k] {
				hit[b] = hit[b] || f.hits(i, f.joints[i].normal.times(z*j.Error), &p.Blocks[b])
			}
		}
		for b, h := range hit {
			if !h {
				values[n] += s.Sizes[p.Blocks[b].Size].Value
				p.Blocks[b].Chance += 1.0 / fresh
				p.Used += p.Blocks[b].Length * p.Blocks[b].Width / fresh
			}
		}
	}
	p.Used /= area(s.Outline)
	return spread(values)
}

func spread(values []float64) Spread {
	n := len(values)
	out := Spread{Draws: n}
	for _, v := range values {
		out.Value += v / float64(n)
	}
	for _, v := range values {
		out.SD += (v - out.Value) * (v - out.Value) / float64(n-1)
	}
	out.SD = math.Sqrt(out.SD)
	slices.Sort(values)
	out.Low, out.High = values[n/20], values[n-1-n/20]
	return out
}

// near lists for each uncertain joint the blocks that it can meet within five standard uncertainties.
func (s *search) near(p *Plan, f *frame, doubtful []int) [][]int {
	out := make([][]int, len(doubtful))
	for k, i := range doubtful {
		t := f.joints[i]
		for b := range p.Blocks {
			wide := t
			wide.clear += 5 * s.Joints[i].Error
			if wide.hits(Point{}, f.in(p.Blocks[b].Corners[0]), p.Blocks[b].Length, p.Blocks[b].Width) {
				out[k] = append(out[k], b)
			}
		}
	}
	return out
}

func (f *frame) hits(i int, shift Point, b *Block) bool {
	return f.joints[i].hits(shift, f.in(b.Corners[0]), b.Length, b.Width)
}

// hits tells whether a joint that has moved by shift reaches into a box.
func (t turned) hits(shift, corner Point, along, high float64) bool {
	for _, body := range t.parts {
		a, b, ok := reach(body, t.clear, corner.Y+hair-shift.Y, corner.Y+high-hair-shift.Y)
		if ok && a+shift.X < corner.X+along-hair && b+shift.X > corner.X+hair {
			return true
		}
	}
	return false
}

// Blind is what cutting without a survey gives: a grid of one size along the base line, with as many rows as there is room for.
type Blind struct {
	Size      int
	Mean      float64 // over offsets and draws
	Low, High float64 // worst and best offset
}

// offsets is how many offsets of a blind grid are tried each way, over the room that is left beside it.
const offsets = 8

func (s *search) blind() Blind {
	out := Blind{Low: math.Inf(1)}
	for i, z := range s.Sizes {
		if best := s.Sizes[out.Size]; z.Value/(z.Length*z.Width) > best.Value/(best.Length*best.Width) {
			out.Size = i
		}
	}
	z := s.Sizes[out.Size]
	f := s.frames[0]
	for _, other := range s.frames {
		if !other.across && (f.across || math.Abs(other.degrees) < math.Abs(f.degrees)) {
			f = other
		}
	}
	_, cell, _ := cells(f)
	g := newGrid(f, &s.d, cell, 1, false)
	slack := func(room, size float64) float64 { // beside as many as fit
		return math.Max(0, math.Mod(room+s.Saw.Kerf, size+s.Saw.Kerf)) / (offsets - 1)
	}
	for i := range offsets * offsets {
		dx, dy := float64(i%offsets)*slack(f.w, z.Length), float64(i/offsets)*slack(f.h, z.Width)
		v := g.gridValue(z, dx, dy, s.Saw.Kerf)
		out.Mean += v / (offsets * offsets)
		out.Low, out.High = min(out.Low, v), max(out.High, v)
	}
	return out
}

// gridValue is the value of a plain grid of one size.
func (g *grid) gridValue(z Size, dx, dy, kerf float64) (value float64) {
	n := 0
	for y := dy; y+z.Width <= g.f.h+hair; y += z.Width + kerf {
		for x := dx; x+z.Length <= g.f.w+hair; x += z.Length + kerf {
			if z.Most > 0 && n == z.Most {
				return value
			}
			var mask uint64
			for r := int(y / g.cell); r < min(g.rows, int(math.Ceil((y+z.Width)/g.cell-hair))); r++ {
				for _, m := range g.row(r)[int(x/g.cell):min(g.cols, int(math.Ceil((x+z.Length)/g.cell-hair)))] {
					mask |= m
				}
			}
			if clear := g.count(mask); clear > 0 {
				value += z.Value * float64(clear) / float64(g.d.n)
				n++
			}
		}
	}
	return value
}
