package removal

import "math"

// At is the value between the nodes, from the four around a place; outside the piece as at its edge.
func (g Grid) At(z []float64, x, y float64) float64 {
	x0, y0 := g.X[0], g.Y[0]
	u := (x - x0) / (g.X[len(g.X)-1] - x0) * float64(g.NX-1)
	v := (y - y0) / (g.Y[len(g.Y)-1] - y0) * float64(g.NY-1)
	u, v = math.Min(math.Max(u, 0), float64(g.NX-1)), math.Min(math.Max(v, 0), float64(g.NY-1))
	i, j := min(int(u), g.NX-2), min(int(v), g.NY-2)
	a, b := u-float64(i), v-float64(j)
	at := func(i, j int) float64 { return z[i*g.NY+j] }
	return (1-a)*(1-b)*at(i, j) + a*(1-b)*at(i+1, j) + (1-a)*b*at(i, j+1) + a*b*at(i+1, j+1)
}

// Around is the mean of the values within a distance of a place, by their weights.
func (g Grid) Around(z []float64, x, y, within float64) float64 {
	var sum, weight float64
	for i := range z {
		if math.Hypot(g.X[i]-x, g.Y[i]-y) <= within {
			sum, weight = sum+g.Weight[i]*z[i], weight+g.Weight[i]
		}
	}
	if weight == 0 {
		return g.At(z, x, y)
	}
	return sum / weight
}

// Beyond is what is left of values over a surface of the second order, by least squares with the lattice's weights.
func (g Grid) Beyond(z []float64) []float64 {
	return leftOver(g.X, g.Y, z, g.Weight, 2*g.X[len(g.X)-1], 2*g.Y[len(g.Y)-1])
}

// alike is the standard deviation of the correlation of two smooth patterns that have nothing to do with each other: beyond the second order a face of which
// 54 places are read has about six waves that are longer than a disc, so 1/√6.
const alike = 0.4

// Follows asks how far the face after the work goes with a pattern over the piece, given on the lattice and seen by a disc that reaches so far, once what
// both have of the second order (tilts, bows and twist, which a piece takes on when it is let go) is taken away: the slope of the one on the other,
// by least squares. A machine has waves of its own that may look like the pattern by chance: its doubt is that of the whole unevenness of the face. NaN where
// the pattern has nothing beyond the second order.
func (f *Found) Follows(pattern []float64, within float64) Interval {
	seen := make([]float64, len(f.X))
	for i, x := range f.X {
		seen[i] = f.Grid.Around(pattern, x, f.Y[i], within)
	}
	p, z := beyond(f.X, f.Y, seen, f.sizeX, f.sizeY), beyond(f.X, f.Y, f.After, f.sizeX, f.sizeY)
	pp, pz, zz := dot(p, p), dot(p, z), dot(z, z)
	if !(pp > 1e-12*float64(len(p))) {
		return unknown()
	}
	return normal(pz/pp, alike*math.Sqrt(zz/pp))
}

// beyond is what is left of values over a surface of the second order, by least squares.
func beyond(x, y, z []float64, sizeX, sizeY float64) []float64 {
	even := make([]float64, len(z))
	for i := range even {
		even[i] = 1
	}
	return leftOver(x, y, z, even, sizeX, sizeY)
}

func leftOver(x, y, z, weight []float64, sizeX, sizeY float64) []float64 {
	a, b := make([]float64, 36), make([]float64, 6)
	cols := make([][6]float64, len(z))
	for i := range z {
		cols[i] = second(2*x[i]/sizeX, 2*y[i]/sizeY)
		for r := range 6 {
			b[r] += weight[i] * cols[i][r] * z[i]
			for c := range 6 {
				a[r*6+c] += weight[i] * cols[i][r] * cols[i][c]
			}
		}
	}
	out := append([]float64(nil), z...)
	f, ok := factorise(6, a)
	if !ok {
		return out
	}
	f.half(b)
	f.back(b)
	for i := range z {
		out[i] -= dot(cols[i][:], b)
	}
	return out
}
