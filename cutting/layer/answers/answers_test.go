package answers_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"slatewright/cutting/layer/answers"
	"slatewright/cutting/layer/mapfile"
)

const survey = `# depth: 140 mm
# kerf: 6 mm
# reach: 60 mm
# block: 9 ft, 1500 x 900 mm, value 10
what,name,x_m,y_m,x2_m,y2_m,stance,chance,photo
outline,,0,0
outline,,3.1,0
outline,,3.1,2
outline,,0,2
`

func of(t *testing.T, text string) *answers.Answer {
	t.Helper()
	m, err := mapfile.Read("f", strings.NewReader(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := answers.Of(m)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := json.Marshal(a); err != nil {
		t.Fatal(err)
	}
	return a
}

func TestAnswer(t *testing.T) {
	a := of(t, survey)
	if a.Value != 40 || a.Bound < 40 || a.Gap != 1-a.Value/a.Bound || len(a.Blocks) != 4 || a.Counts[0].Whole != 4 || a.Lifts != 3 || *a.BlockKg != 540 || /* 1.5 × 0.9 × 0.14 × 2850 = 538.65 */ len(a.Warnings) != 2 || !a.Proven {
		t.Errorf("%+v", a)
	}
	if last := a.Cuts[len(a.Cuts)-1]; last.Order != len(a.Cuts) || !last.Cross || a.Cuts[0].Cross {
		t.Errorf("%+v", a.Cuts)
	}
	a = of(t, survey+"joint,J1,0,0.5,3.1,0.5,steep,50%,IMG-1\n")
	if len(a.Survey) != 1 || a.Survey[0].Photo != "IMG-1" || a.Draws < 2 || a.SD <= 0 || math.Abs(a.Counts[0].Whole*10-a.Value) > 1e-6 {
		t.Errorf("%+v", a)
	}
	a = of(t, strings.Replace(survey, "1500 x 900", "5000 x 900", 1))
	if len(a.Blocks) != 0 || a.Value != 0 {
		t.Errorf("%+v", a)
	}
}
