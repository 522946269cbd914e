package slab

import "math"

// Frame is a turn of the saw's lines: along is its x axis.
type Frame struct{ cos, sin float64 }

// NewFrame is a frame that is turned anticlockwise.
func NewFrame(degrees float64) Frame {
	switch d := math.Mod(degrees, 360); d { // exact where it can be
	case 0:
		return Frame{1, 0}
	case 90, -270:
		return Frame{0, 1}
	case 180, -180:
		return Frame{-1, 0}
	case 270, -90:
		return Frame{0, -1}
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return Frame{cos, sin}
}

// In gives a place of the slab in the frame.
func (f Frame) In(p Point) Point { return Point{f.cos*p.X + f.sin*p.Y, f.cos*p.Y - f.sin*p.X} }

// Out gives a place of the frame on the slab.
func (f Frame) Out(p Point) Point { return Point{f.cos*p.X - f.sin*p.Y, f.sin*p.X + f.cos*p.Y} }

// All gives places of the slab in the frame.
func (f Frame) All(points []Point) []Point {
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = f.In(p)
	}
	return out
}
