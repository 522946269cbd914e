package seating_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"slatewright/face"
	"slatewright/seating"
)

// dense is one wish of one arrangement (no piece turned) written out as a matrix, from the definition, for gonum.
type dense struct {
	a [][]float64
	b []float64
}

func (d *dense) add(b float64, a ...float64) { d.a, d.b = append(d.a, a), append(d.b, b) }

// least returns the least c·v with gonum's simplex, by the dual program: the least b·y with Aᵀy = −c, y ≥ 0, is its negative.
// ok is false when the rows cannot be met (then the dual has no bound).
func (d *dense) least(t *testing.T, c []float64) (value float64, ok bool) {
	t.Helper()
	a := mat.NewDense(len(c), len(d.b), nil)
	right := make([]float64, len(c))
	for i, row := range d.a {
		a.SetCol(i, row)
	}
	for j, x := range c {
		right[j] = -x + 1e-11*(1+math.Sin(float64(3*j+1))) // ties in the right side make gonum's simplex go round in circles
	}
	value, _, err := lp.Simplex(d.b, a, right, 1e-12, nil)
	if errors.Is(err, lp.ErrUnbounded) {
		return 0, false
	}
	if err != nil {
		t.Fatal(err)
	}
	return -value, true
}

// pinned keeps only the moves that steps alone can tell apart: the head stays, and the foot has its tilt along the joint.
func (d *dense) pinned() *dense {
	for i, a := range d.a {
		d.a[i] = []float64{a[3], a[4], a[5], a[8], a[9]}
	}
	return d
}

// oracle builds the rows for pieces in the order given, none turned. zone < 0: half the zone is unknown 9; step < 0: the larger step is.
// Tilts are scaled by 1000 for gonum's sake.
func oracle(q seating.Question, zone, step float64) *dense {
	d := &dense{}
	rows := [2][2][]int{}
	for k, f := range q.Faces {
		for i := range f.Z {
			switch row := f.Row[i]; {
			case row == face.JointPlus && k < 2:
				rows[k][0] = append(rows[k][0], i)
			case row == face.JointMinus && k > 0:
				rows[k-1][1] = append(rows[k-1][1], i)
			case row == face.NoRow && !math.IsInf(zone, 1):
				for _, s := range []float64{1, -1} {
					a := make([]float64, 10)
					a[3*k], a[3*k+1], a[3*k+2] = s, s*f.X[i]/1000, s*f.Y[i]/1000
					b := -s*f.Z[i] + zone/2
					if zone < 0 {
						a[9], b = -1, -s*f.Z[i]
					}
					d.add(b, a...)
				}
			}
		}
	}
	for j := range 2 {
		for n, i := range rows[j][0] {
			l, r := q.Faces[j], q.Faces[j+1]
			o := rows[j][1][n]
			for _, s := range []float64{1, -1} {
				a := make([]float64, 10)
				a[3*j], a[3*j+1], a[3*j+2] = -s, -s*l.X[i]/1000, -s*l.Y[i]/1000
				a[3*j+3], a[3*j+4], a[3*j+5] = s, s*r.X[o]/1000, s*r.Y[o]/1000
				b := -s*(r.Z[o]-l.Z[i]) + step
				if step < 0 {
					a[9], b = -1, -s*(r.Z[o]-l.Z[i])
				}
				d.add(b, a...)
			}
		}
	}
	return d
}

func fixed(q seating.Question) seating.Question {
	for _, f := range q.Faces {
		f.TurnFixed = true
	}
	return q
}

var wish = []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 1}

