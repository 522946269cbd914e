package threes_test

import (
	"math"

	"slatewright/chance"
)

// onALine costs the spread of thicknesses (σ 0.1 mm, 0.25 mm costs 1) and 0.2 for each change of layer, in the best order.
func onALine(n, layers int, stream *chance.Stream) costs {
	x, layer := make([]float64, n), make([]int, n)
	for i := range x {
		x[i], layer[i] = 0.1*stream.Normal(), stream.IntN(layers)
	}
	return costs{n, func(i, j, k int) float64 {
		spread := max(x[i], x[j], x[k]) - min(x[i], x[j], x[k])
		different := map[int]bool{layer[i]: true, layer[j]: true, layer[k]: true}
		return spread/0.25 + 0.2*float64(len(different)-1)
	}}
}

// seatLike costs what beds of three pieces cost: the largest own zone, the steps of the two joints, the spread; in the best order.
func seatLike(n int, stream *chance.Stream) costs {
	zone, x, height := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range zone {
		zone[i], x[i], height[i] = 0.15*math.Exp(0.35*stream.Normal()), 0.1*stream.Normal(), 0.03*stream.Normal()
	}
	step := make([]float64, n*n)
	for i := range n {
		for j := range i {
			step[i*n+j] = 0.3*math.Abs(height[i]-height[j]) + 0.02*math.Exp(0.5*stream.Normal())
			step[j*n+i] = step[i*n+j]
		}
	}
	return costs{n, func(i, j, k int) float64 {
		c := max(zone[i], zone[j], zone[k])/0.508 + (max(x[i], x[j], x[k])-min(x[i], x[j], x[k]))/0.25
		a, b, d := step[i*n+j], step[j*n+k], step[i*n+k]
		return c + min(max(a, b), max(b, d), max(a, d))/0.127
	}}
}
