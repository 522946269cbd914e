package levelling

import (
	"math"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/seating"
)

const sizeX, sizeY = 914.0, 1473.0

// made is a piece read on 6 × 9 points and along both joints.
func made(name string, z func(x, y float64) float64) *face.Face {
	f := &face.Face{Header: face.Header{Name: name, SizeX: sizeX, SizeY: sizeY, Side: face.Top}}
	add := func(x, y float64, row face.Row) {
		f.X, f.Y, f.Z, f.Row = append(f.X, x), append(f.Y, y), append(f.Z, z(x, y)), append(f.Row, row)
	}
	spread := func(i, n int, half float64) float64 { return half * (2*float64(i)/float64(n-1) - 1) }
	for i := range 6 {
		for j := range 9 {
			add(spread(i, 6, sizeX/2-20), spread(j, 9, sizeY/2-20), face.NoRow)
		}
	}
	for j := range 9 {
		add(sizeX/2-10, spread(j, 9, sizeY/2-20), face.JointPlus)
		add(-(sizeX/2 - 10), spread(j, 9, sizeY/2-20), face.JointMinus)
	}
	return f
}

// faces are three smooth faces drawn from a seed, of size about spread.
func faces(seed uint64, spread float64) (out [3]*face.Face) {
	s := chance.NewStream(seed)
	for k, name := range []string{"head", "centre", "foot"} {
		a, b, c := spread*s.Normal(), spread*s.Normal(), spread*s.Normal()/2
		out[k] = made(name, func(x, y float64) float64 {
			u, v := 2*x/sizeX, 2*y/sizeY
			return a*(1-u*u) + b*(1-v*v) + c*u*v + 0.005*s.Normal()
		})
	}
	return out
}

// springy answers a layout with sheets that bend by a smooth influence: 1 N at a support lifts a place by give · exp(−(d/500 mm)²)
// mm, which is symmetric and positive; weight 850 N in the middle, no sag.
func springy(q Question, give float64) (sheets [3]sheet) {
	bump := func(a, b [2]float64) float64 {
		d := ((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1])) / (500 * 500)
		return give * math.Exp(-d)
	}
	at := q.places()
	for k, p := range q.Layout.Pieces {
		s := sheet{at: at[k], weight: [3]float64{850, 0, 0}, sag: make([]float64, len(at[k])), sagFeet: make([]float64, len(p.Undersides))}
		for _, u := range p.Undersides {
			s.feet = append(s.feet, [2]float64{u.X, u.Y})
		}
		for _, a := range s.at {
			for _, f := range s.feet {
				s.give = append(s.give, bump(a, f))
			}
		}
		for _, a := range s.feet {
			for _, f := range s.feet {
				s.giveFeet = append(s.giveFeet, bump(a, f))
			}
		}
		sheets[k] = s
	}
	return sheets
}

func question(t *testing.T, f [3]*face.Face) Question {
	t.Helper()
	spec := bed.NineFoot()
	l, err := seating.Lay(f, spec, [3]bool{})
	if err != nil {
		t.Fatal(err)
	}
	return Question{Layout: l, Spec: spec}
}

func level(t *testing.T, q Question, give float64) Result {
	t.Helper()
	r, err := (&job{q: q}).level(springy(q, give))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Stone that does not bend lies as rigid seating lays it: with only the zone limited, the smallest zone is that of seating.Seat.
func TestRigidStoneLiesAsSeated(t *testing.T) {
	for seed := range uint64(5) {
		f := faces(seed, 0.1)
		q := question(t, f)
		q.Spec.Limits = bed.Limits{Lengthwise: 100, Across: 100, Zone: 1, Step: 100}
		r := level(t, q, 1e-7)
		fixed := f
		for k := range fixed {
			c := *f[k]
			c.TurnFixed = true
			fixed[k] = &c
		}
		s, err := seating.Seat(seating.Question{Faces: fixed, Spec: bed.NineFoot(), MaxStep: 100})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Ideal.Zone-s.Zone) > 1e-4 || math.Abs(r.Bound-s.Zone) > 1e-4 || !r.Proven {
			t.Errorf("seed %d: zone %.6f, bound %.6f (proven %v), seated %.6f", seed, r.Ideal.Zone, r.Bound, r.Proven, s.Zone)
		}
	}
}

