package passes

// Pruning. A first search with few settings finds a plan; its cost is a ceiling. In the search of all settings a label is dropped when its cost, the
// least that the rest of its face can cost, the least of the other face and the least of laying the piece down come to more than
// that: nothing that goes on from it can be the cheapest. The leasts leave out what the passes leave uneven, so they are never too high.

// floor is the least that remains: by plunge, stage and further passes.
type floor struct {
	rest  []cost
	start []cost // of the whole face, by passes
}

// never is more than anything costs; half of the largest number, so that two can be added.
var never = cost{1 << 61, 0}

// floor finds the least costs of a descent, without regard to what is left uneven.
func (d *descent) floor() floor {
	rounds, stages := d.Rounds+1, len(d.cutters)
	f := floor{rest: make([]cost, (d.bottom+1)*stages*rounds), start: make([]cost, rounds)}
	sparks := d.sparks(d.end)
	for i := range f.rest {
		f.rest[i] = never
	}
	for m := 0; m < rounds && (m == 0 || m <= mostSparks && len(sparks) > 0); m++ {
		k := (d.bottom*stages+d.end)*rounds + m
		f.rest[k] = cost{}
		for range m {
			least := never
			for i := range sparks {
				if c := sparks[i].costs(0, false); c.less(least) {
					least = c
				}
			}
			f.rest[k] = f.rest[k].plus(least)
		}
	}
	for at := d.bottom - 1; at >= 1; at-- {
		for stage := range stages {
			for m := range rounds {
				f.rest[(at*stages+stage)*rounds+m] = d.least(&f, at, stage, m)
			}
		}
	}
	for m := range rounds {
		f.start[m] = never
		for at := -d.air; at <= 0; at++ {
			if c := d.least(&f, at, -1, m); c.less(f.start[m]) {
				f.start[m] = c
			}
		}
	}
	return f
}

// least is the cheapest next pass with the least that remains after it.
func (d *descent) least(f *floor, at, stage, m int) cost {
	rounds, stages := d.Rounds+1, len(d.cutters)
	best := never
	broken := stage >= 0 && float64(d.bottom-at)*d.unit < d.Machine.Stages[stage].Damage-1e-9 && d.relaxed != ByDamage
	for next := max(0, stage); next < stages; next++ {
		if broken && next != stage {
			break
		}
		for i := range d.ways[next] {
			w := &d.ways[next][i]
			to := at + w.units
			if to <= 0 || to > d.bottom || to == d.bottom && next != d.end {
				continue
			}
			c := f.rest[(to*stages+next)*rounds+max(0, m-1)]
			if !c.less(never) {
				continue
			}
			moved := stage >= 0 && next != stage
			c = c.plus(w.costs(d.taken[to]-d.taken[max(0, at)], moved && d.Machine.Line()))
			if moved {
				c = c.plus(d.costs(d.change(stage, next)))
			}
			if c.less(best) {
				best = c
			}
		}
	}
	return best
}

// under makes of the floors of a face and of the other what a label may cost at most, by plunge, stage and passes so far.
func (d *descent) under(f, other floor, fixed cost) {
	rounds, stages := d.Rounds+1, len(d.cutters)
	d.most = make([]cost, len(f.rest))
	for k := range d.bottom + 1 {
		for stage := range stages {
			for n := range rounds {
				best := never
				for m := range rounds - n {
					r := f.rest[(k*stages+stage)*rounds+m]
					if o := other.start[max(0, d.need-n-m)]; r.less(never) && o.less(never) && r.plus(o).less(best) {
						best = r.plus(o)
					}
				}
				if best.less(never) {
					best = best.plus(fixed)
				}
				d.most[(k*stages+stage)*rounds+n] = best
			}
		}
	}
}

// hopeless tells whether a label cannot end in a plan that costs no more than the ceiling.
func (d *descent) hopeless(l *label) bool {
	if d.most == nil {
		return false
	}
	rest := d.most[(int(l.at)*len(d.cutters)+int(l.stage))*(d.Rounds+1)+int(l.n)]
	return !rest.less(never) || d.ceiling.less(l.cost.plus(rest))
}
