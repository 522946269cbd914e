package toolmarks

import (
	"math"

	"slatewright/gauge/tables"
	"slatewright/surfacing/toolmarks/height"
	"slatewright/surfacing/toolmarks/raster"
)

// perTurn is how many readings the way of one turn needs at least, overtones how many times that frequency are looked at.
const (
	perTurn   = 2.5
	overtones = 3
)

// A course is one line of readings along the feed, free of what is longer than a few turns.
type course struct {
	s, z []float64
	read []float64 // as they were read
}

// lookForRipple looks for what comes back with every turn of the disc.
func (s *study) lookForRipple() {
	turn := s.facts.Turn
	if turn == 0 {
		s.blind("a ripple of the disc's turning cannot be looked for: give the way along the feed for one turn (feed over speed)")
		return
	}
	finest := math.Inf(1)
	var all []ripple
	best := -1
	for _, v := range s.sights {
		h := raster.Gap(v.raster.S)
		finest = min(finest, h)
		if h*perTurn > turn {
			continue
		}
		r := rippleOf(v, turn)
		if r.lines == 0 {
			continue
		}
		r.of, r.gap, r.there = v.of, h, odds(r.p)
		all = append(all, r)
		if best < 0 || r.there > all[best].there && all[best].there < Sure || r.there >= Sure && h < all[best].gap {
			best = len(all) - 1 // of those that see it surely, the finest knows its height best
		}
	}
	seen := len(all) > 0
	if !seen && math.IsInf(finest, 1) {
		s.blind("a ripple of %.3g mm, the way of one turn, cannot be seen: no map has a line along the feed; read one every %.2g mm, over %.3g mm", turn, turn/5, 15*turn)
		return
	}
	if !seen {
		s.blind("a ripple of %.3g mm, the way of one turn, cannot be seen in readings %.3g mm apart along the feed: read a line along the feed every %.2g mm, over %.3g mm",
			turn, finest, turn/5, 15*turn)
		return
	}
	if all[best].there < 0.5 {
		return
	}
	m := Mark{Cause: Unbalance, Probability: all[best].there, Named: 1, Maps: len(all)}
	series := Series{Cause: Unbalance}
	for i := range all {
		h := all[i].height()
		if i == best {
			m.Strength = h
		}
		series.add(all[i].of, h.Value, (h.High-h.Low)/(2*1.645))
	}
	s.finding.Marks = append(s.finding.Marks, m)
	s.finding.Series = append(s.finding.Series, series)
}

// ripple is what the lines of one map show at the frequency of the disc's turning.
type ripple struct {
	turn    float64
	courses []course
	lines   int
	at      float64 // the frequency, 1/mm, that stands out most within 2 % of one to a turn
	p       float64
	of      *Map
	gap     float64 // between readings
	there   float64 // probability
}

func rippleOf(v *sight, turn float64) ripple {
	r := ripple{turn: turn, p: 1}
	for j := range v.raster.T {
		if c, ok := courseOf(v, j, turn); ok {
			r.courses = append(r.courses, c)
		}
	}
	r.lines = len(r.courses)
	if r.lines > 40 { // enough: every so manyth
		k := (r.lines + 39) / 40
		var few []course
		for i := 0; i < r.lines; i += k {
			few = append(few, r.courses[i])
		}
		r.courses, r.lines = few, len(few)
	}
	if r.lines > 0 {
		r.test()
	}
	return r
}

// courseOf takes the readings of line j and fits away what is longer than four turns; false when the line is too short or too coarse.
func courseOf(v *sight, j int, turn float64) (course, bool) {
	var c course
	nt := len(v.raster.T)
	for i, s := range v.raster.S {
		if z := v.raster.Z[i*nt+j]; !math.IsNaN(z) {
			c.s, c.z, c.read = append(c.s, s), append(c.z, min(max(z, -6*v.scale), 6*v.scale)), append(c.read, z)
		}
	}
	n := len(c.s)
	if n < 24 || raster.Gap(c.s)*perTurn > turn || c.s[n-1]-c.s[0] < 8*turn {
		return c, false
	}
	span := c.s[n-1] - c.s[0]
	var done [][]float64
	for k := 0; k <= int(span/(2*turn)); k++ {
		x := make([]float64, n)
		for i, s := range c.s {
			x[i] = math.Cos(math.Pi * float64(k) * (s - c.s[0]) / span)
		}
		done = takeOff(c.z, x, done)
	}
	return c, true
}

