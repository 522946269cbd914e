package beds_test

import (
	"fmt"
	"math/rand/v2"

	"slatewright/face"
	"slatewright/internal/rehearsal"
	"slatewright/sets/beds"
)

// milled is a stock of n pieces as the invented mill has them, read as it reads them.
func milled(seed uint64, n int) []beds.Piece {
	m := rehearsal.New(seed, n)
	var list []beds.Piece
	for _, p := range m.Pieces {
		list = append(list, beds.Piece{Face: m.Readings(p), Ways: beds.AnyWay()})
	}
	return list
}

const sizeX, sizeY = 914.0, 1473.0

// kind says how a drawn face is read.
type kind struct {
	nx, ny int  // of the grid
	rows   bool // joint rows
	scan   int  // as many readings anywhere instead of a grid
	smooth bool // no noise
	check  bool // on two planes by turns
	shaky  bool // stations off by parts of a thousandth, the same all over the face
}

// drawn is a face of smooth random shape with noise.
func drawn(r *rand.Rand, k kind) *face.Face {
	f := &face.Face{Header: face.Header{Name: fmt.Sprintf("drawn %d", r.IntN(1000)), SizeX: sizeX, SizeY: sizeY, Side: face.Top}}
	a, b, c := 0.06*r.NormFloat64(), 0.08*r.NormFloat64(), 0.04*r.NormFloat64()
	h, tx, ty := r.NormFloat64(), 1e-3*r.NormFloat64(), 1e-3*r.NormFloat64()
	add := func(x, y float64, row face.Row) {
		u, v := 2*x/sizeX, 2*y/sizeY
		f.X, f.Y = append(f.X, x), append(f.Y, y)
		z := h + tx*x + ty*y
		switch {
		case k.check:
			z += 0.02 * float64(f.Len()%2)
		case k.smooth:
			z += a*(1-u*u) + b*(1-v*v) + c*u*v
		default:
			z += a*(1-u*u) + b*(1-v*v) + c*u*v + 0.01*r.NormFloat64()
		}
		f.Z = append(f.Z, z)
		f.Row = append(f.Row, row)
	}
	for range k.scan {
		add(sizeX*(r.Float64()-0.5), sizeY*(r.Float64()-0.5), face.NoRow)
	}
	if k.scan > 0 {
		return f
	}
	at := func(i, n int, half float64) float64 { return half * (2*float64(i)/float64(n-1) - 1) }
	shift := 0.0
	if k.shaky {
		shift = 4e-4 * (r.Float64() - 0.5)
	}
	for i := range k.nx {
		for j := range k.ny {
			add(at(i, k.nx, sizeX/2-20), at(j, k.ny, sizeY/2-21)+shift, face.NoRow)
		}
	}
	for j := range 9 {
		if k.rows {
			add(sizeX/2-10, at(j, 9, sizeY/2-21)+shift, face.JointPlus)
			add(-(sizeX/2 - 10), at(j, 9, sizeY/2-21)+shift, face.JointMinus)
		}
	}
	return f
}

func usual() []beds.Limits {
	return []beds.Limits{{MaxStep: 0.127, Zone: 0.508, Lengthwise: 0.508, Across: 0.254}}
}

func weights() beds.Weights { return beds.Weights{Step: 1 / 0.127, Zone: 1 / 0.508} }
