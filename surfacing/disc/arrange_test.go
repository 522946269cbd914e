package disc

import (
	"fmt"
	"math"
	"testing"

	"slatewright/chance"
)

// The best of all arrangements against counting them all through, on up to eight uneven places.
func TestSmallestAgainstEveryArrangement(t *testing.T) {
	s := chance.NewStream(2)
	tried := 0
	for range 30 {
		r, band := drawn(t, s)
		if len(r.Bits) > r.on() {
			continue
		}
		tried++
		h := r.Heights(r.AsListed(), band)
		ok := r.anew(h)
		least := math.Inf(1)
		everyArrangement(len(r.Bits), func(a Arrangement, _ int) {
			for p, b := range a {
				if !ok.may(p, b) {
					return
				}
			}
			least = math.Min(least, r.Unbalance(a).Size())
		})
		g := r.Arrange(1, h)
		near(t, "the best of all", g.Left.Size(), least, 1e-9)
		if !g.Best || r.Bound() > least+1e-9 {
			t.Errorf("best %v, bound %g of %g", g.Best, r.Bound(), least)
		}
	}
	if tried < 5 {
		t.Fatalf("%d discs", tried)
	}
}

// Going down, against the best of all 479 001 600 arrangements of 12 bits, which the two halves find. What it may leave at the most is less than what the scale can see.
func TestGoingDownAgainstTheBestOfTwelve(t *testing.T) {
	const discs = 6
	worst := 0.0
	for i := range discs {
		r := ring(t, 12, uint64(100+i), 0.5)
		ok := r.level()
		best := r.Unbalance(r.smallest(ok)).Size()
		down := r.Unbalance(r.settle(r.AsListed(), ok, 0)).Size()
		if down < best-1e-9 {
			t.Errorf("disc %d: %g is less than the least %g", i, down, best)
		}
		worst = math.Max(worst, down-best)
		t.Logf("disc %d: before %.1f, least of all %.3f, going down %.3f g·mm", i, r.Unbalance(r.AsListed()).Size(), best, down)
	}
	if permissible := (Duty{1400, 6.3, 12}).Permissible(); worst > 0.01*permissible {
		t.Errorf("%.3f g·mm more than the least, of %.0f permissible", worst, permissible)
	}
}

// A hundred bits come below a hundredth of what is permissible, whatever their scatter, two radii and a body too.
func TestArrangedWellBelowTheLimit(t *testing.T) {
	duty := Duty{Speed: 1400, Grade: 6.3, Rotor: 12}
	for i, sd := range []float64{0.05, 0.2, 0.5, 2, 5} {
		for _, n := range []int{24, 60, 96, 120} {
			r := ring(t, n, uint64(i), sd)
			for p := range n / 3 {
				r.Places[3*p].Radius = 110
			}
			r = made(t, r.Places, r.Bits, Vector{})
			h := r.Heights(r.AsListed(), 0.1)
			g := r.Arrange(duty.Permissible(), h)
			if left := g.Left.Size(); !(left < 0.01*duty.Permissible()) || g.Bound > left || r.Unbalance(g.After) != g.Left {
				t.Errorf("%d bits, scatter %g: %g of %g left, bound %g", n, sd, left, duty.Permissible(), g.Bound)
			}
			if again := r.Arrange(duty.Permissible(), h); fmt.Sprint(again.After) != fmt.Sprint(g.After) {
				t.Error("another arrangement the second time")
			}
		}
	}
}

// A bound in closed form: the body of 1000 g·mm against two bits that differ by 1 g at 100 mm: at least 900.
func TestBound(t *testing.T) {
	r := made(t, []Place{{Name: "1", Radius: 100}, {Name: "2", Degrees: 180, Radius: 100}}, []Bit{{Mass: 40, Height: 9}, {Mass: 41, Height: 9}}, Vector{X: 1000})
	near(t, "bound", r.Bound(), 900, 1e-3)
	if g := r.Arrange(1, r.Heights(r.AsListed(), 1)); !g.Best || math.Abs(g.Left.Size()-900) > 1e-9 {
		t.Errorf("%+v", g)
	}
}
