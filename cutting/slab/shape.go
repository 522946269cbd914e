package slab

import "slatewright/polygon"

// Box is an upright rectangle.
type Box struct{ X1, Y1, X2, Y2 float64 }

// Around is the box around points.
func Around(points []Point) Box {
	low, high := polygon.Around(points)
	return Box{low.X, low.Y, high.X, high.Y}
}
