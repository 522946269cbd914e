package costfile_test

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/judge/ways"
	"slatewright/judge/ways/costfile"
	"slatewright/trouble"
)

const whole = `# invented prices
currency: EUR
overall_risk: 0.04
conforming: 420
complaint: 2600
scrap: -5
measure:
  - name: the dial again
    reads: {zone: 0.006 mm, thickness: 12.5 um}
    common: {zone: 0.002 mm}
    times: 3
    price: 4
regrind:
  - {name: a light cut, depth: 0.15 mm, depth_u: 0.01 mm, reserve: 0.05 mm, light_pass: 0.04 mm, passes: 2, pass_price: 18, minutes: 12.5, minute_price: 1.2, succeeded: 41, tried: 46}
regrade:
  - name: 8 ft
    cut_from: 1473 mm
    cut_to: 1321 mm
    limits: {zone: 0.25 mm, thickness: 1 in}
    value: 300
    complaint: 900
  - name: home
    limits: {zone: 0.5 mm}
`

func euro(v float64) *float64 { return &v }

func TestWholeFile(t *testing.T) {
	c, err := costfile.Read("costs.yaml", strings.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	want := costfile.Costs{
		Overall: 0.04,
		Prices:  ways.Prices{Currency: "EUR", Conforming: euro(420), Complaint: euro(2600), Scrap: euro(-5)},
		Measure: []ways.Remeasure{{Name: "the dial again", Reads: []ways.Reading{{Of: "zone", U: 0.006, Common: 0.002}, {Of: "thickness", U: 0.0125}}, Times: 3, Price: euro(4)}},
		Regrind: []ways.Recut{{Name: "a light cut", Depth: 0.15, DepthU: 0.01, Reserve: 0.05, LightPass: 0.04, Passes: 2, PassPrice: euro(18), Minutes: 12.5, MinutePrice: euro(1.2), Succeeded: 41, Tried: 46}},
		Regrade: []ways.Lower{
			{Name: "8 ft", Value: euro(300), Complaint: euro(900), Held: []ways.Characteristic{{Name: "zone", Limit: 0.25, Scale: ways.Shrink(1473, 1321)}, {Name: "thickness", Limit: 25.4, AtLeast: true}}},
			{Name: "home", Held: []ways.Characteristic{{Name: "zone", Limit: 0.5}}},
		},
	}
	if !reflect.DeepEqual(c, want) {
		t.Errorf("got  %+v\nwant %+v", c, want)
	}
	var k ways.Case
	rule := bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}
	c.Into(&k, rule)
	if k.Regrade[0].Held[1].Decision != rule || c.Regrade[0].Held[1].Decision == rule || k.Prices.Currency != "EUR" || k.Overall != 0.04 || len(k.Measure) != 1 || len(k.Regrind) != 1 {
		t.Errorf("%+v", k)
	}
}

// What is left out is not known: it is nil, not 0.
func TestWhatIsLeftOutIsNotKnown(t *testing.T) {
	c, err := costfile.Read("costs.yaml", strings.NewReader("scrap: 0\n"))
	if err != nil || c.Prices.Complaint != nil || c.Prices.Conforming != nil || c.Prices.Scrap == nil || *c.Prices.Scrap != 0 {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct{ text, where, what string }{
		{"", "costs.yaml", "empty"},
		{"complaint: [1", "costs.yaml", "not YAML"},
		{"complaint: 1\n---\nscrap: 0\n", "costs.yaml:", "more follows"},
		{"- a\n", "costs.yaml:1", "does not hold keys"},
		{"currency: EUR\ncomplain: 1\n", "costs.yaml:2", `no key "complain"`},
		{"complaint: 1\ncomplaint: 2\n", "costs.yaml:2", "twice"},
		{"overall_risk: 5\n", "costs.yaml:1", "no probability"},
		{"complaint: dear\n", "costs.yaml:1", "complaint"},
		{"complaint:\n", "costs.yaml:1", "no value"},
		{"complaint: *a\n", "costs.yaml", ""},
		{"measure: 3\n", "costs.yaml:1", "not a list"},
		{"measure:\n  - name: dial\n", "costs.yaml:2", "reads nothing"},
		{"measure:\n  - name: dial\n    reads: {zone: 6}\n", "costs.yaml:3", "zone"},
		{"measure:\n  - name: dial\n    reads: {zone: 6 um, zone: 6 um}\n", "costs.yaml:3", "twice"},
		{"measure:\n  - name: dial\n    reads: {zone: 6 um}\n    common: {step: 1 um}\n", "costs.yaml:4", "measure[1].common.step: a common part"},
		{"regrind:\n  - name: cut\n", "costs.yaml:2", "no depth"},
		{"measure:\n  - name: dial\n    reads: {zone: [6 um]}\n", "costs.yaml:3", "measure[1].reads.zone: a list or keys"},
		{"regrind:\n  - {name: cut, depth: 0.1 mm, tried: -3}\n", "costs.yaml:2", "whole number"},
		{"regrind:\n  - {name: cut, depth: 0.1 mm, tried: 3.5}\n", "costs.yaml:2", "whole number"},
		{"regrade:\n  - name: home\n", "costs.yaml:2", "no limits"},
		{"regrade:\n  - {name: home, limits: 3}\n", "costs.yaml:2", "names with lengths"},
		{"regrade:\n  - {name: 8 ft, limits: {zone: 1 mm}, cut_to: 1321 mm}\n", "costs.yaml:2", "cut from"},
		{"currency: " + strings.Repeat("x", 1<<20), "costs.yaml", "longer"},
	} {
		_, err := costfile.Read("costs.yaml", strings.NewReader(c.text))
		if tr := new(trouble.Trouble); !errors.As(err, &tr) || tr.Code != "bad-costs" || !strings.HasPrefix(tr.Where, c.where) || !strings.Contains(tr.What, c.what) || tr.Next == "" {
			t.Errorf("%.60q: %v", c.text, err)
		}
	}
	if _, err := costfile.ReadFile(t.TempDir() + "/none.yaml"); err == nil {
		t.Error("a file that is not there")
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(whole))
	f.Add([]byte("a: &a [*a]\n"))
	f.Add([]byte("measure: [{name: x, reads: {zone: 1 um}, price: !!int 3}]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		_, err := costfile.Read("fuzz", bytes.NewReader(text))
		if tr := new(trouble.Trouble); err != nil && (!errors.As(err, &tr) || !strings.HasPrefix(tr.Where, "fuzz") || tr.What == "") {
			t.Fatalf("%#v", err)
		}
	})
}
