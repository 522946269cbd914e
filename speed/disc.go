package main

import (
	"fmt"
	"math"
	"time"

	"slatewright/chance"
	"slatewright/surfacing/disc"
)

// discOf96 invents a disc of 96 bits of about 40 g, half a gram up or down, at 150 mm.
func discOf96() (*disc.Ring, error) {
	s := chance.NewStream(9)
	var places []disc.Place
	var bits []disc.Bit
	for i := range 96 {
		places = append(places, disc.Place{Name: fmt.Sprint(i + 1), Degrees: 3.75 * float64(i), Radius: 150})
		bits = append(bits, disc.Bit{Mass: 40 + 0.5*s.Normal(), Height: 10})
	}
	return disc.NewRing(places, bits, disc.Vector{})
}

// discBench promises that 96 bits are arranged to under 1 % of what grade 6.3 permits at 1400 rpm and 12 kg within 0.2 s. Beside it stands what a user could
// do: shuffle until one is as good as that 1 %; and for changes of places, trying every two of them in turn.
func discBench(_, _ string) ([]goal, error) {
	r, err := discOf96()
	if err != nil {
		return nil, err
	}
	permissible := disc.Duty{Speed: 1400, Grade: 6.3, Rotor: 12}.Permissible()
	h := r.Heights(r.AsListed(), 0.1)
	return []goal{
		{what: "96 bits of a disc arranged to 1 % of the grade", repeats: 5, keeps: within(200 * time.Millisecond),
			ours: side{name: "package disc", do: func() error {
				if left := r.Arrange(permissible, h).Left.Size(); left > 0.01*permissible {
					return fmt.Errorf("%g of %g g mm are left", left, permissible)
				}
				return nil
			}},
			against: side{name: "shuffling until it is good", do: func() error { return shuffled(r, 0.01*permissible) }}},
		{what: "fewest changes of 96 bits, proven", repeats: 5, keeps: within(200 * time.Millisecond),
			ours: side{name: "package disc", do: func() error {
				if p := r.Fewest(0.01*permissible, h); !p.Reached || !p.Proven || len(p.Swaps) != 2 {
					return fmt.Errorf("%d changes, reached %v, proven %v", len(p.Swaps), p.Reached, p.Proven)
				}
				return nil
			}},
			against: side{name: "every two changes in turn", do: func() error { return inTurn(r, 0.01*permissible) }}}}, nil
}

func shuffled(r *disc.Ring, limit float64) error {
	s := chance.NewStream(1)
	a := r.AsListed()
	for r.Unbalance(a).Size() > limit {
		for i := len(a) - 1; i > 0; i-- {
			j := s.IntN(i + 1)
			a[i], a[j] = a[j], a[i]
		}
	}
	return nil
}

// inTurn looks at every two exchanges beside each other, which proves as much but for bits that go round in threes.
func inTurn(r *disc.Ring, limit float64) error {
	type exchange struct {
		p, q int
		x, y float64
	}
	var all []exchange
	for p := range r.Places {
		for q := range p {
			d := r.Bits[q].Mass - r.Bits[p].Mass
			one, two := disc.Polar(r.Places[p].Radius, r.Places[p].Degrees), disc.Polar(r.Places[q].Radius, r.Places[q].Degrees)
			all = append(all, exchange{p, q, d * (one.X - two.X), d * (one.Y - two.Y)})
		}
	}
	u, best := r.Unbalance(r.AsListed()), math.Inf(1)
	for i, a := range all {
		for _, b := range all[:i] {
			if a.p != b.p && a.p != b.q && a.q != b.p && a.q != b.q {
				best = math.Min(best, math.Hypot(u.X+a.x+b.x, u.Y+a.y+b.y))
			}
		}
	}
	if best > limit {
		return fmt.Errorf("two exchanges leave %g g mm", best)
	}
	return nil
}
