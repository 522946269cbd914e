package seating

import (
	"math"
	"math/rand/v2"
	"testing"

	"slatewright/lowlp"
)

// small makes a system of three pieces of random readings and two joints of random stations.
func small(r *rand.Rand, n int) *system {
	s := &system{half: 0.1, limit: [2]float64{0.05, 0.06}}
	for k := range s.pieces {
		p := &piece{sizeX: 900, sizeY: 1400}
		for range n {
			p.x, p.y, p.z = append(p.x, 450*(r.Float64()-0.5)), append(p.y, 700*(r.Float64()-0.5)), append(p.z, r.NormFloat64())
		}
		s.pieces[k] = p
	}
	for j := range s.steps {
		for range 5 {
			st := step{z: 0.1 * r.NormFloat64()}
			for c := 3 * j; c < 3*j+6; c++ {
				st.a[c] = r.NormFloat64()
			}
			s.steps[j] = append(s.steps[j], st)
		}
	}
	return s
}

// TestWorstAgreesWithRows compares the scans with the rows one by one: the worst of every block is reported, and nothing
// that holds is.
func TestWorstAgreesWithRows(t *testing.T) {
	seen := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 6))
		s := small(r, 1+r.IntN(100))
		switch r.IntN(4) {
		case 0:
			s.halfWish = true
		case 1:
			s.wish[r.IntN(2)] = true
		case 2:
			s.half = math.Inf(1)
			s.wish = [2]bool{true, true}
		}
		v := make([]float64, s.Dim())
		for j := range v {
			v[j] = 0.01 * r.NormFloat64()
		}
		ray := r.IntN(2) == 0
		rows := 2 * (s.points() + len(s.steps[0]) + len(s.steps[1]))
		excess := make([]float64, rows)
		most := 0.0
		a := make([]float64, s.Dim())
		for _, i := range s.limited(all(rows)) {
			b := s.Row(i, a)
			e := -b
			if ray {
				e = 0
			}
			for j, x := range a {
				e += x * v[j]
			}
			excess[i] = e
			most = max(most, e)
		}
		found := 0.0
		s.Worst(v, ray, func(i int, e float64) {
			seen++
			if !(e > 0) || math.Abs(e-excess[i]) > 1e-12*(1+math.Abs(e)) {
				t.Fatalf("seed %d (ray %v): row %d reported with %v, is %v", seed, ray, i, e, excess[i])
			}
			found = max(found, e)
		})
		if math.Abs(found-most) > 1e-12*(1+most) {
			t.Fatalf("seed %d (ray %v): worst %v, reported %v", seed, ray, most, found)
		}
	}
	if seen < 1000 {
		t.Fatalf("only %d rows were violated in all", seen)
	}
}

func all(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// TestManyReadingsScanAlike: blocks on all cores say what one after the other says.
func TestManyReadingsScanAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	s := small(r, 3*manyReadings)
	m := []float64{0.1, 1e-4, -1e-4}
	for _, ray := range []bool{false, true} {
		got := s.pieces[0].scanBlocks(m, ray, largeBlock)
		low, high := math.Inf(1), math.Inf(-1)
		for _, e := range got {
			low, high = min(low, e.low), max(high, e.high)
			p := s.pieces[0]
			z := p.z[e.highAt]
			if ray {
				z = 0
			}
			if v := moved(z, p.x[e.highAt], p.y[e.highAt], m); v != e.high {
				t.Fatalf("ray %v: the highest of a block is %v, its place says %v", ray, e.high, v)
			}
		}
		wantLow, wantHigh := math.Inf(1), math.Inf(-1)
		for i := range s.pieces[0].z {
			z := s.pieces[0].z[i]
			if ray {
				z = 0
			}
			v := moved(z, s.pieces[0].x[i], s.pieces[0].y[i], m)
			wantLow, wantHigh = min(wantLow, v), max(wantHigh, v)
		}
		if low != wantLow || high != wantHigh {
			t.Errorf("ray %v: %v %v, want %v %v", ray, low, high, wantLow, wantHigh)
		}
	}
}

// TestUnprovenIsWithheld: a bound that holds only inside a small box, or a point that rows do not hold at, is no proof.
func TestUnprovenIsWithheld(t *testing.T) {
	s := small(rand.New(rand.NewPCG(3, 3)), 60)
	for _, p := range s.pieces {
		for i := range p.z {
			p.z[i] *= 0.01
		}
	}
	l := &laid{wished: wished{system: s}}
	if err := l.flattest([2]float64{math.Inf(1), math.Inf(1)}); err != nil || !l.feasible {
		t.Fatal(err)
	}
	if !l.prove() {
		t.Fatal("an ordinary bed was not proven")
	}
	if l.first.Status != lowlp.Optimal || l.first.Bound > l.first.Value+1e-15 {
		t.Errorf("%v: bound %v, value %v", l.first.Status, l.first.Bound, l.first.Value)
	}
}
