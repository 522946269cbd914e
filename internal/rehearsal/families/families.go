// Package families invents true faces of three kinds of machine, for learning and for testing what is said of the face between
// the readings.
//
//   - Smooth: a second-order shape and a smooth random field (Matérn, drawn by random waves).
//   - Ridges: a little of both, and the tracks of a grinding disc with a narrow ridge between one track and the next.
//   - Chips: a piece that sprang back after it was pressed flat, with chips broken out of its face, mostly near its edges.
//
// Everything is invented; sizes and depths are common practice from memory, no source. It shares no code with what it tests:
// its random field is a sum of waves, not a Fourier transform. It measures and judges nothing.
package families

import (
	"math"
	"strconv"

	"slatewright/chance"
)

// Family is a kind of machine.
type Family int

const (
	Smooth Family = iota
	Ridges
	Chips
)

// All lists the families.
func All() []Family { return []Family{Smooth, Ridges, Chips} }

func (f Family) String() string { return [...]string{"smooth", "ridges", "chips"}[f] }

// SizeX and SizeY are the size of every piece, mm.
const SizeX, SizeY = 914.0, 1473.0

// Piece is one true face. The same family and number are the same piece.
type Piece struct {
	along, across, twist float64
	waves                []wave
	tracks               *tracks
	chips                []chip
}

type wave struct{ kx, ky, phase, height float64 }

type chip struct{ x, y, depth, radius, stretch float64 }

// New makes piece number n of a family.
func New(f Family, n int) *Piece {
	d := chance.NewStream(20261125).Split(f.String()).Split(strconv.Itoa(n))
	p := &Piece{}
	form, field := d.Split("form"), d.Split("field")
	switch f {
	case Smooth:
		p.along, p.across, p.twist = 0.045*form.Normal(), 0.06*form.Normal(), 0.02*form.Normal()
		p.waves = waves(field, 0.02*math.Exp(0.3*field.Normal()), 150*math.Exp(0.25*field.Normal()))
	case Ridges:
		p.along, p.across, p.twist = 0.02+0.03*form.Normal(), 0.05*form.Normal(), 0.015*form.Normal()
		p.waves = waves(field, 0.01*math.Exp(0.3*field.Normal()), 180)
		p.tracks = newTracks(d.Split("tracks"))
	case Chips:
		p.along, p.across, p.twist = -0.03+0.03*form.Normal(), -0.08+0.05*form.Normal(), 0.025*form.Normal()
		p.waves = waves(field, 0.008*math.Exp(0.3*field.Normal()), 200)
		p.chips = newChips(d.Split("chips"))
	}
	return p
}

// count is how many waves make the random field.
const count = 120

// waves draws a random field of the standard deviation sigma with the Matérn correlation of smoothness 3/2 and the given length.
// The wave vector of such a field follows Student's distribution in two dimensions with three degrees of freedom (spectral
// density of the Matérn family: Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, eq. 4.15).
func waves(d *chance.Stream, sigma, length float64) []wave {
	list := make([]wave, count)
	for i := range list {
		a, b, c := d.Normal(), d.Normal(), d.Normal()
		t := math.Sqrt(3/(a*a+b*b+c*c)) / length
		list[i] = wave{kx: t * d.Normal(), ky: t * d.Normal(), phase: 2 * math.Pi * d.Float64(), height: sigma * math.Sqrt(2.0/count)}
	}
	return list
}

// tracks run across the table (along y), side by side along x. Between two of them stands a ridge.
type tracks struct {
	pitch, phase, hollow, width, lean float64
	ridges                            [40]float64 // height of each ridge
	swell, swing                      [40]float64 // how it changes along y: phase and share
}

