package answers

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"slatewright/plate"
)

func question() Question {
	o := plate.Rectangle(914, 1473)
	return Question{Piece: plate.Piece{Outline: o, Thickness: plate.Even(25.4), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}, Under: plate.Bars(o, 0.22), SlipMM: 50, UThicknessMM: 0.1}
}

// TestSagSaysWhatPlateSays holds the answer to the plate's own figures, and the names to the contract.
func TestSagSaysWhatPlateSays(t *testing.T) {
	q := question()
	r, err := SagOf(q)
	if err != nil {
		t.Fatal(err)
	}
	b, err := plate.Bend(q.Piece, q.Under, 0)
	if err != nil {
		t.Fatal(err)
	}
	if r.PeakToValleyMM != b.PeakToValley || r.MaxMM != b.Highest || r.MinMM != b.Lowest || r.ErrorEstimateMM != b.Error {
		t.Errorf("%+v", r)
	}
	if len(r.Supports) != 2 || math.Abs(r.Supports[0].ForceN+r.Supports[1].ForceN-b.WeightN()) > 1e-6 || r.Supports[0].Touches >= 1 || !r.Supports[0].LiftsOff {
		t.Errorf("supports %+v", r.Supports)
	}
	if r.Slip == nil || r.Slip.CostsMM < 0.02 || r.Slip.CostsMM > 0.05 {
		t.Errorf("slip %+v", r.Slip)
	}
	if got := r.Moduli[0].PeakToValleyMM / r.PeakToValleyMM; math.Abs(got-1.6) > 1e-9 {
		t.Errorf("30 GPa sags %g times as much as 48", got)
	}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"peak_to_valley_mm", "max_mm", "min_mm", "error_estimate_mm", "warnings", "proof", "lifts_off"} {
		if !strings.Contains(string(text), `"`+key+`":`) {
			t.Errorf("no %s in %s", key, text)
		}
	}
}

// TestLoadGivesTheModulus lays 20 kg on a piece between its ends, as in the shop.
func TestLoadGivesTheModulus(t *testing.T) {
	q := question()
	q.Under, q.SlipMM = plate.Bars(q.Piece.Outline, 0), 0
	q.Load = &Load{KG: 20, DialMM: 0.22, UDialMM: 0.01}
	r, err := SagOf(q)
	if err != nil {
		t.Fatal(err)
	}
	if l := r.Load; math.Abs(l.DeflectionMM-0.22) > 0.01 || math.Abs(*l.ModulusGPa-48*l.DeflectionMM/0.22) > 1e-9 || *l.ModulusUGPa < 2 || *l.ModulusUGPa > 3 {
		t.Errorf("%+v", l)
	}
	if r.Slip != nil || len(r.Warnings) != 0 {
		t.Errorf("slip %+v, warnings %v", r.Slip, r.Warnings)
	}
	q.Load.KG = -1
	if _, err := SagOf(q); err == nil {
		t.Error("a weight below nothing is taken")
	}
	q.Load, q.Under = nil, plate.Under{Points: []plate.Support{{X: 300, Y: 500}, {X: -300, Y: 500}, {X: 300, Y: -500}, {X: -300, Y: -500}}}
	if r, err = SagOf(q); err != nil || len(r.Warnings) != 1 {
		t.Errorf("four points: %v, %v", r.Warnings, err)
	}
}
