package surfacing

import (
	"fmt"
	"html/template"
	"math"

	"slatewright/internal/picture/chart"
	"slatewright/surfacing/cleanup"
)

// The picture shows each face in so many cells.
const (
	cellsAlong  = 6
	cellsAcross = 9
)

// cellOff is how much comes off a face within a cell, on average.
type cellOff struct {
	off   float64
	known bool
}

// extent is half the size of the slab; of one that does not say it, half of what its readings span.
func (s cleaned) extent() (half [2]float64) {
	body, x, y := s.Body()
	if x > 0 {
		return [2]float64{x / 2, y / 2}
	}
	for i := range body.Top.X {
		half[0], half[1] = math.Max(half[0], math.Abs(body.Top.X[i])), math.Max(half[1], math.Abs(body.Top.Y[i]))
	}
	return [2]float64{half[0] * 1.04, half[1] * 1.04}
}

// cellMiddle is the middle of a cell.
func cellMiddle(half [2]float64, i, j int) (x, y float64) {
	return half[0] * (2*(float64(i)+0.5)/cellsAlong - 1), half[1] * (2*(float64(j)+0.5)/cellsAcross - 1)
}

// cellAt is the number of the cell of a place.
func cellAt(half [2]float64, x, y float64) int {
	i := min(max(int((x/half[0]+1)/2*cellsAlong), 0), cellsAlong-1)
	j := min(max(int((y/half[1]+1)/2*cellsAcross), 0), cellsAcross-1)
	return j*cellsAlong + i
}

// cells are the amounts off a side, 0 the top, row after row from the left side of the table; a cell without a reading is not known.
func (s cleaned) cells(side int) []cellOff {
	half := s.extent()
	body, _, _ := s.Body()
	p := body.Top
	if side == 1 {
		p = body.Bottom
	}
	sum, n := make([]float64, cellsAlong*cellsAcross), make([]int, cellsAlong*cellsAcross)
	for k := range p.Z {
		x, y := p.X[k], p.Y[k]
		at := cellAt(half, x, y)
		top, bottom := s.Plan().At(s.Planes(), x, y, p.Z[k], p.Z[k]+body.Lift.At(x, y))
		off := top
		if side == 1 {
			off = bottom
		}
		sum[at] += off
		n[at]++
	}
	list := make([]cellOff, len(sum))
	for k := range sum {
		if n[k] > 0 {
			list[k] = cellOff{sum[k] / float64(n[k]), true}
		}
	}
	return list
}

// tints are the classes of the amounts, from little to much.
var tints = []string{"t3", "t4", "t5", "t6"}

// picture draws what comes off both faces, side by side, both seen from above.
func (s cleaned) picture(width float64) template.HTML {
	half := s.extent()
	const gap, above, side = 26.0, 44.0, 22.0
	w := (width - gap - side - 4) / 2
	scale := math.Min(w/(2*half[0]), 460/(2*half[1]))
	w, h := 2*half[0]*scale, 2*half[1]*scale
	p := chart.New(width, above+h+66, s.Say("cleanup.picture"))
	faces := [2][]cellOff{s.cells(0), s.cells(1)}
	low, high := math.Inf(1), math.Inf(-1)
	for _, list := range faces {
		for _, c := range list {
			if c.known {
				low, high = math.Min(low, c.off), math.Max(high, c.off)
			}
		}
	}
	b := bandsOf(low, high)
	left := side + (width-gap-side-4-2*w)/2
	for k, name := range []string{"top", "bottom"} {
		x0 := left + float64(k)*(w+gap)
		p.Text("name", "middle", x0+w/2, 14, faceName(s.Words, name))
		s.face(p, k, faces[k], x0, above, w, h, b)
		p.Text("tick", "middle", x0+w/2, above-6, s.Word("place", "right"))
		p.Text("tick", "middle", x0+w/2, above+h+14, s.Word("place", "left"))
		p.Text("tick", "start", x0, above+h+14, s.Word("place", "head"))
		p.Text("tick", "end", x0+w, above+h+14, s.Word("place", "foot"))
		for _, c := range s.Governing {
			if (c.Face == "top") == (k == 0) {
				p.Mark(2, x0+w/2+c.X*scale, above+h/2-c.Y*scale, 6)
			}
		}
	}
	s.key(p, above+h+26, b)
	return p.End()
}

