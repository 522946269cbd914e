package pattern

// Images returns the signs by which x and y are multiplied to give the places that a symmetry makes of one, the place itself
// first.
func (s Symmetry) Images() [][2]float64 {
	switch s {
	case Quarter:
		return [][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}}
	case Ends:
		return [][2]float64{{1, 1}, {-1, 1}}
	case Sides:
		return [][2]float64{{1, 1}, {1, -1}}
	case Turned:
		return [][2]float64{{1, 1}, {-1, -1}}
	}
	return [][2]float64{{1, 1}}
}

// Quadrant names where in the bed a place lies: h or f for head or foot, then l or r for left or right; nothing for a middle
// line.
func Quadrant(x, y float64) string {
	name := ""
	switch {
	case x < 0:
		name = "h"
	case x > 0:
		name = "f"
	}
	switch {
	case y < 0:
		name += "l"
	case y > 0:
		name += "r"
	}
	return name
}
