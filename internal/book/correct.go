package book

import "slatewright/trouble"

// correct strikes an entry out and, when it has an act of its own, puts that in the struck one's place.
func (d *desk) correct(e Entry, c *Correct) error {
	old, err := d.correctable(e, c)
	if err != nil {
		return err
	}
	at := old.At
	if c.At != nil {
		if at = milli(*c.At); at.After(e.At) {
			return trouble.Data("clock-ahead", "at", "a correction of "+day(e.At)+" cannot say that it was done later, on "+day(at), "look at the year")
		}
	}
	var leaving, entering []Placed
	if old.Standing.State != InConflict {
		leaving = []Placed{old}
	}
	if c.Act != "" {
		entering = []Placed{{Entry: e, At: at}}
	}
	if _, err := d.sweep(leaving, entering, struck(old, e)); err != nil {
		return err
	}
	if c.Act != "" {
		return nil
	}
	traces, err := d.traces(c)
	if err != nil {
		return err
	}
	var touches []Touch
	for _, r := range traces {
		touches = append(touches, Touch{r, e.Seq, at, e.ID, Uses})
	}
	d.added[e.Seq] = unique(touches)
	d.applied[e.Seq] = Placed{Entry: e, At: at}
	return nil
}

func struck(old Placed, by Entry) Standing { return Standing{Seq: old.Seq, State: Struck, By: by.Seq} }

// correctable finds the entry to be corrected and refuses what cannot be.
func (d *desk) correctable(e Entry, c *Correct) (Placed, error) {
	old, found, err := d.entry(c.Entry)
	if err != nil {
		return old, err
	}
	switch {
	case !found || old.Seq == e.Seq:
		return old, trouble.Data("no-such-entry", "entry", "the book has no entry "+c.Entry, "look for it in the history of the thing")
	case old.Standing.State == Struck:
		return old, trouble.Data("struck", "entry", "entry "+c.Entry+" was corrected already", "correct the correction; the history of the thing shows it")
	case old.Act == "settle" || old.Act == "appoint":
		return old, trouble.Data("not-corrected", "entry", "the act "+old.Act+" is not corrected", "hand in a new one")
	}
	if act, err := d.effective(old.Entry); err != nil {
		return old, err
	} else if k, ok := act.(*Correct); ok && old.Standing.State != InConflict {
		return old, trouble.Data("not-corrected", "entry", "entry "+c.Entry+" only struck "+k.Entry+" out; nothing stands in its place", "hand the act in anew, with its time")
	}
	return old, nil
}

// corrects returns the correction that an act stands in, if it does.
func (d doing) corrects() (*Correct, bool) {
	if d.Act != "correct" {
		return nil, false
	}
	a, err := decode(d.Act, d.Body)
	c, ok := a.(*Correct)
	return c, ok && err == nil
}

// traces lists what the entries named that a correction struck out, so that their histories show it.
func (d *desk) traces(c *Correct) (list []Ref, err error) {
	for {
		old, found, err := d.entry(c.Entry)
		if err != nil || !found {
			return list, err
		}
		act, err := d.effective(old.Entry)
		if err != nil {
			return nil, err
		}
		list = append(list, changed(act, d.mill.ID)...)
		a, err := decode(old.Act, old.Body)
		if err != nil {
			return nil, err
		}
		var again bool
		if c, again = a.(*Correct); !again {
			return list, nil
		}
	}
}
