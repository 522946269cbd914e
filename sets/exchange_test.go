package sets_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/sets"
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
	class := len(b.q.Classes) - 1
	if order >= 0 {
		class = b.class(b.q.Orders[order])
	}
	s := pick(list, class)
	return s.cost, true, s.serves[class]
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
