package seating_test

import (
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
)

// eightieths is a face of 900 by 1400 mm with heights in steps of about 1/80 mm, rounded as sums come out, at 3 × 5 places and along both edges.
func eightieths(name string, grid [3][5]float64, minus, plus [5]float64) *face.Face {
	f := &face.Face{Header: face.Header{Name: name, SizeX: 900, SizeY: 1400, Side: face.Top}}
	add := func(x, y, z float64, row face.Row) {
		f.X, f.Y, f.Z, f.Row = append(f.X, x), append(f.Y, y), append(f.Z, z), append(f.Row, row)
	}
	for i, column := range grid {
		for k, z := range column {
			add(440*float64(i-1), 345*float64(k-2), z, face.NoRow)
		}
	}
	for k := range minus {
		add(-440, 345*float64(k-2), minus[k], face.JointMinus)
		add(440, 345*float64(k-2), plus[k], face.JointPlus)
	}
	return f
}

// flat900 is a flat face of the same size, read at 5 × 9 places and along both edges.
func flat900(name string) *face.Face {
	f := &face.Face{Header: face.Header{Name: name, SizeX: 900, SizeY: 1400, Side: face.Top}}
	add := func(x, y float64, row face.Row) {
		f.X, f.Y, f.Z, f.Row = append(f.X, x), append(f.Y, y), append(f.Z, 0), append(f.Row, row)
	}
	for k := range 9 {
		y := 175 * float64(k-4)
		for i := range 5 {
			add(225*float64(i-2), y, face.NoRow)
		}
		add(-442.5, y, face.JointMinus)
		add(442.5, y, face.JointPlus)
	}
	return f
}

// The rows of these pieces contradict each other; in floats that is unsettled, and in exact rationals the first box takes part in it.
func TestALimitThatNoneCanMeetIsNoFailure(t *testing.T) {
	spec := bed.NineFoot()
	spec.EdgeBand = 0
	q := seating.Question{Spec: spec, Faces: [3]*face.Face{
		eightieths("a", [3][5]float64{{-0.025, -0.0375, -0.025, 0.012499999999999997, 0.025}, {0.15, 0.11249999999999999, 0.125, 0.11249999999999999, 0.15}, {0.07500000000000001, -0.037500000000000006, -0.07500000000000001, -0.0875, -0.025}}, [5]float64{-0.07500000000000001, -0.0875, -0.05, -0.012500000000000004, 0.05}, [5]float64{0.05, -0.037500000000000006, -0.07500000000000001, -0.0875, -0.025}),
		eightieths("b", [3][5]float64{{0, -0.0875, -0.175, -0.13749999999999998, 0}, {0.125, 0.0625, 0.025, 0.037500000000000006, 0.125}, {0.025, -0.11249999999999999, -0.175, -0.13749999999999998, -0.025}}, [5]float64{0.025, -0.13749999999999998, -0.15, -0.0875, 0}, [5]float64{-0.025, -0.13749999999999998, -0.15, -0.0875, -0.025}),
		flat900("c")}}
	for _, limit := range []float64{0.0499, 0.05, 0.0501} {
		q.MaxStep = limit
		r := seat(t, q)
		if r.Feasible || !r.Proven {
			t.Errorf("steps of %v: feasible %v, proven %v", limit, r.Feasible, r.Proven)
		}
		near(t, "least larger step", max(r.Joints[0].Largest, r.Joints[1].Largest), 0.0625, 1e-8)
	}
}
