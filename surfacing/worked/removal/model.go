package removal

import (
	"fmt"
	"math"

	"slatewright/gauge/tables"
)

// The columns of the model: what was taken has the second order, the maps' difference has a plane of its own, what the piece bent, and the doubt of
// gravity on top. Where the maps were read at other stations, the face after the work has the second order too.
const (
	cTaken = 0
	cPlane = cTaken + 6
	cBend  = cPlane + 3
	cSag   = cBend + 3
	cAfter = cSag + 1
	nCols  = cAfter + 6
)

// never is the precision of a column that is not there.
const never = 1e14

// model is the field of what was taken, seen by the maps and by the pairs.
type model struct {
	field
	stations int     // rows of the maps; those of the pairs follow
	reading  float64 // variance of a difference of two readings as claimed, mm²
}

// model sets up rows and columns: the differences of the maps where both tell their heights at the same stations, and both maps otherwise.
func (q Question) model(f *Found) *model {
	m := &model{}
	m.sizeX, m.sizeY, m.p = q.SizeX, q.SizeY, nCols
	s := q.stations()
	before, ok1 := q.Before.at(s, q)
	after, ok2 := q.After.at(s, q)
	m.prior = q.priors(ok1 && ok2)
	if ok1 && ok2 {
		for i := range s.x {
			h := q.row(s.x[i], s.y[i])
			h[cSag] = q.Before.sag(s.x[i], s.y[i]) - q.After.sag(s.x[i], s.y[i])
			m.add(s.x[i], s.y[i], before.z[i]-after.z[i], before.variance[i]+after.variance[i], 0, h, true)
		}
		f.X, f.Y, f.After = s.x, s.y, after.z
	} else {
		q.both(m, f)
	}
	m.stations, m.reading = len(m.z), q.Before.u()*q.Before.u()+q.After.u()*q.After.u()
	if f.Tied {
		for _, p := range q.Pairs {
			m.add(p.X, p.Y, p.Taken, 0, p.U*p.U, taken(2*p.X/q.SizeX, 2*p.Y/q.SizeY), true)
		}
	}
	if m.under != nil {
		m.under.has = append(m.under.has, make([]bool, len(m.z)-m.stations)...)
	}
	return m
}

func (m *model) add(x, y, z, noise, fixed float64, h []float64, has bool) {
	m.x, m.y, m.z, m.noise, m.fixed, m.h, m.has = append(m.x, x), append(m.y, y), append(m.z, z), append(m.noise, noise), append(m.fixed, fixed), append(m.h, h...), append(m.has, has)
}

// both adds the rows of two maps that were read at other stations: the face after the work is a field of its own, learnt from its own map.
func (q Question) both(m *model, f *Found) {
	after, free := q.After, q.After.free()
	own := model{}
	own.sizeX, own.sizeY, own.p, own.prior = q.SizeX, q.SizeY, nCols, q.priors(true)
	for i, x := range after.X {
		own.add(x, after.Y[i], free[i], after.u()*after.u(), 0, taken(2*x/q.SizeX, 2*after.Y[i]/q.SizeY), true)
	}
	own.learn()
	m.under = &under{sigma: own.sigma, reach: own.reach}
	for i, x := range after.X {
		y := after.Y[i]
		h := make([]float64, nCols)
		face := second(2*x/q.SizeX, 2*y/q.SizeY)
		copy(h[cAfter:], face[:])
		h[cSag] = after.sag(x, y)
		m.add(x, y, free[i], after.u()*after.u(), 0, h, false)
	}
	free = q.Before.free()
	for i, x := range q.Before.X {
		y := q.Before.Y[i]
		h := q.row(x, y)
		face := second(2*x/q.SizeX, 2*y/q.SizeY)
		copy(h[cAfter:], face[:])
		h[cSag] = q.Before.sag(x, y)
		m.add(x, y, free[i], q.Before.u()*q.Before.u(), 0, h, true)
	}
	for range m.z {
		m.under.has = append(m.under.has, true)
	}
	f.X, f.Y, f.After = after.X, after.Y, after.free()
}

func (m Map) sag(x, y float64) float64 {
	if m.Sag == nil {
		return 0
	}
	return m.Sag(x, y)
}

// row is that of a difference of the maps.
func (q Question) row(px, py float64) []float64 {
	x, y := 2*px/q.SizeX, 2*py/q.SizeY
	h := taken(x, y)
	copy(h[cPlane:], []float64{1, x, y})
	copy(h[cBend:], []float64{1 - x*x, 1 - y*y, x * y})
	return h
}

// taken is the row of what was taken alone.
func taken(x, y float64) []float64 {
	h := make([]float64, nCols)
	t := second(x, y)
	copy(h, t[:])
	return h
}

