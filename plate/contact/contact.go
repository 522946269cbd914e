// Package contact finds the forces at supports that push and pull only so hard: given how a body on them yields, each
// support either carries, and the body touches it, or its force is at its lower limit, and the body has left it.
//
// The problem is a strictly convex quadratic program: least ½ pᵀFp + dᵀp with Eᵀp = e and p ≥ low, where F is what a unit force at one
// support lifts at another, d the gaps that would be without forces, E the rigid movements and e what the forces must balance.
// It is solved by the dual active set method (Goldfarb and Idnani, Mathematical Programming 27, 1983): start with every support
// carrying, let go the one that pulls hardest beyond its limit, take back those that the body would sink into. Each full
// step raises the dual objective, so no set of carrying supports comes twice and the method ends. The answer carries its own
// proof: [Proof] holds by how much each condition of Karush, Kuhn and Tucker is missed. Nothing is penalised. The package does not
// know plates, friction or sideways forces.
package contact

import (
	"fmt"
	"math"
)

// Problem is a body on m supports with r rigid movements (3 for a plate).
type Problem struct {
	F   [][]float64 // m × m, symmetric, positive definite: rise at i for a unit force at j, mm/N
	D   []float64   // gap at each support without any force there, mm; negative: the body reaches into it
	E   [][]float64 // m × r: rise at each support for each unit rigid movement; of rank r
	B   []float64   // r: what Eᵀp must be
	Low []float64   // least force of each support, N: 0 pushes only, −L pulls up to L, −Inf holds
}

// Solution is the state in which every condition holds.
type Solution struct {
	Force   []float64 // N, + pushes the body
	Gap     []float64 // mm, ≥ 0 where the force is at its least, 0 elsewhere
	Rigid   []float64 // the rigid movements
	Carries []bool    // the support is not at its least force
	Steps   int
	Proof   Proof
}

// Proof is by how much the conditions of Karush, Kuhn and Tucker are missed, each the largest over all supports. With all of
// them 0 the solution is the only one.
type Proof struct {
	SinksMM     float64 `json:"sinks_mm"`      // the body reaches into a support
	PullsN      float64 `json:"pulls_n"`       // a force is below its least
	BothNMM     float64 `json:"both_n_mm"`     // force above its least times gap
	UnbalancedN float64 `json:"unbalanced_n"`  // Eᵀp against what it must be; rigid tilts count as N times the unit of E
	ScaleN      float64 `json:"scale_force_n"` // the sizes that the above are to be read against
	ScaleMM     float64 `json:"scale_height_mm"`
}

// Holds reports whether every condition is kept to a share of 1e-6 of its size, far below what any support is known to.
func (p Proof) Holds() bool {
	const share = 1e-6
	return p.SinksMM <= share*p.ScaleMM && p.PullsN <= share*p.ScaleN && p.BothNMM <= share*p.ScaleN*p.ScaleMM && p.UnbalancedN <= share*p.ScaleN
}

// Tips is the error of a body that no forces allowed can hold.
type Tips struct{ Support int }

func (e *Tips) Error() string {
	return fmt.Sprintf("the body tips over: only support %d below its least force could hold it", e.Support)
}

// Solve returns the state of the supports. The error is a [*Tips], or says that the problem is not as it must be.
func (p Problem) Solve() (Solution, error) {
	m := len(p.D)
	s := search{Problem: p, gap: make([]float64, m), on: make([]bool, m)}
	for i := range s.on {
		s.on[i] = true
	}
	if err := s.start(); err != nil {
		return Solution{}, err
	}
	for {
		q := s.pulls()
		if q < 0 {
			if q = s.anew(); q < 0 {
				return s.solution(), nil
			}
		}
		if err := s.release(q); err != nil {
			return Solution{}, err
		}
	}
}

// pulls is the support that pulls hardest beyond its limit, -1 when none does.
func (s *search) pulls() int {
	q, worst := -1, s.slack
	for i, on := range s.on {
		if v := s.Low[i] - s.force[i]; on && v > worst {
			q, worst = i, v
		}
	}
	return q
}

// anew computes forces and gaps afresh from the set that carries, and looks again with what counts as no force now. Two supports almost
// at one place push against each other with 10⁹ N as long as both carry, and what is lost in the last digits of that is more than
// what counts among the forces that are left.
func (s *search) anew() int {
	r := s.solution()
	for i, on := range s.on {
		s.gap[i] = 0
		if !on {
			s.gap[i] = math.Max(0, r.Gap[i])
		}
	}
	s.force, s.rigid = r.Force, r.Rigid
	s.slack = s.none()
	return s.pulls()
}

// search is one run of the method. Supports that are not on have their least force.
type search struct {
	Problem
	on         []bool
	force, gap []float64
	rigid      []float64
	slack      float64 // force that counts as none
	steps      int
	system     system
}

