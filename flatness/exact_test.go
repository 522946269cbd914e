package flatness

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// Distances that can be worked out on paper.
func TestApart(t *testing.T) {
	cases := []struct {
		name         string
		upper, lower []vector
		want         float64
	}{
		{"corner of a cube and the plane of its neighbours", []vector{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, []vector{{0, 0, 0}}, 1 / math.Sqrt(3)},
		{"the other way round", []vector{{0, 0, 0}}, []vector{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, 1 / math.Sqrt(3)},
		{"opposite edges of a regular tetrahedron", []vector{{1, 1, 1}, {1, -1, -1}}, []vector{{-1, 1, -1}, {-1, -1, 1}}, 2},
		{"edge and diagonal of a cube", []vector{{0, 0, 0}, {1, 0, 0}}, []vector{{0, 0, 1}, {1, 1, 0}}, 1 / math.Sqrt(2)},
		{"line and point", []vector{{0, 0, 0}, {3, 4, 0}}, []vector{{-4, 3, 12}}, 13},
		{"two points", []vector{{1, 2, 2}}, []vector{{0, 0, 0}}, 3},
		{"far from the origin, and small", []vector{{1e6, 1e6, 1}, {1e6 + 1, 1e6, 1}, {1e6, 1e6 + 1, 1}}, []vector{{1e6, 1e6, 1 + 0x1p-52}}, 0x1p-52},
	}
	for _, c := range cases {
		if got, ok := apart(c.upper, c.lower); !ok || math.Abs(got-c.want) > eps*c.want {
			t.Errorf("%s: %.17g (%v), want %.17g", c.name, got, ok, c.want)
		}
	}
	for name, sides := range map[string][2][]vector{
		"three on a line": {{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}}, {{0, 1, 0}}},
		"parallel lines":  {{{0, 0, 0}, {1, 1, 1}}, {{0, 1, 0}, {1, 2, 1}}},
		"the same point":  {{{1, 2, 3}}, {{1, 2, 3}}},
		"one side empty":  {{{1, 2, 3}}, nil},
		"four on a side":  {{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {1, 1, 0}}, nil},
	} {
		if d, ok := apart(sides[0], sides[1]); ok {
			t.Errorf("%s: distance %g, want none", name, d)
		}
	}
}

func TestWholes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 500 {
		v := vector{r.NormFloat64(), math.Ldexp(r.NormFloat64(), r.IntN(200)-100), 0}
		w, exp := wholes([]vector{v, {0x1p-120, 3, -7}})
		for k, x := range v {
			f := new(big.Float).SetMantExp(new(big.Float).SetInt(w[0][k]), exp)
			if f.Cmp(big.NewFloat(x)) != 0 {
				t.Fatalf("%g became %v", x, f)
			}
		}
	}
	if w, exp := wholes([]vector{{}}); w[0][0].Sign() != 0 || exp != 0 {
		t.Errorf("nothing but zeros: %v·2^%d", w, exp)
	}
}

// support must never exceed the distance of any planes that hold the contacts, whatever the weights; with the weights of
// the minimum zone it must reach it.
func TestSupport(t *testing.T) {
	upper := side{at: []vector{{0, 0, 0.25}, {8, 0, 0.25}, {0, 8, 0.25}}, weight: []float64{0.5, 0.25, 0.25}}
	lower := side{at: []vector{{2, 2, 0}}, weight: []float64{1}}
	n := vector{0, 0, 1}
	if got := support(upper, lower, n, 0); got > 0.25 || got < 0.25*(1-16*eps) {
		t.Errorf("no tilt: %.17g, want just below 0.25", got)
	}
	if got, want := support(upper, lower, n, 0.75), 0.25*0.8; got > want || got < want*(1-16*eps) {
		t.Errorf("tangent 3/4: %.17g, want just below %g", got, want)
	}
	r := rand.New(rand.NewPCG(2, 2))
	for trial := range 2000 {
		for k := range upper.weight {
			upper.weight[k] = r.Float64() - 0.1
		}
		tangent := 0.2 * r.Float64()
		bound := support(upper, lower, n, tangent)
		a := r.Float64() * 2 * math.Pi
		tilt := tangent * r.Float64()
		m := vector{tilt * math.Cos(a), tilt * math.Sin(a), 1}.unit()
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, v := range append(upper.at, lower.at...) {
			lo, hi = min(lo, v.dot(m)), max(hi, v.dot(m))
		}
		if bound > hi-lo {
			t.Fatalf("trial %d: planes %g apart hold the contacts, the bound says %g", trial, hi-lo, bound)
		}
	}
	upper.weight = []float64{0, 0, 0}
	if got := support(upper, lower, n, 0.1); got != 0 {
		t.Errorf("no weights: %g, want no bound", got)
	}
}

