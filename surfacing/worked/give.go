package worked

import (
	"math"
	"slices"

	"slatewright/surfacing/worked/removal"
)

// Give is how far the loop of disc, machine and bed yields, as this job shows it.
type Give struct {
	// PerForce is what it yields to 1 N, mm, with its standard uncertainty. It may come out below zero where it is small beside its doubt.
	PerForce Measured
	// Stiffness is its inverse, N/mm: High is +Inf where yielding cannot be told from none, Low is 0 where it is not bounded.
	Stiffness Interval
	Lag       Measured // what was left at the zero, less what worn bits explain, mm
	Print     Measured // how far what was left goes with what was taken, beyond tilts, bows and twist; NaN: the stock was too even
	PrintTold float64  // what that would be by the machine's file
	// Agree tells whether the two say the same, by 95 of 100.
	Agree bool
}

// Of the law by which a depth leaves a share standing, this much is doubted besides: tracks overlap, and the depth ahead of a disc is not the same
// over its width.
const lawDoubt = 0.15

// chi95 is the point that chi squared of one degree of freedom passes once in twenty.
const chi95 = 3.841458820694124

// give turns the law round: of all loops it finds those that leave what was left and print through what printed through.
func (f *Found) give(q Question, c *course) {
	if !q.Removed.Tied || q.Machine.Line() {
		return
	}
	g := &Give{}
	g.Lag = Measured{f.Lag.Value - f.LagWear, math.Hypot((f.Lag.High-f.Lag.Low)/(2*z95), c.uLagWear(f.LagWear))}
	slope := q.Removed.Follows(q.Removed.Depth, q.Machine.Stages[0].Disc.Diameter/2)
	pattern := q.Removed.Grid.Beyond(q.Removed.Depth)
	g.PrintTold = printOf(q.Removed.Grid, c.follow(nil).rest, pattern)

	bare := *c
	bare.wear = make([]float64, len(c.wear))
	most := 0.0
	for _, v := range c.force {
		most = math.Max(most, v)
	}
	const steps = 330
	from, step := -0.3/most, 3.3/most/steps
	lag, prints := make([]float64, steps+1), make([]float64, steps+1) // what is expected of each yielding
	for i := range lag {
		k := from + step*float64(i)
		run := bare.follow(&k)
		lag[i], prints[i] = run.left, printOf(q.Removed.Grid, run.rest, pattern)
	}
	g.Print = Measured{math.NaN(), math.NaN()}
	if slices.Max(prints) > 2*slope.U { // otherwise no yielding that could be would show in it
		g.Print = Measured{slope.Value, slope.U}
	}
	g.weigh(lag, prints, from, step)
	f.Give = g
}

// weigh sets what is expected of each yielding against what was seen.
func (g *Give) weigh(lag, prints []float64, from, step float64) {
	printed := !math.IsNaN(g.Print.Value)
	chi, a, b := make([]float64, len(lag)), make([]float64, len(lag)), make([]float64, len(lag))
	square := func(seen Measured, want float64) (chi, wide float64) {
		v := seen.U*seen.U + lawDoubt*lawDoubt*want*want
		// a doubt that grows with what is expected would make a loop that yields without bound likely for its width alone: its logarithm weighs against that
		return (seen.Value - want) * (seen.Value - want) / v, math.Log(v / (seen.U * seen.U))
	}
	for i := range lag {
		var w float64
		a[i], w = square(g.Lag, lag[i])
		chi[i] = a[i] + w
		if printed {
			b[i], w = square(g.Print, prints[i])
			chi[i] += b[i] + w
		}
	}
	best := lowest(chi)
	g.Agree = !printed || a[best]+b[best] <= chi95+a[lowest(a)]+b[lowest(b)]
	g.read(chi, from, step)
}

// uLagWear is how well it is known what worn bits left: by their wear, and by where in its last pass the disc was over the zero.
func (c *course) uLagWear(wear float64) float64 {
	last := 0.0
	for i, p := range c.q.Job.Passes {
		if p.Depth > 0 {
			last = c.wear[i]
		}
	}
	return math.Hypot(c.uWear*wear, last/math.Sqrt(12))
}

// printOf is the slope of what stands on what was taken, both beyond the second order.
func printOf(g removal.Grid, rest, pattern []float64) float64 {
	r := g.Beyond(rest)
	var a, b float64
	for i := range r {
		a, b = a+g.Weight[i]*r[i]*pattern[i], b+g.Weight[i]*pattern[i]*pattern[i]
	}
	if b == 0 {
		return 0
	}
	return a / b
}

func lowest(chi []float64) (best int) {
	for i := range chi {
		if chi[i] < chi[best] {
			best = i
		}
	}
	return best
}

// read takes the best yielding and the limits beyond which chi squared is more than that of one in twenty.
func (g *Give) read(chi []float64, from, step float64) {
	best := lowest(chi)
	at := func(i float64) float64 { return from + step*i }
	low, high := -1.0, math.Inf(1)
	for i := best; i > 0; i-- {
		if chi[i-1]-chi[best] > chi95 {
			low = float64(i) - (chi95-(chi[i]-chi[best]))/(chi[i-1]-chi[i])
			break
		}
	}
	for i := best; i+1 < len(chi); i++ {
		if chi[i+1]-chi[best] > chi95 {
			high = float64(i) + (chi95-(chi[i]-chi[best]))/(chi[i+1]-chi[i])
			break
		}
	}
	g.PerForce.Value = at(vertex(chi, best))
	lowest, highest := math.Inf(-1), math.Inf(1)
	if low >= 0 {
		lowest = at(low)
	}
	if !math.IsInf(high, 1) {
		highest = at(high)
	}
	switch { // half the interval is 1.96 u; where a side has no end, the other tells
	case !math.IsInf(lowest, -1) && !math.IsInf(highest, 1):
		g.PerForce.U = (highest - lowest) / (2 * z95)
	case !math.IsInf(highest, 1):
		g.PerForce.U = (highest - g.PerForce.Value) / z95
	default:
		g.PerForce.U = math.Inf(1)
	}
	g.Stiffness = Interval{Value: math.NaN(), Low: 0, High: math.Inf(1)}
	if highest > 0 && !math.IsInf(highest, 1) {
		g.Stiffness.Low = 1 / highest
	}
	if lowest > 0 {
		g.Stiffness.High = 1 / lowest
	}
	if g.PerForce.Value > 0 {
		g.Stiffness.Value = 1 / g.PerForce.Value
	}
}

// vertex is where the parabola through the lowest and its neighbours is lowest.
func vertex(chi []float64, best int) float64 {
	if best == 0 || best == len(chi)-1 {
		return float64(best)
	}
	a, b, c := chi[best-1], chi[best], chi[best+1]
	if d := a - 2*b + c; d > 0 {
		return float64(best) + (a-c)/(2*d)
	}
	return float64(best)
}
