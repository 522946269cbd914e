package removal

import "math"

// field is a linear Gaussian model: z = columns·β + f(x, y) + noise, where f has the Matérn covariance of smoothness 3/2 (as a ground face has a
// slope everywhere and no curvature that one could name) and β flat or normal priors.
type field struct {
	x, y, z      []float64
	sizeX, sizeY float64
	noise        []float64 // n: variances, for a scale of 1
	fixed        []float64 // n: variances that are not scaled (those of pairs)
	has          []bool    // where f is a part of the row
	under        *under    // another field below, nil: none
	h            []float64 // n by p
	p            int
	prior        []float64 // p: precision of each β, 0 is flat

	sigma, reach, scale float64 // standard deviation and reach of f, mm, and the scale of the noise
	guesses             []guess // what was learnt of them

	v      factor    // of the covariance of z
	vh     []float64 // L⁻¹·columns, p rows of n
	vz     []float64 // L⁻¹·z
	a      factor    // of HᵀV⁻¹H + prior
	beta   []float64
	chi    float64 // of the whole fit
	likely float64
}

// under is a field with a covariance that is known, in some of the rows.
type under struct {
	sigma, reach float64
	has          []bool
}

// matern is the correlation at a distance (Rasmussen and Williams 2006, eq. 4.17).
func matern(d, reach float64) float64 {
	s := math.Sqrt(3) * d / reach
	return (1 + s) * math.Exp(-s)
}

// guess is one spread, reach and scale of the noise, with its share of belief.
type guess struct{ sigma, reach, scale, share float64 }

// scatter is how unlikely it is beforehand that readings scatter more than they claim, as a power of by how much: what looks like scatter at the stations is
// mostly waves of the stone between them.
const scatter = 4

// learn weighs spread, reach and scale of the noise over a lattice of them by restricted likelihood, each taken as likely beforehand; guesses that
// the readings speak against by more than 1 in 100 beside the best are dropped. It leaves the field solved for the best.
func (f *field) learn() {
	rough := f.rough()
	long := math.Max(f.sizeX, f.sizeY)
	var tried []guess
	best := 0
	for _, s := range []float64{1, 1.4, 2, 2.8, 4, 8} {
		for _, v := range []float64{0, 0.3, 0.6, 1, 1.8, 3} {
			for _, r := range []float64{0.12, 0.24, 0.48, 0.96} {
				if v == 0 && r > 0.12 {
					continue
				}
				g := guess{sigma: v * rough, reach: r * long, scale: s}
				if !f.take(g) {
					continue
				}
				g.share = f.likely - scatter*math.Log(s)
				if tried = append(tried, g); g.share > tried[best].share+1e-9 {
					best = len(tried) - 1
				}
			}
		}
	}
	f.guesses = f.guesses[:0]
	if len(tried) == 0 {
		return
	}
	top, sum := tried[best].share, 0.0
	for _, g := range tried {
		if g.share = math.Exp(g.share - top); g.share > 0.01 {
			f.guesses, sum = append(f.guesses, g), sum+g.share
		}
	}
	for i := range f.guesses {
		f.guesses[i].share /= sum
	}
	f.take(tried[best])
}

// take solves for a guess.
func (f *field) take(g guess) bool {
	f.sigma, f.reach, f.scale = g.sigma, g.reach, g.scale
	return f.solve()
}

// blend is predict over all guesses: the mean of their means, and the mean of their covariances with what the means differ by. It leaves the field
// solved for the best guess.
func (f *field) blend(x, y []float64, rule func(x, y float64) []float64) (mean, cov []float64) {
	best := guess{f.sigma, f.reach, f.scale, 0}
	m := len(x)
	mean, cov = make([]float64, m), make([]float64, m*m)
	var each [][]float64
	for _, g := range f.guesses {
		f.take(g)
		a, c := f.predict(x, y, rule)
		for i := range a {
			mean[i] += g.share * a[i]
		}
		for i := range c {
			cov[i] += g.share * c[i]
		}
		each = append(each, a)
	}
	for k, g := range f.guesses {
		for i := range m {
			for j := range m {
				cov[i*m+j] += g.share * (each[k][i] - mean[i]) * (each[k][j] - mean[j])
			}
		}
	}
	f.take(best)
	if w := f.leftOut(); w > 1 {
		for i := range cov {
			cov[i] *= w
		}
	}
	return mean, cov
}

