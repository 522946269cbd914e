package answers_test

import (
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"

	"slatewright/lining"
	"slatewright/lining/answers"
	"slatewright/sheet"
	"slatewright/trouble"
)

func example(t *testing.T, name string) *sheet.Sheet {
	t.Helper()
	f, err := os.Open("../../docs/examples/lining/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	list, err := sheet.Read(name, f)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestExampleBatch(t *testing.T) {
	g, err := answers.OfBatch(example(t, "batch.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if g.Outcome != lining.Glue || g.Verdict != "may be glued" || g.Best == nil || *g.Best != g.Layouts[0].Layout || g.Room == nil || len(g.Months) != 12 || len(g.Causes) != 6 || g.Sample == nil || !g.Sample.Told {
		t.Errorf("%+v", g)
	}
	for _, m := range g.Months {
		if (m.Humidity.Value < g.State.Value) != (m.Face == "crowned") || m.Bow.Low > m.Bow.Value || m.Bow.Value > m.Bow.High {
			t.Errorf("a board glued at %.1f %% in %.0f %%: %s, %+v", g.State.Value, m.Humidity.Value, m.Face, m.Bow)
		}
	}
	for _, s := range append(append(append([]answers.Said{}, g.Why...), g.Next...), g.Notes...) {
		if s.Key == "" || s.Text == "" || strings.Contains(s.Text, "%!") {
			t.Errorf("%+v", s)
		}
	}
	if text, err := json.Marshal(g); err != nil || strings.Contains(string(text), "Outcome") {
		t.Errorf("%s, %v", text, err)
	}
}

func TestExampleCoupon(t *testing.T) {
	c, err := answers.OfCoupon(example(t, "coupon.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if !c.Told || c.Slope.Low > 0.036 || c.Slope.High < 0.036 || c.Line == nil || !strings.HasPrefix(*c.Line, "# coupon: ") { // invented with 0.036 mm
		t.Errorf("%+v", c)
	}
}

// Every trouble names the file.
func TestTroubleNamesTheFile(t *testing.T) {
	for _, ask := range []func(*sheet.Sheet) error{
		func(s *sheet.Sheet) error { _, err := answers.OfBatch(s); return err },
		func(s *sheet.Sheet) error { _, err := answers.OfCoupon(s); return err },
	} {
		for _, text := range []string{"day\n0\n", "# length: 1 mm\n# piece: 900 x 900 mm\n# destination: held at fifty\nday,humidity,bow\n1,2,3\n"} {
			list, err := sheet.Read("x.csv", strings.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			var tr *trouble.Trouble
			if err := ask(list); !errors.As(err, &tr) || !strings.HasPrefix(tr.Where, "x.csv") {
				t.Errorf("%q: %v", text, err)
			}
		}
	}
}
