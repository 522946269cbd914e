package judge

import (
	"math"

	"slatewright/face"
)

// widestGap returns the diameter in mm of the widest circle that holds no reading, its middle anywhere on the face inside the edge
// band. For a grid of pitch a by b that reaches the band it is √(a²+b²). The widest place of a lattice of 20 mm is walked
// uphill to 0.1 mm; on a face of more than 2.5 m the lattice has 128 meshes a side, so that no file keeps its reader waiting.
// Joint rows do not count. The piece's size must be known; without any reading inside the band the answer is +Inf.
func widestGap(f *face.Face, edgeBand float64) (float64, error) {
	c, err := centred(f)
	if err != nil {
		return 0, err
	}
	s := &span{hx: float64(c.SizeX/2) - edgeBand, hy: float64(c.SizeY/2) - edgeBand}
	s.take(c)
	if len(s.places) == 0 {
		return math.Inf(1), nil
	}
	var x, y float64
	widest := -1.0
	nx, ny := meshes(s.hx), meshes(s.hy)
	for i := range nx + 1 {
		u := float64(s.hx * (float64(2*i)/float64(nx) - 1))
		for j := range ny + 1 {
			v := float64(s.hy * (float64(2*j)/float64(ny) - 1))
			if d := s.nearest(u, v); d > widest {
				x, y, widest = u, v, d
			}
		}
	}
	return 2 * math.Sqrt(s.climb(x, y, widest)), nil
}

// span is the face inside the edge band, −hx … hx by −hy … hy, and where its readings are.
type span struct {
	hx, hy float64
	places [][2]float64
}

// meshes cuts −h … h into parts of at most 20 mm, and never into more than 128.
func meshes(h float64) int { return min(max(1, int(math.Ceil(h/10))), 128) }

// nearest is the squared distance from x, y to the nearest reading.
func (s *span) nearest(x, y float64) float64 {
	best := math.Inf(1)
	for _, p := range s.places {
		dx, dy := p[0]-x, p[1]-y
		best = min(best, float64(dx*dx)+float64(dy*dy))
	}
	return best
}

// climb goes from x, y to where the nearest reading is furthest, in steps of 10 mm that are halved down to 0.1 mm.
func (s *span) climb(x, y, widest float64) float64 {
	for step := 10.0; step > 0.1; {
		u, v, best := x, y, widest
		for _, dx := range [3]float64{-step, 0, step} {
			for _, dy := range [3]float64{-step, 0, step} {
				tx, ty := min(max(x+dx, -s.hx), s.hx), min(max(y+dy, -s.hy), s.hy)
				if d := s.nearest(tx, ty); d > best {
					u, v, best = tx, ty, d
				}
			}
		}
		if best > widest {
			x, y, widest = u, v, best
		} else {
			step /= 2
		}
	}
	return widest
}

// take keeps where the readings are that count: inside the edge band, and of a scan the first in each mesh.
func (s *span) take(f *face.Face) {
	const many = 2000
	const rounding = 1e-6 // mm: a reading on the line counts as inside
	nx, ny := meshes(s.hx), meshes(s.hy)
	taken := make([]bool, nx*ny)
	for i := range f.Z {
		x, y := f.X[i], f.Y[i]
		if f.Row != nil && f.Row[i] != face.NoRow || math.Abs(x) > s.hx+rounding || math.Abs(y) > s.hy+rounding {
			continue
		}
		if len(f.Z) > many {
			mesh := nx*part(y, s.hy, ny) + part(x, s.hx, nx)
			if taken[mesh] {
				continue
			}
			taken[mesh] = true
		}
		s.places = append(s.places, [2]float64{x, y})
	}
}

// part is in which of n equal parts of −h … h the place x lies.
func part(x, h float64, n int) int {
	return min(max(0, int(float64(n)*((x+h)/(2*h)))), n-1)
}
