package relax

import (
	"math"
	"slices"
)

// Lattice is a row of τ over some days, with what every series of those days shares. Once it is laid it does not change, and may serve many at a time.
type Lattice struct {
	Days      []float64   // ascending
	Low, High int         // ends, in steps of Pace
	waves     [][]float64 // exp(−day/τ) from Low − deepest on
	slabs     [][]float64 // the course of a slab from Low on
}

// Reach finds the ends: from a tenth of the closest two days to a hundred times the whole span, beyond which a relaxation is a straight line.
// begins says that the value of day 0 is known too.
func Reach(days []float64, begins bool) *Lattice {
	first, last := days[0], days[len(days)-1]
	if begins {
		first = min(first, 0)
	}
	span, least := last-first, math.Inf(1)
	for i := 1; i < len(days); i++ {
		if gap := days[i] - days[i-1]; gap > 0 {
			least = min(least, gap)
		}
	}
	if span <= 0 {
		span, least = 1, 1
	}
	return &Lattice{Days: days, Low: int(math.Floor(math.Log(max(least/10, span/1000)) / Pace)), High: int(math.Ceil(math.Log(100*span) / Pace))}
}

// Widen moves the ends so that ln τ from one value to another lies between them. Not after Lay.
func (l *Lattice) Widen(from, to float64) {
	l.Low, l.High = min(l.Low, int(math.Floor(from/Pace))), max(l.High, int(math.Ceil(to/Pace)))
}

// Holds tells whether ln τ from one value to another lies between the ends.
func (l *Lattice) Holds(from, to float64) bool {
	return Pace*float64(l.Low) <= from && Pace*float64(l.High) >= to
}

// Wave is exp(−day/τ) on all days at a point of the lattice, as deep below its lower end as skins reach. Not to be written to.
func (l *Lattice) Wave(at int) []float64 { return l.waves[at-l.Low+deepest] }

// Slab is the course of a slab there, from the lower end on. Not to be written to.
func (l *Lattice) Slab(at int) []float64 { return l.slabs[at-l.Low] }

// Lay reckons the courses, unless they stand in a lattice that was laid before.
func (l *Lattice) Lay(before *Lattice) *Lattice {
	if before != nil && before.Low == l.Low && before.High == l.High && slices.Equal(before.Days, l.Days) {
		return before
	}
	n := len(l.Days)
	flat := make([]float64, (2*(l.High-l.Low+1)+deepest)*n)
	for g := l.Low - deepest; g <= l.High; g++ {
		rate, wave := math.Exp(-Pace*float64(g)), flat[:n:n]
		flat = flat[n:]
		decay(wave, l.Days, rate)
		if l.waves = append(l.waves, wave); g < l.Low {
			continue
		}
		of := flat[:n:n]
		flat = flat[n:]
		for i, d := range l.Days {
			of[i], _ = slabFrom(d*rate, wave[i])
		}
		l.slabs = append(l.slabs, of)
	}
	return l
}

// decay fills in exp(−day·rate), days ascending; equal steps share an exponential.
func decay(into, days []float64, rate float64) {
	step, by := math.NaN(), 1.0
	into[0] = math.Exp(-days[0] * rate)
	for i := 1; i < len(days); i++ {
		if next := days[i] - days[i-1]; next != step {
			step, by = next, math.Exp(-next*rate)
		}
		into[i] = into[i-1] * by
	}
}
