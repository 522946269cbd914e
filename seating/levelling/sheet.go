package levelling

import (
	"fmt"
	"math"

	"slatewright/plate"
	"slatewright/trouble"
)

// sheet says how one piece bends. Deflections are upwards in mm, of the stone tied in any one way: a height and two tilts come on
// top. Forces are in N, upwards. Places are in the frame of the piece as it lies.
type sheet struct {
	feet [][2]float64 // places of the supports
	at   [][2]float64 // places that are looked at

	weight   [3]float64 // N, and its moments: the sums of force, force · x and force · y
	sag      []float64  // rise of every place under its own weight
	sagFeet  []float64  // the same at the supports
	give     []float64  // len(at) × len(feet): rise of place i for 1 N at support j
	giveFeet []float64  // len(feet) × len(feet): rise of support i for 1 N at support j, with what the frame gives there
}

// bend asks a plate on its supports for its sheet.
func bend(p *plate.Plate, s *plate.Stand, at [][2]float64) sheet {
	out := sheet{at: at}
	for _, f := range s.Supports() {
		out.feet = append(out.feet, [2]float64{f.X, f.Y})
	}
	out.sagFeet, out.sag = s.Bare()
	for _, row := range s.Influence() {
		out.give = append(out.give, row...)
	}
	for _, row := range s.Compliance() {
		out.giveFeet = append(out.giveFeet, row...)
	}
	w, m := p.WeightN(), p.Middle()
	out.weight = [3]float64{w, w * m.X, w * m.Y}
	return out
}

// check refuses what has holes.
func (s *sheet) check(name string) error {
	n, m := len(s.feet), len(s.at)
	if n < 3 {
		return trouble.Data("few-supports", name, fmt.Sprintf("%s under the piece: it cannot lie still", trouble.Count(n, "support", "supports")), "name at least three supports that do not stand on one line")
	}
	if len(s.give) != m*n || len(s.giveFeet) != n*n || len(s.sag) != m || len(s.sagFeet) != n {
		return trouble.Own("sheet-length", name, "the places of a plate are not those of its layout", "report this")
	}
	return nil
}

// piece is a sheet with its free shape, and its forces as the sum of those that carry the weight and those that carry nothing.
//
//	forces = base + Σₖ s[k]·loop[k],   heights = z + sag + give·forces + (height, tilt x, tilt y)
//
// The unknowns of a piece are s (one for each support beyond three) and the three moves; forces are counted in units of unit N.
type piece struct {
	sheet
	name  string
	z     []float64 // free heights of the places
	under []float64 // free heights of the undersides over the supports
	pull  []float64 // how much a support may pull, N
	base  []float64
	loop  []float64 // len(feet) × beyond
}

const unit = 100.0 // N

// beyond is how many supports there are beyond the three that a piece needs.
func (p *piece) beyond() int { return len(p.feet) - 3 }

// balance finds the forces that carry the weight and those that carry nothing. Three supports that span the widest triangle are
// worked out from the others.
func (p *piece) balance() error {
	n := len(p.feet)
	dep, area := widest(p.feet)
	if area < 1e4 { // mm²
		return trouble.Data("on-one-line", p.name, "the supports stand on one line: the piece would tip", "name supports on both sides of the middle, along and across")
	}
	p.base = make([]float64, n)
	three := p.three(dep, p.weight)
	for k, i := range dep {
		p.base[i] = three[k]
	}
	p.loop = make([]float64, n*p.beyond())
	col := 0
	for i, at := range p.feet {
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
	return nil
}

// three solves for the forces at three supports that carry a load.
func (p *piece) three(dep [3]int, load [3]float64) (f [3]float64) {
	a, b, c := p.feet[dep[0]], p.feet[dep[1]], p.feet[dep[2]]
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
func (p *piece) heights(forces []float64, moves [3]float64) []float64 {
	h := make([]float64, len(p.at))
	n := len(p.feet)
	for i, at := range p.at {
		h[i] = p.z[i] + p.sag[i] + moves[0] + float64(moves[1]*at[0]) + float64(moves[2]*at[1])
		for j, f := range forces {
			h[i] += float64(p.give[i*n+j] * f)
		}
	}
	return h
}

// undersides are the heights that the tops of the packs have under forces and after moves.
func (p *piece) undersides(forces []float64, moves [3]float64) []float64 {
	n := len(p.feet)
	h := make([]float64, n)
	for i, at := range p.feet {
		h[i] = p.under[i] + p.sagFeet[i] + moves[0] + float64(moves[1]*at[0]) + float64(moves[2]*at[1])
		for j, f := range forces {
			h[i] += float64(p.giveFeet[i*n+j] * f)
		}
	}
	return h
}
