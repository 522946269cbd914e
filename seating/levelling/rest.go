package levelling

import (
	"math"

	"slatewright/plate/contact"
	"slatewright/trouble"
)

// rest is how a piece lies on packs of given heights.
type rest struct {
	forces []float64  // N, upwards
	moves  [3]float64 // height and tilts
	gaps   []float64  // mm, between pack and underside; 0 where it rests
}

// lie finds the contact of a piece on packs: forces that push (screws pull up to their limit), gaps that are not negative, and no
// force where there is a gap.
func (p *piece) lie(packs []float64) (rest, error) {
	n := len(p.feet)
	const arm = 500.0 // mm: tilts are counted at it, so that heights and tilts are of one size
	c := contact.Problem{D: p.undersides(make([]float64, n), [3]float64{}), B: []float64{p.weight[0], p.weight[1] / arm, p.weight[2] / arm}}
	for i, at := range p.feet {
		c.D[i] -= packs[i]
		c.F = append(c.F, p.giveFeet[i*n:(i+1)*n])
		c.E = append(c.E, []float64{1, at[0] / arm, at[1] / arm})
		c.Low = append(c.Low, -p.pull[i])
	}
	s, err := c.Solve()
	if err != nil {
		return rest{}, trouble.Data("tips", p.name, "the piece would tip: its supports do not surround its middle", "place supports further out, or screw it down").Because(err)
	}
	if !s.Proof.Holds() {
		return rest{}, trouble.Own("no-rest", p.name, "the state of rest misses its conditions", "report this with the readings")
	}
	r := rest{forces: s.Force, gaps: s.Gap, moves: [3]float64{s.Rigid[0], s.Rigid[1] / arm, s.Rigid[2] / arm}}
	for i, on := range s.Carries {
		if !on || math.Abs(r.forces[i]+p.pull[i]) < 1e-6 {
			r.forces[i] = 0 - p.pull[i]
		}
	}
	return r, nil
}
