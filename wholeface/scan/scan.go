// Package scan makes the true face out of a dense scan: the face after a stated cutoff, at nodes inside a stated edge band.
//
// A zone of all points of a scan is mostly noise: the highest and the lowest of three million readings stand four to five
// standard deviations away on either side. And a ball feels nothing that is much shorter than the patch on which it rests. So
// the true face is defined here, once, for the whole program:
//
//   - Points are averaged in square cells of a fifth of the cutoff (5 mm).
//   - At each node the face is the height of a plane fitted to the cells around it with the weights of the areal Gaussian filter
//     (ISO 16610-61, the formula from memory): a wave as long as the cutoff keeps half its height, a longer one more. The
//     plane instead of a mean keeps tilt and slope right up to the edge (end effects: ISO 16610-28, from memory). Cells weigh
//     alike however many points they hold, so a place that was scanned twice does not weigh double.
//   - The nodes lie at most NodePitch (15 mm) apart and reach to the edge band on all four sides.
//
// Envelope filters (a ball rolled over the points, ISO 16610-41, or opening and closing by a disc, ISO 16610-49) are not
// used: they follow the highest of many noisy readings instead of their mean, and a disc as wide as the cutoff holds one
// node of this lattice. A billiard ball, 57 mm across, sinks into any hollow wider than some 5 mm that is 0.1 mm deep, so its
// contact, and not its radius, is what smooths.
//
// A scan coarser than CoarsePitch cannot be filtered: its points inside the band are the face as it stands, and a warning
// says so. The package takes no outlier away, computes no gravity and does not judge.
package scan

import (
	"math"
	"strconv"

	"slatewright/flatness"
	"slatewright/trouble"
)

const (
	Cutoff      = 25.0 // mm, ball-contact scale: half of a wave as long as this is felt (design of this program, no source)
	NodePitch   = 15.0 // mm, largest distance of the nodes of a true face
	CoarsePitch = 10.0 // mm: with fewer points than one in a square of this side nothing is filtered
	LeastPoints = 500  // of a scan inside its band
)

// Scan gathers the points of one scan. It keeps sums of cells, not points: its size does not grow with the scan.
type Scan struct {
	sizeX, sizeY, cutoff, band float64
	side                       float64
	nx, ny                     int
	cells                      []cell
	points, outside            int
}

// cell has the sums of the points in it.
type cell struct{ n, x, y, z float64 }

// New starts a scan of a piece of the given size, mm, origin in the middle. A cutoff of 0 means Cutoff. The band is how much
// of the face along each edge does not count, mm.
func New(sizeX, sizeY, cutoff, band float64) (*Scan, error) {
	if cutoff == 0 {
		cutoff = Cutoff
	}
	if !(cutoff >= 5 && cutoff <= 200) {
		return nil, trouble.Data("bad-cutoff", "scan", "the cutoff must lie between 5 and 200 mm", "the usual one is 25 mm")
	}
	if !(band >= 0) || !(sizeX-2*band >= 4*cutoff) || !(sizeY-2*band >= 4*cutoff) || math.Max(sizeX, sizeY) > 10_000 {
		return nil, trouble.Data("bad-size", "scan", "inside the edge band a face must measure four cutoffs each way, and at most 10 m",
			"check the size of the piece and the edge band")
	}
	s := &Scan{sizeX: sizeX, sizeY: sizeY, cutoff: cutoff, band: band, side: cutoff / 5}
	s.nx, s.ny = int(math.Ceil(sizeX/s.side)), int(math.Ceil(sizeY/s.side))
	s.cells = make([]cell, s.nx*s.ny)
	return s, nil
}

// Add takes one point in, mm in the piece frame. Points off the piece are counted and left out.
func (s *Scan) Add(x, y, z float64) {
	i, j := math.Floor((x+s.sizeX/2)/s.side), math.Floor((y+s.sizeY/2)/s.side)
	if x == s.sizeX/2 {
		i = float64(s.nx - 1)
	}
	if y == s.sizeY/2 {
		j = float64(s.ny - 1)
	}
	if !(i >= 0 && i < float64(s.nx) && j >= 0 && j < float64(s.ny)) || math.IsNaN(z) || math.IsInf(z, 0) {
		s.outside++
		return
	}
	c := &s.cells[int(i)*s.ny+int(j)]
	c.n, c.x, c.y, c.z = c.n+1, c.x+x, c.y+y, c.z+z
	s.points++
}

// Points returns how many points were taken in.
func (s *Scan) Points() int { return s.points }

// Face is a true face: heights at nodes. Probes are what a probe would read: the mean of the points of one cell.
type Face struct {
	SizeX, SizeY, Cutoff, Band float64 // mm
	Filtered                   bool    // false: the scan was too coarse, and its points are the face as it stands
	Nodes, Probes              flatness.Points
	Warnings                   []string
}

// Zone returns the minimum zone of the true face, mm.
func (f Face) Zone() (float64, error) { return flatness.ZoneValue(f.Nodes) }