// start lets every support carry, those that may not pull too.
func (s *search) start() error {
	var err error
	if s.system, err = s.newSystem(s.on); err != nil {
		return err
	}
	right := make([]float64, len(s.D))
	for i, d := range s.D {
		right[i] = -d
	}
	s.force, s.rigid = s.system.solve(right, s.B)
	s.slack = s.none()
	return nil
}

// none is the force that counts as none beside the forces that there are and what is balanced.
func (s *search) none() float64 {
	force, load := 0.0, 0.0
	for _, f := range s.force {
		force = math.Max(force, math.Abs(f))
	}
	for _, b := range s.B {
		load = math.Max(load, math.Abs(b))
	}
	return 1e-12*force + 1e-8*load
}

// release opens a gap at support q until its force is its least, taking back supports whose gap closes on the way.
func (s *search) release(q int) error {
	m := len(s.D)
	for {
		if s.steps++; s.steps > 100*(m+10) {
			return fmt.Errorf("the supports found no rest in %d steps", s.steps)
		}
		right := make([]float64, m)
		right[q] = 1
		dForce, dRigid := s.system.solve(right, make([]float64, len(s.B)))
		dGap := s.rise(dForce, dRigid)
		back, t := -1, math.Inf(1)
		for i, on := range s.on {
			if !on && dGap[i] < 0 {
				if u := s.gap[i] / -dGap[i]; u < t {
					back, t = i, u
				}
			}
		}
		full := false
		if dForce[q] > 1e-9/s.F[q][q] { // else its force cannot be missed: it only falls when another support takes over
			if u := (s.Low[q] - s.force[q]) / dForce[q]; u <= t {
				full, t = true, u
			}
		}
		if math.IsInf(t, 1) {
			return &Tips{Support: q}
		}
		for i := range m {
			switch {
			case s.on[i] && i != q:
				s.force[i] += t * dForce[i]
			case i == q:
				s.force[i] += t * dForce[i]
				s.gap[i] += t
			default:
				s.gap[i] = math.Max(0, s.gap[i]+t*dGap[i])
			}
		}
		for k := range s.rigid {
			s.rigid[k] += t * dRigid[k]
		}
		if full {
			s.force[q], s.on[q] = s.Low[q], false
		} else {
			s.gap[back], s.on[back] = 0, true
		}
		var err error
		if s.system, err = s.newSystem(s.on); err != nil {
			return err
		}
		if full {
			return nil
		}
	}
}

// rise is how far the body rises at each support for a change of forces and of the rigid movements.
func (s *search) rise(force, rigid []float64) []float64 {
	up := make([]float64, len(s.D))
	for i := range up {
		up[i] = dot(s.F[i], force) + dot(s.E[i], rigid)
	}
	return up
}

// solution computes forces and gaps anew from the set that was found, so that no rounding of the steps is left, and proves it.
func (s *search) solution() Solution {
	m := len(s.D)
	right, balance := make([]float64, m), append([]float64(nil), s.B...)
	fixed := make([]float64, m)
	for i := range m {
		if !s.on[i] {
			fixed[i] = s.Low[i]
			for k, e := range s.E[i] {
				balance[k] -= e * s.Low[i]
			}
		}
	}
	for i := range m {
		right[i] = -s.D[i] - dot(s.F[i], fixed)
	}
	force, rigid := s.system.solve(right, balance)
	for i := range m {
		force[i] += fixed[i]
	}
	r := Solution{Force: force, Rigid: rigid, Carries: s.on, Steps: s.steps}
	r.Gap = s.rise(force, rigid)
	for i := range m {
		r.Gap[i] += s.D[i]
	}
	r.Proof = s.Check(force, r.Gap)
	for i, on := range s.on {
		if on {
			r.Gap[i] = 0
		}
	}
	return r
}

// Check measures by how much forces and gaps miss the conditions; F may be nil.
func (p Problem) Check(force, gap []float64) Proof {
	var r Proof
	for i, f := range force {
		r.ScaleN = math.Max(r.ScaleN, math.Abs(f))
		r.ScaleMM = math.Max(r.ScaleMM, math.Max(math.Abs(gap[i]), math.Abs(p.D[i])))
		if p.F != nil {
			r.ScaleMM = math.Max(r.ScaleMM, p.F[i][i]*math.Abs(f))
		}
		r.PullsN = math.Max(r.PullsN, p.Low[i]-f)
		r.SinksMM = math.Max(r.SinksMM, -gap[i])
		if !math.IsInf(p.Low[i], -1) {
			r.BothNMM = math.Max(r.BothNMM, math.Abs((f-p.Low[i])*gap[i]))
		} else {
			r.SinksMM = math.Max(r.SinksMM, math.Abs(gap[i]))
		}
	}
	for k, b := range p.B {
		sum := -b
		for i, f := range force {
			sum += p.E[i][k] * f
		}
		r.UnbalancedN = math.Max(r.UnbalancedN, math.Abs(sum))
		r.ScaleN = math.Max(r.ScaleN, math.Abs(b))
	}
	return r
}

func dot(a, b []float64) (s float64) {
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