// bands are the amounts that the tints stand for: each step wide, the first from low on.
type bands struct{ low, step float64 }

// bandsOf divides what comes off into as many round bands as there are tints.
func bandsOf(low, high float64) bands {
	for step := roundStep((high - low) / float64(len(tints))); ; step = roundStep(step * 1.01) {
		if from := math.Floor(low/step) * step; high <= from+step*float64(len(tints)) || !(high > low) {
			return bands{from, step}
		}
	}
}

// tint is the class of an amount.
func (b bands) tint(off float64) string {
	return tints[min(max(int((off-b.low)/b.step), 0), len(tints)-1)]
}

// damage is what must come off a side everywhere: stone is missing where less does.
func (s cleaned) damage(side int) float64 {
	if side == 1 {
		return s.Allowances.DamageBottom
	}
	return s.Allowances.DamageTop
}

// face draws one face; figures stand in the cells where they have room, below the mark of a reading that governs.
func (s cleaned) face(p *chart.Pen, side int, list []cellOff, x0, y0, w, h float64, b bands) {
	half := s.extent()
	cw, ch := w/cellsAlong, h/cellsAcross
	marked := map[int]bool{}
	for _, c := range s.Governing {
		if (c.Face == "top") == (side == 0) {
			marked[cellAt(half, c.X, c.Y)] = true
		}
	}
	p.Rect("stone", x0, y0, w, h)
	for j := range cellsAcross {
		for i := range cellsAlong {
			k := j*cellsAlong + i
			c := list[k]
			if !c.known {
				continue
			}
			x, y := x0+float64(i)*cw, y0+h-float64(j+1)*ch
			p.Rect(b.tint(c.off), x, y, cw, ch)
			if c.off < s.damage(side)-1e-6 {
				p.Hatch("beyond", x, y, cw, ch)
			}
			if cw < 34 {
				continue
			}
			down := 4.0
			if marked[k] {
				down = ch/2 - 4
			}
			p.Text("number label", "middle", x+cw/2, y+ch/2+down, s.Number(c.off, 2))
		}
	}
	p.Rect("base", x0, y0, w, h)
}

// key says what the tints mean.
func (s cleaned) key(p *chart.Pen, y float64, b bands) {
	x := 4.0
	write := func(words string) {
		p.Text("tick", "start", x+18, y+11, words)
		x += 18 + chart.Words("start", 0, 0, words).X1 + 10
	}
	next := func(words string) {
		if x+18+chart.Words("start", 0, 0, words).X1 > p.Width-2 {
			x, y = 4, y+20
		}
	}
	for k, class := range tints {
		words := fmt.Sprintf("%s–%s", s.Number(b.low+float64(k)*b.step, 2), s.Number(b.low+float64(k+1)*b.step, 2))
		if k == len(tints)-1 {
			words += " mm"
		}
		next(words)
		p.Rect(class, x, y, 14, 14)
		write(words)
	}
	if s.Answer() == cleanup.Impossible {
		words := s.Say("cleanup.missing-key")
		next(words)
		p.Rect("stone", x, y, 14, 14)
		p.Hatch("beyond", x, y, 14, 14)
		write(words)
	}
	words := s.Say("cleanup.governs-key")
	next(words)
	p.Mark(2, x+7, y+7, 6)
	write(words)
}

// roundStep is the next round number, at least a hundredth.
func roundStep(v float64) float64 {
	if !(v > 0) {
		return 0.01
	}
	ten := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 1.5, 2, 2.5, 3, 4, 5, 6, 8} {
		if v <= k*ten*(1+1e-9) {
			return math.Max(k*ten, 0.01)
		}
	}
	return math.Max(10*ten, 0.01)
}
