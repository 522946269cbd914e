package levelling

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Sheet says how one piece bends. Deflections are upwards in mm, in a frame that is tied to the stone in any one way: a height and
// two tilts come on top. Forces are in N, upwards. Places are in the frame of the piece as it lies.
type Sheet struct {
	Feet [][2]float64 // places of the supports
	At   [][2]float64 // places that are looked at

	Own  Load      // its own weight
	Give []float64 // len(At) × len(Feet): rise of place i for 1 N at support j
	Foot []float64 // len(Feet) × len(Feet): rise of support i for 1 N at support j
}

// Load is a force downwards, spread in some way, and what it does.
type Load struct {
	Force  [3]float64 // N, and its moments: the sums of force, force · x and force · y
	AtAll  []float64  // rise of every place that is looked at, mm
	AtFeet []float64  // rise of every support
}

// check refuses what has holes.
func (s *Sheet) check(name string) error {
	n, m := len(s.Feet), len(s.At)
	if n < 3 {
		return trouble.Data("few-supports", name, fmt.Sprintf("%s under the piece: it cannot lie still", trouble.Count(n, "support", "supports")), "name at least three supports that do not stand on one line")
	}
	if len(s.Give) != m*n || len(s.Foot) != n*n || len(s.Own.AtAll) != m || len(s.Own.AtFeet) != n {
		return trouble.Own("sheet-length", name, "the parts of a sheet do not fit each other", "report this")
	}
	return nil
}

// piece is a sheet with its free shape, and its forces as the sum of those that carry the weight and those that carry nothing.
//
//	forces = base + Σₖ s[k]·loop[k],   heights = Z + Own + Give·forces + (height, tilt x, tilt y)
//
// The unknowns of a piece are s (one for each support beyond three) and the three moves; forces are counted in units of unit N.
type piece struct {
	Sheet
	name  string
	z     []float64 // free heights of the places
	under []float64 // free heights of the undersides over the supports
	pull  []float64 // how much a support may pull, N
	give  []float64 // how much the frame gives under it, mm/N
	base  []float64
	loop  []float64 // len(Feet) × beyond
}

const unit = 100.0 // N

// beyond is how many supports there are beyond the three that a piece needs.
func (p *piece) beyond() int { return len(p.Feet) - 3 }

// balance finds the forces that carry a load and those that carry nothing. Three supports that span the widest triangle are
// worked out from the others.
func (p *piece) balance(load [3]float64) (base []float64, err error) {
	n := len(p.Feet)
	dep, area := widest(p.Feet)
	if area < 1e4 { // mm²
		return nil, trouble.Data("on-one-line", p.name, "the supports stand on one line: the piece would tip", "name supports on both sides of the middle, along and across")
	}
	base = make([]float64, n)
	three := p.three(dep, load)
	for k, i := range dep {
		base[i] = three[k]
	}
	if p.loop != nil {
		return base, nil
	}
	p.loop = make([]float64, n*p.beyond())
	col := 0
	for i, at := range p.Feet {
		if i == dep[0] || i == dep[1] || i == dep[2] {
			continue
		}
		t := p.three(dep, [3]float64{-1, -at[0], -at[1]})
		p.loop[i*p.beyond()+col] = unit
		for k, d := range dep {
			p.loop[d*p.beyond()+col] = float64(unit * t[k])
		}
		col++
	}
	return base, nil
}

// three solves for the forces at three supports that carry a load.
func (p *piece) three(dep [3]int, load [3]float64) (f [3]float64) {
	a, b, c := p.Feet[dep[0]], p.Feet[dep[1]], p.Feet[dep[2]]
	whole := cross(a, b, c)
	at := func(u, v [2]float64) float64 { // load[0] times twice the area of (load's place, u, v)
		return float64(load[0]*(float64(u[0]*v[1])-float64(u[1]*v[0]))) - float64(load[1]*(v[1]-u[1])) + float64(load[2]*(v[0]-u[0]))
	}
	return [3]float64{at(b, c) / whole, at(c, a) / whole, at(a, b) / whole}
}

func cross(a, b, c [2]float64) float64 {
	return float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
}

// widest returns the three places that span the largest triangle, and twice its area, mm².
func widest(at [][2]float64) (best [3]int, area float64) {
	for i := range at {
		for j := i + 1; j < len(at); j++ {
			for k := j + 1; k < len(at); k++ {
				if a := math.Abs(cross(at[i], at[j], at[k])); a > area+1e-9 {
					best, area = [3]int{i, j, k}, a
				}
			}
		}
	}
	return best, area
}

// forces are those of the unknowns s.
func (p *piece) forces(s []float64) []float64 {
	f := append([]float64{}, p.base...)
	b := p.beyond()
	for i := range f {
		for k := range b {
			f[i] += float64(p.loop[i*b+k] * s[k])
		}
	}
	return f
}

// heights are those of the places looked at under forces and after moves.
func (p *piece) heights(own Load, forces []float64, moves [3]float64) []float64 {
	h := make([]float64, len(p.At))
	n := len(p.Feet)
	for i, at := range p.At {
		h[i] = p.z[i] + own.AtAll[i] + moves[0] + float64(moves[1]*at[0]) + float64(moves[2]*at[1])
		for j, f := range forces {
			h[i] += float64(p.Give[i*n+j] * f)
		}
	}
	return h
}

// undersides are the heights that the tops of the packs have under forces and after moves, the give of the frame made up for.
func (p *piece) undersides(own Load, forces []float64, moves [3]float64) []float64 {
	n := len(p.Feet)
	h := make([]float64, n)
	for i, at := range p.Feet {
		h[i] = p.under[i] + own.AtFeet[i] + moves[0] + float64(moves[1]*at[0]) + float64(moves[2]*at[1]) + float64(p.give[i]*forces[i])
		for j, f := range forces {
			h[i] += float64(p.Foot[i*n+j] * f)
		}
	}
	return h
}

// joined adds a load to another.
func (l Load) joined(m Load) Load {
	out := Load{AtAll: append([]float64{}, l.AtAll...), AtFeet: append([]float64{}, l.AtFeet...)}
	for k := range out.Force {
		out.Force[k] = l.Force[k] + m.Force[k]
	}
	for i, v := range m.AtAll {
		out.AtAll[i] += v
	}
	for i, v := range m.AtFeet {
		out.AtFeet[i] += v
	}
	return out
}
