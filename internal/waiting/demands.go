package waiting

import (
	"math"

	"slatewright/internal/book"
)

// askOrders asks about each order that what is in the house cannot meet, or is likely to meet too late.
func askOrders(l *look) (list []Question) {
	for _, o := range l.orders {
		if o.open() == 0 {
			continue
		}
		w := l.longest(o)
		risk := w.late(l.now, o.facts.Due)
		if o.missing == 0 && risk < 0.5 {
			continue
		}
		q := l.new(Order, o.Thing, "lift", "slice", "match", "leave-room")
		q.Station, q.May, q.Since = book.Office, book.Lead, o.At
		q.Evidence = []book.Ref{o.Ref}
		for _, s := range o.sets {
			q.Also = append(q.Also, s.Ref)
		}
		n := max(o.missing+o.stone+o.pool, 1)
		q.Cost = l.cost(burden{late: (o.missing + o.stone + o.pool) * risk, still: standing * n, sets: n, order: o, risk: risk, way: w})
		if o.missing+o.stone+o.pool == 0 { // all of it is on its way: its sets bear that
			q.Cost = l.cost(burden{late: risk * standing, order: o, risk: risk, way: w})
		}
		l.sayOrder(&q, o, w, risk)
		list = append(list, q)
	}
	return list
}

// longest is the longest way of what an order waits for.
func (l *look) longest(o *wanted) (w way) {
	for _, s := range o.sets {
		if s.way.days > w.days {
			w = s.way
		}
	}
	for _, from := range []struct {
		sets   float64
		before []string
	}{{o.pool, nil}, {o.stone, []string{"slice", "cut", "surface", "read"}}, {o.missing, []string{"lift", "slice", "cut", "surface", "read"}}} {
		if from.sets > 0 {
			if own := l.custom.ofLoose(from.before...); own.days > w.days {
				w = own
			}
		}
	}
	return w
}

func (l *look) sayOrder(q *Question, o *wanted, w way, risk float64) {
	due, end := o.facts.Due, w.end(l.now)
	q.Say = sentence("waiting.say.order-late", "order", o.ID, "n", o.open(), "of", o.facts.Sets, "day", due)
	q.Sure = computed(risk, sentence("waiting.sure.way-long", "n", int(math.Ceil(w.days)), "late_chance", unsure(risk)))
	if due.Before(l.now) {
		q.Say = sentence("waiting.say.order-past", "order", o.ID, "n", o.open(), "of", o.facts.Sets, "day", due)
	}
	switch {
	case o.missing > 0:
		q.Say = sentence("waiting.say.order-short", "order", o.ID, "n", int(o.missing), "of", o.facts.Sets, "day", due)
		q.Recommend = sentence("waiting.do.order-lift", "n", int(o.missing)*fewest, "day", end)
	case o.stone > 0:
		q.Recommend, q.Acts = sentence("waiting.do.order-cut", "n", int(o.stone)*fewest, "day", end), []string{"slice", "cut", "match", "leave-room"}
	case o.pool > 0:
		q.Recommend, q.Acts = sentence("waiting.do.order-match", "n", int(o.pool), "day", end), []string{"match", "lay-up", "leave-room"}
	default:
		q.Recommend, q.Acts = sentence("waiting.do.order-tell", "day", end), []string{"leave-room"}
	}
}
