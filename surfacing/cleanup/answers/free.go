package answers

import (
	"math"

	"slatewright/cores"
	"slatewright/face"
	"slatewright/plate"
	"slatewright/stone"
)

// freed is the gravity that was taken off a face: how the piece lay while it was read, less the plane of least squares over the whole piece, so that
// heights which are tied stay where they are.
type freed struct {
	bent  *plate.Bent
	x, y  float64    // size
	level [3]float64 // height and slopes of that plane
	peak  float64    // peak to valley over the piece
	share float64    // standard uncertainty as a share
	turn  float64    // of the frame it was read in, against the piece's
	table []float64  // heights on a lattice of tabled+1 places each way, for large maps
}

// A map of more readings than many looks gravity up in a table of tabled cells each way. Straight lines between its places are off by less than
// h²/8 times the curvature: for 6 mm cells and a sag of 0.6 mm over 1473 mm that is 1e-5 mm.
const (
	many   = 50000
	tabled = 256
)

// down is what gravity adds to a reading at a place of the file, up in the file's frame.
func (g *freed) down(x, y float64) float64 {
	if g.table == nil {
		return g.bent.Height(plate.Point{X: x, Y: y}) - g.level[0] - g.level[1]*x - g.level[2]*y
	}
	i, u := cell(x, g.x)
	j, v := cell(y, g.y)
	t := g.table[j*(tabled+1)+i:]
	return (1-v)*((1-u)*t[0]+u*t[1]) + v*((1-u)*t[tabled+1]+u*t[tabled+2])
}

// cell is the number of the cell at x of a piece of that size, and how far into it.
func cell(x, size float64) (int, float64) {
	at := (x/size + 0.5) * tabled
	i := min(max(int(at), 0), tabled-1)
	return i, min(max(at-float64(i), 0), 1)
}

// tabulate fills the table.
func (g *freed) tabulate() {
	table := make([]float64, (tabled+1)*(tabled+1))
	each(len(table), func(k int) {
		table[k] = g.down((float64(k%(tabled+1))/tabled-0.5)*g.x, (float64(k/(tabled+1))/tabled-0.5)*g.y)
	})
	g.table = table
}

// uThickness is the standard uncertainty of the thickness for bending, mm: that of a slab whose faces are not true.
const uThickness = 0.2

// free works out the gravity of a face; nil where it cannot, with a warning that says why.
func (s *slab) free(f *face.Face, side int) (*freed, error) {
	not := func(why string) (*freed, error) {
		s.ofFace(side, "gravity was not taken off %s: "+why)
		return nil, nil
	}
	switch {
	case s.q.AsRead:
		return not("as was asked")
	case side == 1 && f.InPiece:
		return not("the heights are in the piece frame, and do not say how the slab lay")
	case f.Support.Kind == face.SupportUnknown:
		return not("the file does not say on what the slab lay ('# support:')")
	case f.Support.Kind == face.SupportBench:
		return not("a bench that carries everywhere presses a bow flat, and what it pressed cannot be told; read it on two bars or three points")
	case f.SizeX == 0:
		return not("the file does not say how large the slab is ('# size:')")
	}
	t := s.meanThickness()
	if t == 0 {
		return not("no caliper thickness tells how stiff the slab is")
	}
	slate := stone.Slate()
	p := plate.Piece{Outline: plate.Rectangle(f.SizeX, f.SizeY), Thickness: plate.Even(t), Elastic: plate.Isotropic(s.q.Modulus, slate.Poisson), Density: slate.Density}
	b, err := plate.Bend(p, under(f.Support), 0)
	if err != nil {
		return nil, err
	}
	g := &freed{bent: b, x: f.SizeX, y: f.SizeY, share: math.Hypot(s.q.UModulus, 2*uThickness/t), turn: sign(f, side)}
	g.flatten()
	if f.Len() > many {
		g.tabulate()
	}
	if len(f.Support.Lines) > 0 {
		s.ofFace(side, "bars press twist out of %s; read it on three points where twist matters")
	}
	return g, nil
}

// flatten finds the plane of the bent piece, and its peak to valley over it. On a lattice that is even both ways the three unknowns part.
func (g *freed) flatten() {
	const n = 16
	var sum, along, across, squares float64
	lattice := func(do func(u, v float64)) {
		for i := range n + 1 {
			for j := range n + 1 {
				do(2*float64(i)/n-1, 2*float64(j)/n-1)
			}
		}
	}
	lattice(func(u, v float64) {
		h := g.bent.Height(plate.Point{X: u * g.x / 2, Y: v * g.y / 2})
		sum, along, across, squares = sum+h, along+h*u, across+h*v, squares+u*u
	})
	g.level = [3]float64{sum / ((n + 1) * (n + 1)), along / squares / (g.x / 2), across / squares / (g.y / 2)}
	low, high := math.Inf(1), math.Inf(-1)
	lattice(func(u, v float64) {
		h := g.down(u*g.x/2, v*g.y/2)
		low, high = min(low, h), max(high, h)
	})
	g.peak = high - low
}

// under is what a face lay on.
func under(s face.Support) (u plate.Under) {
	for _, l := range s.Lines {
		u.Lines = append(u.Lines, plate.Line{Axis: l.Axis, At: l.At})
	}
	for _, q := range s.Points {
		u.Points = append(u.Points, plate.Support{X: q[0], Y: q[1]})
	}
	return u
}

// meanThickness is what bends: that of the calipers, or of the gauges' zeros; 0 if neither is known.
func (s *slab) meanThickness() float64 {
	var list []face.Thickness
	for _, f := range []*face.Face{s.q.Top, s.q.Bottom} {
		if f != nil {
			list = append(list, f.Thickness...)
		}
	}
	sum := 0.0
	for _, t := range list {
		sum += t.T / float64(len(list))
	}
	if len(list) > 0 || s.q.Top == nil || s.q.Bottom == nil {
		return sum
	}
	top, bottom := middle(s.q.Top.Z), middle(s.q.Bottom.Z)
	switch {
	case s.q.Bottom.InPiece:
		sum = top - bottom
	case s.q.Top.Zero != nil && s.q.Bottom.Zero != nil:
		sum = *s.q.Top.Zero + *s.q.Bottom.Zero + top + bottom
	}
	return max(0, sum)
}

// middle is the mean of a few hundred of the heights, spread over all.
func middle(z []float64) (mean float64) {
	step := max(1, len(z)/500)
	n := 0
	for i := 0; i < len(z); i += step {
		mean, n = mean+z[i], n+1
	}
	return mean / float64(max(1, n))
}

// each calls do for 0 … n on all cores.
func each(n int, do func(i int)) {
	cores.Share(n, 4096, func(from, to int) {
		for i := from; i < to; i++ {
			do(i)
		}
	})
}
