package book

import (
	"fmt"
	"strings"
	"time"

	"slatewright/trouble"
)

// A verdict, a certificate and a shipment are dated when they are done: one that is dated earlier could say that it knew nothing of what came
// since. The condition in-time says by how many hours each may be behind. It is asked twice: here, of the time at which the entry was handed
// in, which is written in its id; and where the entry takes its place, of what the book knew of the set then.

// inTime asks of an entry that takes its place whether it is dated behind what the book knows of its sets and their pieces. What stands already
// is not asked again; a correction that keeps the time of what it corrects is not dated anew.
func inTime(m *moment, d doing, hold Hold) error {
	if c, ok := d.corrects(); !m.enters || ok && c.At == nil {
		return nil
	}
	for _, id := range setsOf(d.act) {
		h, err := m.peek(set(id))
		if err != nil {
			return err
		}
		if !h.found() {
			continue
		}
		for _, r := range append(refs(KindPiece, h.state.(*SetState).Pieces), set(id)) {
			known, found, err := m.d.thing(r)
			if err != nil {
				return err
			}
			if found && known.At.Sub(m.at.at) > hours(hold.Amount) {
				return backdated(d.act, r.String(), fmt.Sprintf("it is dated %s, and of %s the book knows what was done on %s", instant(m.at.at.UnixMilli()), r, instant(known.At.UnixMilli())), hold)
			}
		}
	}
	return nil
}

func hours(n float64) time.Duration { return time.Duration(n * float64(time.Hour)) }

func backdated(a Act, where, why string, hold Hold) error {
	return trouble.Data("backdated", where, fmt.Sprintf("%s may be dated %g h back at most: %s", a.Word(), hold.Amount, why),
		"do it with the time of now, on what is known now")
}

// handedInTime asks of an act that is handed in whether it is dated too long before that.
func (d *desk) handedInTime(e Entry, act Act, route *Route) error {
	at, handed := e.At, e.At
	if t, ok := timeOf(e.ID); ok && t.After(handed) {
		handed = t
	}
	if c, ok := act.(*Correct); ok {
		old, found, err := d.entry(c.Entry)
		if err != nil || c.Act == "" || !found {
			return err
		}
		before, err := d.effective(old.Entry)
		if err != nil || before.Word() == c.Act && c.At == nil {
			return err
		}
		if at = old.At; c.At != nil {
			at = *c.At
		}
		if act, err = decode(c.Act, c.Body); err != nil {
			return err
		}
	}
	for _, h := range route.Holds {
		if h.Before == act.Word() && h.Needs == "in-time" && handed.Sub(at) > hours(h.Amount) {
			return backdated(act, "at", fmt.Sprintf("it is dated %s and handed in on %s", instant(at.UnixMilli()), instant(handed.UnixMilli())), h)
		}
	}
	return nil
}

// crockford are the digits of an entry's id, a ULID: its first ten are the milliseconds at which it was made.
const crockford = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// timeOf is when an entry's id was made.
func timeOf(id string) (time.Time, bool) {
	if len(id) != 26 {
		return time.Time{}, false
	}
	ms := int64(0)
	for _, c := range strings.ToUpper(id[:10]) {
		digit := strings.IndexRune(crockford, c)
		if digit < 0 {
			return time.Time{}, false
		}
		ms = ms<<5 | int64(digit)
	}
	return time.UnixMilli(ms), true
}