// TestZoneAgainstSimplex compares zone, then larger step, with gonum's simplex (gonum v0.17, optimize/convex/lp) on random
// pieces, and whether the limit can be met at all.
func TestZoneAgainstSimplex(t *testing.T) {
	met := map[bool]int{}
	for seed := range uint64(60) {
		q := fixed(random(seed, 4, 4))
		if seed%2 == 0 {
			q.MaxStep = 0.1
		}
		r := seat(t, q)
		half, ok := oracle(q, -1, q.MaxStep).least(t, wish)
		met[ok]++
		if ok != r.Feasible {
			t.Fatalf("seed %d: feasible %v, simplex %v", seed, r.Feasible, ok)
		}
		if !ok {
			step, _ := oracle(q, math.Inf(1), -1).pinned().least(t, wish[5:])
			near(t, "best step", max(r.Joints[0].Largest, r.Joints[1].Largest), step, 3e-9)
			continue
		}
		near(t, "zone", r.Zone, 2*half, 3e-9)
		near(t, "bound", r.ZoneBound, 2*half, 1e-9)
		if r.ZoneBound > r.Zone {
			t.Errorf("bound %v above zone %v", r.ZoneBound, r.Zone)
		}
		step, _ := oracle(q, 2*half+seating.Hold, -1).least(t, wish)
		near(t, "larger step", max(r.Joints[0].Largest, r.Joints[1].Largest), step, 2e-8)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	if met[true] < 10 || met[false] < 3 {
		t.Errorf("too few of a kind: %v", met)
	}
}

// TestStepAgainstSimplex does the same for the other question.
func TestStepAgainstSimplex(t *testing.T) {
	met := map[bool]int{}
	for seed := range uint64(60) {
		q := fixed(random(seed, 4, 4))
		q.MaxZone = 0.25
		r := seat(t, q)
		step, ok := oracle(q, q.MaxZone, -1).least(t, wish)
		met[ok]++
		if ok != r.Feasible {
			t.Fatalf("seed %d: feasible %v, simplex %v", seed, r.Feasible, ok)
		}
		if !ok {
			half, _ := oracle(q, -1, 3).least(t, wish)
			near(t, "best zone", r.Zone, 2*half, 3e-9)
			continue
		}
		near(t, "larger step", max(r.Joints[0].Largest, r.Joints[1].Largest), step, 3e-9)
		near(t, "bound", r.StepBound, step, 1e-9)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	if met[true] < 10 || met[false] < 3 {
		t.Errorf("too few of a kind: %v", met)
	}
}

// TestLimitsThatCannotBeMet ends, and gives the best that can be had, on many small beds whose joints do not close: there the
// bed as a whole may lie anywhere while the steps are sought, and that must not count as reaching for the sky.
func TestLimitsThatCannotBeMet(t *testing.T) {
	for seed := range uint64(400) {
		q := random(seed, 2+int(seed%4), 2+int(seed/4%4))
		q.MaxStep, q.AnyPlace = 0.001, seed%8 == 0
		if seed%2 == 0 {
			q = fixed(q)
		}
		r, err := seating.Seat(q)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		larger := max(r.Joints[0].Largest, r.Joints[1].Largest)
		if r.Feasible != (larger <= q.MaxStep+1e-12) || r.Feasible == (r.StepBound > 0) {
			t.Fatalf("seed %d: feasible %v with a step of %v, bound %v", seed, r.Feasible, larger, r.StepBound)
		}
		if !r.Feasible && !(r.StepBound <= larger && larger-r.StepBound < 5e-9) {
			t.Fatalf("seed %d: step %v, proven %v", seed, larger, r.StepBound)
		}
		if seed%2 == 0 && !q.AnyPlace && !r.Feasible {
			step, _ := oracle(q, math.Inf(1), -1).pinned().least(t, wish[5:])
			near(t, "best step", larger, step, 5e-9)
		}
	}
}

// TestLimitThatIsJustReached: the smallest step that can be had, asked for as the limit, is answered; whether it can be had exactly is
// beyond what floats can tell.
func TestLimitThatIsJustReached(t *testing.T) {
	unproven := 0
	for seed := range uint64(150) {
		q := fixed(random(seed, 4, 5))
		q.MaxStep = 0
		least := seat(t, q)
		q.MaxStep = max(least.Joints[0].Largest, least.Joints[1].Largest)
		for range 3 {
			r := seat(t, q)
			if larger := max(r.Joints[0].Largest, r.Joints[1].Largest); larger > q.MaxStep+5e-9 {
				t.Fatalf("seed %d: step %v with a limit of %v", seed, larger, q.MaxStep)
			}
			if !r.Proven {
				unproven++
			}
			q.MaxStep = least.StepBound
		}
	}
	t.Logf("%d of 450 were not proven", unproven)
}
