package ink

import (
	"math"

	"slatewright/internal/picture/contour"
)

// Disc is a circle as a ring of 48 sides.
func Disc(x, y, r float64) contour.Line {
	const parts = 48
	l := contour.Line{Closed: true}
	for k := range parts {
		a := 2 * math.Pi * float64(k) / parts
		l.P = append(l.P, Point{X: x + r*math.Cos(a), Y: y + r*math.Sin(a)})
	}
	return l
}

// Path is an open line through x, y, x, y, …
func Path(xy ...float64) contour.Line {
	var l contour.Line
	for i := 0; i+1 < len(xy); i += 2 {
		l.P = append(l.P, Point{X: xy[i], Y: xy[i+1]})
	}
	return l
}

// Ring is a closed line through x, y, x, y, …
func Ring(xy ...float64) contour.Line {
	l := Path(xy...)
	l.Closed = true
	return l
}
