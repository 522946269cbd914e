package waiting

import (
	"time"

	"slatewright/internal/book"
)

// soon is how many days before its end a calibration is asked about. Common practice, no source.
const soon = 30

// askInstruments asks about each instrument and bench whose calibration ends soon, has ended, or was bad.
func askInstruments(l *look) (list []Question) {
	used, held := l.usedForProof(), l.heldSoon()
	for _, k := range []book.Kind{book.KindInstrument, book.KindBench} {
		for _, t := range l.Of(k) {
			s := t.State.(*book.InstrumentState)
			due, good := dueOf(s)
			if s.IntervalDays == 0 && good || due.Sub(l.now) > soon*24*time.Hour && good {
				continue
			}
			list = append(list, l.askInstrument(t, due, good, used[t.Ref], held))
		}
	}
	return list
}

// dueOf is when the calibration of an instrument ends, and whether the last one found it right.
func dueOf(s *book.InstrumentState) (time.Time, bool) {
	if n := len(s.Calibrations); n > 0 {
		return at(s.Calibrations[n-1].DueMS), s.Calibrations[n-1].Good
	}
	return at(s.BornMS), true
}

// usedForProof are the instruments and benches with which playing faces and lay-ups in the house were read.
func (l *look) usedForProof() map[book.Ref]bool {
	used := map[book.Ref]bool{}
	note := func(r book.Reading) {
		for _, id := range r.Instruments {
			used[book.Ref{Kind: book.KindInstrument, ID: id}] = true
		}
		used[book.Ref{Kind: book.KindBench, ID: r.Bench}] = true
	}
	for _, t := range l.Of(book.KindPiece) {
		for _, r := range piece(t).Readings {
			if r.What == "top" {
				note(r)
			}
		}
	}
	for _, s := range l.sets {
		for _, r := range set(s.Thing).LayUps {
			note(r)
		}
	}
	return used
}

// heldSoon are the sets that will be read for their certificate within a week.
func (l *look) heldSoon() (list []*inWork) {
	for _, s := range l.sets {
		if state := set(s.Thing); state.Certificate != "" && state.Stale == "" {
			continue
		}
		before := 0.0
		for _, p := range s.pieces {
			before = max(before, l.custom.ofPiece(p, l.House, l.now).days)
		}
		if before <= 7 {
			list = append(list, s)
		}
	}
	return list
}

func (l *look) askInstrument(t *Thing, due time.Time, good, used bool, held []*inWork) Question {
	q := l.new(Calibrate, t, "calibrate")
	q.Evidence, q.Since = []book.Ref{t.Ref}, due.AddDate(0, 0, -soon)
	q.Say = sentence("waiting.say.calibrate", "instrument", t.ID, "day", due)
	risk := l.runsOut(due)
	switch {
	case !good:
		q.Say, risk, q.Since = sentence("waiting.say.calibrate-bad", "instrument", t.ID), 1, t.At
	case !due.After(l.now):
		q.Say, risk = sentence("waiting.say.calibrate-past", "instrument", t.ID, "day", due), 1
	}
	other := l.another(t)
	b := l.ofSets(held).times(risk)
	switch {
	case !used:
		q.Recommend, q.Sure = sentence("waiting.do.calibrate-unused"), byRule(sentence("waiting.sure.unused"))
		q.Cost = l.cost(burden{})
		return q
	case other != nil:
		q.Recommend, q.Sure = sentence("waiting.do.calibrate-other", "instrument", other.ID), computed(0, sentence("waiting.sure.other"))
		q.Evidence = append(q.Evidence, other.Ref)
		b = b.times(standing) // the other one serves meanwhile, and one is left
	default:
		q.Recommend, q.Sure = sentence("waiting.do.calibrate"), computed(risk, sentence("waiting.sure.runs-out", "n", calibrationDays))
	}
	for _, s := range held {
		q.Also = append(q.Also, s.Ref)
	}
	q.Cost = l.cost(b)
	q.Cost.Says = sentence("waiting.cost.calibration", "n", len(held), "day", later(due, l.now))
	return q
}

// another is an instrument of the same sort that is calibrated for as long as is asked ahead; nil when there is none.
func (l *look) another(t *Thing) *Thing {
	sort := t.State.(*book.InstrumentState).Sort
	for _, o := range l.Of(t.Kind) {
		s := o.State.(*book.InstrumentState)
		if due, good := dueOf(s); o.ID != t.ID && s.Sort == sort && good && (s.IntervalDays == 0 || due.Sub(l.now) > soon*24*time.Hour) {
			return o
		}
	}
	return nil
}
