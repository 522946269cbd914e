package plate

import (
	"errors"
	"fmt"
	"math"

	"slatewright/plate/contact"
	"slatewright/trouble"
)

// Support is a place that pushes from below.
type Support struct {
	X, Y   float64
	Height float64 // of the support over the plane z = 0, mm
	Pull   float64 // how hard it can pull down, N: 0 a bar or shim, a screw's limit, +Inf held for good
	Give   float64 // how much it yields, mm per N: 0 is hard
}

// Stand is a plate over given supports with the influence of each kept: the rise of the whole plate for a unit force at each.
// Changing heights, limits or loads costs a small complementarity problem and no factorisation.
type Stand struct {
	plate    *Plate
	supports []Support
	rows     []row
	lift     [][]float64 // by support: splines of the pinned plate for 1 N
	problem  contact.Problem
	observed []row
	places   []Point
}

// Stand lays the plate over supports; observe are places whose heights will be asked for often. The supports must be under the stone; nothing comes to rest on
// fewer than three, or on any that are within 1 mm of one line. The error is a *trouble.Trouble.
func (p *Plate) Stand(supports []Support, observe []Point) (*Stand, error) {
	m := p.mesh
	s := &Stand{plate: p, supports: append([]Support(nil), supports...), places: observe}
	loads := make([][]float64, len(supports))
	for i, q := range supports {
		if !m.piece.Outline.Has(Point{q.X, q.Y}) {
			return nil, trouble.Data("support-off", fmt.Sprintf("support %d", i+1), fmt.Sprintf("the support at (%g, %g) mm is not under the stone", q.X, q.Y), "give places on the piece, counted from its middle, and not in a cut")
		}
		if !(q.Pull >= 0) || !(q.Give >= 0) || math.IsNaN(q.Height) {
			return nil, trouble.Data("bad-support", fmt.Sprintf("support %d", i+1), "its height, pull or give is not a number or negative", "give 0 for a hard support that only pushes")
		}
		r := m.row(Point{q.X, q.Y})
		s.rows = append(s.rows, r)
		loads[i] = make([]float64, len(m.own))
		for k, u := range r.at {
			loads[i][u] += r.v[k]
		}
	}
	s.lift = p.factor.SolveAll(loads)
	s.fill()
	for _, q := range observe {
		s.observed = append(s.observed, m.row(q))
	}
	return s, nil
}

// leastLever is how far off one line the supports must reach, mm: nobody lays a support truer than that, so whether a piece on a
// narrower stand tips cannot be told.
const leastLever = 1

// offLine is the largest distance of a support from the line that runs through all of them best, mm.
func offLine(supports []Support) (most float64) {
	var mx, my, xx, xy, yy float64
	n := float64(len(supports))
	for _, q := range supports {
		mx, my = mx+q.X/n, my+q.Y/n
	}
	for _, q := range supports {
		x, y := q.X-mx, q.Y-my
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
	}
	sin, cos := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
	for _, q := range supports {
		most = math.Max(most, math.Abs(cos*(q.Y-my)-sin*(q.X-mx)))
	}
	return most
}

// leastGive is how much any support yields, mm per N: a tenth of a micrometre under 1000 N is far less than stone on steel does, and more supports
// than the splines can tell apart, or two at one place, still share their load in one way only.
const leastGive = 1e-10

// fill makes the small problem from the influences.
func (s *Stand) fill() {
	n := len(s.supports)
	c := &s.problem
	c.F, c.E, c.D, c.Low = make([][]float64, n), make([][]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		c.F[i] = make([]float64, n)
		for j := range i + 1 {
			v := s.rows[i].of(s.lift[j])
			c.F[i][j], c.F[j][i] = v, v
		}
		c.F[i][i] += math.Max(leastGive, s.supports[i].Give)
		r := s.plate.rigid(Point{s.supports[i].X, s.supports[i].Y})
		c.E[i] = r[:]
		c.Low[i] = -s.supports[i].Pull
	}
}

// Supports returns the supports.
func (s *Stand) Supports() []Support { return s.supports }

// Compliance returns the rise at support i for 1 N at support j, of the plate held level at three places of its own and without
// gravity, mm/N; the supports' own give is on the diagonal.
func (s *Stand) Compliance() [][]float64 { return s.problem.F }

// Influence returns the rise at each observed place for 1 N at each support, [place][support], as [Stand.Compliance].
func (s *Stand) Influence() [][]float64 {
	f := make([][]float64, len(s.observed))
	for k, r := range s.observed {
		f[k] = make([]float64, len(s.lift))
		for i, c := range s.lift {
			f[k][i] = r.of(c)
		}
	}
	return f
}

