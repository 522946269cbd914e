package toolmarks

import (
	"math"
	"slices"

	"slatewright/gauge/tables"
)

// order is up to which a wave is told, along and across together; up to two it is a piece's own plane, bow and twist.
const order = 8

// fewest is how many pieces laid at one place a wave needs.
const fewest = 3

// A mode is a polynomial of Legendre along the feed times one across it, with their orders.
type mode struct{ i, j int }

// modesOf are those that lines along and across can tell.
func modesOf(ns, nt int) (list []mode) {
	for sum := 0; sum <= order; sum++ {
		for i := 0; i <= sum; i++ {
			if j := sum - i; i <= (ns-1)*2/3 && j <= (nt-1)*2/3 {
				list = append(list, mode{i, j})
			}
		}
	}
	return list
}

// lookForWave looks for what comes back at one place in pieces laid alike.
func (s *study) lookForWave() {
	place, group := s.samePlace()
	if len(group) < fewest {
		s.blind("a wave of bed or bridge cannot be told from a piece's own shape: it needs at least %d maps of pieces laid at the same place, read on four lines or more, and there are %d", fewest, len(group))
		return
	}
	w := &waves{sights: group}
	if !w.measure(s) {
		s.blind("a wave of bed or bridge cannot be seen: the maps have too few lines in common")
		return
	}
	w.weigh()
	if w.there < 0.5 {
		return
	}
	s.finding.Marks = append(s.finding.Marks, w.mark())
	if place == "" && len(group) > 1 {
		s.warn("the pieces are taken to have been laid at the same place of the bed; say so by the column place")
	}
}

// samePlace is the largest group of maps laid at one place that cover their piece.
func (s *study) samePlace() (string, []*sight) {
	groups := map[string][]*sight{}
	best := ""
	for _, v := range s.sights {
		if v.looker == nil || len(v.raster.S) < 4 || !v.covers() {
			continue
		}
		p := v.of.Place
		groups[p] = append(groups[p], v)
		if len(groups[p]) > len(groups[best]) {
			best = p
		}
	}
	return best, groups[best]
}

// covers tells whether the readings reach over most of the piece.
func (v *sight) covers() bool {
	r := v.raster
	return r.S[len(r.S)-1]-r.S[0] > 0.7*v.of.Size[0] && r.T[len(r.T)-1]-r.T[0] > 0.7*v.of.Size[1]
}

// waves is the search for a wave.
type waves struct {
	sights []*sight
	all    []mode
	modes  []mode      // beyond bow and twist
	basis  [][]float64 // on a common net, orthonormal, one a mode
	c      [][]float64 // amplitude of each mode in each map: c[map][mode]

	mean, sd []float64 // a mode
	there    float64
	keep     []float64 // share of each mode that is believed
	bridge   float64   // share of it that is the same in every track
}

// bridgeShare is how much of a wave must be the same in every track for it to be the bridge's.
const bridgeShare = 0.85

// net is the common net on which modes are told, a side.
const net = 25

// measure fits the modes to each map.
func (w *waves) measure(s *study) bool {
	ns, nt := 1000, 1000
	for _, v := range w.sights {
		ns, nt = min(ns, len(v.raster.S)), min(nt, len(v.raster.T))
	}
	all := modesOf(ns, nt)
	low := 0
	for _, m := range all {
		if m.i+m.j <= 2 {
			low++
		}
	}
	w.all, w.modes = all, all[low:]
	if len(w.modes) < 8 {
		return false
	}
	w.basis = orthonormal(all, low)
	for _, v := range w.sights {
		w.c = append(w.c, w.fit(s, v))
	}
	return true
}

// at is the mode at x and y, each from −1 to 1 over the piece.
func (m mode) at(x, y float64) float64 { return legendre(x)[m.i] * legendre(y)[m.j] }

// legendre are the polynomials of Legendre up to the order, by Bonnet's recursion.
func legendre(x float64) (p [order + 1]float64) {
	p[0], p[1] = 1, x
	for k := 2; k <= order; k++ {
		p[k] = (float64(2*k-1)*x*p[k-1] - float64(k-1)*p[k-2]) / float64(k)
	}
	return p
}

// orthonormal are the modes on the net, each freed of those before it, with mean square 1; the first low of them, plane, bow and twist, are left out.
func orthonormal(all []mode, low int) [][]float64 {
	var done [][]float64
	for _, m := range all {
		x := make([]float64, 0, net*net)
		for i := range net {
			for j := range net {
				x = append(x, m.at(onNet(i), onNet(j)))
			}
		}
		for _, d := range done {
			p := dot(x, d) / float64(len(x))
			for k := range x {
				x[k] -= p * d[k]
			}
		}
		size := math.Sqrt(dot(x, x) / float64(len(x)))
		for k := range x {
			x[k] /= size
		}
		done = append(done, x)
	}
	return done[low:]
}

