package wholeface

import "slatewright/flatness"

// Terms fits the trend to a whole face by least squares and returns bow along, bow across and T (a quarter of the twist), mm.
func Terms(p flatness.Points, sizeX, sizeY float64) [3]float64 {
	l := lattice{sizeX: sizeX, sizeY: sizeY}
	var m [terms][terms + 1]float64
	for k := range p.X {
		f := l.trend(p.X[k], p.Y[k])
		for i := range terms {
			for j := range terms {
				m[i][j] += f[i] * f[j]
			}
			m[i][terms] += f[i] * p.Z[k]
		}
	}
	for c := range terms {
		m[c][c] *= 1 + 1e-12
		for r := c + 1; r < terms; r++ {
			f := m[r][c] / m[c][c]
			for k := c; k <= terms; k++ {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	var x [terms]float64
	for c := terms - 1; c >= 0; c-- {
		x[c] = m[c][terms]
		for k := c + 1; k < terms; k++ {
			x[c] -= m[c][k] * x[k]
		}
		x[c] /= m[c][c]
	}
	return [3]float64{x[3], x[4], x[5]}
}

// Likelihoods returns the logarithm of the density of readings under each setting of a Blank prior, in the order of its weights.
func (p *Prior) Likelihoods(q Question, fields *Fields) ([]float64, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	s := &scene{l: fields.grid, fields: fields, own: q.noise() * q.noise(), grounds: map[float64]*ground{}}
	s.mean, s.variance = p.variances()
	z, _ := level(s.l, q.Readings)
	for i, r := range q.Readings {
		s.add(r.X, r.Y, z[i])
	}
	list := p.settings()
	log := make([]float64, len(list))
	for i, c := range list {
		log[i] = s.likelihood(c)
	}
	return log, nil
}
