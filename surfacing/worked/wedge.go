package worked

import (
	"fmt"
	"math"
)

// Wedge is how much thicker the piece is where the last track lay than where the first did, beside what worn bits leave.
type Wedge struct {
	Seen     Interval // over the piece, from the first side to the last, mm; without a known first side + is thicker at + across the feed
	Told     float64  // what the last cutting pass wears off the bits by the G ratio that is now known, mm
	Sided    bool     // the first side is known
	Explains bool     // what worn bits leave lies within what is seen
}

// wedge fits a plane to the calipers after the work.
func (f *Found) wedge(q Question) {
	list := q.Job.Thickness
	n := float64(len(list))
	if n < 4 {
		return
	}
	across := func(x, y float64) float64 { // in halves of the side
		if q.Job.FeedAlongX {
			return 2 * y / q.SizeY
		}
		return 2 * x / q.SizeX
	}
	var a [9]float64
	var b [3]float64
	for _, p := range list {
		h := [3]float64{1, across(p.X, p.Y), 2*p.X/q.SizeX + 2*p.Y/q.SizeY - across(p.X, p.Y)}
		for i := range 3 {
			b[i] += h[i] * p.Taken
			for j := range 3 {
				a[3*i+j] += h[i] * h[j]
			}
		}
	}
	x, inverse, ok := solve3(a, b)
	if !ok {
		return
	}
	chi, u := 0.0, 0.0
	for _, p := range list {
		r := p.Taken - x[0] - x[1]*across(p.X, p.Y) - x[2]*(2*p.X/q.SizeX+2*p.Y/q.SizeY-across(p.X, p.Y))
		chi, u = chi+r*r/(n-3), math.Max(u, p.U)
	}
	u = math.Max(u, math.Sqrt(chi)) * 2 * math.Sqrt(inverse)
	w := &Wedge{Seen: Interval{2 * x[1], 2*x[1] - z95*u, 2*x[1] + z95*u}, Sided: q.Job.Begin != 0}
	if q.Job.Begin > 0 { // from + to −
		w.Seen = Interval{-w.Seen.Value, -w.Seen.High, -w.Seen.Low}
	}
	for i := len(q.Job.Passes) - 1; i >= 0 && w.Told == 0; i-- {
		if p := q.Job.Passes[i]; p.Depth > 0 {
			for _, st := range f.Stages {
				if st.Index == p.Stage {
					w.Told = st.LastWear
				}
			}
			break
		}
	}
	lo, hi := w.Seen.Low, w.Seen.High
	w.Explains = lo <= w.Told && w.Told <= hi || !w.Sided && lo <= -w.Told && -w.Told <= hi
	switch {
	case w.Explains:
	case math.Abs(w.Seen.Value) < w.Told:
		f.warn(fmt.Sprintf("worn bits should leave a wedge of %.3f mm across the feed, and the calipers show %.3f mm: look whether the first track lay on the side that the list says, and whether the bed or the bridge leans the other way", w.Told, w.Seen.Value))
	default:
		f.warn(fmt.Sprintf("the piece is a wedge of %.3f mm across the feed, and worn bits leave only %.3f mm: the bed, the bridge or the other face has it. Look with slatewright toolmarks", math.Abs(w.Seen.Value), w.Told))
	}
	f.Wedge = w
}

// solve3 solves a symmetric system and returns the second diagonal element of the inverse.
func solve3(a [9]float64, b [3]float64) (x [3]float64, inverse float64, ok bool) {
	m := func(i, j, k, l int) float64 { return a[3*i+j]*a[3*k+l] - a[3*i+l]*a[3*k+j] }
	det := a[0]*m(1, 1, 2, 2) - a[1]*m(1, 0, 2, 2) + a[2]*m(1, 0, 2, 1)
	if scale := a[0] * a[4] * a[8]; !(det > 1e-9*scale) {
		return x, 0, false
	}
	for k := range 3 {
		c := a
		for i := range 3 {
			c[3*i+k] = b[i]
		}
		x[k] = (c[0]*(c[4]*c[8]-c[5]*c[7]) - c[1]*(c[3]*c[8]-c[5]*c[6]) + c[2]*(c[3]*c[7]-c[4]*c[6])) / det
	}
	return x, m(0, 0, 2, 2) / det, true
}
