package wholeface

import (
	"math"
	"slices"
	"strconv"

	"slatewright/chance"
	"slatewright/trouble"
)

// Live is a face being read: its drawn faces follow each new reading at the parameters found at the start. It is for one
// goroutine.
type Live struct {
	q        Question
	prior    *Prior
	scene    *scene
	plane    nodePlane
	basis    [][terms]float64 // of the trend, at the nodes
	held     [4]int           // nodes that held the last zone: where the next search begins
	places   []*seat          // settings in use, by number of setting
	faces    []*drawn
	zones    []float64 // of the faces, mm
	likely   []float64 // probability of each setting
	settings []setting
	level    [3]float64 // plane taken out of the readings, by the terms of the trend
	far      int        // readings in the edge band
}

// seat is one setting in use, with its factor.
type seat struct {
	setting
	f factor
}

// drawn is one drawn face that agrees with the readings as far as their noise lets it. What it says of a further reading, noise
// and bench included, follows from it.
type drawn struct {
	at     *seat
	trend  [terms]float64 // of the face
	bench  [terms]float64 // of the bench
	rest   []float64      // residual at the nodes
	noise  *chance.Stream // of further readings
	height []float64      // trend and residual at the nodes
	short  []float64      // standard field of what is shorter than the nodes; nil where tau is 0
}

// Start takes the readings there are, finds the parameters and draws the faces. Errors are *trouble.Trouble.
func Start(q Question, p *Prior) (*Live, error) {
	if p == nil {
		p = Unlearned()
	}
	if err := q.check(); err != nil {
		return nil, err
	}
	if q.Draws == 0 {
		q.Draws = Draws
	}
	grid := newLattice(q.SizeX, q.SizeY, q.Band)
	if q.Fields == nil {
		q.Fields = NewFields(q.SizeX, q.SizeY, q.Band, q.Seed)
	} else if q.Fields.grid != grid {
		return nil, trouble.Own("wrong-fields", "wholeface", "the kept fields are of another size of piece", "")
	}
	q.Readings = slices.Clone(q.Readings)
	a := &Live{q: q, prior: p, plane: newNodePlane(grid), basis: grid.basis()}
	a.held = a.plane.start
	a.scene = &scene{l: grid, fields: q.Fields, bench: q.Bench.variances(), own: q.noise() * q.noise(), grounds: map[float64]*ground{}}
	a.scene.mean, a.scene.variance = p.variances()
	var z []float64
	z, a.level = level(grid, q.Readings)
	for i, r := range q.Readings {
		if off := a.scene.add(r.X, r.Y, z[i]); off > 0.5 {
			a.far++
		}
	}
	a.settings = p.settings()
	a.likely = a.scene.weigh(a.settings)
	return a, a.draw()
}

// draw draws all faces. Each setting gets as many as its probability says, by systematic sampling.
func (a *Live) draw() error {
	a.faces = make([]*drawn, a.q.Draws)
	a.zones = make([]float64, a.q.Draws)
	seats := map[int]*seat{}
	k, below := 0, 0.0
	for d := range a.faces {
		for k < len(a.likely)-1 && below+a.likely[k] < (float64(d)+0.5)/float64(len(a.faces)) {
			below += a.likely[k]
			k++
		}
		if seats[k] == nil {
			f, ok := a.scene.factor(a.settings[k])
			if !ok {
				return trouble.Data("repeated", "the face", "the readings cannot be told from each other", "check the places of the readings and their u")
			}
			seats[k] = &seat{a.settings[k], f}
			a.places = append(a.places, seats[k])
		}
		a.faces[d] = a.face(d, seats[k])
		a.measure(d)
	}
	return nil
}

// face draws one face by Matheron's rule (Journel and Huijbregts, Mining Geostatistics, 1978, §VII.A): a face of the prior is
// read with noise as the piece was, and corrected by what the difference of the readings says. The result is an exact draw
// from the posterior of the lattice model.
func (a *Live) face(d int, at *seat) *drawn {
	s := a.scene
	stream := chance.NewStream(a.q.Seed).Split("face").Split(strconv.Itoa(d))
	f := &drawn{at: at, noise: stream.Split("further")}
	for k := range terms {
		f.trend[k] = s.mean[k] + math.Sqrt(s.variance[k])*stream.Normal()
		f.bench[k] = math.Sqrt(s.bench[k]) * stream.Normal()
	}
	f.rest = slices.Clone(s.fields.of(at.length, d))
	for i := range f.rest {
		f.rest[i] *= at.sigma
	}
	if at.tau > 0 {
		f.short = s.fields.short(d)
	}
	own := math.Sqrt(s.own + at.tau*at.tau)
	w := make([]float64, len(s.z))
	for i := range w {
		w[i] = s.z[i] - f.says(s, i) - own*stream.Normal()
	}
	at.f.forward(w)
	at.f.backward(w)
	f.correct(s, w)
	return f
}

// says is the face at reading i as the bench lets it be read, without the reading's own noise.
func (f *drawn) says(s *scene, i int) float64 {
	v := s.l.read(f.rest, s.spots[i])
	for k := range terms {
		v += s.basis[i][k] * (f.trend[k] + f.bench[k])
	}
	return v
}

// correct adds what the weights w of the readings say of the face.
func (f *drawn) correct(s *scene, w []float64) {
	g := s.ground(f.at.length)
	v := f.at.sigma * f.at.sigma
	for i, wi := range w {
		for k := range terms {
			f.trend[k] += s.variance[k] * s.basis[i][k] * wi
			f.bench[k] += s.bench[k] * s.basis[i][k] * wi
		}
		w[i] = v * wi
	}
	addAll(f.rest, w, g.columns)
}

// addAll is to += Σ factors[i]·from[i], four at a time: it is most of the work of a draw.
func addAll(to []float64, factors []float64, from [][]float64) {
	i := 0
	for ; i+4 <= len(factors); i += 4 {
		p, q, r, s := factors[i], factors[i+1], factors[i+2], factors[i+3]
		a, b, c, d := from[i][:len(to)], from[i+1][:len(to)], from[i+2][:len(to)], from[i+3][:len(to)]
		for k := range to {
			to[k] += p*a[k] + q*b[k] + (r*c[k] + s*d[k])
		}
	}
	for ; i < len(factors); i++ {
		add(to, factors[i], from[i])
	}
}

// add is to += factor·from.
func add(to []float64, factor float64, from []float64) {
	from = from[:len(to)]
	for i := range to {
		to[i] += factor * from[i]
	}
}

// measure takes height and zone of face d.
func (a *Live) measure(d int) {
	f := a.faces[d]
	if f.height == nil {
		f.height = make([]float64, len(f.rest))
	}
	t, b := f.trend, a.basis
	for k, v := range f.rest {
		e := &b[k]
		f.height[k] = v + t[0] + t[1]*e[1] + t[2]*e[2] + t[3]*e[3] + t[4]*e[4] + t[5]*e[5]
	}
	z := f.height
	if f.short != nil {
		z = slices.Clone(z)
		add(z, f.at.tau, f.short)
	}
	a.zones[d], a.held = a.plane.zone(z, a.held)
}
