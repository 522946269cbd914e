package sets_test

import (
	"math"
	"testing"

	"slatewright/bed"
	"slatewright/seating"
	"slatewright/sets"
)

// within is a bed at the given shares of the limits of 0.5, 0.25, 0.5 and 0.1 mm.
func within(along, across, zone, step float64) seating.Trial {
	return seating.Trial{Index: [3]int{2, 0, 1}, Feasible: true,
		Figures: seating.Figures{Lengthwise: along * 0.5, Across: across * 0.25, Zone: zone * 0.5, Steps: [2]float64{0, step * 0.1}}}
}

func TestCriteria(t *testing.T) {
	c := sets.Criteria{Limits: bed.Limits{Lengthwise: 0.5, Across: 0.25, Zone: 0.5, Step: 0.1}, Room: 0.05}
	if got := c.StepRoom(); math.Abs(got-0.05) > 1e-15 {
		t.Errorf("step room %v", got)
	}
	good := []struct {
		t    seating.Trial
		want bool
	}{
		{within(0.9, 0.8, 0.9, 0.5), true},
		{within(0.91, 0.8, 0.9, 0.5), false},
		{within(0.9, 0.81, 0.9, 0.5), false},
		{within(0.9, 0.8, 0.91, 0.5), false},
		{seating.Trial{}, false},
	}
	for i, g := range good {
		if got := c.Good(g.t); got != g.want {
			t.Errorf("case %d: good %v", i, got)
		}
	}
	c.Ready = []bool{true, false, true}
	if c.Good(within(0.1, 0.1, 0.1, 0.1)) {
		t.Error("a set with a piece that is not ready is good")
	}
	if got := c.Cost(within(0, 0, 0.4, 0.3)); math.Abs(got-0.7) > 1e-12 {
		t.Errorf("cost %v, want 0.4 + 0.3", got)
	}
	c.Thickness = []float64{25.4, 25.9, 25.5}
	if got := c.Cost(within(0, 0, 0.4, 0.3)); math.Abs(got-2.7) > 1e-12 {
		t.Errorf("cost %v, want 0.7 + 0.5/0.25", got)
	}
	c.Thickness = []float64{math.NaN(), 25.9, math.NaN()}
	if got := c.Cost(seating.Trial{Index: [3]int{0, 1, 2}}); got != 100 {
		t.Errorf("cost %v of a bed that does not close", got)
	}
}
