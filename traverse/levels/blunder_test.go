package levels_test

import (
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/traverse/levels"
)

// binomial99 is the band in which a count of n draws at probability p lies 99 times in a hundred (normal approximation with half a
// count to each side).
func binomial99(n int, p float64) (low, high float64) {
	half := 2.576*math.Sqrt(float64(n)*p*(1-p)) + 0.5
	return float64(n)*p - half, float64(n)*p + half
}

func dome(x, y float64) float64 { return -(x-250)*(x-250)/2000 + y*y/3000 - x*y/5000 }

// Plates with known heights, read with known noise: the 95 % intervals of the heights hold the truth 95 times in a hundred, and the
// interval of the zone at least so often.
func TestIntervalsHoldTheTruth(t *testing.T) {
	const runs = 1000
	for _, free := range []bool{false, true} {
		stream := chance.NewStream(11)
		held, all, zones := 0, 0, 0
		var truth []float64
		for run := range runs {
			h := adjust(t, grid(6, 4, dome, func() float64 { return 2 * stream.Normal() }, free, "2 um"))
			if run == 0 {
				for _, p := range h.Walk.At {
					truth = append(truth, dome(p[0], p[1])/1000)
				}
				h.Frame.Level(truth)
			}
			k := run % len(truth) // one station a walk: stations of one walk are no independent trials
			all++
			if math.Abs(h.Z[k]-truth[k]) <= 1.959964*h.U[k] {
				held++
			}
			if run < runs/20 {
				zones += zoneHolds(t, h, truth)
			}
		}
		low, high := binomial99(all, 0.95)
		if c := float64(held); c < low || c > high {
			t.Errorf("free %v: %d of %d heights held", free, held, all)
		}
		low, _ = binomial99(runs/20, 0.95)
		t.Logf("free %v: heights %d of %d, zones %d of %d", free, held, all, zones, runs/20)
		if float64(zones) < low {
			t.Errorf("free %v: %d of %d zones held", free, zones, runs/20)
		}
	}
}

func zoneHolds(t *testing.T, h *levels.Heights, truth []float64) int {
	t.Helper()
	z, err := h.Flat(3)
	if err != nil {
		t.Fatal(err)
	}
	exact := *h
	exact.Z = truth
	want, err := exact.Flat(3)
	if err != nil {
		t.Fatal(err)
	}
	if z.Interval[0] <= want.Value && want.Value <= z.Interval[1] {
		return 1
	}
	return 0
}

// A walk without blunders gets a suspect at the stated rate at most: Bonferroni's share is an upper bound, nearly reached.
func TestFalseAlarms(t *testing.T) {
	const runs = 2000
	for _, u := range []string{"2 um", ""} {
		stream := chance.NewStream(5)
		found, gross := 0, 0
		for range runs {
			h := adjust(t, grid(5, 4, dome, func() float64 { return 2 * stream.Normal() }, false, u))
			if len(h.Suspects) > 0 {
				found++
			}
			if h.Fit.Chance < levels.Level {
				gross++
			}
		}
		_, high := binomial99(runs, levels.Level)
		t.Logf("u %q: %d suspects and %d unfitting walks of %d", u, found, gross, runs)
		if float64(found) > high || found == 0 {
			t.Errorf("u %q: %d of %d walks without a blunder have a suspect", u, found, runs)
		}
		if low, high := binomial99(runs, levels.Level); u != "" && (float64(gross) < low || float64(gross) > high) {
			t.Errorf("%d of %d walks fit badly", gross, runs)
		}
	}
}

