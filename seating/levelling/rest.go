package levelling

import (
	"fmt"
	"math"

	"slatewright/lowlp"
	"slatewright/trouble"
)

// rest is how a piece lies on packs of given heights.
type rest struct {
	forces []float64  // N, upwards
	moves  [3]float64 // height and tilts
	gaps   []float64  // mm, between pack and underside; 0 where it rests
}

// lie finds the contact of a piece on packs: forces that push (screws pull up to their limit), gaps that are not negative, and no
// force where there is a gap. Such forces are those of the least energy among all that carry the load (a convex quadratic program
// with one unknown for each support beyond three), solved by an exact active set.
func (p *piece) lie(load Load, packs []float64) (rest, error) {
	own := *p
	base, err := own.balance(load.Force)
	if err != nil {
		return rest{}, err
	}
	own.base = base
	s, err := own.least(load, packs)
	if err != nil {
		return rest{}, err
	}
	r := rest{forces: own.forces(s)}
	for i, f := range r.forces {
		if f < -p.pull[i] || math.Abs(f+p.pull[i]) < 1e-7 {
			r.forces[i] = 0 - p.pull[i]
		}
	}
	r.gaps = own.undersides(load, r.forces, [3]float64{})
	for i := range r.gaps {
		r.gaps[i] -= packs[i]
	}
	if r.moves, err = p.settle(&r); err != nil {
		return rest{}, err
	}
	return r, nil
}

// least solves for the unknown forces: minimise ½ fᵀ·Foot·f + f·(undersides without forces − packs) with f ≥ −pull.
func (p *piece) least(load Load, packs []float64) ([]float64, error) {
	n, b := len(p.Feet), p.beyond()
	rows := &lowlp.Dense{D: max(b, 1)}
	for i := range n {
		a := make([]float64, max(b, 1))
		for k := range b {
			a[k] = -p.loop[i*b+k]
		}
		rows.Add(p.base[i]+p.pull[i], a...)
	}
	if b == 0 {
		for i, f := range p.base {
			if f < -p.pull[i]-1e-9 {
				return nil, p.tips()
			}
		}
		return nil, nil
	}
	gap := p.undersides(load, p.base, [3]float64{})
	for i := range gap {
		gap[i] -= packs[i]
	}
	g, h, err := p.energy(gap)
	if err != nil {
		return nil, err
	}
	least, err := lowlp.Nearest(lowlp.Least{G: g, H: h, Rows: rows})
	if err != nil {
		return nil, err
	}
	if least.Status != lowlp.Optimal {
		return nil, p.tips()
	}
	return least.V, nil
}

func (p *piece) tips() error {
	return trouble.Data("tips", p.name, "the piece would tip: its supports do not surround its middle, or the load stands outside them", "place supports further out, or screw it down")
}

// energy writes the quadratic form as a sum of squares: with the compliance M = LLᵀ of the loops, |Lᵀs + L⁻¹·loopᵀ·gap|².
func (p *piece) energy(gap []float64) (g, h []float64, err error) {
	n, b := len(p.Feet), p.beyond()
	m := make([]float64, b*b)
	for k := range b {
		for l := range k + 1 {
			for i := range n {
				m[k*b+l] += float64(p.give[i] * float64(p.loop[i*b+k]*p.loop[i*b+l]))
				for j := range n {
					m[k*b+l] += float64(float64(p.loop[i*b+k]*p.loop[j*b+l]) * float64((p.Foot[i*n+j]+p.Foot[j*n+i])/2))
				}
			}
		}
	}
	if !cholesky(m, b) {
		return nil, nil, trouble.Own("flat-energy", p.name, "two supports bend the piece in the same way", "report this with the places of the supports")
	}
	h = make([]float64, b)
	for k := range b {
		for i := range n {
			h[k] -= float64(p.loop[i*b+k] * gap[i])
		}
		for l := range k {
			h[k] -= float64(m[k*b+l] * h[l])
		}
		h[k] /= m[k*b+k]
	}
	g = make([]float64, b*b)
	for k := range b {
		for l := range k + 1 {
			g[l*b+k] = m[k*b+l]
		}
	}
	return g, h, nil
}

// cholesky factors the lower triangle of m in place; false when it is not positive definite.
func cholesky(m []float64, n int) bool {
	for j := range n {
		for i := j; i < n; i++ {
			s := m[i*n+j]
			for k := range j {
				s -= float64(m[i*n+k] * m[j*n+k])
			}
			if i == j {
				if !(s > 0) {
					return false
				}
				m[j*n+j] = math.Sqrt(s)
			} else {
				m[i*n+j] = s / m[j*n+j]
			}
		}
	}
	return true
}

// settle finds the height and tilts at which the gaps are not negative and 0 where there is a force, and puts them into the gaps.
func (p *piece) settle(r *rest) ([3]float64, error) {
	rows := &lowlp.Dense{D: 4}
	for i, at := range p.Feet {
		rows.Add(r.gaps[i], -1, -at[0], -at[1], -1)
		if r.forces[i] > -p.pull[i] {
			rows.Add(-r.gaps[i], 1, at[0], at[1], -1)
		}
	}
	low, err := lowlp.Solve(lowlp.Problem{Cost: []float64{0, 0, 0, 1}, Rows: rows})
	if err != nil {
		return [3]float64{}, err
	}
	if low.Status != lowlp.Optimal || low.Value > slack {
		return [3]float64{}, trouble.Own("no-rest", p.name, fmt.Sprintf("no pose of the piece agrees with its forces (%v, %g mm)", low.Status, low.Value), "report this with the readings")
	}
	m := [3]float64{low.V[0], low.V[1], low.V[2]}
	for i, at := range p.Feet {
		r.gaps[i] += m[0] + float64(m[1]*at[0]) + float64(m[2]*at[1])
		if r.forces[i] > -p.pull[i] || r.gaps[i] < 0 {
			r.gaps[i] = 0
		}
	}
	return m, nil
}

// slack is how well gaps and forces must agree, mm.
const slack = 1e-6