// priors are the precisions of the columns; alike: the maps' differences are the rows.
func (q Question) priors(alike bool) []float64 {
	p := make([]float64, nCols)
	for k := range 6 {
		if alike {
			p[cAfter+k] = never
		}
	}
	switch {
	case !q.tied():
		p[cPlane], p[cPlane+1], p[cPlane+2] = never, never, never // what was taken keeps the maps' plane, and nothing is said of it
	case q.Zero.Kept:
		for k := range 3 {
			p[cPlane+k] = precision(q.Zero.U)
		}
	}
	for k, b := range q.Bend {
		p[cBend+k] = precision(b)
	}
	p[cSag] = precision(q.USag)
	if q.Before.Sag == nil && q.After.Sag == nil {
		p[cSag] = never
	}
	return p
}

func precision(sd float64) float64 {
	if !(sd > 1e-7) {
		return never
	}
	return 1 / (sd * sd)
}

// without gives the pairs for which the rule holds no say, and returns the field as it was solved.
func (m *model) without(rule func(pair int) bool) (kept []float64) {
	kept = append(kept, m.fixed...)
	for i := m.stations; i < len(m.z); i++ {
		if rule(i - m.stations) {
			m.fixed[i] = 1e8
		}
	}
	return kept
}

// hold compares the pairs with each other by way of the maps: one that fits nobody is left out, and calipers that scatter more than they claim
// are believed less.
func (m *model) hold(q Question, f *Found) {
	pairs := len(m.z) - m.stations
	f.Rest = make([]float64, pairs)
	if pairs >= 6 {
		m.leave(pairs, f)
	}
	if pairs-len(f.Left) > 3 {
		m.stretch(pairs, f)
	}
	m.solve()
	if pairs > 0 {
		mean, _ := m.predict(m.x[m.stations:], m.y[m.stations:], taken)
		for i := range pairs {
			f.Rest[i] = m.z[m.stations+i] - mean[i]
		}
		for _, i := range f.Left {
			f.Rest[i] = math.NaN()
		}
	}
	f.Noise = m.scale * math.Sqrt(m.reading)
	m.warn(q, f)
}

// most that a pair may lie from what all others say, in standard deviations: the largest of 24 normal draws passes 4 once in 600 jobs.
const mostApart = 4

// leave finds the pair that lies farthest from what the others say, and leaves it out where that is too far and the others agree without it.
func (m *model) leave(pairs int, f *Found) {
	apart := func(skip int) (worst int, most float64) {
		for i := range pairs {
			if i == skip {
				continue
			}
			kept := m.without(func(p int) bool { return p == i || p == skip })
			m.solve()
			at := m.stations + i
			mean, cov := m.predict(m.x[at:at+1], m.y[at:at+1], taken)
			m.fixed = kept
			if z := math.Abs(m.z[at]-mean[0]) / math.Sqrt(cov[0]+m.fixed[at]); z > most {
				worst, most = i, z
			}
		}
		return worst, most
	}
	worst, most := apart(-1)
	if most <= mostApart {
		return
	}
	if _, then := apart(worst); then > mostApart {
		return // it is not one reading: they scatter
	}
	f.Left = append(f.Left, worst)
	m.without(func(p int) bool { return p == worst })
}

// stretch widens the calipers' doubt to their scatter, where that is more than chance gives once in twenty (R. T. Birge, Phys. Rev. 40, 1932).
func (m *model) stretch(pairs int, f *Found) {
	m.solve()
	with := m.chi
	kept := m.without(func(int) bool { return true })
	m.solve()
	chi, dof := with-m.chi, float64(pairs-len(f.Left)-3)
	m.fixed = kept
	if chi <= tables.ChiSquaredPoint(0.95, dof) {
		return
	}
	f.Stretch = math.Sqrt(chi / dof)
	for i := m.stations; i < len(m.z); i++ {
		m.fixed[i] *= f.Stretch * f.Stretch
	}
}

func (m *model) warn(q Question, f *Found) {
	for _, i := range f.Left {
		p := q.Pairs[i]
		f.Warnings = append(f.Warnings, fmt.Sprintf("the thicknesses at (%g, %g) do not fit the others and were left out: measure there again", p.X, p.Y))
	}
	if f.Stretch > 1 {
		f.Warnings = append(f.Warnings, fmt.Sprintf("the calipers scatter %.1f times as much as they claim about what the maps say: the doubt is taken from the scatter. Was the other face worked between, or did the piece lie otherwise?", f.Stretch))
	}
	if m.scale > 2 && (q.Before.U > 0 || q.After.U > 0) {
		f.Warnings = append(f.Warnings, fmt.Sprintf("the maps scatter %.1f times as much as their readings claim: the doubt is taken from the scatter", m.scale))
	}
}
