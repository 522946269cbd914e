package wholeface

import "math"

// lattice is the even set of nodes on which faces are drawn: nx by ny over the face inside its edge band, node (i, j) is number
// i·ny + j. Between nodes the drawn face is bilinear, and every covariance here is that of the bilinear face: the model is exact
// on the lattice, not an approximation of another one.
type lattice struct {
	sizeX, sizeY, band float64 // mm
	nx, ny             int
	dx, dy             float64
}

// NodePitch is the largest distance of the nodes of a drawn face, mm.
const NodePitch = 25.0

func newLattice(sizeX, sizeY, band float64) lattice {
	l := lattice{sizeX: sizeX, sizeY: sizeY, band: band}
	wx, wy := sizeX-2*band, sizeY-2*band
	l.nx, l.ny = int(math.Ceil(wx/NodePitch))+1, int(math.Ceil(wy/NodePitch))+1
	l.dx, l.dy = wx/float64(l.nx-1), wy/float64(l.ny-1)
	return l
}

func (l lattice) nodes() int { return l.nx * l.ny }

// place is where node k lies, mm.
func (l lattice) place(k int) (x, y float64) {
	return l.band - l.sizeX/2 + l.dx*float64(k/l.ny), l.band - l.sizeY/2 + l.dy*float64(k%l.ny)
}

// spot is a place on the lattice as the mean of four nodes: numbers and weights, which sum to 1.
type spot struct {
	x, y float64
	i, j int
	w    [4]float64 // of (i, j), (i, j+1), (i+1, j), (i+1, j+1)
}

// spot finds the nodes around a place. A place in the edge band takes the nearest place of the lattice (off tells).
func (l lattice) spot(x, y float64) (s spot, off float64) {
	fx, fy := (x+l.sizeX/2-l.band)/l.dx, (y+l.sizeY/2-l.band)/l.dy
	gx, gy := math.Max(0, math.Min(float64(l.nx-1), fx)), math.Max(0, math.Min(float64(l.ny-1), fy))
	off = math.Max(math.Abs(fx-gx)*l.dx, math.Abs(fy-gy)*l.dy)
	i, j := min(int(gx), l.nx-2), min(int(gy), l.ny-2)
	a, b := gx-float64(i), gy-float64(j)
	return spot{x: x, y: y, i: i, j: j, w: [4]float64{(1 - a) * (1 - b), (1 - a) * b, a * (1 - b), a * b}}, off
}

// corners are the numbers of the four nodes of a spot.
func (l lattice) corners(s spot) [4]int {
	k := s.i*l.ny + s.j
	return [4]int{k, k + 1, k + l.ny, k + l.ny + 1}
}

// read is the height of a drawn face at a spot.
func (l lattice) read(z []float64, s spot) float64 {
	k := l.corners(s)
	return s.w[0]*z[k[0]] + s.w[1]*z[k[1]] + s.w[2]*z[k[2]] + s.w[3]*z[k[3]]
}

// table has the correlation of two nodes by how many columns and rows lie between them: t[di·ny + dj].
func (l lattice) table(length float64) []float64 {
	t := make([]float64, l.nodes())
	for i := range l.nx {
		for j := range l.ny {
			t[i*l.ny+j] = matern(math.Hypot(float64(i)*l.dx, float64(j)*l.dy), length)
		}
	}
	return t
}

// column writes the correlation of every node with a spot.
func (l lattice) column(table []float64, s spot, to []float64) {
	clear(to)
	for c, w := range s.w {
		if w == 0 {
			continue
		}
		ci, cj := s.i+c/2, s.j+c%2
		for i := range l.nx {
			row := table[abs(i-ci)*l.ny:]
			out := to[i*l.ny : (i+1)*l.ny]
			for j := range out {
				out[j] += w * row[abs(j-cj)]
			}
		}
	}
}

func abs(k int) int {
	if k < 0 {
		return -k
	}
	return k
}

// terms is how many terms a trend has: height, two tilts, bow along, bow across, twist.
const terms = 6

// trend writes the value of each term at a place: those of design and package flatness, with the piece's size as their measure.
func (l lattice) trend(x, y float64) [terms]float64 {
	u, v := 2*x/l.sizeX, 2*y/l.sizeY
	return [terms]float64{1, u, v, 1 - u*u, 1 - v*v, u * v}
}
