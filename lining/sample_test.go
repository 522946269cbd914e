package lining

import (
	"math"
	"testing"

	"slatewright/chance"
)

// weighings of a board that is a sheet taking water up from both faces (or one exponential), rounded by the scale.
func weighings(s *chance.Stream, days int, tau, gain, scale float64, shape func(float64) float64) (list []Reading, left float64) {
	const mass = 2500.0
	for d := range days {
		noise := scale * (2*s.Float64() - 1)
		list = append(list, Reading{Day: float64(d), Humidity: 48, Mass: mass + gain*(1-shape(float64(d)/tau)) + noise})
	}
	return list, 100 * gain * shape(float64(days-1)/tau) / list[days-1].Mass
}

// What remains is within its 95 % limits at least so often, for both shapes of the way and for boards that are nearly or not at all settled; nothing is
// told where the log is short against the board.
func TestRemainingIsHeld(t *testing.T) {
	s := chance.NewStream(7)
	for name, shape := range map[string]func(float64) float64{"one exponential": decay, "a sheet": uptake} {
		told, held, trials := 0, 0, 0
		for range 300 {
			days, tau, gain := 7+int(8*s.Float64()), 1+4*s.Float64(), 60*(2*s.Float64()-1)
			list, left := weighings(s, days, tau, gain, 0.2, shape)
			got := weigh(list, 0.2, 0)
			trials++
			if got.Open {
				continue
			}
			told++
			if got.Remaining.Low <= left && left <= got.Remaining.High {
				held++
			}
		}
		share := float64(held) / float64(told)
		t.Logf("%s: %d of %d told, %.1f %% held", name, told, trials, 100*share)
		if told < 100 || share < 0.94 {
			t.Errorf("%s: %d of %d told, of which %.1f %% hold what remains", name, told, trials, 100*share)
		}
	}
}

func TestSlowBoardsAreNotTold(t *testing.T) {
	s := chance.NewStream(8)
	told := 0
	for range 50 {
		list, _ := weighings(s, 6, 40, 50, 0.2, decay)
		if !weigh(list, 0.2, 0).Open {
			told++
		}
	}
	if told > 2 { // 5 % of 50
		t.Errorf("%d of 50 boards with a time constant of 40 days were told after 5 days", told)
	}
	list, _ := weighings(s, 3, 2, 50, 0.2, decay)
	if got := weigh(list, 0.2, 0); !got.Open || got.Readings != 3 {
		t.Errorf("three weighings: %+v", got)
	}
}

// A board that does not change is told where the mill knows how slow its boards can be.
func TestAStillBoardIsToldWithTheMillsSlowest(t *testing.T) {
	s := chance.NewStream(9)
	list, left := weighings(s, 8, 3, 0.0, 0.1, decay)
	if got := weigh(list, 0.1, 0); !got.Open {
		t.Errorf("without the slowest: %+v", got)
	}
	got := weigh(list, 0.1, 6)
	if got.Open || got.Remaining.Low > left+1e-6 || got.Remaining.High < left || got.Remaining.High-got.Remaining.Low > 0.1 {
		t.Errorf("with it: %+v", got)
	}
}

// Exact weights give their own curve back.
func TestExactWeights(t *testing.T) {
	var list []Reading
	for d := range 12 {
		list = append(list, Reading{Day: float64(d), Mass: 1000 + 8*(1-math.Exp(-float64(d)/2.5))})
	}
	got := weigh(list, 0.02, 0)
	near(t, "remaining %", got.Remaining.Value, 100*8*math.Exp(-11/2.5)/list[11].Mass, 5e-4)
	near(t, "days", got.Days.Value, 2.5, 0.1)
	near(t, "rate", got.Rate, 100*(list[11].Mass-list[9].Mass)/2/list[11].Mass, 1e-9)
	if got.Misfit > 1 {
		t.Errorf("misfit %g", got.Misfit)
	}
}

// The uptake of a sheet against its equation, ∂u/∂t = D ∂²u/∂x², by small steps.
func TestUptakeAgainstTheDifferenceEquation(t *testing.T) {
	const n = 100
	u := make([]float64, n+1)
	for i := 1; i < n; i++ {
		u[i] = 1
	}
	h, tau := 1.0/n, 1/(math.Pi*math.Pi)
	step := 0.4 * h * h
	for k := 1; k <= int(0.3/step); k++ {
		next := make([]float64, n+1)
		for i := 1; i < n; i++ {
			next[i] = u[i] + 0.4*(u[i-1]-2*u[i]+u[i+1])
		}
		u = next
		if k%2000 == 0 {
			sum := 0.0
			for _, v := range u {
				sum += v * h
			}
			near(t, "mean", uptake(float64(k)*step/tau), sum, 2e-3)
		}
	}
}
