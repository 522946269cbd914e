package removal

import (
	"math"
	"slices"

	"slatewright/chance"
)

// Grid is a lattice over the whole piece whose weights are Simpson's: a surface of the third order is integrated exactly. Nodes run along y first.
type Grid struct {
	NX, NY int // both odd
	X, Y   []float64
	Weight []float64 // shares of the piece, 1 in all
}

// The lattice, fine enough for what 9 x 6 readings can tell.
const (
	gridShort = 13
	gridLong  = 19
)

func newGrid(sizeX, sizeY float64) Grid {
	g := Grid{NX: gridShort, NY: gridLong}
	if sizeX > sizeY {
		g.NX, g.NY = gridLong, gridShort
	}
	simpson := func(i, n int) float64 {
		w := 2.0
		switch {
		case i == 0 || i == n-1:
			w = 1
		case i%2 == 1:
			w = 4
		}
		return w / (3 * float64(n-1))
	}
	for i := range g.NX {
		for j := range g.NY {
			g.X = append(g.X, sizeX*(float64(i)/float64(g.NX-1)-0.5))
			g.Y = append(g.Y, sizeY*(float64(j)/float64(g.NY-1)-0.5))
			g.Weight = append(g.Weight, simpson(i, g.NX)*simpson(j, g.NY))
		}
	}
	return g
}

// z95 holds 95 of 100 normal draws between −z95 and z95.
const z95 = 1.959963984540054

func normal(mean, u float64) Interval { return Interval{mean, u, mean - z95*u, mean + z95*u} }

func unknown() Interval {
	nan := math.NaN()
	return Interval{nan, nan, nan, nan}
}

// answer fills what was found over the piece.
func (m *model) answer(q Question, f *Found) {
	f.Grid = newGrid(q.SizeX, q.SizeY)
	n := len(f.Grid.X)
	mean, cov := m.blend(f.Grid.X, f.Grid.Y, taken)
	f.Depth, f.UEach = mean, make([]float64, n)
	for i := range n {
		f.UEach[i] = math.Sqrt(math.Max(cov[i*n+i], 0))
	}
	for k := range f.Bent {
		f.Bent[k] = m.coefficient(cBend + k)
		f.Bent[k] = Interval{-f.Bent[k].Value, f.Bent[k].U, -f.Bent[k].High, -f.Bent[k].Low} // the maps' difference is before less after
	}
	level := flattened(f.Grid, f.Depth)
	f.Uneven = slices.Max(level) - slices.Min(level)
	if !f.Tied {
		f.Depth = level
		f.Volume, f.Mean, f.Min.Interval, f.Max.Interval = unknown(), unknown(), unknown(), unknown()
		return
	}
	average := dot(f.Grid.Weight, f.Depth)
	var v float64
	for i := range n {
		v += f.Grid.Weight[i] * dot(f.Grid.Weight, cov[i*n:(i+1)*n])
	}
	f.Mean = normal(average, math.Sqrt(math.Max(v, 0)))
	area := q.SizeX * q.SizeY
	f.Volume = Interval{f.Mean.Value * area, f.Mean.U * area, f.Mean.Low * area, f.Mean.High * area}
	f.Min, f.Max = extremes(f.Grid, f.Depth, cov)
}

// coefficient is one of the columns' with its doubt.
func (f *field) coefficient(k int) Interval {
	e := make([]float64, f.p)
	e[k] = 1
	f.a.half(e)
	return normal(f.beta[k], math.Sqrt(dot(e, e)))
}

// flattened is what is left of values over the plane of least squares.
func flattened(g Grid, z []float64) []float64 {
	var mean, sx, sy, xx, yy float64
	n := float64(len(z))
	for i := range z { // the lattice is centred and even: the three terms do not mix
		mean += z[i] / n
		sx, sy, xx, yy = sx+z[i]*g.X[i], sy+z[i]*g.Y[i], xx+g.X[i]*g.X[i], yy+g.Y[i]*g.Y[i]
	}
	out := make([]float64, len(z))
	for i := range z {
		out[i] = z[i] - mean - sx/xx*g.X[i] - sy/yy*g.Y[i]
	}
	return out
}

// draws of the whole surface, by which the least and the largest depth are told; and the seed that makes them the same each time.
const (
	draws = 600
	seed  = 20261126
)

// extremes are the least and the largest depth: those of drawn surfaces, since the mean surface is smoother than the true one.
func extremes(g Grid, mean, cov []float64) (lowest, highest Extreme) {
	n := len(mean)
	c := slices.Clone(cov)
	var largest float64
	for i := range n {
		largest = math.Max(largest, cov[i*n+i])
	}
	for i := range n {
		c[i*n+i] += 1e-9*largest + 1e-18
	}
	f, ok := factorise(n, c)
	lows, highs := make([]float64, draws), make([]float64, draws)
	stream := chance.NewStream(seed)
	e := make([]float64, n)
	for d := range draws {
		for i := range n {
			e[i] = stream.Normal()
		}
		lows[d], highs[d] = math.Inf(1), math.Inf(-1)
		for i := range n {
			v := mean[i]
			if ok {
				v += dot(f.l[i*n:i*n+i+1], e[:i+1])
			}
			lows[d], highs[d] = math.Min(lows[d], v), math.Max(highs[d], v)
		}
	}
	at := func(k int) Extreme { return Extreme{X: g.X[k], Y: g.Y[k]} }
	lowest, highest = at(where(mean, -1)), at(where(mean, 1))
	lowest.Interval, highest.Interval = spreadOf(lows), spreadOf(highs)
	return lowest, highest
}

// where is the index of the largest value times sign.
func where(z []float64, sign float64) (best int) {
	for i := range z {
		if sign*z[i] > sign*z[best] {
			best = i
		}
	}
	return best
}

// spreadOf is the median and the middle 95 of 100 draws.
func spreadOf(list []float64) Interval {
	slices.Sort(list)
	at := func(p float64) float64 { return list[int(p*float64(len(list)-1)+0.5)] }
	low, high := at(0.025), at(0.975)
	return Interval{at(0.5), (high - low) / (2 * z95), low, high}
}
