package waiting

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/book"
)

// standing is what a set that stands still loses in a day, as a share of a set that gets later by one. Our own choice, until the mill says
// what either costs it.
const standing = 1.0 / 20

// The mill's answers that say what a day costs, as in "120 EUR".
const (
	answerLate     = "late-set-day"
	answerStanding = "standing-set-day"
)

// perSet is how much of a set one piece is.
const perSet = 1.0 / 3

// wanted is an order with what it still waits for.
type wanted struct {
	*Thing
	facts   book.OrderFacts
	shipped int
	sets    []*inWork // that are meant for it, or will do for it
	pool    float64   // sets that loose pieces of its size can still give it
	stone   float64   // sets that stone in the house can still give it
	missing float64   // sets that nothing in the house can give it
}

// inWork is a set in the house on its way.
type inWork struct {
	*Thing
	pieces []*Thing
	way    way
	order  *wanted  // nil: none
	back   bool     // it was shipped and came back
	next   string   // the first act that its pieces still need; "" when they need none
	which  []*Thing // the pieces that need it
}

// look is one look at a house: what every question needs.
type look struct {
	*House
	custom
	now     time.Time
	orders  []*wanted // by the day on which they are due
	sets    []*inWork // by number
	bySet   map[string]*inWork
	loose   map[string][]*Thing // pieces in no set, by size
	stones  float64             // pieces that may come of slabs and blocks
	money   *prices
	waiting waiters
}

// prices are what the mill says that a day costs.
type prices struct {
	late, standing float64
	currency       string
}

func (h *House) look(now time.Time) *look {
	if !now.After(h.Latest()) {
		now = h.Latest().Add(time.Millisecond)
	}
	l := &look{House: h, custom: h.custom(), now: now.UTC(), bySet: map[string]*inWork{}, loose: map[string][]*Thing{}, money: h.prices()}
	for _, t := range h.Of(book.KindSet) {
		s := &inWork{Thing: t, pieces: h.pieces(t), back: set(t).Stale == "return"}
		s.way = l.custom.ofSet(h, t, s.pieces, l.now)
		s.next, s.which = l.custom.next(h, s.pieces)
		l.sets = append(l.sets, s)
		l.bySet[t.ID] = s
	}
	for _, p := range h.Of(book.KindPiece) {
		if piece(p).Set == "" {
			size := sizeOf(piece(p))
			l.loose[size] = append(l.loose[size], p)
		}
	}
	for _, k := range []book.Kind{book.KindSlab, book.KindBlock} {
		for _, t := range h.Of(k) {
			l.stones += expected(t)
		}
	}
	l.takeOrders()
	l.waiting = l.whoWaits()
	return l
}

// takeOrders finds what each order still waits for and what in the house may serve it, the order that is due first before the others.
func (l *look) takeOrders() {
	byID := map[string]*wanted{}
	for _, t := range l.Of(book.KindOrder) {
		o := &wanted{Thing: t, facts: t.State.(*book.OrderState).OrderFacts}
		byID[t.ID] = o
		l.orders = append(l.orders, o)
	}
	slices.SortStableFunc(l.orders, func(a, b *wanted) int { return a.facts.Due.Compare(b.facts.Due) })
	for id, n := range l.Shipped() {
		if o := byID[id]; o != nil {
			o.shipped = n
		}
	}
	var free []*inWork
	for _, s := range l.sets {
		if o := byID[set(s.Thing).Order]; o != nil && len(o.sets)+o.shipped < o.facts.Sets {
			s.order = o
			o.sets = append(o.sets, s)
		} else if !s.back {
			free = append(free, s)
		}
	}
	l.share(free)
}

// share gives sets that no order has, then loose pieces, then stone, to the orders that still want some.
func (l *look) share(free []*inWork) {
	slices.SortStableFunc(free, func(a, b *inWork) int { return cmp.Compare(a.way.days, b.way.days) })
	pool := map[string]float64{}
	for size, list := range l.loose {
		pool[size] = math.Floor(float64(len(list)) * perSet)
	}
	stone := math.Floor(l.stones * perSet)
	for _, o := range l.orders {
		for i := 0; i < len(free) && o.shipped+len(o.sets) < o.facts.Sets; {
			if l.setSize(free[i].Thing) != o.facts.Size {
				i++
				continue
			}
			free[i].order = o
			o.sets = append(o.sets, free[i])
			free = slices.Delete(free, i, i+1)
		}
		open := float64(max(0, o.facts.Sets-o.shipped-len(o.sets)))
		o.pool = min(open, pool[o.facts.Size])
		o.stone = min(open-o.pool, stone)
		o.missing = open - o.pool - o.stone
		pool[o.facts.Size] -= o.pool
		stone -= o.stone
	}
}

// open is how many sets an order still waits for.
func (o *wanted) open() int { return max(0, o.facts.Sets-o.shipped) }

// prices reads the mill's answers; nil when it did not say what a day of both kinds costs, in the same currency.
func (h *House) prices() *prices {
	late, currency, ok := price(h.Mill().Answers[answerLate])
	still, other, too := price(h.Mill().Answers[answerStanding])
	if !ok || !too || currency != other {
		return nil
	}
	return &prices{late, still, currency}
}

// price reads an amount and a word after it.
func price(text string) (amount float64, currency string, ok bool) {
	number, currency, _ := strings.Cut(strings.TrimSpace(text), " ")
	amount, err := strconv.ParseFloat(number, 64)
	return amount, strings.TrimSpace(currency), err == nil && amount > 0 && amount < 1e9
}
