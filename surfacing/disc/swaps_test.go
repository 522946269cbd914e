package disc

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
)

// everyArrangement calls with each arrangement of n bits, and how many exchanges lead to it.
func everyArrangement(n int, with func(a Arrangement, exchanges int)) {
	a := make(Arrangement, n)
	used := make([]bool, n)
	var place func(p int)
	place = func(p int) {
		if p == n {
			seen, cycles := make([]bool, n), 0
			for i := range n {
				for j := i; !seen[j]; j = a[j] {
					seen[j] = true
					if a[j] == i {
						cycles++
					}
				}
			}
			with(a, n-cycles)
			return
		}
		for b := range n {
			if !used[b] {
				used[b], a[p] = true, b
				place(p + 1)
				used[b] = false
			}
		}
	}
	place(0)
}

// drawn is a small disc of everything: two radii, uneven places, spares, run-out, an empty place, heights in and out of the band.
func drawn(t *testing.T, s *chance.Stream) (*Ring, float64) {
	on, spares := 4+s.IntN(4), s.IntN(3)
	var places []Place
	var bits []Bit
	for i := range on + spares {
		p := Place{Name: fmt.Sprint(i), Degrees: 360*float64(i)/float64(on) + 5*s.Float64(), Radius: 120 + 30*float64(s.IntN(2)), Runout: 0.05 * float64(s.IntN(3))}
		if i >= on {
			p = Place{Name: fmt.Sprint(i), Spare: true}
		}
		places = append(places, p)
		bits = append(bits, Bit{Mass: 40 + math.Round(20*s.Normal())/10, Height: 10 + 0.06*float64(s.IntN(4))})
	}
	if s.IntN(5) == 0 {
		bits[0] = Bit{}
	}
	return made(t, places, bits, Polar(50*s.Float64(), 360*s.Float64())), 0.06 * float64(1+s.IntN(4))
}

// A slow independent method: on discs of up to eight places and spares all arrangements are counted through. Fewest must find the fewest exchanges that the rule allows,
// call nothing proven that is not, and never say that fewer are impossible when they are not.
func TestFewestAgainstEveryArrangement(t *testing.T) {
	s := chance.NewStream(11)
	counts := map[int]int{}
	const discs = 200
	for i := range discs {
		r, band := drawn(t, s)
		if len(r.Bits) > 8 {
			continue
		}
		h := r.Heights(r.AsListed(), band)
		n := len(r.Bits)
		fewest := map[float64]int{}
		limits := []float64{5, 40, 120, 300}
		everyArrangement(n, func(a Arrangement, exchanges int) {
			for p, b := range a { // the rule again, in its own words
				if p == b || r.Places[p].Spare || r.Bits[b].none() {
					continue
				}
				stands := r.Bits[b].Height + r.Places[p].Runout
				proud := stands > h.To+1e-9
				if proud && (r.Places[b].Spare || stands > r.Bits[b].Height+r.Places[b].Runout+1e-9) {
					return
				}
				if !r.Bits[p].none() && math.Abs(r.Bits[b].Height-r.Bits[p].Height) > band+1e-9 {
					return
				}
			}
			u := r.Unbalance(a).Size()
			for _, limit := range limits {
				if k, ok := fewest[limit]; u <= limit && (!ok || exchanges < k) {
					fewest[limit] = exchanges
				}
			}
		})
		for _, limit := range limits {
			want, possible := fewest[limit]
			plan := r.Fewest(limit, h)
			got := len(plan.Swaps)
			switch {
			case plan.Reached && (!possible || got < want):
				t.Fatalf("disc %d, limit %g: %d exchanges, and all arrangements give %d", i, limit, got, want)
			case plan.Reached && got > want && (want <= Exact || plan.Proven):
				t.Errorf("disc %d, limit %g: %d exchanges, fewest are %d, proven %v", i, limit, got, want, plan.Proven)
			case plan.Reached && want <= Exact && !plan.Proven:
				t.Errorf("disc %d, limit %g: %d exchanges are the fewest, and it is not proven", i, limit, got)
			case possible && (plan.AtLeast > want || plan.AtLeast < 0):
				t.Errorf("disc %d, limit %g: at least %d, and %d do", i, limit, plan.AtLeast, want)
			case possible && !plan.Reached:
				t.Errorf("disc %d, limit %g: nothing found, and %d do", i, limit, want)
			}
			if plan.Reached {
				counts[want]++
			}
			check(t, r, plan)
		}
	}
	t.Logf("exchanges: %v", counts)
	for k := range 5 {
		if counts[k] < 5 {
			t.Errorf("only %d discs need %d exchanges", counts[k], k)
		}
	}
}

