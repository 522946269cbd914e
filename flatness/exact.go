package flatness

import (
	"math"
	"math/big"
)

// whole is a point or direction with whole coordinates; the unit is a power of two that the caller knows.
type whole [3]*big.Int

// wholes returns the points as whole multiples of 2^exp, exactly.
func wholes(points []vector) (w []whole, exp int) {
	exp = math.MaxInt
	for _, v := range points {
		for _, x := range v {
			if x != 0 {
				_, e := mantissa(x)
				exp = min(exp, e)
			}
		}
	}
	for _, v := range points {
		var a whole
		for k, x := range v {
			a[k] = new(big.Int)
			if x != 0 {
				m, e := mantissa(x)
				a[k].Lsh(big.NewInt(m), uint(e-exp))
			}
		}
		w = append(w, a)
	}
	if exp == math.MaxInt {
		exp = 0
	}
	return w, exp
}

// mantissa returns x as m·2^e with a whole m.
func mantissa(x float64) (m int64, e int) {
	f, e := math.Frexp(x)
	return int64(math.Ldexp(f, 53)), e - 53
}

func (a whole) minus(b whole) (c whole) {
	for k := range c {
		c[k] = new(big.Int).Sub(a[k], b[k])
	}
	return c
}

func (a whole) plusTimes(k *big.Int, b whole) (c whole) {
	for i := range c {
		c[i] = new(big.Int).Mul(k, b[i])
		c[i].Add(c[i], a[i])
	}
	return c
}

func (a whole) dot(b whole) *big.Int {
	sum, t := new(big.Int), new(big.Int)
	for k := range a {
		sum.Add(sum, t.Mul(a[k], b[k]))
	}
	return sum
}

func (a whole) cross(b whole) (c whole) {
	for k := range c {
		i, j := (k+1)%3, (k+2)%3
		c[k] = new(big.Int).Mul(a[i], b[j])
		c[k].Sub(c[k], new(big.Int).Mul(a[j], b[i]))
	}
	return c
}

// precision of the big floats that carry a root or a quotient; everything before it is exact.
const precision = 200

func ratio(num, den *big.Float) *big.Float {
	return new(big.Float).SetPrec(precision).Quo(num, den)
}

func bigFloat(x *big.Int) *big.Float { return new(big.Float).SetPrec(precision).SetInt(x) }

func root(x *big.Int) *big.Float {
	f := bigFloat(x)
	if f.Sign() == 0 {
		return f
	}
	return new(big.Float).SetPrec(precision).Sqrt(f)
}

// scaled returns |f|·2^exp as a float64, rounded to nearest.
func scaled(f *big.Float, exp int) float64 {
	x, _ := new(big.Float).SetMantExp(f, exp).Float64()
	return math.Abs(x)
}

// apart returns the distance of the two parallel planes that the points hold: three on one side and one on the other (the
// point's distance from the plane of the three), or two on each (the distance of the two lines), or fewer if fewer hold
// them (point and line, point and point). It is exact but for rounding to the nearest float64.
func apart(upper, lower []vector) (distance float64, ok bool) {
	if len(upper) < len(lower) {
		upper, lower = lower, upper
	}
	if len(lower) == 0 {
		return 0, false
	}
	w, exp := wholes(append(append([]vector{}, upper...), lower...))
	from := w[len(upper)].minus(w[0])
	var n whole
	switch {
	case len(upper) == 3 && len(lower) == 1:
		n = w[1].minus(w[0]).cross(w[2].minus(w[0]))
	case len(upper) == 2 && len(lower) == 2:
		n = w[1].minus(w[0]).cross(w[3].minus(w[2]))
	case len(upper) == 2 && len(lower) == 1:
		along := w[1].minus(w[0])
		n = along.cross(from).cross(along)
	case len(upper) == 1 && len(lower) == 1:
		n = from
	default:
		return 0, false
	}
	square := n.dot(n)
	if square.Sign() == 0 {
		return 0, false
	}
	return scaled(ratio(bigFloat(n.dot(from)), root(square)), exp), true
}

// support returns a number that the distance of two parallel planes holding the contacts never falls below, if their normal
// is turned from n by at most the angle whose tangent is given. It rests on the contacts' weights and on nothing else.
//
// Let P be the weighted mean of the upper contacts, Q that of the lower ones; both lie between the planes, whichever they
// are. With P − Q = α·n + δ, δ normal to n, planes with normal m are at least m·(P − Q) ≥ α·cos − |δ|·sin apart. At the
// minimum zone δ is 0 but for rounding. The sums are exact for the weights as given, the roots carry 200 bits.
func support(upper, lower side, n vector, tangent float64) float64 {
	w, exp := wholes(append(append([]vector{n}, upper.at...), lower.at...))
	p, pw := mean(w[1:1+len(upper.at)], upper.weight)
	q, qw := mean(w[1+len(upper.at):], lower.weight)
	if pw.Sign() <= 0 || qw.Sign() <= 0 {
		return 0
	}
	d := scale(qw, p).minus(scale(pw, q))
	weight := bigFloat(new(big.Int).Mul(pw, qw))
	normal := root(w[0].dot(w[0]))
	alpha := ratio(ratio(bigFloat(d.dot(w[0])), normal), weight)
	delta := ratio(ratio(root(d.cross(w[0]).dot(d.cross(w[0]))), normal), weight)
	// cos = 1/√(1+t²) and sin ≤ t, rounded against the claim.
	cos := 1 / math.Sqrt(1+float64(tangent*tangent)) * (1 - 4*eps)
	a, _ := new(big.Float).SetMantExp(alpha, exp).Float64()
	return max(0, float64(a*cos*(1-2*eps))-float64(scaled(delta, exp)*tangent*(1+4*eps)))
}

// mean returns Σ weight·point and Σ weight, both in the same unit of weight.
func mean(points []whole, weights []float64) (sum whole, total *big.Int) {
	low := math.MaxInt
	for _, x := range weights {
		if x > 0 {
			_, e := mantissa(x)
			low = min(low, e)
		}
	}
	total = new(big.Int)
	sum = whole{new(big.Int), new(big.Int), new(big.Int)}
	for i, x := range weights {
		if !(x > 0) {
			continue
		}
		m, e := mantissa(x)
		k := new(big.Int).Lsh(big.NewInt(m), uint(e-low))
		total.Add(total, k)
		sum = sum.plusTimes(k, points[i])
	}
	return sum, total
}

func scale(k *big.Int, a whole) (c whole) {
	for i := range c {
		c[i] = new(big.Int).Mul(k, a[i])
	}
	return c
}