// takeOff makes x orthonormal to those done, takes it off z, and adds it to them.
func takeOff(z, x []float64, done [][]float64) [][]float64 {
	before := dot(x, x)
	for _, d := range done {
		p := dot(x, d)
		for i := range x {
			x[i] -= p * d[i]
		}
	}
	size := dot(x, x)
	if size <= 1e-9*before {
		return done
	}
	for i := range x {
		x[i] /= math.Sqrt(size)
	}
	p := dot(z, x)
	for i := range z {
		z[i] -= p * x[i]
	}
	return append(done, x)
}

// power is the lines' periodogram at a frequency, summed over them.
func (r *ripple) power(f float64) float64 {
	sum := 0.0
	for _, c := range r.courses {
		var a, b float64
		for i, s := range c.s {
			sin, cos := math.Sincos(2 * math.Pi * f * s)
			a, b = a+cos*c.z[i], b+sin*c.z[i]
		}
		sum += (a*a + b*b) / float64(len(c.s))
	}
	return sum
}

// test compares the power at the frequency and its overtones with that beside them.
func (r *ripple) test() {
	c := r.courses[0]
	span := c.s[len(c.s)-1] - c.s[0]
	bin := 1 / span
	top := 0.5 / raster.Gap(c.s)
	const beside = 8
	spread := max(0.02/r.turn, 0.5*bin)
	tries := 0
	best := math.Inf(1)
	for f := 1/r.turn - spread; f <= 1/r.turn+spread*1.0001; f += bin / 3 {
		tries++
		var q, n float64
		for h := 1.0; h <= overtones && h*f+2*bin < top; h++ {
			var floor []float64
			for k := 2; k < 2+beside; k++ {
				for _, side := range []float64{-1, 1} {
					if g := h*f + side*float64(k)*bin; g > 1/(3*r.turn) && g < top {
						floor = append(floor, r.power(g))
					}
				}
			}
			sum := 0.0
			for _, x := range floor {
				sum += x
			}
			q, n = q+r.power(h*f)/(sum/float64(len(floor))+1e-18), n+1
		}
		if n == 0 {
			continue
		}
		dof := 2 * float64(r.lines) * n
		if p := tables.FAbove(q/n, dof, dof*beside); p < best {
			best, r.at = p, f
		}
	}
	r.p = min(1, best*math.Max(1, float64(tries)/3*2))
	if r.p < 0.1 {
		r.at = r.sharpened(bin, top)
	}
}

// sharpened is the frequency near the one found at which the overtones stand out most: over a long line they know it best.
func (r *ripple) sharpened(bin, top float64) float64 {
	best, at := 0.0, r.at
	for k := -20; k <= 20; k++ {
		f, sum := r.at+float64(k)*bin/40, 0.0
		for h := 1.0; h <= overtones+1 && h*f < top; h++ {
			sum += r.power(h * f)
		}
		if sum > best {
			best, at = sum, f
		}
	}
	return at
}

// fewCourses is on how many lines of a map a ripple's height is told, at most.
const fewCourses = 8

// height is the mean height of the ripple on the lines. It is not quite the same from one end of a line to the other, which counts as
// found in trials on invented machines.
func (r *ripple) height() Interval {
	var list []height.Course
	for i := 0; i < r.lines; i += (r.lines + fewCourses - 1) / fewCourses {
		list = append(list, height.Course{S: r.courses[i].s, Z: r.courses[i].read})
	}
	return wider(height.Ripple(list, r.at), 0.05)
}

// wider is a height with what its model is off by as well: a share of it, as a standard deviation.
func wider(h height.Span, share float64) Interval {
	off := 1.645 * share * h.Value
	return Interval{h.Value, max(0, h.Value-math.Hypot(h.Value-h.Low, off)), h.Value + math.Hypot(h.High-h.Value, off)}
}
