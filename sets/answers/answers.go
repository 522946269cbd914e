// Package answers matches a stock and gives the answer as the command line and the pages show it: the proposed sets, what is left over and why, what one
// more would free, and what is proven.
//
// It turns ids into pieces and a plan into names; choosing is package sets, laying as stone that bends is package levelling. It opens no file.
package answers

import (
	"math"

	"slatewright/bed"
	"slatewright/judge"
	"slatewright/sets"
	"slatewright/sets/stockfile"
)

// Ask is the question.
type Ask struct {
	Stock *stockfile.Stock
	// Orders are what is wanted, with their classes; the zero value: as many sets for stock as can be, by the limits of the specification.
	Orders stockfile.Orders
	Spec   bed.Spec
	// Room is how much of each limit is kept for doubt, mm; see [Room].
	Room    float64
	Weights sets.Weights
	// Hand is what a person keeps together or apart.
	Hand stockfile.Hand
	// Before is the plan that stood before, by ids; pieces that are gone do no harm.
	Before [][3]string
	Gap    float64
	// Stop ends the computing when so large a share of the time (0 to 1) has passed; nil: never.
	Stop func(share float64) bool
	Tell func(sets.Progress)
	// Exchanges is how many exchanges are told for each place of each set; 0: none are looked for.
	Exchanges int
	// Freeing is what one more is taken to be; Most 0: what one more would free is not asked.
	Freeing sets.Freeing
	// Judged: the specification was given for these pieces, so it is asked whether they could be judged as they were read.
	Judged bool
	// Elastic lays each set as stone that bends too, where the specification names supports.
	Elastic bool
	Late    LateAsk
}

// What is asked of one more where nothing else is said, mm; common practice, no source.
const (
	GroundTo = 0.1 // a piece that is ground again is flat to this
	Skin     = 0.1 // and so much thinner, beyond the zone that its face has
	Changes  = 4   // so many changes may be made one after another
	MoreSets = 2   // for so many more sets at most
)

// Room is what a specification's doubt is expected to take of each limit, mm.
func Room(spec bed.Spec) float64 { return judge.Factor(spec.Decision) * judge.FirstDoubt(spec) }

// shares are those of the time after which the search ends, and what follows it: exchanges and what one more would free. Elastic laying has the rest.
func (a Ask) shares() (search, more float64) {
	search, more = 0.95, 1
	if a.Elastic {
		search, more = 0.75, 0.85
	} else if a.Freeing.Most > 0 || a.Exchanges > 0 {
		search = 0.85
	}
	return search, more
}

// stop is the question's for one share.
func (a Ask) stop(share float64) func() bool {
	if a.Stop == nil {
		return nil
	}
	return func() bool { return a.Stop(share) }
}

// question gives the pieces and orders to package sets.
func (a Ask) question() (q sets.Question, err error) {
	if a.Orders.Classes == nil {
		a.Orders = stockfile.Plain(a.Spec.Limits)
	}
	search, _ := a.shares()
	q = sets.Question{Pieces: a.Stock.Pieces, Spec: a.Spec, Orders: a.Orders.Orders, Weights: a.Weights, Gap: a.Gap, Stop: a.stop(search), Tell: a.Tell}
	for _, c := range a.Orders.Classes {
		c.Room = a.Room
		q.Classes = append(q.Classes, c)
	}
	index := map[string]int{}
	for i, p := range a.Stock.Pieces {
		index[p.ID] = i
	}
	if q.Together, q.Apart, err = a.Hand.Find(index); err != nil {
		return q, err
	}
	for _, before := range a.Before {
		var at [3]int
		there := true
		for k, id := range before {
			i, ok := index[id]
			at[k], there = i, there && ok
		}
		if there {
			q.Before = append(q.Before, at)
		}
	}
	return q, nil
}

// Answer matches. Errors are *trouble.Trouble.
func (a Ask) Answer() (*Matched, error) {
	q, err := a.question()
	if err != nil {
		return nil, err
	}
	racks, err := sets.Lay(q)
	if err != nil {
		return nil, err
	}
	plan, err := racks.Match()
	if err != nil {
		return nil, err
	}
	m := a.say(q, plan)
	m.Racks = racks
	if err := m.exchange(a, racks, plan); err != nil {
		return nil, err
	}
	if err := m.free(a, racks, plan); err != nil {
		return nil, err
	}
	if err := m.lay(a); err != nil {
		return nil, err
	}
	m.doubts(a)
	return m, m.late(a)
}

// known is a figure that may be NaN, which JSON cannot say.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}
