package lowlp

import (
	"errors"
	"testing"

	"slatewright/trouble"
)

// A solve that is told to stop ends with a trouble of its own, wherever it is; one that is not told answers as without.
func TestASolveCanBeStopped(t *testing.T) {
	const d = 6
	m := &Dense{D: d}
	for i := range 60 {
		row := make([]float64, d)
		for j := range row {
			row[j] = float64((i*7+j*13)%17) - 8
		}
		m.Add(float64(10+i%5), row...)
	}
	p := Problem{Cost: []float64{1, -2, 3, -1, 2, -3}, Rows: m}
	want, err := Solve(p)
	if err != nil || want.Status != Optimal {
		t.Fatal(want.Status, err)
	}
	asked := 0
	p.Stop = func() bool { asked++; return false }
	got, err := Solve(p)
	if err != nil || got.Value != want.Value {
		t.Fatalf("%v, %v: want %v", got.Value, err, want.Value)
	}
	most := asked
	if most < 3 {
		t.Fatalf("asked %d times", most)
	}
	for after := range most {
		left := after
		p.Stop = func() bool { left--; return left < 0 }
		_, err := Solve(p)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != Stopped {
			t.Errorf("stopped at question %d of %d: %v", after, most, err)
		}
	}
}
