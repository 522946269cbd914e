package rehearsal

import (
	"math"

	"slatewright/chance"
)

// second is a shape of second order: crown along and across, and twist, as the design defines them.
type second struct{ along, across, twist float64 }

// at returns along·(1−(2x/Lx)²) + across·(1−(2y/Ly)²) + twist/4·(2x/Lx)(2y/Ly).
func (s second) at(x, y float64) float64 {
	u, v := x/(SizeX/2), y/(SizeY/2)
	crown := float64(s.along*(1-float64(u*u))) + float64(s.across*(1-float64(v*v)))
	return crown + float64(s.twist/4*u*v)
}

// surface is a true face without its plane: the sum of its parts, mm, z up.
type surface struct {
	form      second
	tracks    tracks
	edges     edges
	coarse    lattice
	fine      lattice
	blemishes []blemish
}

// Roughness of a well ground face: a slow undulation that the second-order shape leaves over, and a short one.
const (
	coarsePitch, coarseSigma = 240.0, 0.010
	finePitch, fineSigma     = 60.0, 0.004
)

func newSurface(draw *chance.Stream, form second) surface {
	return surface{
		form:      form,
		tracks:    newTracks(draw.Split("tracks")),
		edges:     newEdges(draw.Split("edges")),
		coarse:    newLattice(draw.Split("coarse"), coarsePitch, coarseSigma),
		fine:      newLattice(draw.Split("fine"), finePitch, fineSigma),
		blemishes: newBlemishes(draw.Split("blemishes")),
	}
}

func (s *surface) at(x, y float64) float64 {
	z := s.form.at(x, y) + s.tracks.at(x) - s.edges.at(x, y) + s.coarse.at(x, y) + s.fine.at(x, y)
	for _, b := range s.blemishes {
		z += b.at(x, y)
	}
	return z
}

// tracks are the marks of a grinding disc that passes across the table, one track beside the other: each track a
// shallow hollow, where the spindle leans along the feed, and a ramp, where it leans across it.
type tracks struct {
	pitch, phase float64 // mm along x; phase in tracks
	hollow, ramp float64 // depth of the hollow, rise from one side of a track to the other
}

func newTracks(draw *chance.Stream) tracks {
	return tracks{
		pitch:  between(draw, 110, 170),
		phase:  draw.Float64(),
		hollow: between(draw, 0.001, 0.008),
		ramp:   between(draw, -0.005, 0.005),
	}
}

// at returns a parabola and a straight line in the place within the track; both have mean zero over a track.
func (t tracks) at(x float64) float64 {
	in := x/t.pitch + t.phase
	s := float64(2*(in-math.Floor(in))) - 1 // −1 … 1 over the track
	return float64(t.hollow*(float64(s*s)-1.0/3)) + float64(t.ramp/2*s)
}

// edges are the four edges, rolled off where the disc leaves the stone: the drop at the arris of −x, +x, −y, +y.
type edges [4]float64

// rollWidth is how far from the arris the roll-off begins.
const rollWidth = 20.0

func newEdges(draw *chance.Stream) edges {
	var e edges
	for i := range e {
		e[i] = between(draw, 0.004, 0.030)
	}
	return e
}

// at returns the drop at x, y: a parabola from rollWidth out to the arris; in a corner both edges' drops add.
func (e edges) at(x, y float64) float64 {
	drop := 0.0
	for i, from := range [4]float64{x + SizeX/2, SizeX/2 - x, y + SizeY/2, SizeY/2 - y} {
		if from < rollWidth {
			t := 1 - from/rollWidth
			drop += float64(e[i] * float64(t*t))
		}
	}
	return drop
}

// blemish is a local bump, or a chip where its height is negative: height·(1−ρ²)² inside an ellipse, nothing outside.
type blemish struct{ x, y, halfX, halfY, height float64 }

func newBlemishes(draw *chance.Stream) []blemish {
	var list []blemish
	if draw.Float64() < 0.20 { // a chip out of the face
		r := between(draw, 8, 25)
		list = append(list, blemish{
			x: between(draw, -SizeX/2, SizeX/2), y: between(draw, -SizeY/2, SizeY/2),
			halfX: r, halfY: r, height: -between(draw, 0.05, 0.20),
		})
	}
	if draw.Float64() < 0.15 { // a ridge that the disc left between two tracks
		list = append(list, blemish{
			x: between(draw, -SizeX/2, SizeX/2), y: between(draw, -SizeY/4, SizeY/4),
			halfX: between(draw, 6, 12), halfY: between(draw, 100, 300), height: between(draw, 0.015, 0.040),
		})
	}
	return list
}

func (b blemish) at(x, y float64) float64 {
	u, v := (x-b.x)/b.halfX, (y-b.y)/b.halfY
	inside := 1 - (float64(u*u) + float64(v*v))
	if inside <= 0 {
		return 0
	}
	return b.height * float64(inside*inside)
}

// lattice is smooth noise: independent normal numbers on a square lattice, joined by cubic B-splines (de Boor, A
// Practical Guide to Splines, 1978). It has mean 0, the given sigma, continuous curvature, and no memory beyond four
// pitches.
type lattice struct {
	pitch   float64
	columns int
	node    []float64 // row after row, from the −x −y corner
}

// splinePower is the mean over all places of the sum of squares of the four weights along one axis, ∫β³(t)² dt =
// 2416/5040: what a spline leaves of the variance of its nodes.
const splinePower = 151.0 / 315

func newLattice(draw *chance.Stream, pitch, sigma float64) lattice {
	count := func(size float64) int { return int(math.Floor(size/pitch)) + 4 }
	l := lattice{pitch: pitch, columns: count(SizeX)}
	l.node = make([]float64, l.columns*count(SizeY))
	for i := range l.node {
		l.node[i] = sigma / splinePower * draw.Normal()
	}
	return l
}

func (l *lattice) at(x, y float64) float64 {
	i, wx := l.weights(x + SizeX/2)
	j, wy := l.weights(y + SizeY/2)
	z := 0.0
	for b := range wy {
		row := l.node[(j+b)*l.columns+i:]
		line := float64(wx[0]*row[0]) + float64(wx[1]*row[1]) + float64(wx[2]*row[2]) + float64(wx[3]*row[3])
		z += float64(wy[b] * line)
	}
	return z
}

// weights returns the first of the four nodes that a place has to do with, and their weights. The place is counted from
// the −x or −y edge of the piece.
func (l *lattice) weights(place float64) (first int, w [4]float64) {
	cell := math.Floor(place / l.pitch)
	f := place/l.pitch - cell
	f2 := float64(f * f)
	f3 := float64(f2 * f)
	g := 1 - f
	w[0] = float64(float64(g*g)*g) / 6
	w[1] = (float64(3*f3) - float64(6*f2) + 4) / 6
	w[2] = (float64(3*f2) - float64(3*f3) + float64(3*f) + 1) / 6
	w[3] = f3 / 6
	return int(cell), w
}
