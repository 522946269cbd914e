package contact

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// draw makes a problem: m supports in a plane, F a random square of full rank, forces that must balance a weight near the middle.
func draw(t *rapid.T, m int) Problem {
	f := rapid.Float64Range(-1, 1)
	p := Problem{F: make([][]float64, m), D: make([]float64, m), E: make([][]float64, m), B: []float64{rapid.SampledFrom([]float64{0.1, 1, 10}).Draw(t, "weight"), 0, 0}, Low: make([]float64, m)}
	root := make([][]float64, m)
	for i := range m {
		root[i] = make([]float64, m)
		for j := range m {
			root[i][j] = f.Draw(t, "root")
		}
		p.D[i] = f.Draw(t, "gap")
		a := 2 * math.Pi * (float64(i) + 0.2*f.Draw(t, "turn")) / float64(m)
		p.E[i] = []float64{1, math.Cos(a), math.Sin(a)}
		if rapid.IntRange(0, 3).Draw(t, "screw") == 0 {
			p.Low[i] = -rapid.Float64Range(0, 5).Draw(t, "limit")
		}
	}
	for i := range m {
		p.F[i] = make([]float64, m)
		for j := range m {
			p.F[i][j] = dot(root[i], root[j])
			if i == j {
				p.F[i][j] += 0.05
			}
		}
	}
	return p
}

// brute tries every set of carrying supports: the slow second method.
func (p Problem) brute() (force []float64, found bool) {
	m := len(p.D)
	for set := range 1 << m {
		on, right, balance := make([]bool, m), make([]float64, m), append([]float64(nil), p.B...)
		fixed := make([]float64, m)
		for i := range m {
			if on[i] = set>>i&1 == 1; !on[i] {
				fixed[i] = p.Low[i]
				for k, e := range p.E[i] {
					balance[k] -= e * p.Low[i]
				}
			}
		}
		s, err := p.newSystem(on)
		if err != nil {
			continue
		}
		for i := range m {
			right[i] = -p.D[i] - dot(p.F[i], fixed)
		}
		f, z := s.solve(right, balance)
		good := true
		for i := range m {
			f[i] += fixed[i]
		}
		for i := range m {
			gap := p.D[i] + dot(p.F[i], f) + dot(p.E[i], z)
			good = good && (on[i] && f[i] >= p.Low[i]-1e-9 || !on[i] && gap >= -1e-9)
		}
		if good {
			return f, true
		}
	}
	return nil, false
}

// TestAgreesWithEverySet holds forces against the enumeration of all sets.
func TestAgreesWithEverySet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t, rapid.IntRange(3, 8).Draw(t, "m"))
		got, err := p.Solve()
		want, found := p.brute()
		if err != nil || !found {
			t.Fatalf("solve: %v, enumeration found %v", err, found)
		}
		if !got.Proof.Holds() {
			t.Fatalf("proof %+v", got.Proof)
		}
		for i := range want {
			if math.Abs(got.Force[i]-want[i]) > 1e-6*(1+math.Abs(want[i])) {
				t.Fatalf("support %d: %g N, enumeration %g N", i, got.Force[i], want[i])
			}
		}
	})
}

// TestTakesBack asks for problems, always the same, until one has a support that is let go and carries in the end.
func TestTakesBack(t *testing.T) {
	for seed := range 1000 {
		p := rapid.Custom(func(t *rapid.T) Problem { return draw(t, 8) }).Example(seed)
		got, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		off := 0
		for _, on := range got.Carries {
			if !on {
				off++
			}
		}
		if got.Steps > off {
			if want, _ := p.brute(); want == nil || math.Abs(want[0]-got.Force[0]) > 1e-6*(1+math.Abs(want[0])) {
				t.Errorf("%v, enumeration %v", got.Force, want)
			}
			return
		}
	}
	t.Error("no support was ever taken back")
}

// TestProofFindsAPlantedFault spoils one force, and one gap.
func TestProofFindsAPlantedFault(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t, 6)
		got, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		i := rapid.IntRange(0, 5).Draw(t, "which")
		force, gap := append([]float64(nil), got.Force...), append([]float64(nil), got.Gap...)
		force[i] += 0.01
		if p.Check(force, gap).Holds() {
			t.Fatal("a force off by 0.01 N is taken")
		}
		for !got.Carries[i] {
			i = (i + 1) % 6
		}
		gap[i] -= 0.01
		if p.Check(got.Force, gap).Holds() {
			t.Fatal("a support that is sunk into is taken")
		}
	})
}

// TestTips puts all supports on one side of the weight, and then holds one down.
func TestTips(t *testing.T) {
	p := Problem{F: [][]float64{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}}, D: make([]float64, 4), Low: make([]float64, 4),
		E: [][]float64{{1, 1, 0}, {1, 2, 1}, {1, 2, -1}, {1, 3, 0}}, B: []float64{10, 0, 0}}
	_, err := p.Solve()
	var tips *Tips
	if !errors.As(err, &tips) {
		t.Fatalf("got %v", err)
	}
	p.Low[3] = math.Inf(-1)
	if s, err := p.Solve(); err != nil || !s.Proof.Holds() || s.Force[3] >= 0 {
		t.Fatalf("held down: %+v, %v", s, err)
	}
	for i := range p.E {
		p.E[i][2] = 0
	}
	if _, err := p.Solve(); err == nil {
		t.Fatal("supports on one line are taken")
	}
}