// leftOut is the mean square of what each row lies from what all others say of it, in units of its doubt (leave-one-out residuals by the inverse of
// the covariance: Rasmussen and Williams 2006, eq. 5.12). Above 1 the field is rougher than it was taken for.
func (f *field) leftOut() (mean float64) {
	n := len(f.z)
	rest := make([]float64, n)
	copy(rest, f.vz)
	for l := range f.p {
		for i, h := range f.vh[l*n : (l+1)*n] {
			rest[i] -= f.beta[l] * h
		}
	}
	f.v.back(rest)
	seen := 0
	e, g := make([]float64, n), make([]float64, f.p)
	for i := range n {
		clear(e)
		e[i] = 1
		f.v.half(e)
		for l := range f.p {
			g[l] = dot(f.vh[l*n:(l+1)*n], e)
		}
		f.a.half(g)
		if q := dot(e, e) - dot(g, g); q > 1e-9*dot(e, e) {
			mean, seen = mean+rest[i]*rest[i]/q, seen+1
		}
	}
	return mean / float64(max(seen, 1))
}

// rough is the spread of z about its columns, by least squares.
func (f *field) rough() float64 {
	f.sigma, f.reach, f.scale = 0, 1, 1
	if !f.solve() {
		return 0
	}
	var s float64
	for i := range f.z {
		r := f.z[i] - dot(f.h[i*f.p:(i+1)*f.p], f.beta)
		s += r * r
	}
	return math.Sqrt(s / float64(max(len(f.z)-f.p, 1)))
}

// solve fits for the present spread, reach and scale.
func (f *field) solve() bool {
	n := len(f.z)
	v := make([]float64, n*n)
	for i := range n {
		for j := range i + 1 {
			d, c := math.Hypot(f.x[i]-f.x[j], f.y[i]-f.y[j]), 0.0
			if f.sigma > 0 && f.has[i] && f.has[j] {
				c += f.sigma * f.sigma * matern(d, f.reach)
			}
			if u := f.under; u != nil && u.sigma > 0 && u.has[i] && u.has[j] {
				c += u.sigma * u.sigma * matern(d, u.reach)
			}
			if i == j {
				c += f.scale*f.scale*f.noise[i] + f.fixed[i]
			}
			v[i*n+j], v[j*n+i] = c, c
		}
	}
	var ok bool
	if f.v, ok = factorise(n, v); !ok {
		return false
	}
	f.vz = append(f.vz[:0], f.z...)
	f.v.half(f.vz)
	f.vh = make([]float64, f.p*n)
	for k := range f.p {
		col := f.vh[k*n : (k+1)*n]
		for i := range n {
			col[i] = f.h[i*f.p+k]
		}
		f.v.half(col)
	}
	return f.weigh(n)
}

// weigh finds β and the likelihood.
func (f *field) weigh(n int) bool {
	a, b := make([]float64, f.p*f.p), make([]float64, f.p)
	for k := range f.p {
		for l := range f.p {
			a[k*f.p+l] = dot(f.vh[k*n:(k+1)*n], f.vh[l*n:(l+1)*n])
		}
		a[k*f.p+k] += f.prior[k]
		b[k] = dot(f.vh[k*n:(k+1)*n], f.vz)
	}
	var ok bool
	if f.a, ok = factorise(f.p, a); !ok {
		return false
	}
	f.a.half(b)
	f.chi = dot(f.vz, f.vz) - dot(b, b)
	f.a.back(b)
	f.beta = b
	f.likely = -(f.v.logDet() + f.a.logDet() + f.chi) / 2
	return true
}

// predict returns the mean and the covariance of columns·β + f at places; rule gives the columns there.
func (f *field) predict(x, y []float64, rule func(x, y float64) []float64) (mean, cov []float64) {
	n, m := len(f.z), len(x)
	k, r := make([]float64, m*n), make([]float64, m*f.p)
	rest := append([]float64(nil), f.vz...)
	for l := range f.p {
		col := f.vh[l*n : (l+1)*n]
		for i := range n {
			rest[i] -= f.beta[l] * col[i]
		}
	}
	mean = make([]float64, m)
	for i := range m {
		ki := k[i*n : (i+1)*n]
		for j := range n {
			if f.sigma > 0 && f.has[j] {
				ki[j] = f.sigma * f.sigma * matern(math.Hypot(x[i]-f.x[j], y[i]-f.y[j]), f.reach)
			}
		}
		f.v.half(ki)
		h := rule(2*x[i]/f.sizeX, 2*y[i]/f.sizeY)
		mean[i] = dot(h, f.beta) + dot(ki, rest)
		ri := r[i*f.p : (i+1)*f.p]
		for l := range f.p {
			ri[l] = h[l] - dot(ki, f.vh[l*n:(l+1)*n])
		}
		f.a.half(ri)
	}
	cov = make([]float64, m*m)
	for i := range m {
		for j := range i + 1 {
			c := dot(r[i*f.p:(i+1)*f.p], r[j*f.p:(j+1)*f.p])
			if f.sigma > 0 {
				c += f.sigma*f.sigma*matern(math.Hypot(x[i]-x[j], y[i]-y[j]), f.reach) - dot(k[i*n:(i+1)*n], k[j*n:(j+1)*n])
			}
			cov[i*m+j], cov[j*m+i] = c, c
		}
	}
	return mean, cov
}
