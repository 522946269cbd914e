package cause

import (
	"cmp"
	"math"
	"slices"

	"slatewright/bed/holes/fit"
)

// unit is how a model's number is said.
type unit struct {
	name   string
	factor float64
}

var (
	inMM = unit{"mm", 1}
	perM = unit{"mm per m", 1000} // of a turn (mrad), a scale
)

// model is a fault: columns of how each place moves with each of its numbers.
type model struct {
	kind    Kind
	of      string
	motion  Kind // of the whole, beside the fault or as the fault
	columns [][]fit.Vector
	names   []string // of each column; empty for those of a motion beside the fault
	units   []unit
	choice  float64 // numbers more that it stands for
	extra   float64 // what it costs besides: one of many that were tried
	mirror  []fit.Vector
	weights []float64 // of the places; nil where all scatter alike
}

func (m model) with(other model) model {
	return model{kind: m.kind, of: m.of, motion: other.kind, columns: append(append([][]fit.Vector{}, m.columns...), other.columns...),
		names: append(append([]string{}, m.names...), make([]string, len(other.columns))...), units: append(append([]unit{}, m.units...), make([]unit, len(other.columns))...),
		choice: m.choice + other.choice, extra: m.extra + other.extra, mirror: m.mirror, weights: m.weights}
}

func (m *model) add(name string, u unit, column []fit.Vector) {
	m.columns, m.names, m.units = append(m.columns, column), append(m.names, name), append(m.units, u)
}

// column makes a column of all places.
func (q Question) column(f func(p Place) fit.Vector) []fit.Vector {
	c := make([]fit.Vector, len(q.Places))
	for i, p := range q.Places {
		c[i] = f(p)
	}
	return c
}

// models lists every fault, alone and with motions of the whole beside it.
func (q Question) models() (list []model) {
	motions := q.motions()
	if !q.Datum {
		motions = motions[len(motions)-1:] // the whole may have moved as it will: no fault
	}
	faults := append([]model{{kind: None}}, q.faults()...)
	for _, f := range faults {
		for _, m := range motions {
			if f.kind == None && q.Datum {
				m.motion = m.kind // a motion alone is a fault itself
				list = append(list, m)
				continue
			}
			list = append(list, f.with(m))
		}
	}
	return append(list, q.mirrored()...)
}

// motions are no motion, a shift, a turn about the origin, the stops of a fixture that holds every piece alike, and, last, shift and turn together.
func (q Question) motions() []model {
	x := q.column(func(Place) fit.Vector { return fit.Vector{X: 1} })
	y := q.column(func(Place) fit.Vector { return fit.Vector{Y: 1} })
	turn := q.column(func(p Place) fit.Vector { return fit.Vector{X: -p.Nominal.Y, Y: p.Nominal.X} })
	none, shift, turned, both := model{kind: None}, model{kind: Shift}, model{kind: Turn}, model{kind: ShiftAndTurn}
	shift.add("x", inMM, x)
	shift.add("y", inMM, y)
	turned.add("turn", perM, turn)
	both.add("x", inMM, x)
	both.add("y", inMM, y)
	both.add("turn", perM, turn)
	list := []model{none, shift, turned}
	if q.pieces() == 1 {
		list = append(list, q.pins(-1)...)
	}
	return append(list, both)
}

// faults are those that change the pattern itself.
func (q Question) faults() []model {
	var list []model
	stretch := func(of string, fx, fy float64) {
		m := model{kind: Scale, of: of}
		m.add("scale", perM, q.column(func(p Place) fit.Vector { return fit.Vector{X: fx * p.Nominal.X, Y: fy * p.Nominal.Y} }))
		list = append(list, m)
	}
	stretch("", 1, 1)
	stretch("x", 1, 0)
	stretch("y", 0, 1)
	wander := model{kind: Wander}
	wander.add("x at the end of the run", inMM, q.column(func(p Place) fit.Vector { return fit.Vector{X: p.Run} }))
	wander.add("y at the end of the run", inMM, q.column(func(p Place) fit.Vector { return fit.Vector{Y: p.Run} }))
	list = append(append(list, wander), q.growing()...)
	if q.pieces() > 1 {
		list = append(list, q.pins(-1)...)
		for piece := range q.last() + 1 {
			list = append(list, q.pins(piece)...)
			list = append(list, q.off(piece)...)
		}
	}
	return append(list, q.single()...)
}

// suspects is how many holes are tried as the one that is off: those that lie furthest off once the drawing is laid on.
const suspects = 6

// single are faults of one hole alone.
func (q Question) single() (list []model) {
	if len(q.Places) < 4 {
		return nil
	}
	many := 2 * math.Log(float64(len(q.Places)))
	for _, i := range q.furthest() {
		m := model{kind: OneHole, of: q.Places[i].Name, extra: many}
		for k, n := range []fit.Vector{{X: 1}, {Y: 1}} {
			c := make([]fit.Vector, len(q.Places))
			c[i] = n
			m.add([]string{"x", "y"}[k], inMM, c)
		}
		list = append(list, m)
	}
	return list
}