func TestEigen(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for trial := range 2000 {
		var m symmetric
		for i := range 3 {
			for j := i; j < 3; j++ {
				x := math.Ldexp(r.NormFloat64(), -r.IntN(40)*(trial%2))
				m[i][j], m[j][i] = x, x
			}
		}
		values, vectors := m.eigen()
		size := math.Abs(values[0]) + math.Abs(values[2])
		if !(values[0] <= values[1] && values[1] <= values[2]) {
			t.Fatalf("trial %d: %v do not rise", trial, values)
		}
		for k, v := range vectors {
			mv := vector{vector(m[0]).dot(v), vector(m[1]).dot(v), vector(m[2]).dot(v)}
			if off := mv.minus(v.times(values[k])).length(); off > 32*eps*size {
				t.Fatalf("trial %d: vector %d is off by %g of %g", trial, k, off, size)
			}
			if math.Abs(v.length()-1) > 8*eps || math.Abs(v.dot(vectors[(k+1)%3])) > 16*eps {
				t.Fatalf("trial %d: the vectors are not orthonormal: %v", trial, vectors)
			}
		}
	}
	// From the definition: 2, −1, −1 for ones beside the diagonal and 0 on it.
	values, vectors := symmetric{{0, 1, 1}, {1, 0, 1}, {1, 1, 0}}.eigen()
	for k, want := range []float64{-1, -1, 2} {
		if math.Abs(values[k]-want) > 8*eps {
			t.Errorf("eigenvalue %d: %g, want %g", k, values[k], want)
		}
	}
	if c := vectors[2].cross(vector{1, 1, 1}).length(); c > 8*eps {
		t.Errorf("the vector of 2 is %v, want (1, 1, 1)/√3", vectors[2])
	}
}

func TestFramesAreRightHanded(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	f := frame{e1: vector{1, 0, 0}, e2: vector{0, 1, 0}, n: vector{0, 0, 1}}
	for trial := range 2000 {
		if trial%2 == 0 {
			f = f.facing(vector{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}.unit())
		} else {
			f = f.turned(r.NormFloat64(), r.NormFloat64())
		}
		if d := f.e1.cross(f.e2).minus(f.n).length(); d > 16*eps || math.Abs(f.n.length()-1) > 8*eps {
			t.Fatalf("trial %d: e1 × e2 − n = %g", trial, d)
		}
	}
	// The plane w = p·u + q·v of a frame has height 0 over the frame turned by p, q.
	g := f.turned(0.3, -0.2)
	at := f.e1.times(5).plus(f.e2.times(7)).plus(f.n.times(0.3*5 - 0.2*7))
	if h := at.dot(g.n); math.Abs(h) > 1e-14 {
		t.Errorf("height %g after turning", h)
	}
}

func TestUpward(t *testing.T) {
	negative := math.Copysign(0, -1)
	cases := []struct {
		a, want vector
		turned  bool
	}{
		{vector{1, -2, 3}, vector{1, -2, 3}, false},
		{vector{1, -2, -3}, vector{-1, 2, 3}, true},
		{vector{1, -2, 0}, vector{-1, 2, 0}, true},
		{vector{-1, negative, negative}, vector{1, 0, 0}, true},
		{vector{negative, 1, negative}, vector{0, 1, 0}, false},
		{vector{1, negative, 0}, vector{1, 0, 0}, false},
	}
	for _, c := range cases {
		got, turned := c.a.upward()
		if got != c.want || turned != c.turned {
			t.Errorf("%v: %v, %v", c.a, got, turned)
		}
		for _, x := range got {
			if x == 0 && math.Signbit(x) {
				t.Errorf("%v: %v has a −0", c.a, got)
			}
		}
	}
}