// check holds a plan against itself: its exchanges lead to its arrangement and its unbalance.
func check(t *testing.T, r *Ring, plan Plan) {
	t.Helper()
	a := r.AsListed()
	for _, s := range plan.Swaps {
		a[s[0]], a[s[1]] = a[s[1]], a[s[0]]
	}
	if fmt.Sprint(a) != fmt.Sprint(plan.After) || r.Unbalance(a) != plan.Left {
		t.Errorf("the exchanges %v lead to %v, not to %v", plan.Swaps, a, plan.After)
	}
}

// A proud new bit moves nowhere but among its like; after dressing in, everything may move.
func TestHeightBandBindsSwaps(t *testing.T) {
	r := ring(t, 12, 3, 0.1)
	for i := range 3 {
		r.Bits[i].Mass, r.Bits[i].Height = r.Bits[i].Mass+3, 11
	}
	h := r.Heights(r.AsListed(), 0.1)
	if len(h.Proud) != 3 {
		t.Fatalf("%+v", h)
	}
	before := r.Unbalance(r.AsListed()).Size()
	plan := r.Fewest(before/4, h)
	if plan.Reached {
		t.Errorf("three heavy bits side by side cannot be parted, and %v does", plan.Swaps)
	}
	for p, b := range plan.After {
		if (p < 3) != (b < 3) {
			t.Errorf("place %d has bit %d of another height", p, b)
		}
	}
	if plan = r.FewestDressed(before / 4); !plan.Reached || len(plan.Swaps) == 0 {
		t.Errorf("dressed in: %+v", plan)
	}
	// A limit that no arrangement of any heights meets is proven by the bound.
	r = ring(t, 96, 1, 0)
	r.Body = Vector{X: 1000}
	if plan = r.Fewest(900, r.Heights(r.AsListed(), 1)); plan.Reached || plan.AtLeast != -1 || !plan.Proven {
		t.Errorf("an unbalanced body under equal bits: %+v", plan)
	}
}

// A hundred bits of which some are new and heavier, one band: known to need many exchanges. The lower bound must be lawful and near.
func TestManyNewBits(t *testing.T) {
	for _, c := range []struct{ heavier, most int }{{3, 2}, {6, 3}, {10, 5}, {20, 10}, {48, 16}} {
		r := ring(t, 96, 3, 0.2)
		for i := range c.heavier {
			r.Bits[i].Mass += 8
		}
		plan := r.Fewest(400, r.Heights(r.AsListed(), 0.1))
		if !plan.Reached || len(plan.Swaps) > c.most || plan.AtLeast < c.most-1 {
			t.Errorf("%d new bits: %d exchanges, at least %d, leave %g", c.heavier, len(plan.Swaps), plan.AtLeast, plan.Left.Size())
		}
		check(t, r, plan)
	}
}

// nearest is what a walk over all moves finds.
func TestNearestAgainstAWalk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "moves")
		var moves []move
		for range n {
			v := Vector{float64(rapid.IntRange(-20, 20).Draw(t, "x")), float64(rapid.IntRange(-3, 3).Draw(t, "y")) / 4}
			p := rapid.IntRange(0, 8).Draw(t, "p")
			moves = append(moves, move{p, p + 1, v, v.Size()})
		}
		g := newGrid(moves)
		want := Vector{rapid.Float64Range(-30, 30).Draw(t, "wx"), rapid.Float64Range(-30, 30).Draw(t, "wy")}
		taken := move{p: rapid.IntRange(0, 9).Draw(t, "taken"), q: -1}
		best := rapid.Float64Range(0.1, 60).Draw(t, "best")
		found, least := -1, best
		for i, m := range moves {
			if d := math.Hypot(m.v.X-want.X, m.v.Y-want.Y); m.apart(taken) && (d < least || d == least && found < 0) {
				found, least = i, d
			}
		}
		if got, d := g.nearest(want, best, taken); got != found || d != least {
			t.Fatalf("move %d at %g, and a walk finds %d at %g", got, d, found, least)
		}
	})
}

// The fewest exchanges between two arrangements are as many as the bits less the cycles.
func TestSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		from := Arrangement(rapid.Permutation(seq(n)).Draw(t, "from"))
		to := Arrangement(rapid.Permutation(seq(n)).Draw(t, "to"))
		a := append(Arrangement(nil), from...)
		list := steps(from, to)
		for _, s := range list {
			a[s[0]], a[s[1]] = a[s[1]], a[s[0]]
		}
		if fmt.Sprint(a) != fmt.Sprint(to) {
			t.Fatalf("%v leads from %v to %v, not %v", list, from, a, to)
		}
		where := make([]int, n)
		for p, b := range from {
			where[b] = p
		}
		cycles, seen := 0, make([]bool, n)
		for p := range n {
			if !seen[p] {
				cycles++
			}
			for q := p; !seen[q]; q = where[to[q]] {
				seen[q] = true
			}
		}
		if len(list) != n-cycles {
			t.Fatalf("%d exchanges, want %d", len(list), n-cycles)
		}
	})
}

func seq(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}
