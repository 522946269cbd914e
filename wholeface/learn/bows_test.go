package learn

import (
	"math"
	"slices"
	"testing"

	"slatewright/wholeface"
)

// A face with the bow of another one has just that bow, and its own bow gives it back.
func TestRebowed(t *testing.T) {
	list := scans(2)
	s := rebowed(list[0], list[1])
	got, want := wholeface.Terms(s.Nodes, s.SizeX, s.SizeY), wholeface.Terms(list[1].Nodes, s.SizeX, s.SizeY)
	for k := range got {
		if math.Abs(got[k]-want[k]) > 1e-12 {
			t.Errorf("term %d: %g, want %g", k, got[k], want[k])
		}
	}
	again := rebowed(s, list[0])
	for k, z := range again.Nodes.Z {
		if math.Abs(z-list[0].Nodes.Z[k]) > 1e-12 {
			t.Fatalf("node %d does not come back", k)
		}
	}
	if slices.Equal(s.Nodes.Z, list[0].Nodes.Z) || slices.Equal(s.Probes.Z, list[0].Probes.Z) {
		t.Error("the face was not changed")
	}
}

// A bow is lent within the fold only, and by all of its scans in turn.
func TestPartnersStayInTheFold(t *testing.T) {
	for _, n := range []int{30, 57, 200} {
		for i := range n {
			seen := map[int]bool{}
			for turn := range Rehearsals {
				k := partner(i, turn, n)
				if k < 0 || k >= n || k%folds != i%folds || turn == 0 && k != i {
					t.Fatalf("scan %d of %d borrows from %d in turn %d", i, n, k, turn)
				}
				seen[k] = true
			}
			if least := min(Rehearsals, n/folds); len(seen) < least {
				t.Errorf("scan %d of %d borrows from %d scans only, want %d", i, n, len(seen), least)
			}
		}
	}
}

// Sizes by closed form: a bow of 1 − u² at n even places from −1 to 1 has the variance 4/45·(n+1)(n²−4)/(n−1)³; and faces whose
// roughness grows with their bow are seen.
func TestBowAndRestTogether(t *testing.T) {
	list := scans(60)
	if together(list) {
		t.Error("bow and noise were drawn apart")
	}
	for i := range list {
		t := wholeface.Terms(list[i].Nodes, 914, 1473)
		p := list[i].Nodes
		for k := range p.Z {
			p.Z[k] += 0.1 * math.Abs(t[1]) * math.Sin(p.X[k]/40) * math.Cos(p.Y[k]/30)
		}
	}
	if !together(list) {
		t.Error("waves as high as the bow were not seen")
	}
	p := list[0].Nodes
	p.Z = make([]float64, len(p.X))
	for k := range p.Z {
		u := p.X[k] / 437
		p.Z[k] = 1 - u*u
	}
	s := list[0]
	s.Nodes = p
	bow, rest := sizes(s)
	if math.Abs(bow-math.Sqrt(4.0/45*31*(30*30-4)/(29*29*29))) > 1e-9 || rest > 1e-9 {
		t.Errorf("sizes %.4f and %.4g", bow, rest)
	}
}

// Reading a scan: a tilted plane comes back exactly, between its points and beyond them; the scanner's noise counts with the weights, and a
// coarse face is read at its nearest point.
func TestReadBetweenPoints(t *testing.T) {
	s := scans(1)[0]
	for k := range s.Probes.Z {
		s.Probes.Z[k] = 0.3 + 0.001*s.Probes.X[k] - 0.002*s.Probes.Y[k]
	}
	s.U = 0.01
	for _, at := range [][2]float64{{0, 0}, {-437, -716.5}, {100.3, -220.1}, {436, 3}} {
		x, y, z, variance := s.read(at[0], at[1])
		if want := 0.3 + 0.001*x - 0.002*y; x != at[0] || y != at[1] || math.Abs(z-want) > 1e-9 {
			t.Errorf("at %v: %g, want %g", at, z, want)
		}
		if variance < 1e-4/5-1e-12 || variance > 2e-4 {
			t.Errorf("at %v: variance %g of points of 1e-4", at, variance)
		}
	}
	s.Filtered = false
	if x, _, z, variance := s.read(0, 0); x == 0 || math.Abs(z-0.3) < 1e-9 || variance != s.U*s.U {
		t.Errorf("a coarse face was read at %g: %g, variance %g", x, z, variance)
	}
}

// Bow and residual hang together where the correlation is both large and beyond chance: in few scans a large one may be chance, and in
// many a small one is of no weight.
func TestHangTogether(t *testing.T) {
	for _, c := range []struct {
		r    float64
		n    int
		want bool
	}{{0.35, 200, true}, {-0.35, 200, true}, {-0.25, 200, false}, {0.35, 30, false}, {0.6, 30, true}, {0.2, 2000, false}} {
		if got := hang(c.r, c.n); got != c.want {
			t.Errorf("%g of %d: %v", c.r, c.n, got)
		}
	}
}
