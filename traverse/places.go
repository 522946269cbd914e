// Package traverse is what readings along lines have in common, whether they were made with a level or with a straightedge and
// feeler strips: the sheet they are written on (CSV with # header lines, docs/traverse.md), the places they were made at, and how
// flat heights at such places are.
//
// It does not know what the readings mean: traverse/levels makes heights of level steps, traverse/feelers bounds the flatness by
// intervals. What lies between the places it never says.
package traverse

import (
	"fmt"
	"math"

	"slatewright/flatness"
)

// Same is how near two places must be, in mm, to be one: places on stone are marked out by hand with a tape, and nobody reads two
// places half a millimetre apart.
const Same = 0.5

// Places numbers places in the order in which they come, those within Same of an earlier one with its number.
type Places struct {
	At    [][2]float64 // mm
	cells map[[2]int64][]int
}

// Number returns the number of the place, a new one if nothing lies there yet.
func (p *Places) Number(at [2]float64) int {
	if p.cells == nil {
		p.cells = map[[2]int64][]int{}
	}
	cell := [2]int64{int64(math.Floor(at[0] / Same)), int64(math.Floor(at[1] / Same))}
	best := -1
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			for _, i := range p.cells[[2]int64{cell[0] + dx, cell[1] + dy}] {
				if Apart(p.At[i], at) <= Same && (best < 0 || i < best) {
					best = i
				}
			}
		}
	}
	if best >= 0 {
		return best
	}
	p.At = append(p.At, at)
	p.cells[cell] = append(p.cells[cell], len(p.At)-1)
	return len(p.At) - 1
}

// Apart is the distance of two places.
func Apart(a, b [2]float64) float64 {
	dx, dy := a[0]-b[0], a[1]-b[1]
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// flatLimit is how narrow places may lie, as a share of their length, to count as one straight line.
const flatLimit = 1e-6

// Frame is an orthonormal basis of the planes over some places: column k holds the values of the k-th basis function, and there
// are 3 of them, or 2 if the places lie on one line (planes over it are straight lines along it), or 1 for a single place.
type Frame struct {
	Basis  [][]float64
	Length float64 // extent along the longest direction, mm
	Width  float64 // extent across it, mm; 0 for places on a line
	Along  [2]float64
}

// FrameOf returns the frame of the places.
func FrameOf(at [][2]float64) Frame {
	n := len(at)
	mx, my := 0.0, 0.0
	for _, p := range at {
		mx, my = mx+p[0], my+p[1]
	}
	mx, my = mx/float64(n), my/float64(n)
	f := Frame{Along: axis(at, mx, my)}
	one, along, across := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range at {
		one[i] = 1
		along[i] = float64((p[0]-mx)*f.Along[0]) + float64((p[1]-my)*f.Along[1])
		across[i] = float64((p[1]-my)*f.Along[0]) - float64((p[0]-mx)*f.Along[1])
	}
	f.Length, f.Width = extent(along), extent(across)
	if f.Width <= flatLimit*f.Length {
		f.Width = 0
	}
	for k, column := range [][]float64{one, along, across} {
		if k == 0 || k == 1 && f.Length > 0 || k == 2 && f.Width > 0 {
			f.Basis = append(f.Basis, orthonormal(column, f.Basis))
		}
	}
	return f
}

// axis is the direction in which the places spread most.
func axis(at [][2]float64, mx, my float64) [2]float64 {
	xx, xy, yy := 0.0, 0.0, 0.0
	for _, p := range at {
		dx, dy := p[0]-mx, p[1]-my
		xx, xy, yy = xx+float64(dx*dx), xy+float64(dx*dy), yy+float64(dy*dy)
	}
	half := (xx - yy) / 2
	x, y := half+math.Sqrt(float64(half*half)+float64(xy*xy)), xy
	if half < 0 { // the other of two proportional forms of the eigenvector, free of cancellation
		x, y = xy, math.Sqrt(float64(half*half)+float64(xy*xy))-half
	}
	if length := math.Sqrt(float64(x*x) + float64(y*y)); length > 0 {
		return [2]float64{x / length, y / length}
	}
	return [2]float64{1, 0}
}

func extent(v []float64) float64 {
	lo, hi := v[0], v[0]
	for _, x := range v {
		lo, hi = min(lo, x), max(hi, x)
	}
	return hi - lo
}

// orthonormal takes what earlier columns hold off a column, twice for the rounding, and makes its length 1.
func orthonormal(v []float64, earlier [][]float64) []float64 {
	out := append([]float64(nil), v...)
	for range 2 {
		for _, e := range earlier {
			takeOff(out, e)
		}
	}
	length := math.Sqrt(dot(out, out))
	for i := range out {
		out[i] /= length
	}
	return out
}

func takeOff(v, e []float64) {
	c := dot(v, e)
	for i := range v {
		v[i] -= float64(c * e[i])
	}
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += float64(a[i] * b[i])
	}
	return sum
}

// Level takes the least-squares plane off values at the places.
func (f Frame) Level(v []float64) {
	for range 2 {
		for _, e := range f.Basis {
			takeOff(v, e)
		}
	}
}

// Dot is the sum of products.
func Dot(a, b []float64) float64 { return dot(a, b) }

// Zone is how flat heights at the places are, with the interval that bounds every orientation: the minimum zone (ISO 1101), or
// where the places lie on one line the straightness of the profile over it.
func Zone(at [][2]float64, f Frame, z []float64) (value, low, high float64, err error) {
	if len(f.Basis) < 3 || len(at) < 4 {
		v := straight(at, f, z)
		return v, v, v, nil
	}
	zone, err := flatness.MinimumZone(points(at, z))
	return zone.Value, zone.Low, zone.High, err
}

// ZoneValue is the value of Zone, for simulation.
func ZoneValue(at [][2]float64, f Frame, z []float64) (float64, error) {
	if len(f.Basis) < 3 || len(at) < 4 {
		return straight(at, f, z), nil
	}
	return flatness.ZoneValue(points(at, z))
}

func points(at [][2]float64, z []float64) flatness.Points {
	p := flatness.Points{X: make([]float64, len(at)), Y: make([]float64, len(at)), Z: z}
	for i, a := range at {
		p.X[i], p.Y[i] = a[0], a[1]
	}
	return p
}

// straight is the least height of a strip, measured upright, that holds the profile over a line; 0 for three places that are not
// on one, through which a plane goes.
func straight(at [][2]float64, f Frame, z []float64) float64 {
	if len(f.Basis) != 2 {
		return 0
	}
	s := append([]float64(nil), f.Basis[1]...)
	factor := f.Length / extent(s)
	for i := range s {
		s[i] *= factor
	}
	return Strip(s, z)
}

// Enough tells whether so many stations can have a zone: fewer than four, or than three on a line, lie in one plane whatever their heights.
func (f Frame) Enough(stations int) bool { return stations >= 4 || f.Width == 0 && stations == 3 }

// steep is the share of the size of a face above which a zone is none of stone that anybody ground.
const steep = 0.02

// Doubtful says so of a zone that no face has, "" for others: mostly a unit is wrong.
func (f Frame) Doubtful(zone float64) string {
	size := f.Width
	if size == 0 {
		size = f.Length
	}
	if !(zone > steep*size) {
		return ""
	}
	return fmt.Sprintf("a zone of %.3g mm over %.4g mm is hardly a face: look at the units of places and readings", zone, size)
}
