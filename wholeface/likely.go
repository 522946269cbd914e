package wholeface

import "math"

// ground has, for one length, the correlation of every reading with every node and of the readings with each other.
type ground struct {
	columns [][]float64 // reading, node
	between [][]float64 // reading, reading
}

// take adds a reading.
func (g *ground) take(l lattice, table []float64, spots []spot) {
	s := spots[len(spots)-1]
	column := make([]float64, l.nodes())
	l.column(table, s, column)
	g.columns = append(g.columns, column)
	row := make([]float64, len(spots))
	for i, other := range spots {
		row[i] = l.read(column, other)
	}
	g.between = append(g.between, row)
}

// scene is what was read, made ready for computing: places, heights, and for each length of the prior its ground.
type scene struct {
	l        lattice
	fields   *Fields
	mean     [terms]float64
	variance [terms]float64 // of the face
	bench    [terms]float64 // of the bench
	own      float64        // variance of a reading's own noise
	spots    []spot
	basis    [][terms]float64
	z        []float64
	grounds  map[float64]*ground
}

func (s *scene) add(x, y, z float64) (off float64) {
	at, off := s.l.spot(x, y)
	s.spots = append(s.spots, at)
	s.basis = append(s.basis, s.l.trend(x, y))
	s.z = append(s.z, z)
	for length, g := range s.grounds {
		g.take(s.l, s.fields.table(length), s.spots)
	}
	return off
}

// ground returns that of a length, and makes it when it is asked for first.
func (s *scene) ground(length float64) *ground {
	g := s.grounds[length]
	if g == nil {
		g = &ground{}
		table := s.fields.table(length)
		for i := range s.spots {
			g.take(s.l, table, s.spots[:i+1])
		}
		s.grounds[length] = g
	}
	return g
}

// covariance is that of readings i ≥ j under a setting.
func (s *scene) covariance(c setting, g *ground, i, j int) float64 {
	v := c.sigma * c.sigma * g.between[i][j]
	for k := range terms {
		v += s.basis[i][k] * s.basis[j][k] * (s.variance[k] + s.bench[k])
	}
	if i == j {
		v += s.own + c.tau*c.tau
	}
	return v
}

// expected is the mean of reading i before it is read.
func (s *scene) expected(i int) float64 {
	v := 0.0
	for k := range terms {
		v += s.basis[i][k] * s.mean[k]
	}
	return v
}

// likelihood is the logarithm of the density of the readings under a setting. Height and tilt have a wide prior, so but for a
// constant it is the restricted likelihood (REML) of the rest.
func (s *scene) likelihood(c setting) float64 {
	f, ok := s.factor(c)
	if !ok {
		return math.Inf(-1)
	}
	r := make([]float64, len(s.z))
	sum := 0.0
	for i := range r {
		r[i] = s.z[i] - s.expected(i)
	}
	f.forward(r)
	for i, v := range r {
		sum -= v*v/2 + math.Log(f[i][i])
	}
	return sum
}

// weigh gives each setting its probability after the readings; they sum to 1. Of many readings an even choice of mostLikely is
// taken, for the parameters only.
func (s *scene) weigh(list []setting) []float64 {
	few := s.thinned(mostLikely)
	log := make([]float64, len(list))
	most := math.Inf(-1)
	for i, c := range list {
		log[i] = math.Log(c.weight) + few.likelihood(c)
		most = math.Max(most, log[i])
	}
	sum := 0.0
	for i := range log {
		log[i] = math.Exp(log[i] - most)
		sum += log[i]
	}
	for i := range log {
		log[i] /= sum
	}
	return log
}

const mostLikely = 120

// thinned is the scene with at most n of its readings.
func (s *scene) thinned(n int) *scene {
	if len(s.z) <= n {
		return s
	}
	few := *s
	few.spots, few.basis, few.z, few.grounds = nil, nil, nil, map[float64]*ground{}
	for k := range n {
		i := k * len(s.z) / n
		few.spots, few.basis, few.z = append(few.spots, s.spots[i]), append(few.basis, s.basis[i]), append(few.z, s.z[i])
	}
	return &few
}

// factor is a lower triangle: covariance = factor · its transpose (Cholesky).
type factor [][]float64

// factor makes that of all readings.
func (s *scene) factor(c setting) (factor, bool) {
	g := s.ground(c.length)
	f := make(factor, 0, len(s.z)+8)
	for range s.z {
		var ok bool
		if f, ok = s.grow(f, c, g); !ok {
			return nil, false
		}
	}
	return f, true
}

// grow adds the row of the next reading.
func (s *scene) grow(f factor, c setting, g *ground) (factor, bool) {
	i := len(f)
	row := make([]float64, i+1)
	for j := range i {
		v := s.covariance(c, g, i, j)
		other := f[j]
		for k := range j {
			v -= row[k] * other[k]
		}
		row[j] = v / other[j]
	}
	v := s.covariance(c, g, i, i)
	for _, r := range row[:i] {
		v -= r * r
	}
	if !(v > 0) {
		return f, false
	}
	row[i] = math.Sqrt(v)
	return append(f, row), true
}

// forward solves factor · x = b in place.
func (f factor) forward(b []float64) {
	for i, row := range f[:len(b)] {
		v := b[i]
		for k, r := range row[:i] {
			v -= r * b[k]
		}
		b[i] = v / row[i]
	}
}

// backward solves transpose(factor) · x = b in place.
func (f factor) backward(b []float64) {
	for i := len(b) - 1; i >= 0; i-- {
		b[i] /= f[i][i]
		for k, r := range f[i][:i] {
			b[k] -= r * b[i]
		}
	}
}
