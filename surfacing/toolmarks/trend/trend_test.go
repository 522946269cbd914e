package trend_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/toolmarks/trend"
)

// row is twenty values over half a year, with noise of 1, a step or a growth of the given size from the given day on.
func row(d *chance.Stream, begin, step, slope float64) (list []trend.Value) {
	for i := range 20 {
		day := float64(i) * 9
		v := trend.Value{Day: day, U: 1, Value: 10 + d.Normal()}
		if day > begin {
			v.Value += step + slope*(day-begin)
		}
		list = append(list, v)
	}
	return list
}

// Changes are found, the interval holds the day about as often as it says, and steady rows are seldom taken for changes. 200 rows each leave a
// standard error of 0.02.
func TestChangesAreFound(t *testing.T) {
	const n = 200
	d := chance.NewStream(11)
	for _, c := range []struct {
		name                 string
		step, slope          float64
		foundLeast, heldLess float64
	}{{"step", 6, 0, 0.99, 0.88}, {"growth", 0, 0.08, 0.97, 0.85}, {"small step", 3, 0, 0.85, 0.85}} {
		found, held := 0, 0
		for range n {
			begin := 40 + 90*d.Float64()
			got := trend.Find(row(d, begin, c.step, c.slope))
			if got.Kind == trend.Step || got.Kind == trend.Growth {
				found++
				if got.From <= begin && begin <= got.To {
					held++
				}
			}
		}
		if share := float64(found) / n; share < c.foundLeast {
			t.Errorf("%s: found in %.3f", c.name, share)
		}
		if share := float64(held) / float64(max(found, 1)); share < c.heldLess {
			t.Errorf("%s: the interval held the day in %.3f", c.name, share)
		}
	}
	wrong := 0
	for range 2 * n {
		if got := trend.Find(row(d, 1000, 0, 0)); got.Kind == trend.Step || got.Kind == trend.Growth {
			wrong++
		}
	}
	if share := float64(wrong) / (2 * n); share > 0.03 {
		t.Errorf("steady rows taken for changes: %.3f", share)
	}
}

func TestTooFewCannotTell(t *testing.T) {
	d := chance.NewStream(1)
	if got := trend.Find(row(d, 40, 100, 0)[:trend.Fewest-1]); got.Kind != trend.Unsure || !math.IsNaN(got.Day) {
		t.Errorf("%+v", got)
	}
	same := row(d, 40, 100, 0)
	for i := range same {
		same[i].Day = 3
	}
	if got := trend.Find(same); got.Kind != trend.Unsure {
		t.Errorf("one day: %+v", got)
	}
}

func TestLevels(t *testing.T) {
	var list []trend.Value
	for i := range 12 {
		v := trend.Value{Day: float64(i), Value: 2, U: 0.1}
		if i >= 6 {
			v.Value = 5
		}
		list = append(list, v)
	}
	got := trend.Find(list)
	if got.Kind != trend.Step || math.Abs(got.Before-2) > 0.01 || math.Abs(got.After-5) > 0.01 || got.Day < 5 || got.Day > 6 {
		t.Errorf("%+v", got)
	}
}