// onNet is the place of a line of the net, from −1 to 1.
func onNet(i int) float64 { return 2*float64(i)/(net-1) - 1 }

// fit is the least-squares fit of all modes to the readings of one map, freed of its tracks and with its chips cut down, told on the net.
func (w *waves) fit(s *study, v *sight) []float64 {
	r, tracks := v.raster, s.ownTracks(v)
	n := len(w.all)
	a := make([][]float64, n)
	for k := range a {
		a[k] = make([]float64, n+1)
	}
	ns, nt := len(r.S), len(r.T)
	cs, ct := polynomials(r.S, v.of.Size[0]), polynomials(r.T, v.of.Size[1])
	row := make([]float64, n+1)
	for i := range ns {
		for j := range nt {
			e := r.Z[i*nt+j]
			if math.IsNaN(e) {
				continue
			}
			if tracks != nil {
				e -= tracks[j]
			}
			for k, m := range w.all {
				row[k] = cs[i][m.i] * ct[j][m.j]
			}
			row[n] = min(max(e, -4*v.scale), 4*v.scale)
			for p := range n {
				for q := p; q <= n; q++ {
					a[p][q] += row[p] * row[q]
				}
			}
		}
	}
	x := solved(a)
	z := make([]float64, net*net)
	for k, m := range w.all {
		for i := range net {
			for j := range net {
				z[i*net+j] += x[k] * m.at(onNet(i), onNet(j))
			}
		}
	}
	c := make([]float64, len(w.basis))
	for k, b := range w.basis {
		c[k] = dot(z, b) / float64(len(z))
	}
	return c
}

// polynomials are those of Legendre at each place of a side of the given size.
func polynomials(at []float64, size float64) [][order + 1]float64 {
	list := make([][order + 1]float64, len(at))
	for i, x := range at {
		list[i] = legendre(2 * x / size)
	}
	return list
}

// interpolated is a profile between its places.
func interpolated(t, z []float64, at float64) float64 {
	for i := 1; i < len(t); i++ {
		if at <= t[i] || i == len(t)-1 {
			k := min(max((at-t[i-1])/(t[i]-t[i-1]), 0), 1)
			return z[i-1] + k*(z[i]-z[i-1])
		}
	}
	return 0
}

// solved solves symmetric equations whose upper half and right side stand in a, with a touch of damping.
func solved(a [][]float64) []float64 {
	n := len(a)
	for p := range n {
		a[p][p] *= 1 + 1e-9
	}
	for p := range n { // Cholesky, row by row: a becomes its upper factor, and the right side with it
		for k := range p {
			f := a[k][p]
			for q := p; q <= n; q++ {
				a[p][q] -= f * a[k][q]
			}
		}
		d := math.Sqrt(max(a[p][p], 1e-12))
		for q := p; q <= n; q++ {
			a[p][q] /= d
		}
	}
	x := make([]float64, n)
	for p := n - 1; p >= 0; p-- {
		x[p] = a[p][n]
		for q := p + 1; q < n; q++ {
			x[p] -= a[p][q] * x[q]
		}
		x[p] /= a[p][p]
	}
	return x
}

// tracksOf is what the machine found leaves in a map's profile; nil when nothing.
func (s *study) tracksOf(v *sight) []float64 {
	if s.tracks == nil || s.tracks.there < Sure {
		return nil
	}
	for i, t := range s.tracks.sights {
		if t == v {
			return s.tracks.machine(i, v)
		}
	}
	return nil
}

// ownTracks is the likeliest shape of a map's own tracks, whatever the other maps say, at each line across the tracks; nil when it shows none.
func (s *study) ownTracks(v *sight) []float64 {
	if s.tracks == nil {
		return nil
	}
	i := slices.Index(s.tracks.sights, v)
	if i < 0 {
		return nil
	}
	fit, best := s.tracks.fits[i], 0
	for j, b := range fit.beliefs {
		if b.log+math.Log(sizePrior(b.mean)) > fit.beliefs[best].log+math.Log(sizePrior(fit.beliefs[best].mean)) {
			best = j
		}
	}
	b := fit.beliefs[best]
	if !(b.log+math.Log(sizePrior(b.mean)) > 3) {
		return nil
	}
	z := v.looker.values(shapesOf(s.tracks.radius, s.tracks.pitch)[best], s.tracks.radius, s.tracks.pitch, fit.best[best])
	z = v.looker.ground[0].white(z)
	out := make([]float64, len(v.raster.T))
	for j, t := range v.raster.T {
		out[j] = b.mean * interpolated(v.looker.t, z, t)
	}
	return out
}

