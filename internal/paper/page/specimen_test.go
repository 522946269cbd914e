package page

import (
	"math"

	"slatewright/internal/paper"
	"slatewright/judge"
)

const banner = "invented data, not a real certificate"

func ptr(x float64) *float64 { return &x }

// specimenMap is an invented bed: three pieces read at seven by nine places, bowed across.
func specimenMap(set string) paper.BedMap {
	const size = 900.0
	m := paper.BedMap{Title: "Set " + set, SizeX: 3 * size, SizeY: 1400, EdgeBand: 20, Zone: 0.1, StepLimit: 0.127, Mark: banner}
	for i, place := range []string{"head", "centre", "foot"} {
		middle := float64(i-1) * size
		p := paper.PieceMap{Place: place, Serial: set + "-" + place, Turned: i == 2, MinX: middle - size/2, MaxX: middle + size/2}
		for a := range 7 {
			for b := range 9 {
				x, y := middle+140*float64(a-3), 165*float64(b-4)
				p.X, p.Y, p.Z = append(p.X, x), append(p.Y, y), append(p.Z, 0.05*math.Cos(y/210))
			}
		}
		m.Pieces[i] = p
	}
	for j := range m.Joints {
		m.Joints[j] = paper.JointMap{X: (float64(j) - 0.5) * size, Steps: []paper.Step{{Y: -600, Height: 0.02}, {Y: 0, Height: -0.01}, {Y: 600, Height: 0.03}}}
	}
	return m
}

func specimenResults() []paper.Result {
	return []paper.Result{
		{Name: "Lengthwise", Note: "steps included", Value: 0.1713, U: 0.021, Limit: 0.508, Verdict: judge.Conforms, Probability: ptr(1), Bias: 0.003, Between: 0.01},
		{Name: "Step at joint 2", Value: 0.081, U: 0.011, Limit: 0.127, Verdict: judge.Conforms, Probability: ptr(0.9991)},
	}
}

func specimenIndex() Index {
	missed := specimenResults()
	missed[1].Value, missed[1].Verdict = 0.158, judge.DoesNotConform
	ix := Index{Mark: banner, Mill: "Quern Hollow", Title: "Nine pieces, three sets", Made: "2026-11-25", Program: "slatewright 0.1.0",
		Summary: []string{"Nine pieces were read. The best sets were found, judged and certified, or refused with the next step."},
		Groups:  []LinkGroup{{"Readings", []Link{{"QH-P003.csv", "readings/QH-P003.csv"}, {"QH-P009.csv", "readings/QH-P009.csv"}}}}}
	ix.Sets = append(ix.Sets, Entry{Set: "QH-0007", Verdict: judge.Conforms, Reason: "Step at joint 2 decides.", Results: specimenResults(), Coverage: "k = 2",
		Map: specimenMap("QH-0007"), Warnings: []string{"one reading was repeated"},
		Links: []Link{{"certificate, A4 (PDF)", "QH-0007.a4.pdf"}, {"sealed certificate (JSON)", "QH-0007.json"}, {"map (SVG)", "QH-0007.svg"}}})
	ix.Sets = append(ix.Sets, Entry{Set: "QH-0011", Verdict: judge.DoesNotConform, NextStep: "Take 0.06 mm off the top face of the centre piece.", Results: missed,
		Coverage: "k = 2", Map: specimenMap("QH-0011"), Links: []Link{{"refusal (PDF)", "QH-0011.pdf"}}})
	ix.Sets = append(ix.Sets, Entry{Set: "QH-0012", Verdict: judge.CannotTell, NextStep: "Let the piece dry.", Results: specimenResults(), Coverage: "k = 2",
		Map: specimenMap("QH-0012")})
	return ix
}
