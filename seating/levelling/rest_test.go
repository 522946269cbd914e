package levelling

import (
	"math"
	"testing"

	"slatewright/chance"
)

// strip is a sheet made up for tests: n supports in two rows and a symmetric, positive compliance drawn from a stream.
func strip(s *chance.Stream, n int) sheet {
	sh := sheet{}
	for i := range n {
		sh.feet = append(sh.feet, [2]float64{-380 + 760*float64(i%2), -520 + 1040*float64(i/2)/float64((n-1)/2)})
	}
	root := make([]float64, n*n)
	for i := range root {
		root[i] = 0.02 * s.Normal()
	}
	sh.giveFeet = make([]float64, n*n)
	for i := range n {
		for j := range n {
			for k := range n {
				sh.giveFeet[i*n+j] += root[i*n+k] * root[j*n+k]
			}
		}
	}
	sh.weight, sh.sagFeet = [3]float64{900, 2000, -3000}, make([]float64, n)
	for i := range sh.sagFeet {
		sh.sagFeet[i] = 0.1 * s.Normal()
	}
	return sh
}

func pieceOf(t *testing.T, sh sheet, pull float64) *piece {
	t.Helper()
	n := len(sh.feet)
	p := &piece{sheet: sh, name: "piece", under: make([]float64, n), pull: make([]float64, n)}
	for i := range p.pull {
		p.pull[i] = pull
	}
	if err := p.balance(); err != nil {
		t.Fatal(err)
	}
	return p
}

// Forces carry the load whatever the unknowns are: sums of forces and moments.
func TestForcesCarryTheLoad(t *testing.T) {
	s := chance.NewStream(1)
	for _, n := range []int{3, 4, 6, 9} {
		p := pieceOf(t, strip(s, n), 0)
		unknown := make([]float64, p.beyond())
		for k := range unknown {
			unknown[k] = s.Normal()
		}
		var sum [3]float64
		for i, f := range p.forces(unknown) {
			sum[0] += f
			sum[1] += f * p.feet[i][0]
			sum[2] += f * p.feet[i][1]
		}
		for k, want := range p.weight {
			if math.Abs(sum[k]-want) > 1e-6 {
				t.Errorf("%d supports: sum %d is %g, want %g", n, k, sum[k], want)
			}
		}
	}
}

// The contact by the exact active set against every choice of which supports carry: of the 2⁶ choices exactly one has forces
// that push, no gap that is negative, and none where there is a force.
func TestContactAgainstEveryChoice(t *testing.T) {
	s := chance.NewStream(7)
	lifted := 0
	for trial := range 200 {
		p := pieceOf(t, strip(s, 6), 0)
		packs := make([]float64, 6)
		for i := range packs {
			packs[i] = 0.3 * s.Normal()
		}
		r, err := p.lie(packs)
		if err != nil {
			t.Fatal(err)
		}
		want := everyChoice(p, packs)
		if len(want) != 1 {
			t.Fatalf("trial %d: %d choices are in equilibrium", trial, len(want))
		}
		for i, f := range want[0] {
			if math.Abs(f-r.forces[i]) > 1e-5 {
				t.Fatalf("trial %d: force %d is %g, want %g", trial, i, r.forces[i], f)
			}
			if f == 0 {
				lifted++
			}
		}
	}
	if lifted < 50 {
		t.Errorf("only %d supports lifted off: the test looks at little", lifted)
	}
}

// everyChoice solves the equations of every choice of at least three supports that carry.
func everyChoice(p *piece, packs []float64) (valid [][]float64) {
	n := len(p.feet)
	for choice := range 1 << n {
		var on []int
		for i := range n {
			if choice>>i&1 == 1 {
				on = append(on, i)
			}
		}
		if len(on) < 3 {
			continue
		}
		m := len(on) + 3
		a := make([][]float64, m)
		for i := range a {
			a[i] = make([]float64, m+1)
		}
		for r, i := range on {
			mode := [3]float64{1, p.feet[i][0] / 1000, p.feet[i][1] / 1000}
			for c, k := range on {
				a[r][c] = p.giveFeet[i*n+k]
			}
			for k := range 3 {
				a[r][len(on)+k], a[len(on)+k][r] = mode[k], mode[k]
			}
			a[r][m] = packs[i] - p.under[i] - p.sagFeet[i]
		}
		a[len(on)][m], a[len(on)+1][m], a[len(on)+2][m] = p.weight[0], p.weight[1]/1000, p.weight[2]/1000
		x := gauss(a)
		if x == nil {
			continue
		}
		f, ok := make([]float64, n), true
		for r, i := range on {
			f[i] = x[r]
			ok = ok && x[r] > 0
		}
		for i := range n {
			gap := p.under[i] + p.sagFeet[i] - packs[i] + x[len(on)] + x[len(on)+1]*p.feet[i][0]/1000 + x[len(on)+2]*p.feet[i][1]/1000
			for k := range n {
				gap += p.giveFeet[i*n+k] * f[k]
			}
			ok = ok && gap > -1e-9
		}
		if ok {
			valid = append(valid, f)
		}
	}
	return valid
}

// gauss solves the augmented system; nil when it is singular.
func gauss(a [][]float64) []float64 {
	m := len(a)
	for c := range m {
		p := c
		for r := c; r < m; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		if math.Abs(a[p][c]) < 1e-12 {
			return nil
		}
		a[c], a[p] = a[p], a[c]
		for r := range m {
			if r == c {
				continue
			}
			f := a[r][c] / a[c][c]
			for k := c; k <= m; k++ {
				a[r][k] -= f * a[c][k]
			}
		}
	}
	x := make([]float64, m)
	for i := range x {
		x[i] = a[i][m] / a[i][i]
	}
	return x
}
