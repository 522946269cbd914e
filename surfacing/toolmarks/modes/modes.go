// Package modes tells the shape of a face by polynomials: those of Legendre along the feed times those across it, beyond plane, bow and twist, which are a piece's
// own.
//
// It knows no machine and judges nothing.
package modes

import "math"

// Order is up to which a wave is told, along and across together; up to two it is a piece's own plane, bow and twist.
const Order = 8

// A Mode is a polynomial of Legendre along the feed times one across it, with their orders.
type Mode struct{ Along, Across int }

// A Set are the modes that can be told.
type Set struct {
	Beyond []Mode // beyond bow and twist
	all    []Mode
	basis  [][]float64 // those beyond on a common net, orthonormal
}

// Of so many lines along the feed and across it: the modes that they can tell.
func Of(along, across int) *Set {
	s := &Set{}
	low := 0
	for sum := 0; sum <= Order; sum++ {
		for i := 0; i <= sum; i++ {
			if j := sum - i; i <= (along-1)*2/3 && j <= (across-1)*2/3 {
				s.all = append(s.all, Mode{i, j})
				if sum <= 2 {
					low++
				}
			}
		}
	}
	s.Beyond, s.basis = s.all[low:], orthonormal(s.all, low)
	return s
}

// net is the common net on which modes are told, a side.
const net = 25

// at is the mode at x and y, each from −1 to 1 over the piece.
func (m Mode) at(x, y float64) float64 { return legendre(x)[m.Along] * legendre(y)[m.Across] }

// legendre are the polynomials of Legendre up to the order, by Bonnet's recursion.
func legendre(x float64) (p [Order + 1]float64) {
	p[0], p[1] = 1, x
	for k := 2; k <= Order; k++ {
		p[k] = (float64(2*k-1)*x*p[k-1] - float64(k-1)*p[k-2]) / float64(k)
	}
	return p
}

// orthonormal are the modes on the net, each freed of those before it, with mean square 1; the first low of them, plane, bow and twist, are left out.
func orthonormal(all []Mode, low int) [][]float64 {
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

// Fit is the least-squares fit of all modes to readings on lines, z[i·len(t)+j] at s[i], t[j] (NaN: none) of a piece of the size: the amplitudes of those beyond
// bow and twist. Readings are cut down to far on either side, so that chips count for little.
func (set *Set) Fit(s, t, z []float64, size [2]float64, far float64) []float64 {
	n := len(set.all)
	a := make([][]float64, n)
	for k := range a {
		a[k] = make([]float64, n+1)
	}
	cs, ct := polynomials(s, size[0]), polynomials(t, size[1])
	for i := range s {
		set.add(a, cs[i], ct, z[i*len(t):(i+1)*len(t)], far)
	}
	x := solved(a)
	told := make([]float64, net*net)
	for k, m := range set.all {
		for i := range told {
			told[i] += x[k] * m.at(onNet(i/net), onNet(i%net))
		}
	}
	c := make([]float64, len(set.basis))
	for k, b := range set.basis {
		c[k] = dot(told, b) / float64(len(told))
	}
	return c
}

// add adds the readings of one line across the feed to the normal equations: first over the line, then times what is the same all along it.
func (set *Set) add(a [][]float64, cs [Order + 1]float64, ct [][Order + 1]float64, z []float64, far float64) {
	var squares [Order + 1][Order + 1]float64
	var right [Order + 1]float64
	for j, e := range z {
		if math.IsNaN(e) {
			continue
		}
		e = min(max(e, -far), far)
		for p, x := range ct[j] {
			right[p] += x * e
			for q := p; q <= Order; q++ {
				squares[p][q] += x * ct[j][q]
			}
		}
	}
	for p, m := range set.all {
		for q := p; q < len(set.all); q++ {
			n := set.all[q]
			a[p][q] += cs[m.Along] * cs[n.Along] * squares[min(m.Across, n.Across)][max(m.Across, n.Across)]
		}
		a[p][len(set.all)] += cs[m.Along] * right[m.Across]
	}
}

// polynomials are those of Legendre at each place of a side of the given size.
func polynomials(at []float64, size float64) [][Order + 1]float64 {
	list := make([][Order + 1]float64, len(at))
	for i, x := range at {
		list[i] = legendre(2 * x / size)
	}
	return list
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

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}
