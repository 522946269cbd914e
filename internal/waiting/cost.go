package waiting

import (
	"math"
	"slices"
	"time"

	"slatewright/chance"
	"slatewright/internal/book"
)

// burden is what waiting with some things costs, before it is put into words.
type burden struct {
	late, still, sets float64
	order             *wanted // the one that is likeliest to be late because of it; nil: none
	risk              float64 // how likely that one is to be late
	way               way     // the way that is before the things of that order
	back              bool    // a customer has sent something back
}

// with adds another burden.
func (b burden) with(o burden) burden {
	if o.order != nil && (b.order == nil || o.risk > b.risk) {
		b.order, b.risk, b.way = o.order, o.risk, o.way
	}
	b.late, b.still, b.sets, b.back = b.late+o.late, b.still+o.still, b.sets+o.sets, b.back || o.back
	return b
}

// times is a burden that is borne with a probability, or by a part.
func (b burden) times(p float64) burden {
	b.late, b.still, b.sets = b.late*p, b.still*p, b.sets*p
	return b
}

// rate is the set-days lost per day.
func (b burden) rate() float64 { return b.late + b.still }

// ofSet is what it costs that a set waits. A set that came back counts as late: its customer waits already.
func (l *look) ofSet(s *inWork) burden {
	b := burden{still: standing, sets: 1, back: s.back}
	if s.back {
		b.late = 1
	}
	if s.order != nil {
		b.order, b.way = s.order, s.way
		b.risk = s.way.late(l.now, s.order.facts.Due)
		b.late = max(b.late, b.risk)
	}
	return b
}

// ofSets adds up sets.
func (l *look) ofSets(list []*inWork) (b burden) {
	for _, s := range list {
		b = b.with(l.ofSet(s))
	}
	return b
}

// ofLoosePieces is what it costs that n loose pieces of a size wait: their part of the sets that orders hope for from all of that size.
func (l *look) ofLoosePieces(size string, n int, before ...string) burden {
	claim := func(o *wanted) float64 {
		if o.facts.Size != size {
			return 0
		}
		return o.pool
	}
	return l.ofStock(float64(n), float64(len(l.loose[size])), claim, before)
}

// ofStone is what it costs that stone waits of which so many pieces may come.
func (l *look) ofStone(pieces float64, before ...string) burden {
	return l.ofStock(pieces, l.stones, func(o *wanted) float64 { return o.stone }, before)
}

// ofStock is what it costs that n pieces wait, of all that there are of their like and of which each order claims some sets. What no order
// wants loses nothing by waiting; in a house without orders all of it is made for stock.
func (l *look) ofStock(n, all float64, claim func(*wanted) float64, before []string) (b burden) {
	if all <= 0 || n <= 0 {
		return b
	}
	if len(l.orders) == 0 {
		return burden{still: standing * perSet * n, sets: perSet * n}
	}
	part, w := min(n/all, 1), l.custom.ofLoose(before...)
	for _, o := range l.orders {
		if sets := claim(o); sets > 0 {
			risk := w.late(l.now, o.facts.Due)
			b = b.with(burden{late: sets * risk * part, still: standing * sets * part, sets: sets * part, order: o, risk: risk, way: w})
		}
	}
	return b
}

// waiters are the sets that wait for a place in the room.
type waiters struct {
	places int // free, of all rooms; -1 when nobody said how many places there are
	room   *Thing
	sets   []*inWork
	burden burden // of one of them
}

// whoWaits finds the room with the most free places, and who waits for one.
func (l *look) whoWaits() waiters {
	w := waiters{places: -1}
	taken := map[string]int{}
	for _, p := range l.Of(book.KindPiece) {
		taken[piece(p).Room]++
	}
	for _, t := range l.Of(book.KindRoom) {
		if places := t.State.(*book.RoomState).Places; places > 0 {
			if free := max(0, places-taken[t.ID]); w.room == nil || free > w.places {
				w.places, w.room = free, t
			}
		} else if w.room == nil {
			w.room = t
		}
	}
	for _, s := range l.sets {
		if s.next == "enter-room" {
			w.sets = append(w.sets, s)
		}
	}
	if len(w.sets) > 0 {
		w.burden = l.ofSets(w.sets).times(1 / float64(len(w.sets)))
		w.burden.sets = 1
	}
	return w
}

// full tells that a set has no place in any room.
func (w waiters) full() bool { return w.room != nil && w.places >= 0 && w.places < 3 }

// cost puts a burden into numbers and words.
func (l *look) cost(b burden) Cost {
	c := Cost{Rate: b.rate(), Late: b.late, Standing: b.still, Sets: b.sets}
	if p := l.money; p != nil {
		c.Priced, c.Currency = true, p.currency
		c.Money = b.late*p.late + b.still/standing*p.standing
		c.Rate = b.late + b.still/standing*p.standing/p.late
	}
	switch {
	case b.back:
		c.Says = sentence("waiting.cost.back")
	case b.order != nil && b.order.facts.Due.Before(l.now):
		c.Says = sentence("waiting.cost.past", "order", b.order.ID, "day", b.order.facts.Due)
	case b.order != nil && b.risk >= 0.5:
		c.Says = sentence("waiting.cost.late", "order", b.order.ID, "day", b.order.facts.Due, "late_chance", unsure(b.risk), "n", l.daysLate(b))
	case b.order != nil:
		c.Says = sentence("waiting.cost.order", "order", b.order.ID, "day", b.order.facts.Due, "n", int(math.Ceil(b.way.days)), "late_chance", unsure(b.risk))
	case b.sets > 0.99:
		c.Says = sentence("waiting.cost.sets", "n", int(math.Round(b.sets)))
	case b.sets > 0:
		c.Says = sentence("waiting.cost.pieces", "n", max(1, int(math.Round(b.sets/perSet))))
	default:
		c.Says = sentence("waiting.cost.nothing")
	}
	return c
}

// daysLate is how late the order is expected to be, at least one day.
func (l *look) daysLate(b burden) int {
	return max(1, int(math.Ceil(b.way.end(l.now).Sub(b.order.facts.Due).Hours()/24)))
}

func round(x float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(x*scale) / scale
}

// The days that it takes to have an instrument calibrated, and their doubt. Common practice, no source.
const (
	calibrationDays  = 5
	calibrationDoubt = 2
)

// runsOut is the probability that a calibration ends before a new one can be had.
func (l *look) runsOut(due time.Time) float64 {
	left := due.Sub(l.now).Hours() / 24
	return chance.Cumulative((calibrationDays - left) / calibrationDoubt)
}

// new begins a question about a thing.
func (l *look) new(k Kind, t *Thing, acts ...string) Question {
	return Question{Key: string(k) + ":" + t.String(), Kind: k, Thing: t.Ref, Station: l.place(acts[0], t), May: l.step(acts[0]).May, Acts: acts, Since: t.At,
		Weighty: weighty(k)}
}

// weighty tells whether what a question leads to cannot be taken back.
func weighty(k Kind) bool {
	return slices.Contains([]Kind{Slice, Cut, Scrap, Regrind, Certify, Ship}, k)
}

// computed says that a recommendation was computed, with its probability; 0 when there is none.
func computed(p float64, why Sentence) Sure {
	if p > 0 {
		p = unsure(p)
	}
	return Sure{How: Computed, P: p, Says: why}
}

// unsure keeps a probability off certainty: nothing here is.
func unsure(p float64) float64 { return min(max(p, 0.0001), 0.9999) }

func byRule(why Sentence) Sure     { return Sure{How: ByRule, Says: why} }
func cannotTell(why Sentence) Sure { return Sure{How: CannotTell, Says: why} }
