package disc

import (
	"math"
	"slices"
)

// Heights is how the bits stand. Each stands out by its own height and its seat's run-out.
type Heights struct {
	Band        float64 // mm, how far apart bits may stand and still cut together
	From, To    float64 // mm, the stretch of that width that holds the most bits: the ring's face
	Highest     float64 // mm, of those that stand in it
	Lowest      float64
	Proud, Low  []int   // places whose bits stand above and below it, in their order
	Runout      float64 // mm, highest less lowest seat
	RunoutGiven bool
}

// touch is how much of a band a number that was written in decimals may lack, mm.
const touch = 1e-9

// Stands is how far bit b stands out in place p, mm over the plane of the seats.
func (r *Ring) Stands(p, b int) float64 { return r.Bits[b].Height + r.Places[p].Runout }

// Heights finds the ring's face, and the bits that stand proud of it or lie below it. Of two stretches that hold as many bits the lower counts: what
// stands above it scores the stone.
func (r *Ring) Heights(a Arrangement, band float64) Heights {
	var list []float64
	h := Heights{Band: band}
	low, high := math.Inf(1), math.Inf(-1)
	for p := range r.on() {
		low, high = math.Min(low, r.Places[p].Runout), math.Max(high, r.Places[p].Runout)
		if !r.Bits[a[p]].none() {
			list = append(list, r.Stands(p, a[p]))
		}
	}
	h.Runout, h.RunoutGiven = high-low, high != 0 || low != 0
	slices.Sort(list)
	most := 0
	for i, end := 0, 0; i < len(list); i++ {
		for end < len(list) && list[end] <= list[i]+band+touch {
			end++
		}
		if end-i > most {
			most, h.From, h.To, h.Lowest, h.Highest = end-i, list[i], list[i]+band, list[i], list[end-1]
		}
	}
	for p := range r.on() {
		if r.Bits[a[p]].none() {
			continue
		}
		switch s := r.Stands(p, a[p]); {
		case s > h.To+touch:
			h.Proud = append(h.Proud, p)
		case s < h.From-touch:
			h.Low = append(h.Low, p)
		}
	}
	return h
}

// room is which bit may go into which place: element p·n + b.
type room struct {
	n  int
	ok []bool
}

func (m room) may(p, b int) bool { return m.ok[p*m.n+b] }

// within is the rule for swaps. A bit may go where the one before it is as high within the band, and where it stands no prouder than the ring's face,
// or than it stood before. Bits without a height limit nothing. Beside the disc any bit may lie.
func (r *Ring) within(h Heights) room {
	return r.rooms(func(p, b int) bool {
		return r.below(h, p, b) && (r.Bits[p].none() || math.Abs(r.Bits[b].Height-r.Bits[p].Height) <= h.Band+touch)
	})
}

// anew is the rule for weighing in: a bit may go where it stands no prouder than the ring's face, or than it stood before.
func (r *Ring) anew(h Heights) room { return r.rooms(func(p, b int) bool { return r.below(h, p, b) }) }

// level is the rule after dressing in: all bits are as high.
func (r *Ring) level() room { return r.rooms(func(int, int) bool { return true }) }

func (r *Ring) below(h Heights, p, b int) bool {
	s := r.Stands(p, b)
	return s <= h.To+touch || !r.Places[b].Spare && s <= r.Stands(b, b)+touch
}

func (r *Ring) rooms(rule func(p, b int) bool) room {
	n := len(r.Bits)
	m := room{n, make([]bool, n*n)}
	for p := range n {
		for b := range n {
			m.ok[p*n+b] = p == b || r.Places[p].Spare || r.Bits[b].none() || rule(p, b)
		}
	}
	return m
}
