package book

import (
	"encoding/json"
	"errors"
	"slices"
	"time"

	"slatewright/trouble"
)

// Admit decides on one entry handed in by a caller: it refuses it (trouble), applies it, or, when late, keeps it in conflict. The
// entry has its Seq already, the one that the ledger will give it; its time is cut to milliseconds and its body made canonical.
//
// An entry whose time lies after all that it changes or looks at folds onto the present state. One that lies before is inserted: what came
// after is derived anew and asked again, and an entry that stands already is never pushed out by a newcomer. After that, entries in
// conflict that touch the same things are tried again.
func Admit(v View, e Entry, c Caller, late bool) (Outcome, error) {
	act, err := Decode(e.Act, e.Body)
	if err != nil {
		return Outcome{}, err
	}
	if e.Body, err = json.Marshal(act); err != nil {
		return Outcome{}, err
	}
	e.At = milli(e.At)
	d := newDesk(v, e)
	if err := d.permit(e, act, c); err != nil {
		return Outcome{}, err
	}
	return d.enter(act, late)
}

// Opened is an entry of the journal whose body has been read. That takes as long as a good part of a replay, and may be done ahead of it.
type Opened struct {
	Entry
	act Act
	err error // the body cannot be read; the replay says so when it comes to it
}

// OpenEntry reads the body of an entry that is to be replayed.
func OpenEntry(e Entry) Opened {
	e.At = milli(e.At)
	act, err := decode(e.Act, e.Body)
	return Opened{e, act, err}
}

// Replay applies one entry of the journal again, as when it was admitted: nobody is asked for permission, and what cannot
// follow is in conflict.
func Replay(v View, e Opened) (Outcome, error) {
	if e.err != nil {
		return Outcome{}, e.err
	}
	return newDesk(v, e.Entry).enter(e.act, true)
}

func milli(t time.Time) time.Time { return time.UnixMilli(t.UnixMilli()).UTC() }

// enter applies the entry that came in, or keeps it in conflict, and tries those in conflict again.
func (d *desk) enter(act Act, late bool) (Outcome, error) {
	if _, err := d.remember(d.self, act); err != nil {
		return Outcome{}, err
	}
	err := d.apply(d.self, act)
	if refusal := refused(err); refusal != nil && late {
		fresh := newDesk(d.view, d.self) // nothing of a half-done application may stay
		joined, err := fresh.withOthers(act)
		if err != nil {
			return Outcome{}, err
		}
		if !joined {
			fresh.keep(act, refusal, d.against)
		}
		d = fresh
	} else if err != nil {
		return Outcome{}, err
	}
	if err := d.retry(); err != nil {
		return Outcome{}, err
	}
	return d.finish()
}

// refused is the refusal in an error; nil when it is none, or our own fault.
func refused(err error) *trouble.Trouble {
	var t *trouble.Trouble
	if errors.As(err, &t) && t.Kind == trouble.KindData {
		return t
	}
	return nil
}

// apply applies an entry at its place, or says why it cannot be.
func (d *desk) apply(e Entry, act Act) error {
	if c, ok := act.(*Correct); ok {
		return d.correct(e, c)
	}
	_, err := d.sweep(nil, []Placed{{Entry: e, At: e.At}})
	return err
}

// waiting is what a correction touches that came before what it corrects.
func waiting(id string) Ref { return Ref{"entry", id} }

// keep puts the entry into the journal without applying it.
func (d *desk) keep(act Act, why *trouble.Trouble, against int64) {
	text, err := json.Marshal(map[string]string{"code": why.Code, "what": why.What, "where": why.Where, "next": why.Next})
	if err != nil {
		panic("book: a refusal cannot be written: " + err.Error())
	}
	e := d.self
	d.standings[e.Seq] = Standing{Seq: e.Seq, State: InConflict, By: against, Why: string(text)}
	at, list := e.At, []Ref{}
	if c, ok := act.(*Correct); ok {
		if c.At != nil {
			at = milli(*c.At)
		}
		list = append(list, waiting(c.Entry))
	}
	if act, err = d.effective(e); err != nil {
		panic("book: an act that was decoded cannot be: " + err.Error())
	}
	var touches []Touch
	for _, r := range append(list, named(act, e.Site)...) {
		touches = append(touches, Touch{r, e.Seq, at, e.ID, Changes})
	}
	d.added[e.Seq] = unique(touches)
	d.applied[e.Seq] = Placed{Entry: e, At: at}
}

// unique sorts touches by thing and keeps the first of each.
func unique(list []Touch) []Touch {
	slices.SortStableFunc(list, func(a, b Touch) int { return compareRefs(a.Ref, b.Ref) })
	return slices.CompactFunc(list, func(a, b Touch) bool { return a.Ref == b.Ref })
}
