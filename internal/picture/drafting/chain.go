package drafting

import (
	"cmp"
	"math"
	"slices"

	"slatewright/internal/picture/ink"
)

// Entry is one place of a chain.
type Entry struct {
	At    float64 // along the chain, on the sheet
	From  float64 // across it: where the extension line begins
	Words string
}

// Chain is a row of running dimensions from one datum (ISO 129-1): a common line with an arrowhead at each place, a ring at the
// datum, and each figure at the end of its extension line.
type Chain struct {
	Upright bool    // the chain runs along y
	Side    float64 // +1: right of, or below, what is measured; −1: left of it, or above
	Level   float64 // of the common line
	Datum   float64
	Entries []Entry
	// Low and High are what the figures keep within, where they fit.
	Low, High float64
}

// slot is what each figure takes along a chain, mm.
const slot = Least * 1.42

// Fits reports whether the figures stay within the chain's bounds.
func (c Chain) Fits() bool { return float64(len(c.Entries))*slot <= c.High-c.Low }

// Chain draws a chain and returns the level beyond its figures.
func (d *Drawing) Chain(c Chain) (end float64) {
	slices.SortStableFunc(c.Entries, func(a, b Entry) int { return cmp.Compare(a.At, b.At) })
	at := func(along, across float64) Point {
		if c.Upright {
			return At(across, along)
		}
		return At(along, across)
	}
	first, last := c.Datum, c.Datum
	for _, e := range c.Entries {
		first, last = math.Min(first, e.At), math.Max(last, e.At)
	}
	if last > first {
		d.Line(Dimensions, Thin, at(first, c.Level), at(last, c.Level))
	}
	c.heads(d, at)
	slots := c.slots()
	end = c.Level
	for i, e := range c.Entries {
		knee, foot := c.Level+c.Side*beyond, c.Level+c.Side*(beyond+2.5)
		d.Line(Dimensions, Thin, at(e.At, e.From+c.Side*gap), at(e.At, knee), at(slots[i], foot))
		t := Text{Layer: Dimensions, Words: e.Words, Height: Least}
		if c.Side < 0 == c.Upright { // to the left, and downward in words that run up the sheet
			t.Align = ink.Right
		}
		along := slots[i] + Least/2
		t.At, t.Turned = at(along, foot+c.Side*over), !c.Upright
		b := d.Text(t)
		reach := [2]float64{b.Y1, b.X1}
		if c.Side < 0 {
			reach = [2]float64{b.Y0, b.X0}
		}
		k := 0
		if c.Upright {
			k = 1
		}
		if c.Side*(reach[k]-end) > 0 {
			end = reach[k]
		}
	}
	return end
}

// heads draws the ring at the datum and an arrowhead at each place, a dot where there is no room for one.
func (c Chain) heads(d *Drawing, at func(along, across float64) Point) {
	d.Circle(Dimensions, Thin, at(c.Datum, c.Level), 0.9, "")
	for i, e := range c.Entries {
		away := e.At - c.Datum
		if math.Abs(away) < 1e-9 {
			continue
		}
		room := math.Abs(away)
		for k, o := range c.Entries {
			if k != i && (e.At-o.At)*away > 0 {
				room = math.Min(room, math.Abs(e.At-o.At))
			}
		}
		tip := at(e.At, c.Level)
		if room < arrow+0.6 {
			const r = 0.45
			d.Fill(Dimensions, At(tip.X-r, tip.Y), At(tip.X, tip.Y-r), At(tip.X+r, tip.Y), At(tip.X, tip.Y+r))
			continue
		}
		dir := at(math.Copysign(1, away), 0)
		d.Arrow(Dimensions, tip, dir.X, dir.Y)
	}
}

// slots spreads the figures so that each has its room and all together are moved as little as can be, in least squares: where
// figures crowd, they stand side by side about the mean of where they would be (pooling of neighbours, as in Barlow et al.
// 1972, Statistical inference under order restrictions, §1.2).
func (c Chain) slots() []float64 {
	type block struct {
		mean float64 // of the places, each less its room from the first
		n    int
	}
	var blocks []block
	for i, e := range c.Entries {
		blocks = append(blocks, block{e.At - slot*float64(i), 1})
		for len(blocks) > 1 {
			a, b := blocks[len(blocks)-2], blocks[len(blocks)-1]
			if a.mean < b.mean {
				break
			}
			n := a.n + b.n
			blocks = append(blocks[:len(blocks)-2], block{(a.mean*float64(a.n) + b.mean*float64(b.n)) / float64(n), n})
		}
	}
	low, high := math.Inf(-1), math.Inf(1)
	if c.Fits() {
		low, high = c.Low+slot/2, c.High-slot/2-slot*float64(len(c.Entries)-1)
	}
	out := make([]float64, 0, len(c.Entries))
	for _, b := range blocks {
		for range b.n {
			out = append(out, math.Max(low, math.Min(high, b.mean))+slot*float64(len(out)))
		}
	}
	return out
}
