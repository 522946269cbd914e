package grinding

import (
	"math"

	"slatewright/chance"
)

// Stone is what a piece brings beside what the machine does to it.
type Stone struct {
	BowS, BowT, Twist float64 // mm: springs back after it was pressed flat, and moves as its skin is cut
	Sigma, Length     float64 // of the smooth unevenness that the machine's yielding leaves, mm
	Chips             int
}

// Reading is how a face is read.
type Reading struct {
	Noise    float64 // standard deviation of one reading, mm
	CaliperU float64 // of one caliper reading, mm
}

// Face is one cut face, as it was read.
type Face struct {
	S, T, Z  []float64
	Calipers [][3]float64 // s, t, thickness; the places are those of the machine's frame
}

// Cut cuts one piece of the size (along and across the feed) and reads it at the places (s, t). The same stream gives the same piece.
func (st Stone) Cut(m *Machine, size [2]float64, s, t []float64, r Reading, d *chance.Stream) Face {
	z := m.Cut(s, t)
	stone := st.lay(size, d)
	for i := range z {
		z[i] += stone.sprung(s[i], t[i]) + stone.rough(s[i], t[i])
	}
	noise, zero := d.Split("noise"), d.Split("zero")
	a, b, c := zero.Normal(), 0.3e-3*zero.Normal(), 0.3e-3*zero.Normal() // the gauge's own plane
	for i := range z {
		z[i] += r.Noise*noise.Normal() + a + b*s[i] + c*t[i]
	}
	return Face{S: s, T: t, Z: z, Calipers: calipers(m, stone, r, d.Split("caliper"))}
}

// calipers reads eight thicknesses around the piece, 120 mm from its edges. What the machine's yielding leaves and chips are in the thickness too; a piece that
// springs back is no thicker for it.
func calipers(m *Machine, stone laid, r Reading, d *chance.Stream) (list [][3]float64) {
	a, b := stone.size[0]/2-120, stone.size[1]/2-120
	for _, p := range [][2]float64{{-a, -b}, {0, -b}, {a, -b}, {a, 0}, {a, b}, {0, b}, {-a, b}, {-a, 0}} {
		h := m.Cut([]float64{p[0]}, []float64{p[1]})[0] + stone.rough(p[0], p[1])
		list = append(list, [3]float64{p[0], p[1], 25.8 + h + r.CaliperU*d.Normal()})
	}
	return list
}

// laid is one piece.
type laid struct {
	Stone
	size  [2]float64
	field []wave
	chips []chip
}

func (st Stone) lay(size [2]float64, d *chance.Stream) laid {
	return laid{st, size, waves(d.Split("field"), st.Sigma, st.Length), newChips(d.Split("chips"), st.Chips, size)}
}

// sprung is by how much the piece lies bent.
func (p *laid) sprung(s, t float64) float64 {
	u, v := 2*s/p.size[0], 2*t/p.size[1]
	return p.BowS*(1-u*u) + p.BowT*(1-v*v) + p.Twist*u*v
}

// rough is its unevenness.
func (p *laid) rough(s, t float64) (z float64) {
	for _, w := range p.field {
		z += w.height * math.Cos(w.ks*s+w.kt*t+w.phase)
	}
	for _, c := range p.chips {
		z -= c.at(s, t)
	}
	return z
}

type wave struct{ ks, kt, phase, height float64 }

// waves draws a smooth random field (spectral density as of a Matérn field of smoothness 3/2: Rasmussen and Williams, Gaussian Processes for
// Machine Learning, 2006, eq. 4.15) as a sum of sixty waves.
func waves(d *chance.Stream, sigma, length float64) []wave {
	list := make([]wave, 60)
	for i := range list {
		a, b, c := d.Normal(), d.Normal(), d.Normal()
		k := math.Sqrt(3/(a*a+b*b+c*c)) / length
		list[i] = wave{k * d.Normal(), k * d.Normal(), 2 * math.Pi * d.Float64(), sigma * math.Sqrt(2.0/60)}
	}
	return list
}

type chip struct{ s, t, depth, radius float64 }

func newChips(d *chance.Stream, n int, size [2]float64) []chip {
	list := make([]chip, n)
	for i := range list {
		list[i] = chip{(d.Float64() - 0.5) * size[0], (d.Float64() - 0.5) * size[1], 0.04 * math.Exp(0.6*d.Normal()), 15 + 25*d.Float64()}
	}
	return list
}

func (c chip) at(s, t float64) float64 {
	ds, dt := (s-c.s)/c.radius, (t-c.t)/c.radius
	return c.depth * max(0, 1-ds*ds-dt*dt)
}