// A blunder of the size that is said to show is found with the stated power, and one of 8 u in four walks of five, with its step among
// those named. At a corner of the grid two steps share a station that nothing else reaches, so the first named is one of two alike.
func TestBlundersAreFound(t *testing.T) {
	const runs = 600
	stream := chance.NewStream(8)
	plain := adjust(t, grid(5, 4, dome, func() float64 { return 0 }, false, "2 um"))
	atSize, named, caught := 0, 0, 0
	for run := range runs {
		k := run % len(plain.Checks)
		for _, size := range []float64{1000 * plain.Checks[k].Detectable, 16} {
			n := 0
			h := adjust(t, grid(5, 4, dome, func() float64 {
				n++
				slip := 0.0
				if n-1 == k {
					slip = size
				}
				return 2*stream.Normal() + slip
			}, false, "2 um"))
			first := len(h.Suspects) > 0 && (h.Suspects[0].Step == k || contains(h.Suspects[0].Others, k))
			switch {
			case first && size != 16:
				atSize++
			case first:
				caught++
				if h.Suspects[0].Step == k {
					named++
				}
			}
		}
	}
	t.Logf("of %d: %d found at the detectable size, %d at 8 u, %d of them as the first", runs, atSize, caught, named)
	if low, _ := binomial99(runs, levels.Power); float64(atSize) < low {
		t.Errorf("at the detectable size %d of %d found", atSize, runs)
	}
	if float64(named) < 0.7*runs || float64(caught) < 0.8*runs {
		t.Errorf("at 8 u %d of %d caught, %d as the first", caught, runs, named)
	}
}

func contains(list []int, k int) bool {
	for _, v := range list {
		if v == k {
			return true
		}
	}
	return false
}

// In one loop every step explains the closure alike, and a step that hangs on it explains nothing.
func TestWhatCannotBeTold(t *testing.T) {
	s := newSheet(false, "1 um")
	p := [][2]float64{{0, 0}, {300, 0}, {300, 200}, {0, 200}}
	for i, rise := range []float64{10, 20, -5, -1} {
		s.step(p[i], p[(i+1)%4], rise, "")
	}
	s.step(p[0], [2]float64{-300, 0}, 500, "")
	h := adjust(t, s)
	if len(h.Suspects) != 1 || len(h.Suspects[0].Others) != 3 || h.Checks[4].Control != 0 || !math.IsInf(h.Checks[4].Detectable, 1) {
		t.Errorf("suspects %+v, checks %+v", h.Suspects, h.Checks)
	}
	if text := strings.Join(h.Warnings, "\n"); !strings.Contains(text, "no loop goes through 1 step (line 7 of the file)") || !strings.Contains(text, "larger than the stated u allows") {
		t.Errorf("warnings %q", h.Warnings)
	}
	near(t, "error", math.Abs(h.Suspects[0].Error), 0.024, 1e-9)
}

func TestTwoBlunders(t *testing.T) {
	n := 0
	h := adjust(t, grid(6, 5, dome, func() float64 {
		n++
		return map[int]float64{3: 60, 40: -50}[n]
	}, false, "2 um"))
	if len(h.Suspects) != 2 || h.Suspects[0].Step != 2 || h.Suspects[1].Step != 39 || !strings.Contains(strings.Join(h.Warnings, "\n"), "hide each other") {
		t.Errorf("suspects %+v, warnings %q", h.Suspects, h.Warnings)
	}
	near(t, "first", h.Suspects[1].Error, -0.050, 1e-9)
}

// Same input, same answer to the last bit.
func TestSameBits(t *testing.T) {
	walk := func() (levels.Zone, *levels.Heights) {
		stream := chance.NewStream(4)
		h := adjust(t, grid(7, 6, dome, func() float64 { return 3 * stream.Normal() }, true, "3 um"))
		z, err := h.Flat(9)
		if err != nil {
			t.Fatal(err)
		}
		return z, h
	}
	z1, h1 := walk()
	z2, h2 := walk()
	if z1 != z2 || h1.Z[5] != h2.Z[5] || h1.U[5] != h2.U[5] {
		t.Error("the second time differs")
	}
}

func TestTwoThousandStations(t *testing.T) {
	stream := chance.NewStream(4)
	h := adjust(t, grid(50, 40, dome, func() float64 { return 3 * stream.Normal() }, true, "3 um"))
	if len(h.Z) != 2000 || h.Spare < 1800 || h.Fit.Ratio < 0.95 || h.Fit.Ratio > 1.05 {
		t.Errorf("%d stations, %d to spare, ratio %g", len(h.Z), h.Spare, h.Fit.Ratio)
	}
	sum := 0.0
	for _, c := range h.Checks {
		sum += c.Control
	}
	near(t, "sum of the controls", sum, float64(h.Spare), 1e-5)
}
