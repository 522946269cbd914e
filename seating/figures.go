package seating

import (
	"math"

	"slatewright/bed"
	"slatewright/flatness"
)

// middleX returns the bed frame's x of the middle of the piece at each place, the joints open by the gap of the specification
// and the middle of the centre piece at 0.
func (b *bench) middleX(a arrangement) [3]float64 {
	half := func(place int) float64 { return float64(b.pieces[a.index[place]].sizeX / 2) }
	gap := b.spec.JointGap
	return [3]float64{-(half(0) + gap + half(1)), 0, half(1) + gap + half(2)}
}

// jointX returns the bed frame's x of the middles of the two joints.
func (b *bench) jointX(a arrangement) []float64 {
	half := float64(b.pieces[a.index[1]].sizeX/2) + float64(b.spec.JointGap/2)
	return []float64{-half, half}
}

// bedPoints returns the readings inside the edge band, seated, in the bed frame: head, centre, foot, each in the order of its file.
func (b *bench) bedPoints(a arrangement, moves []float64) flatness.Points {
	n := 0
	for _, p := range b.pieces {
		n += len(p.z)
	}
	pts := flatness.Points{X: make([]float64, 0, n), Y: make([]float64, 0, n), Z: make([]float64, 0, n)}
	middle := b.middleX(a)
	for place := range 3 {
		p := b.pieces[a.index[place]]
		sign, m := a.sign(place), moves[3*place:3*place+3]
		for i, z := range p.z {
			pts.X = append(pts.X, middle[place]+float64(sign*p.x[i]))
			pts.Y = append(pts.Y, float64(sign*p.y[i]))
			pts.Z = append(pts.Z, moved(z, p.x[i], p.y[i], m))
		}
	}
	return pts
}

// figures fills in what the seated bed measures.
func (b *bench) figures(r *Result, a arrangement, moves []float64) error {
	pts := b.bedPoints(a, moves)
	low, high := math.Inf(1), math.Inf(-1)
	for _, z := range pts.Z {
		low, high = min(low, z), max(high, z)
	}
	r.Zone = high - low
	r.Contacts = b.contacts(a, pts, low, high)
	var err error
	r.Lengthwise, r.Across, err = flatness.Lines(pts, b.jointX(a))
	if err != nil {
		return err
	}
	r.Warnings = append(r.Warnings, r.Lengthwise.Warnings...)
	r.Warnings = append(r.Warnings, r.Across.Warnings...)
	return nil
}

// touching is how near to a plane of the zone a reading counts as touching it, mm.
const touching = 1e-6

func (b *bench) contacts(a arrangement, pts flatness.Points, low, high float64) []Contact {
	var upper, lower []Contact
	i := 0
	for place := range 3 {
		for range b.pieces[a.index[place]].z {
			c := Contact{Place: bed.Place(place), X: pts.X[i], Y: pts.Y[i], Z: pts.Z[i]}
			switch {
			case c.Z >= high-touching:
				c.Upper = true
				upper = append(upper, c)
			case c.Z <= low+touching:
				lower = append(lower, c)
			}
			i++
		}
	}
	return append(upper, lower...)
}

// BedPoints returns the readings inside the edge band as the result seats them, in the bed frame: head, centre, foot, each
// in the order of its file.
func (r Result) BedPoints(q Question) (flatness.Points, error) {
	b, err := newBench(q)
	if err != nil {
		return flatness.Points{}, err
	}
	a, moves := r.arrangement()
	return b.bedPoints(a, moves), nil
}

// arrangement returns the arrangement of the result and its moves in the pieces' own frames.
func (r Result) arrangement() (a arrangement, moves []float64) {
	for place, p := range r.Pieces {
		a.index[place], a.turned[place] = p.Index, p.Turned
		sign := a.sign(place)
		moves = append(moves, p.Height, sign*p.TiltX, sign*p.TiltY)
	}
	return a, moves
}
