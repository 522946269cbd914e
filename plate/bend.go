package plate

import (
	"math"

	"slatewright/trouble"
)

// Bent is a piece at rest, with its heights over z = 0 (the plane of supports without a height of their own) and their doubt.
type Bent struct {
	*Rest
	Places  []Point   // a lattice over the stone, the corners of cuts, and the supports
	Heights []float64 // mm, at Places
	Highest, Lowest,
	PeakToValley float64 // mm, over Places
	// Error is an estimate of the largest error of Heights, mm: the largest difference from the mesh of twice the cells, carried on as a
	// geometric series, and half as much again. The ratio of the series is that of the last two differences, at least 0.4; with two meshes
	// only, the difference twice. An estimate, no bound: of 87 drawn pieces with cuts, on drawn bars and points, one was off by 1.12 times as much,
	// the others by less.
	Error    float64
	ErrorPV  float64 // the difference between the two peak to valleys, mm
	Step     float64 // of the mesh, mm
	Nodes    int     // of the mesh
	Unknowns int
	Supports []Support // bars as the points that they were taken for; of a bench: all places
	Touches  []Touch   // on a bench
	// Good tells whether Error is within the share that was asked for.
	Good   bool
	change float64   // largest difference from the mesh before
	points []Support // those that are points of their own
}

// DefaultShare is the error, as a share of peak to valley, at which refining stops.
const DefaultShare = 0.005

// The coarsest and finest mesh, cells along the longer side.
const (
	coarsest = 16
	finest   = 128
)

// Bend lets a piece settle on what is under it, on meshes of halved cells until the heights differ from those of the mesh before by
// no more than share of peak to valley; 0 is [DefaultShare]. The error is a *trouble.Trouble.
func Bend(p Piece, u Under, share float64, loads ...Load) (*Bent, error) {
	if err := u.Check(); err != nil {
		return nil, err
	}
	if share == 0 {
		share = DefaultShare
	}
	if !(share > 0) {
		return nil, trouble.Usage("bad-share", "error", "an error that is not more than 0", "give a share of peak to valley, such as 0.005")
	}
	if err := p.Check(); err != nil {
		return nil, err
	}
	o := p.Outline
	places := o.lattice(math.Max(o.X, o.Y) / 64)
	for _, s := range u.Points {
		places = append(places, Point{s.X, s.Y})
	}
	var before *Bent
	for cells := coarsest; ; cells *= 2 {
		b, err := bendOn(p, u, places, math.Max(o.X, o.Y)/float64(cells)*(1+1e-9), loads)
		if err != nil {
			return nil, err
		}
		if before != nil {
			b.compare(before)
			b.Good = b.Error <= share*b.PeakToValley || b.Error <= gapSlack
			if b.Good || cells >= finest {
				return b, nil
			}
		}
		before = b
	}
}

// bendOn solves on one mesh.
func bendOn(p Piece, u Under, places []Point, step float64, loads []Load) (*Bent, error) {
	xs, ys := u.knots(p.Outline)
	pl, err := newPlate(p, step, xs, ys)
	if err != nil {
		return nil, err
	}
	b := &Bent{Step: step, points: u.Points, Nodes: pl.Nodes(), Unknowns: pl.Unknowns()}
	if u.Bench != nil {
		if b.Rest, b.Touches, err = pl.OnBench(u.Bench, loads...); err != nil {
			return nil, err
		}
		for _, t := range b.Touches {
			b.Supports = append(b.Supports, Support{X: t.X, Y: t.Y, Height: u.Bench.At(t.X, t.Y)})
		}
	} else {
		b.Supports = pl.mesh.supports(u)
		s, err := pl.Stand(b.Supports, nil)
		if err != nil {
			return nil, err
		}
		if b.Rest, err = s.Rest(nil, loads...); err != nil {
			return nil, err
		}
	}
	b.Places = places
	b.Lowest, b.Highest = math.Inf(1), math.Inf(-1)
	for _, q := range places {
		h := b.Height(q)
		b.Heights = append(b.Heights, h)
		b.Lowest, b.Highest = math.Min(b.Lowest, h), math.Max(b.Highest, h)
	}
	b.PeakToValley = b.Highest - b.Lowest
	return b, nil
}

// compare takes the doubt from the mesh before.
func (b *Bent) compare(before *Bent) {
	for i, h := range b.Heights {
		b.change = math.Max(b.change, math.Abs(h-before.Heights[i]))
	}
	b.Error = 2 * b.change
	if before.change > 0 {
		ratio := math.Min(0.75, math.Max(0.4, b.change/before.change))
		b.Error = 1.5 * b.change * ratio / (1 - ratio)
	}
	b.ErrorPV = math.Abs(b.PeakToValley - before.PeakToValley)
}

// lattice returns places over the stone no more than step apart, its outer edges among them, and the corners of cuts.
func (o Outline) lattice(step float64) (p []Point) {
	nx, ny := int(math.Ceil(o.X/step-1e-9)), int(math.Ceil(o.Y/step-1e-9))
	for j := range ny + 1 {
		for i := range nx + 1 {
			if q := (Point{-o.X/2 + o.X*float64(i)/float64(nx), -o.Y/2 + o.Y*float64(j)/float64(ny)}); o.Has(q) {
				p = append(p, q)
			}
		}
	}
	for _, c := range o.Cuts {
		for _, q := range c {
			if math.Abs(q.X) < o.X/2 && math.Abs(q.Y) < o.Y/2 {
				p = append(p, q)
			}
		}
	}
	return p
}