// True makes the true face.
func (s *Scan) True() (Face, error) {
	f := Face{SizeX: s.sizeX, SizeY: s.sizeY, Cutoff: s.cutoff, Band: s.band}
	if s.points < LeastPoints {
		return f, trouble.Data("thin-scan", "scan", "a scan needs at least "+strconv.Itoa(LeastPoints)+" points on the piece, and this has "+
			strconv.Itoa(s.points), "scan denser, or check the size and the origin in the header")
	}
	if s.outside > 0 {
		f.Warnings = append(f.Warnings, trouble.Count(s.outside, "point lies", "points lie")+" off the piece and were left out")
	}
	wx, wy := s.sizeX/2-s.band, s.sizeY/2-s.band
	for _, c := range s.cells {
		if c.n == 0 {
			continue
		}
		if x, y := c.x/c.n, c.y/c.n; math.Abs(x) <= wx && math.Abs(y) <= wy {
			f.Probes.X, f.Probes.Y, f.Probes.Z = append(f.Probes.X, x), append(f.Probes.Y, y), append(f.Probes.Z, c.z/c.n)
		}
	}
	if pitch := math.Sqrt(s.sizeX * s.sizeY / float64(s.points)); pitch > CoarsePitch {
		f.Nodes = f.Probes
		f.Warnings = append(f.Warnings, "the scan is coarser than "+strconv.FormatFloat(CoarsePitch, 'g', -1, 64)+
			" mm from point to point: it was not filtered, its points are the face as it stands")
		return f, f.check()
	}
	f.Filtered = true
	s.filter(&f, wx, wy)
	return f, f.check()
}

func (f Face) check() error {
	if f.Nodes.Len() < LeastPoints/2 {
		return trouble.Data("thin-scan", "scan", "too little of the face inside the edge band was scanned", "scan the whole face")
	}
	return nil
}

// filter fills the nodes. A node with cells on one side only, or with next to none around it, is left out and counted.
func (s *Scan) filter(f *Face, wx, wy float64) {
	mx, my := int(math.Ceil(2*wx/NodePitch))+1, int(math.Ceil(2*wy/NodePitch))+1
	// Gaussian weights exp(−π r²/(α λ)²), α² = ln 2/π: a variance of α²λ²/2π either way, of which the cells have s²/12 already.
	variance := math.Ln2/math.Pi*s.cutoff*s.cutoff/(2*math.Pi) - s.side*s.side/12
	missing := 0
	for i := range mx {
		x := -wx + 2*wx*float64(i)/float64(mx-1)
		for j := range my {
			y := -wy + 2*wy*float64(j)/float64(my-1)
			if z, ok := s.at(x, y, variance); ok {
				f.Nodes.X, f.Nodes.Y, f.Nodes.Z = append(f.Nodes.X, x), append(f.Nodes.Y, y), append(f.Nodes.Z, z)
			} else {
				missing++
			}
		}
	}
	if missing > 0 {
		f.Warnings = append(f.Warnings, strconv.Itoa(missing)+" of "+trouble.Count(mx*my, "node", "nodes")+
			" of the face were not scanned, and are not in its zone")
	}
}

// at is the height at (x, y) of the plane fitted to the cells within three and a half standard deviations of the weights.
func (s *Scan) at(x, y, variance float64) (float64, bool) {
	reach := 3.5 * math.Sqrt(variance)
	i0, i1 := s.column(x-reach, s.sizeX, s.nx), s.column(x+reach, s.sizeX, s.nx)
	j0, j1 := s.column(y-reach, s.sizeY, s.ny), s.column(y+reach, s.sizeY, s.ny)
	var w, wx, wy, wxx, wxy, wyy, wz, wxz, wyz float64
	for i := i0; i <= i1; i++ {
		for _, c := range s.cells[i*s.ny+j0 : i*s.ny+j1+1] {
			if c.n == 0 {
				continue
			}
			dx, dy, z := c.x/c.n-x, c.y/c.n-y, c.z/c.n
			g := math.Exp(-(dx*dx + dy*dy) / (2 * variance))
			w, wx, wy = w+g, wx+g*dx, wy+g*dy
			wxx, wxy, wyy = wxx+g*dx*dx, wxy+g*dx*dy, wyy+g*dy*dy
			wz, wxz, wyz = wz+g*z, wxz+g*dx*z, wyz+g*dy*z
		}
	}
	if w < 0.2 { // less than a cell near by
		return 0, false
	}
	// Cramer's rule for the plane's height at the node.
	a, b, c := wxx*wyy-wxy*wxy, wx*wyy-wxy*wy, wx*wxy-wxx*wy
	det := w*a - wx*b + wy*c
	if det < 1e-3*w*w*w*variance*variance { // all on one side, or on a line
		return 0, false
	}
	return (wz*a - wxz*b + wyz*c) / det, true
}

// column is the cell of a coordinate, held within the piece.
func (s *Scan) column(v, size float64, n int) int {
	return max(0, min(n-1, int(math.Floor((v+size/2)/s.side))))
}

// Noise is the standard deviation of a node for points with the standard uncertainty u, as far as their errors are independent:
// the weights of the filter average over 4π times their variance. A face as it stands is not averaged.
func (s *Scan) Noise(u float64) float64 {
	density := float64(s.points) / (s.sizeX * s.sizeY)
	if pitch := 1 / math.Sqrt(density); pitch > CoarsePitch {
		return u
	}
	variance := math.Ln2 / math.Pi * s.cutoff * s.cutoff / (2 * math.Pi)
	return u / math.Sqrt(math.Max(1, 4*math.Pi*variance*density))
}