func (q Question) furthest() []int {
	var pairs []fit.Pair
	for _, p := range q.Places {
		pairs = append(pairs, fit.Pair{Nominal: p.Nominal, Measured: p.Measured, U: 1})
	}
	r, err := fit.Least(pairs)
	if err != nil {
		return nil
	}
	order := make([]int, len(q.Places))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(r.Deviations[b].Size(), r.Deviations[a].Size()) })
	return order[:min(suspects, len(order))]
}

// off is one piece moved against the others.
func (q Question) off(piece int) []model {
	var middle fit.Vector
	n := 0.
	for _, p := range q.Places {
		if p.Piece == piece {
			middle, n = fit.Vector{X: middle.X + p.Nominal.X, Y: middle.Y + p.Nominal.Y}, n+1
		}
	}
	if n < 2 {
		return nil
	}
	middle = fit.Vector{X: middle.X / n, Y: middle.Y / n}
	in := func(f func(p Place) fit.Vector) []fit.Vector {
		return q.column(func(p Place) fit.Vector {
			if p.Piece != piece {
				return fit.Vector{}
			}
			return f(p)
		})
	}
	m := model{kind: Piece, of: q.Pieces[piece], extra: 2 * math.Log(float64(q.pieces()))}
	m.add("x", inMM, in(func(Place) fit.Vector { return fit.Vector{X: 1} }))
	m.add("y", inMM, in(func(Place) fit.Vector { return fit.Vector{Y: 1} }))
	m.add("turn", perM, in(func(p Place) fit.Vector { return fit.Vector{X: middle.Y - p.Nominal.Y, Y: p.Nominal.X - middle.X} }))
	return []model{m}
}

// last is the largest index of a piece, and pieces how many have holes.
func (q Question) last() (last int) {
	for _, p := range q.Places {
		last = max(last, p.Piece)
	}
	return last
}

func (q Question) pieces() int {
	seen := make([]bool, q.last()+1)
	n := 0
	for _, p := range q.Places {
		if !seen[p.Piece] {
			seen[p.Piece] = true
			n++
		}
	}
	return n
}

// mirrored is the drawing taken from the other face. Mirrored along the table or across it is the same but for half a turn.
func (q Question) mirrored() []model {
	return []model{{kind: Mirrored, choice: 3, mirror: q.column(func(p Place) fit.Vector { return fit.Vector{X: -p.Nominal.X, Y: p.Nominal.Y} })}}
}

// pins are the three stops of a fixture, of one piece or (−1) of all alike. A stop that stands too far into the stone by one moves the stone so that the other two still
// touch; the holes then lie the other way in the stone.
func (q Question) pins(piece int) []model {
	var list []model
	for k := range 3 {
		m := model{kind: Pin, motion: None}
		column := make([]fit.Vector, len(q.Places))
		any := false
		for i, p := range q.Places {
			if piece >= 0 && p.Piece != piece {
				continue
			}
			stops := q.stops(p.Piece)
			if len(stops) != 3 {
				return nil
			}
			move, ok := held(stops, k)
			if !ok {
				return nil
			}
			any = true
			m.of = stopNames[k]
			column[i] = fit.Vector{X: -(move[0] - move[2]*p.Nominal.Y), Y: -(move[1] + move[2]*p.Nominal.X)}
		}
		if !any {
			return nil
		}
		if piece >= 0 {
			m.of = q.Pieces[piece] + ", " + m.of
		}
		m.extra = 2 * math.Log(3)
		if piece >= 0 {
			m.extra += 2 * math.Log(float64(q.pieces()))
		}
		m.add("stands too far into the stone by", inMM, column)
		list = append(list, m)
	}
	return list
}

var stopNames = [3]string{"first stop", "second stop", "third stop"}

func (q Question) stops(piece int) (list []Stop) {
	for _, s := range q.Stops {
		if s.Piece == piece {
			list = append(list, s)
		}
	}
	return list
}

// held is the motion (x, y, turn about the origin) for which stop k has moved by one along its direction and the others not at all.
func held(stops []Stop, k int) (move [3]float64, ok bool) {
	var m [3][4]float64
	for i, s := range stops {
		m[i] = [4]float64{s.N.X, s.N.Y, s.N.Y*s.At.X - s.N.X*s.At.Y, 0}
		if i == k {
			m[i][3] = 1
		}
	}
	for c := range 3 {
		p := c
		for r := c; r < 3; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		if math.Abs(m[p][c]) < 1e-9 {
			return move, false
		}
		m[c], m[p] = m[p], m[c]
		for r := range 3 {
			if r == c {
				continue
			}
			f := m[r][c] / m[c][c]
			for j := c; j < 4; j++ {
				m[r][j] -= f * m[c][j]
			}
		}
	}
	for c := range 3 {
		move[c] = m[c][3] / m[c][c]
	}
	return move, true
}
