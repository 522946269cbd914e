package trial

import (
	"math"
	"strings"
	"testing"

	"slatewright/internal/rehearsal/grinding"
)

// A small part of the table, on the seeds that the package was made by: go run ./speed toolmarks makes the whole one on others. Two machines of each
// cause are about 55 faces; one wrong cause is allowed, and a quarter of the corrections beyond a fifth.
func TestFirstCauses(t *testing.T) {
	rows, err := Table(WorkingSeed, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	faces := 0
	for _, r := range rows {
		faces += r.Faces
	}
	if faces < 40 {
		t.Errorf("%d faces only", faces)
	}
	if right, good := Share(rows); right < 15.0/16-1e-9 || good < 0.75 {
		t.Errorf("the right first cause in %.2f, corrections within a fifth in %.2f", right, good)
		var b strings.Builder
		Print(&b, rows)
		t.Log(b.String())
	}
}

func TestTheTableCounts(t *testing.T) {
	c := &grinding.Case{Faces: make([]grinding.Face, 3)}
	rows := []Row{{Cause: grinding.LeanAlong}}
	rows[0].Add(Result{Cause: grinding.LeanAlong, Told: "lean-along", Right: true, Error: 0.1, Covered: true, Case: c})
	rows[0].Add(Result{Cause: grinding.LeanAlong, Second: grinding.BedWave, Told: "bed-wave", Error: math.NaN(), Case: c})
	rows[0].Add(Result{Cause: grinding.LeanAlong, Second: grinding.BedWave, Told: "lean-along", Right: true, Error: 0.3, Case: c})
	var b strings.Builder
	Print(&b, rows)
	if want := "| lean along | 3 | | 2 | | | | | | 1 | | | 67 % | 50 % | 50 % | 50 % |"; !strings.Contains(b.String(), want) {
		t.Errorf("no line %q in\n%s", want, b.String())
	}
	if right, good := Share(rows); right < 0.66 || right > 0.67 || good != 0.5 {
		t.Errorf("shares %g, %g", right, good)
	}
}
