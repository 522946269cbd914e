package trial

import (
	"math"
	"strings"
	"testing"

	"slatewright/internal/rehearsal/grinding"
	"slatewright/surfacing/toolmarks"
)

// A small part of the table, on the seeds that the package was made by: go run ./speed toolmarks makes the whole one on others. Two machines of each
// cause are about 90 faces; one wrong cause is allowed, and one correction beyond a fifth of those that are said to be sure.
func TestFirstCauses(t *testing.T) {
	rows, err := Table(WorkingSeed, 2, 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	all := sum(rows)
	if all.Faces < 60 || all.Settled < 8 {
		t.Errorf("%d faces and %d sure corrections only", all.Faces, all.Settled)
	}
	if all.Right < all.Cases-1 || all.SettledGood < all.Settled-1 {
		t.Errorf("%d of %d first causes right, %d of %d sure corrections within a fifth", all.Right, all.Cases, all.SettledGood, all.Settled)
		var b strings.Builder
		Print(&b, rows)
		t.Log(b.String())
	}
}

func TestTheTableCounts(t *testing.T) {
	c := &grinding.Case{Faces: make([]grinding.Face, 3)}
	rows := []Row{{Cause: grinding.LeanAlong}}
	rows[0].Add(Result{Cause: grinding.LeanAlong, Told: "lean-along", Right: true, Error: 0.1, Covered: true, Settled: true, Case: c})
	rows[0].Add(Result{Cause: grinding.LeanAlong, Second: grinding.BedWave, Told: "bed-wave", Error: math.NaN(), Case: c})
	rows[0].Add(Result{Cause: grinding.LeanAlong, Second: grinding.BedWave, Told: "lean-along", Right: true, Error: 0.3, Case: c})
	var b strings.Builder
	Print(&b, rows)
	for _, want := range []string{"| lean along | 3 | 9 |  | 2 |  |  |  |  |  | 1 |  |  | 67 % | 50 % |", "| lean along | 2 | 1 | 100 % | 1 | 50 % | 50 % |", "| all | 2 | 1 |"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no line %q in\n%s", want, b.String())
		}
	}
	if right, good, settled := Share(rows); right < 0.66 || right > 0.67 || good != 0.5 || settled != 1 {
		t.Errorf("shares %g, %g, %g", right, good, settled)
	}
}

// A correction is held against what it corrects: a wave's height, though the machine's spindle leans as well.
func TestCorrectionsAreHeldAgainstTheirTruth(t *testing.T) {
	c := &grinding.Case{Cause: grinding.BedWave, Second: grinding.LeanAlong, Strength: 0.030, Lean: 1e-4}
	r := Result{Case: c}
	r.correction(toolmarks.Mark{Cause: toolmarks.BedWave, Strength: toolmarks.Interval{Value: 0.033, Low: 0.029, High: 0.037}})
	if math.Abs(r.Error-0.1) > 1e-9 || !r.Covered || !r.Settled {
		t.Errorf("%+v", r)
	}
	lean := toolmarks.Interval{Value: -1.2e-4, Low: -1.6e-4, High: -0.9e-4}
	r.correction(toolmarks.Mark{Cause: toolmarks.LeanAcross, Strength: toolmarks.Interval{Value: 0.02}, Leans: []toolmarks.Interval{{}, lean}})
	if math.Abs(r.Error-0.2) > 1e-9 || !r.Covered || r.Settled {
		t.Errorf("%+v", r)
	}
}
