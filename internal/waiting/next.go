package waiting

import (
	"cmp"
	"slices"
	"time"

	"slatewright/internal/book"
)

// ahead is how far Next looks: days.
const ahead = 60

// Next lists what will be asked next, the soonest first: what leaves the room, what has cured, calibrations and batches that run out, orders
// that fall due. It is for the page on which nothing waits.
func Next(h *House, now time.Time) []Coming {
	l := h.look(now)
	var list []Coming
	add := func(t *Thing, when time.Time, what Sentence) {
		if when.After(l.now) && when.Sub(l.now) <= ahead*24*time.Hour {
			list = append(list, Coming{what, t.Ref, when})
		}
	}
	for _, s := range l.sets {
		l.comingOfSet(s, add)
	}
	l.comingOfRest(add)
	slices.SortStableFunc(list, func(a, b Coming) int {
		return cmp.Or(a.When.Compare(b.When), cmp.Compare(a.Thing.String(), b.Thing.String()), cmp.Compare(a.What.Key, b.What.Key))
	})
	return list
}

// comingOfSet finds what a set waits for.
func (l *look) comingOfSet(s *inWork, add func(*Thing, time.Time, Sentence)) {
	var last time.Time
	for _, p := range s.which {
		last = later(last, l.ready(p, s.next))
	}
	switch s.next {
	case "leave-room":
		add(s.Thing, last, sentence("waiting.come.leave-room", "set", s.ID, "day", last))
	case "ream":
		add(s.Thing, last, sentence("waiting.come.ream", "set", s.ID, "day", last))
	}
}

func (l *look) comingOfRest(add func(*Thing, time.Time, Sentence)) {
	for _, k := range []book.Kind{book.KindInstrument, book.KindBench} {
		for _, t := range l.Of(k) {
			if s := t.State.(*book.InstrumentState); s.IntervalDays > 0 {
				due, _ := dueOf(s)
				add(t, due, sentence("waiting.come.calibrate", "instrument", t.ID, "day", due))
			}
		}
	}
	for _, k := range []book.Kind{book.KindBoardBatch, book.KindGlueBatch} {
		for _, t := range l.Of(k) {
			if until := t.State.(*book.BatchState).UseBefore; until != nil {
				add(t, *until, sentence("waiting.come.batch", "batch", t.ID, "day", *until))
			}
		}
	}
	for _, p := range l.loosePieces() {
		if piece(p).Room != "" {
			when := l.ready(p, "leave-room")
			add(p, when, sentence("waiting.come.leave-room-piece", "piece", p.ID, "day", when))
		}
	}
	for _, o := range l.orders {
		if o.open() > 0 {
			add(o.Thing, o.facts.Due, sentence("waiting.come.order", "order", o.ID, "day", o.facts.Due, "n", o.open()))
		}
	}
}

// loosePieces are the pieces in no set, by number.
func (l *look) loosePieces() (list []*Thing) {
	for _, p := range l.Of(book.KindPiece) {
		if piece(p).Set == "" {
			list = append(list, p)
		}
	}
	return list
}

// NextFor says for each of some things what comes next for it, as the pages of the stations show it: work or a decision. A thing of which
// nothing is to be said, or that is not in the house, has the zero Sentence.
func (h *House) NextFor(now time.Time, things ...book.Ref) []Sentence {
	l := h.look(now)
	list := make([]Sentence, len(things))
	for i, r := range things {
		if t, there := h.Thing(r); there {
			list[i] = l.nextFor(t)
		}
	}
	return list
}

func (l *look) nextFor(t *Thing) Sentence {
	switch s := t.State.(type) {
	case *book.PieceState:
		return l.nextForPiece(t, s)
	case *book.SetState:
		return l.nextForSet(l.bySet[t.ID])
	case *book.BlockState:
		if clearShare(s) < leastClear {
			return sentence("waiting.next.look")
		}
		return sentence("waiting.next.slice")
	case *book.SlabState:
		return sentence("waiting.next.cut")
	case *book.InstrumentState:
		if due, _ := dueOf(s); s.IntervalDays > 0 {
			return sentence("waiting.next.calibrate", "day", due)
		}
	case *book.BatchState:
		if s.UseBefore != nil {
			return sentence("waiting.next.batch", "day", *s.UseBefore)
		}
	case *book.OrderState:
		for _, o := range l.orders {
			if o.ID == t.ID && o.open() > 0 {
				return sentence("waiting.next.order", "n", o.open(), "day", o.facts.Due)
			}
		}
	}
	return Sentence{}
}

// nextForPiece says what comes next for a piece.
func (l *look) nextForPiece(t *Thing, s *book.PieceState) Sentence {
	if _, asks := l.holds("marked", ""); asks && s.MarkedOn == book.Nowhere {
		return sentence("waiting.next.remark")
	}
	if set := l.bySet[s.Set]; set != nil {
		if act, _ := l.custom.next(l.House, []*Thing{t}); act != "" {
			return l.nextWork(t, act)
		}
		if set.next != "" {
			return sentence("waiting.next.others", "set", set.ID)
		}
		return l.nextForSet(set)
	}
	switch next := l.looseNext(t); next {
	case resting, toLeave:
		return l.nextWork(t, "leave-room")
	case toRegrind:
		return sentence("waiting.next.regrind")
	case toMatch:
		return sentence("waiting.next.match")
	case toRead:
		return sentence("waiting.next.read")
	default:
		return l.nextWork(t, next)
	}
}

// nextWork says which work comes next for a piece, or until when it rests.
func (l *look) nextWork(t *Thing, act string) Sentence {
	if when := l.ready(t, act); when.After(l.now) {
		if act == "ream" {
			return sentence("waiting.next.cures", "day", when)
		}
		return sentence("waiting.next.rests", "day", when)
	}
	return sentence("waiting.next.act", "act", act)
}

// nextForSet says what comes next for a set.
func (l *look) nextForSet(s *inWork) Sentence {
	switch {
	case s == nil:
		return Sentence{}
	case set(s.Thing).Packed && s.order != nil:
		return sentence("waiting.next.ship", "order", s.order.ID)
	case set(s.Thing).Packed:
		return sentence("waiting.next.act", "act", "ship")
	}
	if q, asks := l.askSet(s); asks {
		return sentence("waiting.next.act", "act", q.Acts[0])
	}
	if s.next != "" {
		return l.nextWork(s.which[0], s.next)
	}
	return sentence("waiting.next.look")
}
