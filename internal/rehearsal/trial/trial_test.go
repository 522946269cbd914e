package trial

import (
	"math"
	"runtime"
	"strings"
	"testing"

	"slatewright/internal/rehearsal/families"
)

// The reduced form of the full trial (`make calibration`): fewer scans, pieces and draws, so wider limits. An interval that holds nine of
// ten, learned from 60 scans and tried on 100 pieces, holds with a standard deviation of at most √(0.09/100 + 0.09/60) = 4.9 %; two and
// a third of them are allowed.
func TestLearnedIntervalsHoldWhatTheySay(t *testing.T) {
	if testing.Short() {
		t.Skip("counts how often an interval holds; TestCoresDoNotShow shares the work out too")
	}
	size := Size{Scans: 60, Pieces: 100, Rehearsals: 2, Draws: 100}
	for _, f := range families.All() {
		r, err := Run(f, size)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Holds(Learned); math.Abs(got-0.9) > 0.115 {
			t.Errorf("%s: intervals of 90 %% hold %.1f %%", f, 100*got)
		}
		if got := r.Holds(Stopped); math.Abs(got-0.9) > 0.115 {
			t.Errorf("%s: intervals of 90 %% hold %.1f %% under the stop rule", f, 100*got)
		}
		if n := r.Faults(Learned, 15); n > 1 {
			t.Errorf("%s: %d bands of the said probability lie outside of what chance allows", f, n)
		}
		if raw, learned := r.Holds(Raw), r.Holds(Learned); f == families.Ridges && raw > learned-0.1 {
			t.Errorf("ridges: the model alone holds %.1f %%, nearly as many as learned: the trial shows nothing", 100*raw)
		}
		if _, wrong := r.Early(); wrong > 3 {
			t.Errorf("%s: %d pieces were stopped with a no and conformed", f, wrong)
		}
		var text strings.Builder
		if Print(&text, [][]*Result{{r}}); !strings.Contains(text.String(), f.String()+"  learned from scans") && !strings.Contains(text.String(), "learned from scans") {
			t.Errorf("the table lacks a line:\n%s", text.String())
		}
	}
}

// The limits for a number of successes against published values: 99 % of a binomial of n = 20, p = 0.5 lie within 4 … 16
// (cumulative 0.0013 at 3 and 0.0059 at 4: any table of the binomial distribution).
func TestAllowed(t *testing.T) {
	p := make([]float64, 20)
	for i := range p {
		p[i] = 0.5
	}
	if low, high := allowed(p); low != 4 || high != 16 {
		t.Errorf("allowed %d to %d of 20, want 4 to 16", low, high)
	}
	if low, high := allowed([]float64{0, 0, 1}); low != 1 || high != 1 {
		t.Errorf("allowed %d to %d, want 1 to 1", low, high)
	}
}

// A wrong answer is seen: intervals that are too narrow, probabilities that lie.
func TestFaultsAreSeen(t *testing.T) {
	r := &Result{}
	for i := range 100 {
		truth := 0.2
		if i%2 == 0 {
			truth = 0.3
		}
		r.pieces = append(r.pieces, piece{truth: truth, limit: 0.25, learned: said{low: 0.19, high: 0.21, conforms: 0.95}})
	}
	if got := r.Holds(Learned); got != 0.5 {
		t.Errorf("holds %g, want 0.5", got)
	}
	if n := r.Faults(Learned, FewInBand); n != 1 {
		t.Errorf("%d bands outside, want 1", n)
	}
	if s := r.Rates(Rules()[len(Rules())-1]); s.WrongYes != 0.5 || s.WrongNo != 0 || s.Cost() != 2.5 {
		t.Errorf("rates %+v", s)
	}
}

// Thirds of nine pieces, by what is said of them and not by their truth: all of the flattest are held, one of the middle ones, none of the last.
func TestThirds(t *testing.T) {
	r := &Result{}
	for i := range 9 {
		low := 0.1 * float64((i*4)%9+1) // 0.1 to 0.9 in another order
		p := piece{learned: said{low: low, high: low + 0.05}, truth: low + 0.02}
		if low > 0.45 {
			p.truth = 0.01
		}
		r.pieces = append(r.pieces, p)
	}
	if got := r.Thirds(Learned); got != [3]float64{1, 1.0 / 3, 0} {
		t.Errorf("thirds hold %v", got)
	}
}

// However the work is shared out, the same comes of it.
func TestCoresDoNotShow(t *testing.T) {
	size := Size{Scans: 30, Pieces: 6, Rehearsals: 1, Draws: 100}
	var texts [2]string
	for i, cores := range []int{1, 3} {
		before := runtime.GOMAXPROCS(cores)
		r, err := Run(families.Ridges, size)
		runtime.GOMAXPROCS(before)
		if err != nil {
			t.Fatal(err)
		}
		var text strings.Builder
		Print(&text, [][]*Result{{r}})
		texts[i] = text.String()
	}
	if texts[0] != texts[1] || !strings.Contains(texts[0], "learned from scans") {
		t.Errorf("on one core\n%s\non three\n%s", texts[0], texts[1])
	}
}
