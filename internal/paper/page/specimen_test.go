package page

import (
	"encoding/json"
	"os"

	"slatewright/internal/paper"
	"slatewright/internal/picture/bedmap"
	"slatewright/judge"
)

const banner = "invented data, not a real certificate"

func ptr(x float64) *float64 { return &x }

// specimenMap reads the map of an invented set.
func specimenMap(set string) bedmap.Map {
	text, err := os.ReadFile("../testdata/bed.json")
	if err != nil {
		panic(err)
	}
	var m bedmap.Map
	if err := json.Unmarshal(text, &m); err != nil {
		panic(err)
	}
	m.Title = "Set " + set
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