func newTracks(d *chance.Stream) *tracks {
	t := &tracks{pitch: 90 + 60*d.Float64(), phase: d.Float64(), hollow: 0.006 * d.Float64(), width: 9 + 8*d.Float64(), lean: 0.02 * d.Normal()}
	height := 0.018 * math.Exp(0.45*d.Normal())
	for i := range t.ridges {
		t.ridges[i] = height * math.Exp(0.3*d.Normal())
		t.swell[i], t.swing[i] = 2*math.Pi*d.Float64(), 0.5*d.Float64()
	}
	return t
}

func (t *tracks) at(x, y float64) float64 {
	in := (x+t.lean*y)/t.pitch + t.phase + 15
	k := int(math.Round(in))
	s := in - float64(k) // from the nearest ridge, in tracks
	off := s * t.pitch / t.width
	ridge := t.ridges[k%40] * (1 + t.swing[k%40]*math.Sin(2*math.Pi*y/700+t.swell[k%40]))
	return ridge*math.Exp(-off*off/2) - t.hollow*(1-4*(0.5-math.Abs(s))*(0.5-math.Abs(s)))
}

func newChips(d *chance.Stream) []chip {
	n := 0
	for p := d.Float64(); p > 0.25 && n < 6; p = d.Float64() { // geometric: three on average, none in one of four
		n++
	}
	list := make([]chip, n)
	for i := range list {
		c := chip{x: (d.Float64() - 0.5) * SizeX, y: (d.Float64() - 0.5) * SizeY, depth: 0.03 * math.Exp(0.6*d.Normal()),
			radius: 18 + 27*d.Float64(), stretch: 0.7 + 0.6*d.Float64()}
		if d.Float64() < 0.7 { // near an edge
			if edge := 30 + 70*d.Float64(); d.Float64() < 0.5 {
				c.x = math.Copysign(SizeX/2-edge, c.x)
			} else {
				c.y = math.Copysign(SizeY/2-edge, c.y)
			}
		}
		list[i] = c
	}
	return list
}

func (c chip) at(x, y float64) float64 {
	dx, dy := (x-c.x)*c.stretch/c.radius, (y-c.y)/c.stretch/c.radius
	if r := dx*dx + dy*dy; r < 1 {
		return -c.depth * (1 - r)
	}
	return 0
}

// Grid returns the heights at every (x, y), rows of x in order: z[i·len(ys)+j].
func (p *Piece) Grid(xs, ys []float64) []float64 {
	z := make([]float64, len(xs)*len(ys))
	p.field(z, xs, ys)
	for i, x := range xs {
		for j, y := range ys {
			u, v := 2*x/SizeX, 2*y/SizeY
			h := p.along*(1-u*u) + p.across*(1-v*v) + p.twist*u*v
			if p.tracks != nil {
				h += p.tracks.at(x, y)
			}
			for _, c := range p.chips {
				h += c.at(x, y)
			}
			z[i*len(ys)+j] += h
		}
	}
	return z
}

// field adds the waves: cos(a+b) = cos a cos b − sin a sin b, so that a grid needs sines along its two sides only.
func (p *Piece) field(z, xs, ys []float64) {
	cy, sy := make([]float64, len(ys)), make([]float64, len(ys))
	for _, w := range p.waves {
		for j, y := range ys {
			sy[j], cy[j] = math.Sincos(w.ky * y)
		}
		for i, x := range xs {
			s, c := math.Sincos(w.kx*x + w.phase)
			s, c = s*w.height, c*w.height
			row := z[i*len(ys) : (i+1)*len(ys)]
			for j := range row {
				row[j] += c*cy[j] - s*sy[j]
			}
		}
	}
}

// At returns the height at one place.
func (p *Piece) At(x, y float64) float64 { return p.Grid([]float64{x}, []float64{y})[0] }

// Even returns n places at equal distances over a side of the given size, from edge to edge less the band.
func Even(n int, size, band float64) []float64 {
	list := make([]float64, n)
	for i := range list {
		list[i] = (size - 2*band) * (float64(i)/float64(n-1) - 0.5)
	}
	return list
}
