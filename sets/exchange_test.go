package sets_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/sets"
	"slatewright/sets/beds"
)

// swapped is a set's pieces with one in another's stead, ascending.
func swapped(pieces [3]int, out, in int) [3]int {
	for k, i := range pieces {
		if i == out {
			pieces[k] = in
		}
	}
	slices.Sort(pieces[:])
	return pieces
}

// good tells whether a set that may be is good for what another is for, and prices it.
func (b *brute) good(pieces [3]int, order int) (cost float64, there, good bool) {
	list := b.three[pieces]
	if len(list) == 0 {
		return 0, false, false
	}
	class := -1 // any, for stock
	if order >= 0 {
		class = b.class(b.q.Orders[order])
	}
	s := pick(list, class)
	return s.cost, true, class < 0 || s.serves[class]
}

// TestExchangesAgainstPricingAgain: every exchange of every piece of every set.
func TestExchangesAgainstPricingAgain(t *testing.T) {
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		faces := rapid.Bool().Draw(t, "faces")
		q := drawn(t, map[bool]int{true: 5, false: 8}[faces], faces)
		decided(t, &q)
		racks, p := matched(t, q)
		b := prepared(q)
		for n, s := range p.Sets {
			found, err := racks.Exchanges(p, n, 3)
			if err != nil {
				t.Fatal(err)
			}
			for place, out := range s.Pieces {
				var costs []float64
				for in := range q.Pieces {
					if slices.Contains(s.Pieces[:], in) || q.Pieces[in].NotReady != "" {
						continue
					}
					more, there, good := b.exchanged(p, n, out, in)
					e, err := racks.Swap(p, out, in)
					if err != nil {
						t.Fatal(err)
					}
					if e.Conforms != good || there != !math.IsNaN(e.More) || there && math.Abs(e.More-more) > 1e-7 {
						t.Fatalf("%d against %d: %+v; want %v more, may be %v, good %v", out, in, e, more, there, good)
					}
					if good {
						costs = append(costs, more)
						seen++
					}
				}
				slices.Sort(costs)
				if len(found[place]) != min(3, len(costs)) {
					t.Fatalf("%d exchanges of %d", len(found[place]), len(costs))
				}
				for k, e := range found[place] {
					if math.Abs(e.More-costs[k]) > 1e-7 || !e.Conforms || e.Out != out || len(e.Sets) < 1 || !slices.Contains(e.Sets[0].Pieces[:], e.In) {
						t.Fatalf("exchange %d of piece %d: %+v, want %v more", k, out, e, costs[k])
					}
				}
			}
		}
	})
	if seen == 0 {
		t.Error("no exchange was seen")
	}
}

// exchanged prices an exchange.
func (b *brute) exchanged(p sets.Plan, set, out, in int) (more float64, there, good bool) {
	there, good = true, true
	add := func(n, out, in int) {
		cost, ok, fine := b.good(swapped(p.Sets[n].Pieces, out, in), p.Sets[n].Order)
		more += cost - p.Sets[n].Cost
		there, good = there && ok, good && fine
	}
	add(set, out, in)
	for n, s := range p.Sets {
		if slices.Contains(s.Pieces[:], in) {
			add(n, in, out)
		}
	}
	return more, there, good
}

func TestExchangesOfAnotherPlan(t *testing.T) {
	q := sets.Question{Spec: small(), Classes: []sets.Class{{Limits: small().Limits}}, Weights: sets.DefaultWeights()}
	for range 4 {
		q.Pieces = append(q.Pieces, sets.Piece{Ways: places[0]})
	}
	q.Pieces = append(q.Pieces, sets.Piece{Ways: places[0], Size: "other"}, sets.Piece{Ways: places[0], NotReady: "it is wet"})
	racks, p := matched(t, q)
	if len(p.Sets) != 1 {
		t.Fatalf("%d sets", len(p.Sets))
	}
	out := p.Sets[0].Pieces[0]
	for _, in := range []int{4, 5, 6, -1, out, p.Sets[0].Pieces[1]} {
		if _, err := racks.Swap(p, out, in); err == nil {
			t.Errorf("piece %d was exchanged against %d", out, in)
		}
	}
	if _, err := racks.Swap(p, p.Unused[0].Index, out); err == nil {
		t.Error("a piece that is in no set went")
	}
	if _, err := racks.Exchanges(p, 1, 1); err == nil {
		t.Error("a set that is not there has exchanges")
	}
	p.Sets[0].Pieces[1] = 17
	if _, err := racks.Exchanges(p, 0, 1); err == nil {
		t.Error("a plan of another stock has exchanges")
	}
}

// TestExchangesLookFarEnough: a dozen pieces whose exchanges cost at least what their floors say, and in another order than in truth; the best of them by one
// exchange after the other.
func TestExchangesLookFarEnough(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 10))
	twisted, seen, few, many := 0, 0, 0, 0
	for range 4 {
		q := sets.Question{Spec: small(), Classes: []sets.Class{{Limits: small().Limits}}, Weights: sets.DefaultWeights()}
		for i := range 12 {
			p := sets.Piece{ID: fmt.Sprint("P", i), Ways: beds.AnyWay(), Thickness: 44 + 0.2*r.Float64(), Layer: string(rune('a' + r.IntN(2)))}
			p.Face = dished(0.15*r.NormFloat64(), 0.1*r.NormFloat64(), 0.25*r.NormFloat64(), func() float64 { return 0.02 * r.NormFloat64() })
			q.Pieces = append(q.Pieces, p)
		}
		q.Together = [][]int{{0, 1}, {2, 3}}
		racks, p := matched(t, q)
		fresh, err := sets.Lay(q)
		for n := range p.Sets {
			if err == nil {
				_, err = fresh.Exchanges(p, n, 1)
			}
		}
		if err != nil {
			t.Fatal(err)
		}
		few += fresh.Priced()
		for n, s := range p.Sets {
			for place, out := range s.Pieces {
				everySwap(t, fresh, p, n, out, len(q.Pieces))
				all := everySwap(t, racks, p, n, out, len(q.Pieces))
				for most := range 6 {
					found, err := racks.Exchanges(p, n, most)
					if err != nil || len(found[place]) != min(most, len(all)) {
						t.Fatalf("%d of %d exchanges: %v, %v", most, len(all), found[place], err)
					}
					for k, e := range found[place] {
						seen++
						if math.Abs(e.More-all[k].More) > 1e-9 {
							t.Fatalf("exchange %d of at most %d for piece %d costs %v more (%d comes), and one costs %v (%d)", k, most, out, e.More, e.In, all[k].More, all[k].In)
						}
					}
				}
			}
		}
		many += fresh.Priced()
		for _, s := range p.Sets {
			if s.Step > 0.01 {
				twisted++
			}
		}
	}
	if twisted == 0 || seen < 100 || 5*few > 2*many {
		t.Errorf("%d sets with a step, %d exchanges; %d threes were priced for the best ones, %d for all", twisted, seen, few, many)
	}
}

// everySwap are all exchanges of a piece of a set that conform, least cost first.
func everySwap(t *testing.T, racks *sets.Racks, p sets.Plan, set, out, pieces int) (list []sets.Exchange) {
	for in := range pieces {
		if slices.Contains(p.Sets[set].Pieces[:], in) {
			continue
		}
		e, err := racks.Swap(p, out, in)
		if err != nil {
			t.Fatal(err)
		}
		if e.Conforms {
			list = append(list, e)
		}
	}
	slices.SortFunc(list, func(a, b sets.Exchange) int { return cmp.Compare(a.More, b.More) })
	return list
}
