package sets

import (
	"cmp"
	"math"
	"slices"

	"slatewright/sets/beds"
	"slatewright/trouble"
)

// Exchange is what changes when two pieces change places: one of a set, the other of another set or unused.
type Exchange struct {
	Out, In  int     // piece of the set that goes, and the one that comes
	From     int     // index of the set that In comes from; -1: it was unused
	Sets     []Set   // as they are then: the set, and behind it the one that In came from; without one that cannot be
	Conforms bool    // all sets are still good for what they are for
	More     float64 // what the plan costs more in all; negative: less. NaN where a set cannot be
}

// Exchanges are the best exchanges for each piece of a set (head, centre, foot), least cost first, at most so many of each; only those after which
// every set is still good for what it is for. The pieces of a set lie at their best after the exchange, so others may move too.
func (r *Racks) Exchanges(p Plan, set, most int) (list [3][]Exchange, err error) {
	x, err := r.exchanging(p, set)
	if err != nil || most < 1 {
		return list, err
	}
	for place, out := range p.Sets[set].Pieces {
		list[place] = x.best(out, most)
	}
	return list, nil
}

// Swap is one exchange, asked for by name: piece out of a set against piece in.
func (r *Racks) Swap(p Plan, out, in int) (Exchange, error) {
	for n, s := range p.Sets {
		if !slices.Contains(s.Pieces[:], out) {
			continue
		}
		x, err := r.exchanging(p, n)
		if err != nil {
			return Exchange{}, err
		}
		if in == out || in < 0 || in >= len(r.groupOf) || slices.Contains(s.Pieces[:], in) || r.groupOf[in] < 0 || r.groups[r.groupOf[in]] != x.g {
			return Exchange{}, trouble.Data("no-exchange", "", "these two pieces cannot be exchanged", "name one of another set, or an unused one of the same size that may be matched")
		}
		return x.full(x.priced(out, in)), nil
	}
	return Exchange{}, trouble.Data("no-exchange", "", "the piece that is to go is in no set", "name a piece of a set")
}

// exchanging is the exchanges of one set of a plan.
type exchanging struct {
	r     *Racks
	g     *group
	p     Plan
	set   int
	of    map[int]int // set of each piece of the group
	class []int       // of each set: the class that it must serve, or forStock
}

func (r *Racks) exchanging(p Plan, set int) (*exchanging, error) {
	bad := trouble.Own("not-this-plan", "sets", "the plan is not one of these racks", "report this")
	if set < 0 || set >= len(p.Sets) {
		return nil, bad
	}
	x := &exchanging{r: r, p: p, set: set, of: map[int]int{}}
	for n, s := range p.Sets {
		for _, i := range s.Pieces {
			if i < 0 || i >= len(r.groupOf) || r.groupOf[i] < 0 || s.Order >= len(r.q.Orders) {
				return nil, bad
			}
			x.of[i] = n
		}
		class := forStock
		if s.Order >= 0 {
			class = r.q.class(r.q.Orders[s.Order].Class)
		}
		x.class = append(x.class, class)
	}
	x.g = r.groups[r.groupOf[p.Sets[set].Pieces[0]]]
	return x, nil
}

// swapped are the things of a set with one piece in another's stead.
func (x *exchanging) swapped(set, out, in int) [3]int {
	var t [3]int
	for k, i := range x.p.Sets[set].Pieces {
		if i == out {
			i = in
		}
		t[k] = x.r.thingOf[i]
	}
	return ascending(t)
}

// sides are the sets of an exchange as they are then, and their costs now.
func (x *exchanging) sides(out, in int) (now [][3]int, sets []int) {
	now, sets = [][3]int{x.swapped(x.set, out, in)}, []int{x.set}
	if from, used := x.of[in]; used {
		now, sets = append(now, x.swapped(from, in, out)), append(sets, from)
	}
	return now, sets
}

// candidate is an exchange and what it costs at least.
type candidate struct {
	in      int
	atLeast float64
}

// best prices exchanges for one piece by what they cost at least, until the rest cannot be among the best.
func (x *exchanging) best(out, most int) []Exchange {
	var list []candidate
	for _, in := range x.g.pieces {
		if slices.Contains(x.p.Sets[x.set].Pieces[:], in) {
			continue
		}
		least := 0.0
		now, sets := x.sides(out, in)
		for k, t := range now {
			least += x.g.floor(t) - x.p.Sets[sets[k]].Cost
		}
		if !math.IsInf(least, 1) {
			list = append(list, candidate{in, least})
		}
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return cmp.Compare(a.atLeast, b.atLeast) })
	var found []Exchange
	for _, c := range list {
		if len(found) >= most && c.atLeast >= found[most-1].More {
			break
		}
		if e := x.priced(out, c.in); e.Conforms {
			found = append(found, e)
			slices.SortStableFunc(found, func(a, b Exchange) int { return cmp.Compare(a.More, b.More) })
		}
	}
	found = found[:min(most, len(found))]
	for n := range found {
		found[n] = x.full(found[n])
	}
	return found
}

// floor is what three things cost at least.
func (g *group) floor(t [3]int) float64 {
	row := make([]float64, len(g.pieces)-t[1]-1)
	costs{group: g}.Floors(t[0], t[1], row)
	f := row[t[2]-t[1]-1]
	if g.hand.keeps(t) {
		f += Kept
	}
	return f
}

// priced says what an exchange costs; its sets are not yet made.
func (x *exchanging) priced(out, in int) Exchange {
	e := Exchange{Out: out, In: in, From: -1, Conforms: true}
	now, sets := x.sides(out, in)
	for k, t := range now {
		if k == 1 {
			e.From = sets[k]
		}
		b := beds.Bed{}
		if !x.g.hand.parted(t) && x.g.hand.joined(t) {
			b = x.g.bed(t, x.class[sets[k]])
		}
		if b.Serves == 0 {
			e.Conforms, e.More = false, math.NaN()
			continue
		}
		e.Conforms = e.Conforms && good(b.Serves, x.class[sets[k]])
		e.More += b.Cost + x.g.own(t) - x.p.Sets[sets[k]].Cost
	}
	return e
}

// full makes the sets of an exchange.
func (x *exchanging) full(e Exchange) Exchange {
	now, sets := x.sides(e.Out, e.In)
	for k, t := range now {
		if x.g.hand.parted(t) || !x.g.hand.joined(t) || len(x.g.beds(t)) == 0 {
			continue
		}
		s := x.g.set(t, x.class[sets[k]])
		s.Order = x.p.Sets[sets[k]].Order
		e.Sets = append(e.Sets, s)
	}
	return e
}
