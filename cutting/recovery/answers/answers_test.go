package answers_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/cutting/recovery/answers"
	"slatewright/sheet"
	"slatewright/trouble"
)

const year = `# overburden: out
# density: 2800 kg/m3
stage,entry,cause,tonnes,m3,doubt,pieces,price a tonne,price a piece
quarry,in,,,100,1,,,
quarry,overburden,,,50,1,,,
quarry,loss,joints,100,,3,,2,
quarry,out,,40,,1,10,,
saw,in,,40,,1,10,,
saw,loss,cracks,10,,1,3,,100
saw,out,,30,,1,7,,
`

const bodies = "# density: 2800 kg/m3\nname,length_mm,width_mm,thickness_mm,mass\nA,1000,1000,100,200\nA,,,101,\n"

func account(text string) (*answers.Account, error) {
	s, err := sheet.Read("f.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	w, err := answers.Read(s)
	if err != nil {
		return nil, err
	}
	return answers.Of(w)
}

func TestAccount(t *testing.T) {
	a, err := account(year)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(*a.Recovery.Value-30.0/140) > 1e-12 || math.Abs(*a.In.Value-30.0/280) > 1e-12 || !a.Closes || *a.Pieces != 0.7 || *a.Money != 500 {
		t.Errorf("%+v", a)
	}
	if a.Losses[0].Cause != "cracks" || *a.Losses[0].Money != 300 || a.Losses[1].Cause != "overburden" && a.Losses[1].Cause != "joints" {
		t.Errorf("%+v", a.Losses)
	}
	if a, err = account(strings.Replace(year, "out\n", "in\n", 1)); err != nil || *a.Recovery.Value != *a.In.Value {
		t.Errorf("%+v, %v", a, err)
	}
	if a, err = account(strings.Replace(year, "joints,100", "joints,60", 1)); err != nil || a.Closes || a.Stages[0].Missing.T != 40 {
		t.Errorf("%+v, %v", a, err)
	}
	if a, err = account(strings.Replace(year, "cracks,10,,1,3,,100", "cracks,10,,1,3,,", 1)); err != nil || a.Money != nil || a.Losses[0].Cause != "overburden" {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestRefused(t *testing.T) {
	for want, change := range map[string][2]string{
		"no-definition": {"# overburden: out\n", ""},
		"bad-row":       {"quarry,out,,40", "quarry,gone,,40"},
		"no-entry":      {"saw,out,,30,,1,7,,\n", ""},
		"bad-number":    {"joints,100", "joints,-100"},
		"bad-header":    {"2800 kg/m3", "2800"},
		"bad-stage":     {"quarry,in,,,100", "quarry,in,,,0"},
		"columns":       {"stage,entry", "stages,entry"},
	} {
		_, err := account(strings.Replace(year, change[0], change[1], 1))
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != want && !(want == "columns" && tr.Code == "bad-title") {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// What would be lost without a word is refused: prices where nothing is lost, a price of pieces that nobody counted, a mass in a further row.
func TestNothingIsLostUnsaid(t *testing.T) {
	for _, change := range [][2]string{{"quarry,out,,40,,1,10,,", "quarry,out,,40,,1,10,5,"}, {"cracks,10,,1,3,,100", "cracks,10,,1,,,100"}, {"# density: 2800 kg/m3", "# density: 28 kg/m3"}} {
		if a, err := account(strings.Replace(year, change[0], change[1], 1)); err == nil {
			t.Errorf("%q: %+v", change[1], a)
		}
	}
	if l, err := lifts(strings.Replace(bodies, "A,,,101,", "A,,,101,290", 1)); err == nil {
		t.Errorf("%+v", l)
	}
	l, err := lifts(strings.NewReplacer("mass\n", "mass_lb\n", ",200\n", ",620\n").Replace(bodies))
	if err != nil || math.Abs(*l.Lifts[0].Typed-281.227) > 0.001 || !l.Agree {
		t.Errorf("%+v, %v", l, err)
	}
	a, err := account(strings.NewReplacer("saw,in,,40,,1,10", "saw,in,,40,,1,4", "saw,out,,30,,1,7", "saw,out,,30,,1,20").Replace(year))
	if err != nil || a.Pieces != nil || a.Stages[1].Pieces != nil || !strings.Contains(strings.Join(a.Warnings, ";"), "counted anew") {
		t.Errorf("%+v, %v", a, err)
	}
}

func lifts(text string) (*answers.Lifts, error) {
	s, err := sheet.Read("f.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	b, err := answers.ReadLift(s)
	if err != nil {
		return nil, err
	}
	return answers.OfLifts(b)
}

func TestLifts(t *testing.T) {
	l, err := lifts(bodies)
	if err != nil || len(l.Lifts) != 1 || math.Abs(l.Lifts[0].Kg-282.8) > 1e-9 || l.Lifts[0].Rounded != 285 || l.Agree || len(l.Warnings) != 1 {
		t.Errorf("%+v, %v", l, err)
	}
	for _, bad := range []string{"A,,,101", "A,5,,101", "A,,,thick"} {
		if l, err := lifts(strings.Replace(bodies, "A,1000", bad+",\nA,1000", 1)); err == nil {
			t.Errorf("%s: %+v", bad, l)
		}
	}
}

// Whatever is read, the answer can be sent or the trouble has a code.
func FuzzRead(f *testing.F) {
	f.Add(year)
	f.Add(bodies)
	f.Add("# overburden: in\nstage;entry;tonnes\na;in;1e9\na;out;0\n")
	f.Fuzz(func(t *testing.T, text string) {
		a, err := account(text)
		l, err2 := lifts(text)
		for _, err := range []error{err, err2} {
			var tr *trouble.Trouble
			if err != nil && (!errors.As(err, &tr) || tr.Code == "" || tr.Kind != trouble.KindData) {
				t.Fatal(err)
			}
		}
		if _, err := json.Marshal([]any{a, l}); err != nil {
			t.Fatal(err)
		}
	})
}
