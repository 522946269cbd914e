package seating

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/flatness"
	"slatewright/lowlp"
)

// nearSupport is how far from a support a thickness may be read and still count for it, mm.
const nearSupport = 75.0

// foot is one support of a seated piece.
type foot struct {
	place int
	x, y  float64 // piece frame as it lies
	pack  float64 // asked for, above the lowest support
}

// shims gives starting packs for a true frame, where the supports and the thickness of the stone (and lining) over them are
// known. A shim touches the lining: its height is the plane of the bed's face, less the piece's own thickness there.
func (b *bench) shims(r *Result, l *laid) error {
	feet, why := b.feet(l)
	if why != "" {
		r.NoShims = why
		return nil
	}
	least := math.Inf(1)
	for _, f := range feet {
		least = min(least, f.pack)
	}
	packs := b.spec.Packs()
	for i := range feet {
		feet[i].pack -= least
		r.Shims = append(r.Shims, Shim{Place: bed.Place(feet[i].place), X: feet[i].x, Y: feet[i].y, Height: feet[i].pack,
			Pack: packs.Nearest(feet[i].pack)})
	}
	if len(b.spec.Shims) == 0 {
		r.Warnings = append(r.Warnings, "the specification names no shims that exist: heights are given as they are asked for")
		return nil
	}
	return b.round(r, l, feet)
}

// feet lists the supports of all three pieces with the pack each asks for, or says why they cannot be given.
func (b *bench) feet(l *laid) ([]foot, string) {
	var feet []foot
	for place := range 3 {
		p, sign := b.pieces[l.index[place]], l.sign(place)
		supports := b.spec.Supports[place]
		if len(supports) < 3 {
			return nil, fmt.Sprintf("the specification gives no three supports for the %s piece", bed.Place(place))
		}
		for _, at := range supports {
			x, y := float64(sign*at[0]), float64(sign*at[1]) // own frame
			t, ok := p.thicknessAt(x, y, b.spec.Lining > 0)
			if !ok {
				return nil, fmt.Sprintf("%s: no thickness%s was read within %g mm of the support at x %g, y %g mm", p.name, ofWhat(b.spec.Lining > 0), nearSupport, at[0], at[1])
			}
			z, ok := p.surface.height(x, y)
			if !ok {
				return nil, fmt.Sprintf("%s: the face was not read near the support at x %g, y %g mm", p.name, at[0], at[1])
			}
			bottom := moved(z, x, y, l.moves[3*place:3*place+3]) - t
			feet = append(feet, foot{place: place, x: at[0], y: at[1], pack: bottom})
		}
	}
	return feet, ""
}

// thicknessAt returns the nearest thickness to a place: of stone and lining together for a lined bed, else of the stone.
func (p *piece) thicknessAt(x, y float64, lined bool) (t float64, ok bool) {
	list := p.face.Thickness
	if lined {
		list = p.face.Lined
	}
	best := float64(nearSupport * nearSupport)
	for _, c := range list {
		if d := distance2(c, x, y); d <= best {
			best, t, ok = d, c.T, true
		}
	}
	return t, ok
}

func ofWhat(lined bool) string {
	if lined {
		return " of stone and lining"
	}
	return " of the stone"
}

func distance2(c face.Thickness, x, y float64) float64 {
	return float64((c.X-x)*(c.X-x)) + float64((c.Y-y)*(c.Y-y))
}

// round seats the pieces on packs of shims that exist.
func (b *bench) round(r *Result, l *laid, feet []foot) error {
	moves := append([]float64{}, l.moves...)
	for place := range 3 {
		rows := &lowlp.Dense{D: 3}
		sign := l.sign(place)
		for i, f := range feet {
			if f.place == place {
				rows.Add(-(r.Shims[i].Pack.Height - f.pack), -1, float64(-sign*f.x), float64(-sign*f.y))
			}
		}
		sunk, doubt, err := sink(rows, b.pieces[l.index[place]])
		if err != nil {
			return err
		}
		if doubt != "" {
			r.Warnings = append(r.Warnings, "on packs of shims that exist the "+bed.Place(place).String()+" piece "+doubt)
		}
		if sunk == nil {
			return nil
		}
		for k := range 3 {
			moves[3*place+k] += sunk[k]
		}
	}
	f, err := b.measured(l, moves)
	if err != nil {
		return err
	}
	f.Zone, err = flatness.ZoneValue(b.bedPoints(l.arrangement, moves))
	r.Rounded = &f
	return err
}

// sink is how a rigid piece rests on packs: it sinks until no height or tilt lowers its middle further, which is a linear
// program of three unknowns. A piece that rests on two packs rocks; it is taken in the pose that moves its corners least, and
// the doubt says how far they can move. It returns nil for a piece that would tip.
func sink(rows *lowlp.Dense, p *piece) (moves []float64, doubt string, err error) {
	low, err := lowlp.Solve(lowlp.Problem{Cost: []float64{1, 0, 0}, Rows: rows})
	if err != nil {
		return nil, "", err
	}
	if low.Status != lowlp.Optimal {
		return nil, "would tip: its supports do not surround its middle", nil
	}
	rows.Add(low.Value+Hold, 1, 0, 0)
	rock, err := rocks(rows, p, low.V)
	if err != nil {
		return nil, "", err
	}
	if rock > sway {
		doubt = fmt.Sprintf("can rock: its corners have %.2f mm of play, and the figures are for the pose in between; choose other packs or screw it down", rock)
	}
	var g []float64
	for _, c := range p.corners() {
		g = append(g, 1, c[0], c[1])
	}
	least, err := lowlp.Nearest(lowlp.Least{G: g, H: make([]float64, 4), Rows: rows})
	if err != nil || least.Status != lowlp.Optimal {
		return low.V, doubt, nil
	}
	return least.V, doubt, nil
}

// sway is how much play of a corner is not worth a word, mm.
const sway = 0.02

// rocks returns the largest play of any corner of a piece that keeps its middle as low as it can be.
func rocks(rows *lowlp.Dense, p *piece, from []float64) (play float64, err error) {
	for _, c := range p.corners() {
		var ends [2]float64
		for e, sign := range [2]float64{1, -1} {
			s, err := lowlp.Solve(lowlp.Problem{Cost: []float64{sign, sign * c[0], sign * c[1]}, Rows: rows, Start: from})
			if err != nil {
				return 0, err
			}
			if s.Status != lowlp.Optimal {
				return math.Inf(1), nil
			}
			ends[e] = s.Value
		}
		play = max(play, -ends[0]-ends[1])
	}
	return play, nil
}

// corners are the places of the four corners.
func (p *piece) corners() [4][2]float64 {
	x, y := float64(p.sizeX/2), float64(p.sizeY/2)
	return [4][2]float64{{-x, -y}, {-x, y}, {x, -y}, {x, y}}
}
