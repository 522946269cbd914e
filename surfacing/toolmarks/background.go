package toolmarks

import "math"

// A ground is one thought of what a profile shows without any mark: white noise, and a smooth unevenness that is neighbour to itself. Profiles are
// looked at through it: whitened, and freed of a straight line and a parabola.
type ground struct {
	l     []float64   // Cholesky factor of the covariance, rows packed
	free  [][]float64 // orthonormal, whitened: what is taken off
	level float64     // −½ ln|C| − ½ ln|XᵀC⁻¹X|
	dof   float64
}

// grounds are the thoughts for one row of places: a smooth part of the length and the weight (variance over that of the noise). Its correlation is
// that of a Matérn field of smoothness 3/2 or 5/2 (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, eq. 4.17).
func grounds(t []float64) []ground {
	list := []ground{newGround(t, 100, 0, false)}
	for _, rough := range []bool{false, true} {
		for _, length := range []float64{60, 120, 240} {
			for _, weight := range []float64{1, 6, 36, 216, 1296} {
				list = append(list, newGround(t, length, weight, rough))
			}
		}
	}
	return list
}

func newGround(t []float64, length, weight float64, rough bool) ground {
	n := len(t)
	g := ground{l: make([]float64, n*(n+1)/2)}
	for i := range n {
		for j := range i + 1 {
			d := math.Abs(t[i]-t[j]) / length
			c := weight * matern(d, rough)
			if i == j {
				c++
			}
			g.l[i*(i+1)/2+j] = c
		}
	}
	g.factor(n)
	mid, half := (t[0]+t[n-1])/2, max(1, (t[n-1]-t[0])/2)
	for p := range 3 {
		x := make([]float64, n)
		for i := range x {
			x[i] = math.Pow((t[i]-mid)/half, float64(p))
		}
		x = g.white(x) // orthogonal to those before
		size := math.Sqrt(dot(x, x))
		for i := range x {
			x[i] /= size
		}
		g.free = append(g.free, x)
		g.level -= math.Log(size)
	}
	g.dof = float64(n - 3)
	return g
}

func matern(d float64, rough bool) float64 {
	if rough {
		x := math.Sqrt(3) * d
		return (1 + x) * math.Exp(-x)
	}
	x := math.Sqrt(5) * d
	return (1 + x + x*x/3) * math.Exp(-x)
}

// factor turns the covariance into its Cholesky factor, in place.
func (g *ground) factor(n int) {
	for i := range n {
		ri := g.l[i*(i+1)/2:]
		for j := range i + 1 {
			rj := g.l[j*(j+1)/2:]
			sum := ri[j]
			for k := range j {
				sum -= ri[k] * rj[k]
			}
			if i == j {
				ri[j] = math.Sqrt(sum)
				g.level -= math.Log(ri[j])
			} else {
				ri[j] = sum / rj[j]
			}
		}
	}
}

// white is the profile as white noise would be: L⁻¹y, less what is taken off.
func (g *ground) white(y []float64) []float64 {
	w := make([]float64, len(y))
	for i := range y {
		row := g.l[i*(i+1)/2 : (i+1)*(i+2)/2]
		sum := y[i]
		for k, x := range w[:i] {
			sum -= row[k] * x
		}
		w[i] = sum / row[i]
	}
	g.freed(w)
	return w
}

// freed takes off a whitened profile what is taken off all.
func (g *ground) freed(w []float64) {
	for _, f := range g.free {
		p := dot(w, f)
		for i := range w {
			w[i] -= p * f[i]
		}
	}
}

// whites are many profiles of equal length, whitened: the same as one after the other, four at a time.
func (g *ground) whites(list [][]float64) [][]float64 {
	out := make([][]float64, 0, len(list))
	for len(list) >= 4 {
		out = append(out, g.white4(list[:4])...)
		list = list[4:]
	}
	for _, y := range list {
		out = append(out, g.white(y))
	}
	return out
}

func (g *ground) white4(y [][]float64) [][]float64 {
	n := len(y[0])
	a, b, c, d := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		row := g.l[i*(i+1)/2 : (i+1)*(i+2)/2]
		sa, sb, sc, sd := y[0][i], y[1][i], y[2][i], y[3][i]
		wa, wb, wc, wd := a[:i], b[:i], c[:i], d[:i]
		for k, r := range row[:i] {
			sa -= r * wa[k]
			sb -= r * wb[k]
			sc -= r * wc[k]
			sd -= r * wd[k]
		}
		a[i], b[i], c[i], d[i] = sa/row[i], sb/row[i], sc/row[i], sd/row[i]
	}
	w := [][]float64{a, b, c, d}
	for _, v := range w {
		g.freed(v)
	}
	return w
}

// dot is Σ a·b, added up in four parts.
func dot(a, b []float64) float64 {
	var s0, s1, s2, s3 float64
	b = b[:len(a)]
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}

