package advice_test

import (
	"os"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/judge/ways/costfile"
	"slatewright/wholeface"
	"slatewright/wholeface/advice"
)

// A face that is believed flat is accepted by risk without prices, and weighed by cost with the mill's own.
func TestWhatIsBelievedIsAdvisedOn(t *testing.T) {
	q := wholeface.Question{SizeX: 914, SizeY: 1473, Band: 20, U: 0.005, CaliperU: 0.025}
	for i := range 6 {
		for j := range 9 {
			x, y := -437+float64(i)*874/5, -716.5+float64(j)*1433/8
			q.Readings = append(q.Readings, wholeface.Reading{X: x, Y: y, Z: 0.1 * (x / 457) * (x / 457)})
			q.Caliper = append(q.Caliper, wholeface.Thickness{X: x, Y: y, T: 26.2})
		}
	}
	a, err := wholeface.Of(q, nil)
	if err != nil {
		t.Fatal(err)
	}
	rule := bed.Decision{Rule: bed.RuleGuardBand, Risk: 0.05}
	least := 25.4
	known := advice.Believed(a, 0.6, &least)
	if len(known) != 3 || known[0].Name != "zone" || !known[2].AtLeast { // the middle one is what was not learned
		t.Fatalf("%+v", known)
	}
	if bare := advice.Believed(a, 0.6, nil); len(bare) != 2 {
		t.Errorf("without a least thickness %+v", bare)
	}
	if low, high := known[2].Quantile(0.05), known[2].Quantile(0.95); !(low < 26.2 && high > low) {
		t.Errorf("thickness between %v and %v", low, high)
	}
	r, err := advice.Of("piece", known, nil, rule, 1)
	if err != nil || r.RankedBy != "risk" || r.Recommendation != "ship" || r.ExpectedCost != nil {
		t.Errorf("%+v, %v", r, err)
	}
	file, err := os.Open("../../docs/examples/costs.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	costs, err := costfile.Read("costs.yaml", file)
	if err != nil {
		t.Fatal(err)
	}
	normal := advice.Known{Name: "zone", Quantile: func(p float64) float64 { return 0.24 + 0.02*chance.Quantile(p) }, Limit: 0.254}
	thick := advice.Known{Name: "thickness", Quantile: func(p float64) float64 { return 25.7 + 0.0125*chance.Quantile(p) }, Limit: 25.4, AtLeast: true}
	if r, err = advice.Of("piece", []advice.Known{normal, thick}, &costs, rule, 1); err != nil || r.RankedBy != "cost" || r.ExpectedCost == nil {
		t.Errorf("%+v, %v", r, err)
	}
}
