package passes

import (
	"fmt"
	"math"

	"slatewright/measure"
)

// Limit is what can stop a plan.
type Limit string

// The limits.
const (
	ByTable     Limit = "table"
	ByThickness Limit = "thickness"
	ByLeast     Limit = "least thickness"
	ByPower     Limit = "power"
	ByDamage    Limit = "broken stone"
	ByWear      Limit = "wear of the last pass"
	ByRounds    Limit = "rounds"
	ByFlatness  Limit = "flatness"
	BySettings  Limit = "settings"
)

// Hindrance is a limit that stops a plan, with what would free it.
type Hindrance struct {
	Limit Limit
	What  string
	Frees string
}

func mm(v float64) string { return measure.Decimal(v, 3) }

// broken are the limits that a plan does not keep.
func (w *work) broken(p *Plan) (list []Hindrance) {
	for _, s := range p.Setups {
		if last := lastCutOf(s); last != nil && w.lastOf(p, s) && last.WornMost > w.Share*w.Flat+1e-12 {
			list = append(list, w.tooWorn(s.Face, last.Stage, last.Depth, last.WornMost))
		}
		for _, q := range s.Passes {
			if h := w.Machine.HeadOf(q.Stage); q.Worse > h.Power*(1+1e-9) {
				list = append(list, Hindrance{ByPower, fmt.Sprintf("a pass of %s mm with stage %q takes up to %s kW, and the motor gives %s kW", mm(q.Depth), w.cutters[q.Stage].Name, measure.Decimal(q.Worse, 1), measure.Decimal(h.Power, 1)),
					"a slower feed, a smaller depth or a stronger motor"})
			}
		}
	}
	for f, flat := range p.Flat {
		if len(flat.Parts) == 0 {
			continue
		}
		if !flat.Known {
			list = append(list, Hindrance{ByFlatness, fmt.Sprintf("the %s is cut while its bow is pressed out, and the bow is not known", Face(f)), "the bow of the free piece"})
		} else if flat.High > w.flat(Face(f)) {
			list = append(list, w.notFlat(Face(f), flat))
		}
	}
	if p.Rounds < w.Rounds {
		list = append(list, Hindrance{ByRounds, fmt.Sprintf("it makes %d rounds, and at least %d are asked", p.Rounds, w.Rounds), "fewer rounds, or more stone to take off"})
	}
	return list
}

// lastOf tells whether no later laying cuts the face again.
func (w *work) lastOf(p *Plan, s Setup) bool {
	later := false
	for i := range p.Setups {
		if p.Setups[i].Face == s.Face {
			later = &p.Setups[i].Passes[0] == &s.Passes[0]
		}
	}
	return later
}

func lastCutOf(s Setup) *Pass {
	for i := len(s.Passes) - 1; i >= 0; i-- {
		if s.Passes[i].Depth > 0 {
			return &s.Passes[i]
		}
	}
	return nil
}

func (w *work) tooWorn(f Face, stage int, depth, taper float64) Hindrance {
	return Hindrance{ByWear, fmt.Sprintf("the last pass on the %s, %s mm with stage %q, may wear the bits by %s mm; its share is %s mm", f, mm(depth), w.cutters[stage].Name, mm(taper), mm(w.Share*w.Flat)),
		fmt.Sprintf("a share of %s of the flatness, a G ratio that is higher or better known, or more area of bits", measure.Decimal(math.Ceil(taper/w.Flat*100)/100, 2))}
}

func (w *work) notFlat(f Face, flat Flatness) Hindrance {
	worst := flat.Parts[0]
	for _, p := range flat.Parts {
		if p.High > worst.High {
			worst = p
		}
	}
	return Hindrance{ByFlatness, fmt.Sprintf("the %s may be up to %s mm from flat, and %s mm are allowed; the largest part is '%s' with up to %s mm", f, mm(flat.High), mm(w.flat(f)), worst.Name, mm(worst.High)),
		fmt.Sprintf("a flatness of %s mm there, or less of that part", mm(math.Ceil(flat.High*1000-1e-6)/1000))}
}

// stopped finds out what stops a plan: the first limit that alone, when it is not asked, lets one through; or else all that must go together.
func (w *work) stopped() (list []Hindrance) {
	if q := w.Question; q.long() > q.Machine.Table.X || q.wide() > q.Machine.Table.Y {
		return []Hindrance{{ByTable, fmt.Sprintf("the piece is %s x %s mm, and the table takes %s x %s mm", measure.Decimal(q.long(), 0), measure.Decimal(q.wide(), 0), measure.Decimal(q.Machine.Table.X, 0), measure.Decimal(q.Machine.Table.Y, 0)),
			"a larger machine, or cutting the piece to size first"}}
	}
	for _, l := range []Limit{ByFlatness, ByRounds, ByWear, ByDamage, ByPower} { // the first two ask nothing new of the search
		if f := w.without(l); f != nil {
			return w.words(l, f)
		}
	}
	loose := *w.Question
	loose.Rounds, loose.Flat, loose.FlatBottom = 0, 1e6, 1e6
	x := w.again()
	x.Question, x.need = &loose, 0
	for _, l := range []Limit{"", ByPower, ByDamage} {
		x.relaxed = l
		if f := x.best(); f != nil {
			if l != "" {
				list = append(list, x.words(l, f)...)
			}
			w.belt = f.belt
			return append(list, w.broken(w.reckon(f.layings))...)
		}
	}
	return []Hindrance{{BySettings, "no sequence of passes that the machine can be set to takes the stone off", "other depths, finer steps or overlapping feeds in the machine file"}}
}

// without plans without one limit.
func (w *work) without(l Limit) *found {
	x := w.again()
	x.relaxed = l
	switch l {
	case ByRounds:
		q := *w.Question
		q.Rounds = 0
		x.Question, x.need = &q, 0
	case ByFlatness:
		if w.cramped() { // a plan with few settings shows what is missing
			x.few = true
			return w.flattest(x)
		}
		x.free = true
		if w.any != nil { // what is allowed does not change what was searched
			x.down = w.any.down
		}
		return w.flattest(x)
	}
	return x.best()
}

// flattest is a plan at the smallest flatness that any plan keeps among those that x looks at, to a micrometre; both faces' limits stay in proportion. The share of the wear stays what it is in mm.
func (w *work) flattest(x *work) *found {
	best := x.cheapest()
	if best == nil {
		return nil
	}
	x.relaxed = ""
	reach := 0.0
	for f, flat := range w.reckon(best.layings).Flat {
		reach = math.Max(reach, flat.High/w.flat(Face(f)))
	}
	for low, high := 1.0, reach*1.001; high-low > 1e-3/w.Flat; {
		q := *w.Question
		by := (low + high) / 2
		q.Flat, q.FlatBottom, q.Share = by*w.Flat, by*w.FlatBottom, w.Share/by
		x.Question = &q
		if f := x.cheapest(); f != nil {
			best, high = f, by
		} else {
			low = by
		}
	}
	return best
}

// words says what stops a plan, from the plan that would be made without the limit.
func (w *work) words(l Limit, f *found) (list []Hindrance) {
	p := w.reckon(f.layings)
	switch l {
	case ByDamage:
		for _, s := range w.Machine.Stages {
			list = append(list, Hindrance{l, fmt.Sprintf("stage %q leaves %s mm of broken stone, and too little is to come off after it", s.Name, mm(s.Damage)), "more stone to take off"})
			break
		}
	default:
		for _, h := range w.broken(p) {
			if h.Limit == l {
				list = append(list, h)
			}
		}
	}
	return list
}
