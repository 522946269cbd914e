package book

import (
	"slices"
	"time"

	"slatewright/trouble"
)

// correct strikes an entry out and, when it has an act of its own, puts that in the struck one's place.
func (d *desk) correct(e Entry, c *Correct) error {
	old, err := d.standing(e, c)
	if err != nil {
		return err
	}
	at := old.At
	if c.At != nil {
		at = milli(*c.At)
	}
	freed, err := d.strike(old, e.Seq)
	if err != nil {
		return err
	}
	if c.Act == "" {
		return d.strikeOnly(e, old, freed)
	}
	act, err := decode(c.Act, c.Body)
	if err != nil {
		return err
	}
	from := place{old.At, old.ID, old.Seq}
	if here := (place{at, e.ID, e.Seq}); here.compare(from) < 0 {
		from = here
	}
	if err := d.replace(e, at, act, from, freed); err != nil {
		return err
	}
	touches := d.added[e.Seq]
	for _, r := range freed {
		touches = append(touches, Touch{r, e.Seq, at, e.ID, Uses})
	}
	d.added[e.Seq] = unique(touches)
	return nil
}

// standing finds the entry to be corrected and refuses what cannot be.
func (d *desk) standing(e Entry, c *Correct) (Placed, error) {
	old, found, err := d.view.Entry(c.Entry)
	if err != nil {
		return old, err
	}
	if s, there := d.standings[old.Seq]; there {
		old.Standing = s
	}
	switch {
	case !found || old.Seq == e.Seq:
		return old, trouble.Data("no-such-entry", "entry", "the book has no entry "+c.Entry, "look for it in the history of the thing")
	case old.Standing.State == Struck:
		return old, trouble.Data("struck", "entry", "entry "+c.Entry+" was corrected already", "correct the correction; the history of the thing shows it")
	case old.Act == "settle" || old.Act == "appoint":
		return old, trouble.Data("not-corrected", "entry", "a "+old.Act+" is not corrected", "hand in a new one")
	}
	if act, err := effective(old.Entry); err != nil {
		return old, err
	} else if k, ok := act.(*Correct); ok {
		return old, trouble.Data("not-corrected", "entry", "entry "+c.Entry+" only struck "+k.Entry+" out; nothing stands in its place", "hand the act in anew, with its time")
	}
	return old, nil
}

// strike takes an entry out of its things' histories and returns those things: what it changed.
func (d *desk) strike(old Placed, by int64) ([]Ref, error) {
	var freed []Ref
	if old.Standing.State != InConflict {
		act, err := effective(old.Entry)
		if err != nil {
			return nil, err
		}
		do, err := d.doingOf(old.Entry, old.At, act)
		if err != nil {
			return nil, err
		}
		m := &moment{d: d, at: place{old.At, old.ID, old.Seq}, running: map[Ref]*held{}, looked: map[Ref]bool{}}
		if freed, err = m.changes(do); err != nil {
			return nil, err
		}
	}
	d.standings[old.Seq] = Standing{Seq: old.Seq, State: Struck, By: by}
	return freed, nil
}

// strikeOnly derives what is freed anew and notes that the correction had to do with it.
func (d *desk) strikeOnly(e Entry, old Placed, freed []Ref) error {
	from := place{old.At, old.ID, old.Seq}
	running := map[Ref]*held{}
	for _, r := range freed {
		h, err := d.stateAt(r, from)
		if err != nil {
			return err
		}
		running[r] = h
	}
	if err := d.forward(from, running); err != nil {
		return err
	}
	named := freed
	if len(named) == 0 { // it was in conflict
		act, err := effective(old.Entry)
		if err != nil {
			return err
		}
		named = changed(act, e.Site)
	}
	var touches []Touch
	for _, r := range named {
		touches = append(touches, Touch{r, e.Seq, old.At, e.ID, Uses})
	}
	d.added[e.Seq] = unique(touches)
	d.applied[e.Seq] = Placed{Entry: e, At: old.At}
	return nil
}

// replace puts the new act in its place and derives everything that either act changed from the earlier of the two places on.
func (d *desk) replace(e Entry, at time.Time, act Act, from place, freed []Ref) error {
	if err := d.insert(e, at, act, freed); err != nil {
		return err
	}
	if here := (place{at, e.ID, e.Seq}); from.compare(here) == 0 || len(freed) == 0 {
		return nil
	}
	// The struck entry lay before the new place: what lies between has to be asked again as well.
	running := map[Ref]*held{}
	all := slices.Clone(freed)
	for _, t := range d.added[e.Seq] {
		if t.Part == Changes {
			all = append(all, t.Ref)
		}
	}
	for _, r := range all {
		if running[r] == nil {
			h, err := d.stateAt(r, from)
			if err != nil {
				return err
			}
			running[r] = h
		}
	}
	return d.forward(from, running)
}
