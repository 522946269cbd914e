package matching

import (
	"math"
	"slices"

	"slatewright/internal/measured/kept"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sets"
)

// tapped is a piece that was tapped: where it lies, and what it would cost to take another one instead.
type tapped struct {
	ID, Path, Says string
	Why            string // why it is in no set
	State          string // computing, failed, ready; "" where there is nothing to compute
	Wrong          *problem.Problem
	Card           *card // its set; nil where it is in none
	Rows           []exchange
	Apart          []tab  // keeps it apart from each of the two others of its set
	Asked          string // the piece that was asked for by name
	Unknown        string // that it does not stand here
	Hidden         []field
}

// exchange is one exchange.
type exchange struct {
	In, From, Path string
	More, Like     string   // what it costs more in all, and how much thickness that would be
	Sets           []string // what is foretold of the sets then
	Not            string   // why it cannot be; "" where it can
}

// tap answers for the piece that was tapped.
func (r room) tap(l asking, p *racks) error {
	out := l.stock.index(l.wish.Piece)
	if out < 0 {
		return nil
	}
	t := &tapped{ID: l.wish.Piece, Path: "/piece/" + l.wish.Piece, Asked: l.wish.With}
	p.Tapped = t
	k := l.set[out]
	if k < 0 {
		t.Says = l.Say("racks.tapped-left", "piece", t.ID)
		for _, u := range l.plan.Unused {
			if u.Index == out {
				t.Why = u.Why
			}
		}
		return nil
	}
	p.Cards, p.More, t.Card = taken(p.Cards, p.More, letter(k))
	s := l.plan.Sets[k]
	place := slices.Index(s.Pieces[:], out)
	t.Says = l.Say("racks.tapped", "piece", t.ID, "place", placesOfABed[place], "set", letter(k))
	for _, other := range s.Pieces {
		if other != out {
			id := l.stock.Pieces[other].ID
			t.Apart = append(t.Apart, tab{l.Say("racks.apart", "piece", id), l.wish.parting(t.ID, id).tapping("").path(), false})
		}
	}
	back := l.wish
	back.With = ""
	t.Hidden = back.fields()
	return r.exchanges(l, t, out, k, place)
}

// taken takes the card of a set out of the lists: it is shown beside the exchanges.
func taken(now, more []card, letter string) (_, _ []card, out *card) {
	is := func(c card) bool { return c.Letter == letter }
	for _, list := range [][]card{now, more} {
		if i := slices.IndexFunc(list, is); i >= 0 {
			c := list[i]
			out = &c
		}
	}
	return slices.DeleteFunc(now, is), slices.DeleteFunc(more, is), out
}

func (r room) exchanges(l asking, t *tapped, out, k, place int) error {
	var list []sets.Exchange
	var state kept.State
	var err error
	in := l.stock.index(l.wish.With)
	if l.wish.With != "" && in < 0 {
		t.Unknown = l.Say("racks.not-here", "piece", l.wish.With)
	}
	if in >= 0 && in != out {
		one := r.desk.swap(l.asked, l.plan, out, in)
		list, state, err = []sets.Exchange{one.Value}, one.State, one.Err
	} else {
		all := r.desk.exchanges(l.asked, l.plan, k)
		list, state, err = all.Value[place], all.State, all.Err
	}
	t.State = state.String()
	switch state {
	case kept.Failed:
		if t.Wrong = shell.Mendable(err); t.Wrong == nil {
			return err
		}
	case kept.Ready:
		for _, x := range list {
			t.Rows = append(t.Rows, l.exchange(x, k))
		}
	}
	return nil
}

// exchange is one exchange in words; k is the set that its first piece goes out of.
func (l asking) exchange(x sets.Exchange, k int) exchange {
	row := exchange{In: l.stock.Pieces[x.In].ID, From: l.Say("racks.from-left")}
	if x.From == k {
		row.From = l.Say("racks.change-places")
	} else if x.From >= 0 {
		row.From = l.Say("racks.from-set", "set", letter(x.From))
	}
	if !x.Conforms || math.IsNaN(x.More) {
		row.Not = l.Say("racks.cannot-be")
		return row
	}
	row.More, row.Like = l.more(x.More)
	to := l.wish
	for i, s := range x.Sets {
		row.Sets = append(row.Sets, l.inShort(letter([2]int{k, max(x.From, 0)}[min(i, 1)]), s))
		to = to.keeping(l.idsOf(s))
	}
	row.Path = to.tapping("").path()
	return row
}

// inShort are the figures of a set in one line.
func (l asking) inShort(letter string, s sets.Set) string {
	if !s.Seated {
		return l.Say("racks.set-bare", "set", letter, "spread_mm", s.Spread)
	}
	return l.Say("racks.set-short", "set", letter, "step_mm", s.Step, "zone_mm", s.Zone, "spread_mm", s.Spread)
}

// least is a cost that nobody can tell from none.
const least = 0.0005

// more says what something costs more in all, and how much thickness that would be: a number of costs alone says nothing to anybody.
func (l asking) more(more float64) (said, like string) {
	switch {
	case math.Abs(more) < least:
		return l.Say("racks.no-dearer"), ""
	case more > 0:
		said = l.Say("racks.dearer", "cost", l.Number(more, 3))
	default:
		said = l.Say("racks.cheaper", "cost", l.Number(-more, 3))
	}
	if l.wish.Costs.Spread > 0 {
		like = l.Say("racks.like", "mm", math.Abs(more)*spreadUnit/l.wish.Costs.Spread)
	}
	return said, like
}

// spreadUnit is the spread of thickness that costs one, mm: see [sets.Weights].
const spreadUnit = 0.25