// weigh tests each order's mean amplitudes against how they differ from piece to piece, and joins the orders (R. A. Fisher's method). The significance is
// turned into a probability by the largest odds that it can give (Sellke, Bayarri and Berger, The American Statistician 55, 2001).
func (w *waves) weigh() {
	n := float64(len(w.c))
	m := len(w.modes)
	w.mean, w.sd, w.keep = make([]float64, m), make([]float64, m), make([]float64, m)
	for k := range m {
		for _, c := range w.c {
			w.mean[k] += c[k] / n
		}
	}
	stat, terms := 0.0, 0.0
	var one, rest []int // modes that are the same in every track, and others
	for sum := 3; sum <= order; sum++ {
		var list []int
		for k, d := range w.modes {
			if d.i+d.j == sum {
				list = append(list, k)
			}
		}
		if len(list) == 0 {
			continue
		}
		var within, mean float64
		for _, k := range list {
			for _, c := range w.c {
				within += (c[k] - w.mean[k]) * (c[k] - w.mean[k])
			}
			mean += n * w.mean[k] * w.mean[k]
		}
		d1, d2 := float64(len(list)), float64(len(list))*(n-1)
		v := max(within/d2, 1e-12)
		p := tables.FAbove(mean/d1/v, d1, d2)
		stat, terms = stat-2*math.Log(max(p, 1e-300)), terms+2
		for _, k := range list {
			w.sd[k] = math.Sqrt(v / n)
			if w.modes[k].j == 0 {
				one = append(one, k)
			} else {
				rest = append(rest, k)
			}
		}
	}
	w.there = odds(chiTail(stat, int(terms)))
	energy := func(list []int) (e float64) {
		for _, k := range list {
			e += w.mean[k]*w.mean[k] - w.sd[k]*w.sd[k]
		}
		return max(0, e)
	}
	a, b := energy(one), energy(rest)
	if a+b > 0 {
		w.bridge = a / (a + b)
	}
	for k := range w.keep {
		z := math.Abs(w.mean[k]) / (w.sd[k] + 1e-12)
		w.keep[k] = max(0, 1-4/(z*z)) // what is within two standard deviations is not believed
	}
}

// chiTail is the probability that chi squared with an even number of degrees of freedom exceeds x: e^(−x/2) Σ (x/2)^k/k!.
func chiTail(x float64, dof int) float64 {
	term, sum := 1.0, 0.0
	for k := range dof / 2 {
		if k > 0 {
			term *= x / 2 / float64(k)
		}
		sum += term
	}
	return math.Exp(-x/2) * sum
}

// priorMark is how likely a mark of one kind is before anything is looked at.
const priorMark = 0.2

// odds is the probability that goes with a significance.
func odds(p float64) float64 {
	if p >= 1/math.E {
		return 0
	}
	return 1 / (1 - math.E*p*math.Log(p)*(1-priorMark)/priorMark)
}

// mark is the wave: the bridge's where nearly all of it is the same in every track.
func (w *waves) mark() Mark {
	m := Mark{Cause: BedWave, Probability: w.there, Named: 1 - w.bridge, Maps: len(w.sights)}
	if w.bridge > bridgeShare {
		m.Cause, m.Named = BridgeWave, w.bridge
	}
	z := w.surface()
	low, high := z[0], z[0]
	for _, x := range z {
		low, high = min(low, x), max(high, x)
	}
	pv := high - low
	u := 0.0 // variance at one place: of all that is told or not; the peak and the valley have one each
	for _, sd := range w.sd {
		u += sd * sd
	}
	h := 1.645 * math.Sqrt(2*u+0.0225*pv*pv) // and what a wave has beyond the order that is told
	m.Strength = Interval{pv, max(0, pv-h), pv + h}
	return m
}

// surface is the wave on the net, what is believed of it.
func (w *waves) surface() []float64 {
	z := make([]float64, net*net)
	for k, b := range w.basis {
		if w.bridge > bridgeShare && w.modes[k].j != 0 {
			continue
		}
		for i := range z {
			z[i] += w.keep[k] * w.mean[k] * b[i]
		}
	}
	return z
}
