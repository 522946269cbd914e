// Package removal is what work took off a face: two maps of it, before and after, and caliper thicknesses at the same places before and
// after, become the depth that was taken at each place, with its doubt.
//
// Each map has a height and two tilts of its own, so that their difference is known but for a plane; the calipers, or a zero that was kept,
// tie it. What is taken is a surface of the second order and a Matérn field over it, whose spread and reach the maps tell (restricted
// likelihood); the piece itself may have bent between the maps, as stress in its skin was cut away, by a prior that the caller gives. All of it
// is one Gaussian model, so a depth, its mean over the piece and its volume come with one uncertainty that knows what hangs together: C. E.
// Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, ch. 2.7.
//
// The package reads no files, knows no machine and no bits, and computes no gravity: it takes off what it is given.
package removal

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Map is one map of the face in the piece frame, mm.
type Map struct {
	X, Y, Z []float64
	U       float64                    // standard uncertainty of one reading; 0: not known
	Sag     func(x, y float64) float64 // what gravity does to these heights; nil: nothing is taken off
}

// Pair is a thickness before less the thickness after at one place, mm.
type Pair struct{ X, Y, Taken, U float64 }

// Zero is a tie without calipers: the piece was not moved between the maps and the gauge kept its zero.
type Zero struct {
	Kept bool
	U    float64 // standard uncertainty of the height, and of the edges' by tilt, mm
}

// Question is what is known of the work.
type Question struct {
	Before, After Map
	Pairs         []Pair
	Zero          Zero
	SizeX, SizeY  float64 // of the piece, mm
	// Bend are standard deviations of what the piece may have bent between the maps: bow along, bow across and a quarter of twist, mm.
	Bend [3]float64
	// USag is the standard uncertainty of gravity as a share of it, alike for both maps.
	USag float64
}

// Interval is a value with its standard uncertainty and the limits that hold it in 95 of 100 cases.
type Interval struct{ Value, U, Low, High float64 }

// Extreme is the least or the largest depth over the piece, and where.
type Extreme struct {
	Interval
	X, Y float64
}

// Found is what was taken.
type Found struct {
	// Tied tells whether the height is known: otherwise Volume, Mean, Min and Max are NaN, and Depth counts from its own plane.
	Tied     bool
	Volume   Interval // mm³
	Mean     Interval // mm
	Min, Max Extreme
	Uneven   float64 // peak to valley of Depth about its plane of least squares, mm

	Grid  Grid      // over the whole piece
	Depth []float64 // what was taken at Grid, mm
	UEach []float64 // standard uncertainty of each

	X, Y, After []float64 // stations, and heights of the face after the work, free of gravity where that was given, mm

	Noise float64   // of a difference of two readings as the maps show it, standard deviation, mm
	Rest  []float64 // each pair less the depth that was found there; NaN: left out
	Left  []int     // pairs that do not fit the others, left out
	// Stretch is by how much the calipers scatter more than they claim; 1 where they do not.
	Stretch  float64
	Bent     [3]Interval // what the piece bent: bow along, bow across, a quarter of twist; + is crown after less before
	Warnings []string

	sizeX, sizeY float64
}

// The least readings of a map: the second order has six numbers, and three more tell of a scatter.
const (
	fewest = 9
	dense  = 400 // readings, above which a map is a scan: its heights are local planes
)

// Of finds what was taken. The error is a *trouble.Trouble.
func Of(q Question) (*Found, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	f := &Found{Stretch: 1, Tied: q.tied(), sizeX: q.SizeX, sizeY: q.SizeY}
	m := q.model(f)
	m.learn()
	m.hold(q, f)
	m.answer(q, f)
	return f, nil
}

func (q Question) check() error {
	if !(q.SizeX > 0 && q.SizeY > 0) || math.IsInf(q.SizeX*q.SizeY, 0) {
		return trouble.Data("no-size", "", "the size of the piece is not known", "add a line such as '# size: 914 x 1473 mm' (x by y) to the map")
	}
	for _, m := range []struct {
		name string
		Map
	}{{"before", q.Before}, {"after", q.After}} {
		if len(m.X) < fewest {
			return trouble.Data("few-readings", "the map "+m.name, fmt.Sprintf("%d readings tell no shape", len(m.X)), fmt.Sprintf("read at least %d places, better 54 (9 x 6)", fewest))
		}
		if !spread(m.X, m.Y, q.SizeX, q.SizeY) {
			return trouble.Data("narrow", "the map "+m.name, "the readings do not spread over the face", "read places in at least three columns and three rows that reach over most of the piece")
		}
	}
	return nil
}

// spread tells whether places carry a surface of the second order: the determinant of their moments, each column of length 1, is not nearly 0.
func spread(x, y []float64, sizeX, sizeY float64) bool {
	const p = 6
	var a [p * p]float64
	n := float64(len(x))
	for i := range x {
		h := second(2*x[i]/sizeX, 2*y[i]/sizeY)
		for j := range p {
			for k := range p {
				a[j*p+k] += h[j] * h[k] / n
			}
		}
	}
	var d [p]float64
	for j := range p {
		if d[j] = math.Sqrt(a[j*p+j]); d[j] == 0 {
			return false
		}
	}
	for j := range p {
		for k := range p {
			a[j*p+k] /= d[j] * d[k]
		}
	}
	f, ok := factorise(p, a[:])
	return ok && f.logDet() > math.Log(1e-9)
}

// second are the terms of the second order at a place in halves of the sides.
func second(x, y float64) [6]float64 { return [6]float64{1, x, y, x * x, y * y, x * y} }

// tied tells whether the plane between the maps can be known: by a kept zero, or by three pairs that are not on one line.
func (q Question) tied() bool {
	if q.Zero.Kept {
		return true
	}
	return OffLine(q.Pairs, q.SizeX, q.SizeY)
}

// OffLine tells whether at least three pairs lie off one line, by a tenth of the piece's sides: the narrower spread of their places, in halves of
// the sides, is at least 0.1.
func OffLine(pairs []Pair, sizeX, sizeY float64) bool {
	n := float64(len(pairs))
	if n < 3 {
		return false
	}
	var mx, my, xx, yy, xy float64
	for _, p := range pairs {
		mx, my = mx+2*p.X/sizeX/n, my+2*p.Y/sizeY/n
	}
	for _, p := range pairs {
		x, y := 2*p.X/sizeX-mx, 2*p.Y/sizeY-my
		xx, yy, xy = xx+x*x/n, yy+y*y/n, xy+x*y/n
	}
	least := (xx+yy)/2 - math.Hypot((xx-yy)/2, xy)
	return least > 0.1*0.1
}