// Nothing does better than the bound: neither the packs, nor 2,000 other beds whose shims are drawn at random about the ideal ones;
// and the ideal bed reaches it.
func TestNothingIsBetterThanTheBound(t *testing.T) {
	s := chance.NewStream(3)
	for seed := range uint64(4) {
		q := question(t, faces(seed, 0.15))
		j := &job{q: q}
		if err := j.set(springy(q, 2e-4)); err != nil {
			t.Fatal(err)
		}
		moves, forces, err := j.ideal()
		if err != nil {
			t.Fatal(err)
		}
		ideal, _ := j.share(j.result.Ideal)
		if !j.result.Proven || math.Abs(ideal-j.result.Bound) > 1e-4*ideal+1e-6 {
			t.Errorf("seed %d: the ideal bed has %.6f of the limits, the bound is %.6f (proven %v)", seed, ideal, j.result.Bound, j.result.Proven)
		}
		var asked [3][]float64
		for k, p := range j.pieces {
			asked[k] = p.undersides(forces[k], moves[k])
		}
		best := math.Inf(1)
		for trial := range 2000 {
			var packs [3][]float64
			for k := range asked {
				for _, h := range asked[k] {
					packs[k] = append(packs[k], h+math.Pow(10, -float64(trial%5))*0.2*s.Normal())
				}
			}
			l, err := j.on(packs)
			if err != nil {
				continue
			}
			best = min(best, l.share)
		}
		if best < j.result.Bound-1e-9 || best > 1.5*ideal {
			t.Errorf("seed %d: the best of 2,000 has %.6f, the bound is %.6f", seed, best, j.result.Bound)
		}
		l, err := j.on(asked)
		if err != nil || math.Abs(l.share-ideal) > 1e-5 {
			t.Errorf("seed %d: on the heights it asks for the bed has %.6f of the limits, not %.6f (%v)", seed, l.share, ideal, err)
		}
	}
}

// The distance over a chord by the lower hull against all triples.
func TestOverChord(t *testing.T) {
	s := chance.NewStream(9)
	for range 500 {
		n := 3 + s.IntN(9)
		at, z := make([]float64, n), make([]float64, n)
		for i := range at {
			at[i], z[i] = 100*float64(i)+30*s.Normal()*0.3, s.Normal()
			if i > 0 {
				at[i] = max(at[i], at[i-1]+1)
			}
		}
		want := 0.0
		for a := range n {
			for b := a + 2; b < n; b++ {
				for i := a + 1; i < b; i++ {
					want = max(want, z[i]-z[a]-(z[b]-z[a])*(at[i]-at[a])/(at[b]-at[a]))
				}
			}
		}
		got, on := overChord(at, z)
		if math.Abs(got-want) > 1e-12 || (want > 0 && (on[0] >= on[1] || on[1] >= on[2])) {
			t.Fatalf("%v %v: %g by %v, want %g", at, z, got, on, want)
		}
	}
}

// Packs that exist: never better than the bound, never worse than rounding alone, and on very fine shims as good as ideal.
func TestPacks(t *testing.T) {
	for _, finest := range []float64{0.001, 0.05, 0.2} {
		q := question(t, faces(11, 0.15))
		q.Spec.Shims, q.Spec.ShimsPerPack = []float64{finest, 10 * finest, 100 * finest}, 27
		r := level(t, q, 2e-4)
		ideal, _ := (&job{q: q}).share(r.Ideal)
		if r.Share < r.Bound-1e-9 || (finest == 0.001 && r.Share > ideal+0.02) || r.Share > ideal+12*finest {
			t.Errorf("shims of %g mm: %.4f of the limits, ideal %.4f, bound %.4f", finest, r.Share, ideal, r.Bound)
		}
		for k, feet := range r.Feet {
			sum := 0.0
			for _, f := range feet {
				sum += f.Force
				if f.Force < 0 || f.Lifts != (f.Force == 0) {
					t.Errorf("piece %d: %+v", k, f)
				}
			}
			if math.Abs(sum-850) > 1e-6 {
				t.Errorf("piece %d: the supports carry %g N, not 850", k, sum)
			}
		}
	}
}

// The same question has the same answer, to the last bit.
func TestSameAnswer(t *testing.T) {
	a, b := level(t, question(t, faces(5, 0.15)), 2e-4), level(t, question(t, faces(5, 0.15)), 2e-4)
	for k := range a.Heights {
		for i := range a.Heights[k] {
			if a.Heights[k][i] != b.Heights[k][i] {
				t.Fatalf("piece %d, place %d: %v and %v", k, i, a.Heights[k][i], b.Heights[k][i])
			}
		}
	}
}