// UnitHeights returns the rise at each observed place, [place][support], for each support raised by 1 mm while all of them carry: what a shim
// changes as long as no support comes loose. The error is a *trouble.Trouble.
func (s *Stand) UnitHeights() ([][]float64, error) {
	lift, tilts := s.Influence(), s.Tilts()
	rise := make([][]float64, len(lift))
	for k := range rise {
		rise[k] = make([]float64, len(s.supports))
	}
	c := s.problem
	c.B, c.Low = make([]float64, 3), make([]float64, len(s.supports))
	for i := range c.Low {
		c.Low[i] = math.Inf(-1)
	}
	for i := range s.supports {
		c.D = make([]float64, len(s.supports))
		c.D[i] = -1
		r, err := c.Solve()
		if err != nil {
			return nil, unheld(err)
		}
		for k := range rise {
			for j, f := range r.Force {
				rise[k][i] += lift[k][j] * f
			}
			for j, z := range r.Rigid {
				rise[k][i] += tilts[k][j] * z
			}
		}
	}
	return rise, nil
}

// Tilts returns the rise at each observed place for the three rigid movements that [Rest.Rigid] counts.
func (s *Stand) Tilts() [][3]float64 {
	e := make([][3]float64, len(s.places))
	for k, q := range s.places {
		e[k] = s.plate.rigid(q)
	}
	return e
}

// Bare returns the heights of the pinned plate under its own weight (and growth of layers) without supports, at the supports and at
// the observed places, mm.
func (s *Stand) Bare() (supports, observed []float64) {
	for _, r := range s.rows {
		supports = append(supports, r.of(s.plate.weight))
	}
	for _, r := range s.observed {
		observed = append(observed, r.of(s.plate.weight))
	}
	return supports, observed
}

// Rest lets the plate settle under its own weight and the loads. heights are those of the supports over z = 0, nil for their own;
// where a piece has a shape of its own, give the support's height less the free height of its bottom there, and what
// comes back is what is added to the free shape. The error is a *trouble.Trouble: the piece tips over, or nothing holds it.
func (s *Stand) Rest(heights []float64, loads ...Load) (*Rest, error) {
	p := s.plate
	base, balance, err := p.loaded(loads)
	if err != nil {
		return nil, err
	}
	return s.settle(base, balance, heights)
}

// settle finds the rest of a plate whose pinned shape and balance are known.
func (s *Stand) settle(base, balance, heights []float64) (*Rest, error) {
	if offLine(s.supports) < leastLever {
		return nil, unheld(contact.ErrLine)
	}
	p := s.plate
	c := s.problem
	c.B = balance
	c.D = make([]float64, len(s.rows))
	for i, r := range s.rows {
		h := s.supports[i].Height
		if heights != nil {
			h = heights[i]
		}
		if c.D[i] = r.of(base) - h; math.IsNaN(c.D[i]) || math.IsInf(c.D[i], 0) {
			return nil, trouble.Data("bad-support", fmt.Sprintf("support %d", i+1), "its height is not a number", "give heights in mm")
		}
	}
	found, err := c.Solve()
	if err != nil {
		return nil, unheld(err)
	}
	if !found.Proof.Holds() {
		return nil, trouble.Own("no-rest", "supports", fmt.Sprintf("the state of rest misses its conditions: %+v", found.Proof), "tell us, with the piece and its supports")
	}
	r := &Rest{plate: p, observed: s.observed, Solution: found, splice: append([]float64(nil), base...)}
	for i, f := range found.Force {
		if f != 0 {
			for k, v := range s.lift[i] {
				r.splice[k] += f * v
			}
		}
	}
	p.move(r.splice, found.Rigid)
	return r, nil
}

// loaded returns the splines of the pinned plate under its own weight and the loads, and what the supports must balance.
func (p *Plate) loaded(loads []Load) (base, balance []float64, err error) {
	force, base := p.mesh.own, p.weight
	if len(loads) > 0 {
		force = append([]float64(nil), force...)
		extra := make([]float64, len(force))
		for _, l := range loads {
			if err := p.mesh.lay(extra, l); err != nil {
				return nil, nil, err
			}
		}
		base = append([]float64(nil), base...)
		for i, more := range p.factor.Solve(extra) {
			base[i] += more
			force[i] += extra[i]
		}
	}
	balance = make([]float64, 3)
	for k := range balance {
		for i, f := range force {
			balance[k] -= f * p.rise[k][i]
		}
	}
	return base, balance, nil
}

// move adds a rigid movement to the splines.
func (p *Plate) move(splice, rigid []float64) {
	for k, z := range rigid {
		for i, v := range p.rise[k] {
			splice[i] += z * v
		}
	}
}

// unheld puts the contact's complaint in words.
func unheld(err error) error {
	var tips *contact.Tips
	if errors.As(err, &tips) {
		return trouble.Data("piece-tips", "supports", "the piece would tip over on these supports", "put them around its centre of gravity, or hold it down").Because(err)
	}
	if errors.Is(err, contact.ErrLine) {
		return trouble.Data("not-held", "supports", err.Error(), "give at least three supports that are not on one line").Because(err)
	}
	return trouble.Own("no-rest", "supports", err.Error(), "tell us, with the piece and its supports").Because(err)
}
