package levels

import "math"

// Loop is one independent loop: what its steps add up to, which should be 0.
type Loop struct {
	Rows    []int   // lines of the file, in the order of the walk
	Closure float64 // mm
	U       float64 // its standard uncertainty from the stated ones; NaN if there are none
}

// Closures are the independent loops: each is closed by one step that is not in the spanning tree of the fewest steps.
type Closures struct {
	Count   int
	Largest Loop // by the size of its closure
	Worst   Loop // by its size over its uncertainty
}

// closures closes the loops. Where lines have slopes of their own, the fitted ones are taken away first.
func (h *Heights) closures() Closures {
	w := h.Walk
	t := graphOf(w).tree()
	z := h.factor.inverse()
	var c Closures
	for k, s := range w.Steps {
		if t.up[s.From].step == k || t.up[s.To].step == k {
			continue
		}
		l := h.close(t.loop(w, k), z)
		if c.Count++; c.Count == 1 || math.Abs(l.Closure) > math.Abs(c.Largest.Closure) {
			c.Largest = l
		}
		if c.Count == 1 || math.Abs(l.Closure)*c.Worst.U > math.Abs(c.Worst.Closure)*l.U {
			c.Worst = l
		}
	}
	return c
}

// close adds up a loop. Heights close by themselves, so the closure is the sum of the residuals; its variance is that of the readings
// less that of the slopes, which were fitted to the same readings.
func (h *Heights) close(way []turn, z inverse) Loop {
	var l Loop
	variance := 0.0
	slopes := map[int]float64{}
	var lines []int
	for _, t := range way {
		s := h.Walk.Steps[t.step]
		l.Rows = append(l.Rows, s.Row)
		l.Closure += t.sign * h.Checks[t.step].Residual
		variance += h.u(t.step) * h.u(t.step)
		if h.slopes > 0 {
			if _, known := slopes[s.Line]; !known {
				lines = append(lines, s.Line)
			}
			slopes[s.Line] += t.sign * s.Along / h.unit
		}
	}
	for _, a := range lines {
		for _, b := range lines {
			variance -= slopes[a] * slopes[b] * z.at(len(h.spot)+a, len(h.spot)+b)
		}
	}
	l.U = math.Sqrt(max(variance, 0))
	if !h.known {
		l.U = math.NaN()
	}
	return l
}
