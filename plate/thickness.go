package plate

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// fullFit is how many readings a surface of second order wants: its six numbers and two to spare.
const fullFit = 8

// FitThickness returns the surface that fits caliper readings best by least squares, and the standard deviation from it, mm: of second order from
// eight readings on, a plane from three, else the mean. Readings that do not span the surface give the next simpler one.
func FitThickness(places []Point, t []float64) (Surface, float64, error) {
	if len(places) == 0 || len(places) != len(t) {
		return Surface{}, 0, trouble.Data("no-thickness", "thickness", fmt.Sprintf("%d thicknesses at %d places", len(t), len(places)), "give at least one reading: x, y, t")
	}
	scale := 0.0
	for _, q := range places {
		scale = math.Max(scale, math.Max(math.Abs(q.X), math.Abs(q.Y)))
	}
	scale = math.Max(scale, 1)
	for _, terms := range []int{6, 3, 1} {
		if terms == 6 && len(t) < fullFit || terms == 3 && len(t) < 3 {
			continue
		}
		if c, ok := fitted(places, t, terms, scale); ok {
			s := Surface{C: [6]float64{c[0], c[1] / scale, c[2] / scale, c[3] / scale / scale, c[4] / scale / scale, c[5] / scale / scale}}
			sum := 0.0
			for i, q := range places {
				d := t[i] - s.At(q.X, q.Y)
				sum += d * d
			}
			return s, math.Sqrt(sum / float64(max(1, len(t)-terms))), nil
		}
	}
	return Surface{}, 0, trouble.Data("no-thickness", "thickness", "the thicknesses are not numbers", "give them in mm: x, y, t")
}

// fitted solves the normal equations of the first terms; false when the places do not span them.
func fitted(places []Point, t []float64, terms int, scale float64) (c [6]float64, ok bool) {
	var a [6][7]float64
	for i, q := range places {
		x, y := q.X/scale, q.Y/scale
		f := [6]float64{1, x, y, x * x, x * y, y * y}
		for r := range terms {
			for k := range terms {
				a[r][k] += f[r] * f[k]
			}
			a[r][6] += f[r] * t[i]
		}
	}
	for k := range terms {
		if !(a[k][k] > 1e-9*float64(len(t))) {
			return c, false
		}
		for r := range terms {
			if r != k {
				m := a[r][k] / a[k][k]
				for j := k; j < 7; j++ {
					a[r][j] -= m * a[k][j]
				}
			}
		}
	}
	for k := range terms {
		c[k] = a[k][6] / a[k][k]
	}
	return c, !math.IsNaN(c[0])
}
