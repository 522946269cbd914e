package book

import (
	"maps"
	"slices"
)

// mostTried bounds how many entries in conflict are tried together: a tablet that was away for a week has fewer.
const mostTried = 200

// connected lists the entries in conflict that have to do with some things, and those that have to do with what these change or are
// taken from, and so on, in the order of derivation. What they only use does not connect them: a scale knows every piece.
func (d *desk) connected(seeds []Ref) ([]Placed, error) {
	var list []Placed
	seen, found := map[Ref]bool{}, map[int64]bool{}
	for len(seeds) > 0 && len(list) < mostTried {
		r := seeds[0]
		seeds = seeds[1:]
		if seen[r] || r == d.mill && len(list) > 0 {
			continue // through the mill everything would hang together
		}
		seen[r] = true
		conflicts, err := d.view.Conflicts(r)
		if err != nil {
			return nil, err
		}
		for _, p := range conflicts {
			if _, settled := d.standings[p.Seq]; settled || found[p.Seq] {
				continue
			}
			found[p.Seq] = true
			list = append(list, p)
			act, err := d.effective(p.Entry)
			if err != nil {
				return nil, err
			}
			seeds = append(seeds, append(changed(act, d.mill.ID), parent(act))...)
		}
	}
	slices.SortFunc(list, func(a, b Placed) int { return placeOf(a).compare(placeOf(b)) })
	return list, nil
}

// retry tries the entries in conflict again that have to do with what was changed, until none fits any more.
func (d *desk) retry() error {
	for {
		seeds := append(slices.Collect(maps.Keys(d.changed)), d.freed...)
		slices.SortFunc(seeds, compareRefs)
		list, err := d.connected(append(seeds, waiting(d.self.ID)))
		if err != nil || len(list) == 0 {
			return err
		}
		isCorrection := func(p Placed) bool { return p.Act == "correct" }
		fits, err := d.retryCorrections(slices.DeleteFunc(slices.Clone(list), func(p Placed) bool { return !isCorrection(p) }))
		if err == nil && !fits {
			_, fits, err = d.together(slices.DeleteFunc(list, isCorrection))
		}
		if err != nil || !fits {
			return err
		}
	}
}

// retryCorrections tries corrections one by one.
func (d *desk) retryCorrections(list []Placed) (any bool, err error) {
	for _, p := range list {
		act, err := decode(p.Act, p.Body)
		if err != nil {
			return any, err
		}
		trial := d.fork()
		if err := trial.apply(p.Entry, act); err == nil {
			trial.standings[p.Seq] = Standing{Seq: p.Seq}
			*d, any = *trial, true
		} else if refused(err) == nil {
			return any, err
		}
	}
	return any, nil
}

// together tries entries at once, since one may need the other: those that cannot follow are left out until the rest fits.
func (d *desk) together(list []Placed) (fitting []Placed, fits bool, err error) {
	for len(list) > 0 {
		trial := d.fork()
		culprit, err := trial.sweep(nil, list)
		if err == nil {
			for _, p := range list {
				if p.Seq != d.self.Seq {
					trial.standings[p.Seq] = Standing{Seq: p.Seq}
				}
			}
			*d = *trial
			return list, true, nil
		}
		if refused(err) == nil {
			return nil, false, err
		}
		list = slices.DeleteFunc(list, func(p Placed) bool { return p.Seq == culprit })
	}
	return nil, false, nil
}

// withOthers applies the entry that came in together with entries in conflict, if it fits so.
func (d *desk) withOthers(act Act) (bool, error) {
	if _, ok := act.(*Correct); ok {
		return false, nil
	}
	list, err := d.connected(named(act, d.mill.ID))
	if err != nil {
		return false, err
	}
	list = slices.DeleteFunc(list, func(p Placed) bool { return p.Act == "correct" })
	if len(list) == 0 {
		return false, nil
	}
	trial := d.fork()
	fitting, _, err := trial.together(append(list, Placed{Entry: d.self, At: d.self.At}))
	if err != nil || !slices.ContainsFunc(fitting, func(p Placed) bool { return p.Seq == d.self.Seq }) {
		return false, err
	}
	*d = *trial
	return true, nil
}