// likelihood is the logarithm of the likelihood of a whitened profile with this sum of squares, the noise's size being unknown (its prior 1/σ
// integrated over), but for a constant that all grounds share.
func (g *ground) likelihood(squares float64) float64 {
	return g.level - g.dof/2*math.Log(g.floored(squares))
}

// finest is the least noise that is believed of a profile, mm: no gauge knows a hundredth of a micrometre.
const finest = 2e-5

func (g *ground) floored(squares float64) float64 { return max(squares, 0) + g.dof*finest*finest }

// A belief is what a profile says about the size a > 0 of one shape: ln ∫ likelihood da relative to that of no mark, and where a lies.
type belief struct{ log, mean, sd float64 }

// none is the belief in a shape that cannot be there.
var none = belief{log: math.Inf(-1)}

// A weigher gathers beliefs of shapes that come to the same (a track's phase, a ground) into one.
type weigher struct {
	logs, means, sds []float64
}

func (w *weigher) add(log, mean, sd float64) {
	w.logs, w.means, w.sds = append(w.logs, log), append(w.means, mean), append(w.sds, sd)
}

// shape adds what a whitened profile with squares s says about a whitened shape: its product with the profile p, with itself c.
func (w *weigher) shape(g *ground, s, p, c float64) {
	if c <= 1e-12 {
		w.add(math.Inf(-1), 0, 1)
		return
	}
	a := p / c
	left := max(s-p*a, 0)
	sd := math.Sqrt(g.floored(left) / (g.dof - 1) / c)
	upper := normal(a / sd)
	if upper < 1e-12 {
		w.add(math.Inf(-1), 0, sd)
		return
	}
	mean, spread := a, sd
	if a < 3*sd { // cut off at 0
		x := a / sd
		k := math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) / upper
		mean = a + sd*k
		spread = sd * math.Sqrt(max(0.01, 1-x*k-k*k))
	}
	w.add(g.likelihood(left)+math.Log(sd*math.Sqrt(2*math.Pi)*upper), mean, spread)
}

// belief sums up, relative to the likelihood of no mark; n is over how many shapes the prior is spread.
func (w *weigher) belief(without, n float64) belief {
	top := math.Inf(-1)
	for _, l := range w.logs {
		top = max(top, l)
	}
	if math.IsInf(top, -1) {
		return none
	}
	var sum, m1, m2 float64
	for i, l := range w.logs {
		k := math.Exp(l - top)
		sum += k
		m1 += k * w.means[i]
		m2 += k * (w.means[i]*w.means[i] + w.sds[i]*w.sds[i])
	}
	m1, m2 = m1/sum, m2/sum
	return belief{top + math.Log(sum/n) - without, m1, math.Sqrt(max(m2-m1*m1, 1e-18))}
}

// logSum is ln Σ exp.
func logSum(v []float64) float64 {
	top := math.Inf(-1)
	for _, x := range v {
		top = max(top, x)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, x := range v {
		sum += math.Exp(x - top)
	}
	return top + math.Log(sum)
}

func normal(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// Sizes of marks that are thought of: any between these, mm, each ratio as likely as another.
const (
	smallest = 0.0005
	largest  = 0.5
)

// sizePrior is the density of the size a.
func sizePrior(a float64) float64 { return 1 / (max(a, smallest) * math.Log(largest/smallest)) }

// How much maps of one machine may differ from each other, as a share of the size: hollows stand more evenly than steps, as found in trials on invented
// machines.
const (
	unlikeHollows = 0.07
	unlikeSteps   = 0.1
)

// joined is ln of the Bayes factor of one size shared by several maps, and that size. Maps may differ from each other by a share of it; or by more,
// which costs one: a spindle that went out of true between them.
func joined(list []belief, unlike float64) belief {
	var squares float64
	for _, b := range list {
		if math.IsInf(b.log, -1) {
			return none
		}
		squares += b.mean * b.mean / float64(len(list))
	}
	best := none
	for i, apart := range []float64{0, 0.4, 1.2} {
		if b := shared(list, unlike, apart*apart*squares); b.log-float64(i) > best.log {
			best = b
			best.log -= float64(i)
		}
	}
	return best
}

// shared is the same with a given variance between maps.
func shared(list []belief, unlike, between float64) belief {
	var w, m, log float64
	variance := func(b belief) float64 { return b.sd*b.sd + unlike*unlike*b.mean*b.mean + between }
	for _, b := range list {
		w, m = w+1/variance(b), m+b.mean/variance(b)
	}
	m /= w
	for _, b := range list {
		v := variance(b)
		log += b.log - math.Log(2*math.Pi*v)/2 - (b.mean-m)*(b.mean-m)/(2*v)
	}
	return belief{log + math.Log(2*math.Pi/w)/2 + math.Log(sizePrior(m)), m, math.Sqrt(1 / w)}
}
