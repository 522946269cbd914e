package answers_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/cutting/leaves/answers"
	"slatewright/sheet"
	"slatewright/trouble"
)

const block = `# way: saw
# thickness: 120 mm
# skin: 3 mm
# kerf: 5 mm
# size: 1000 x 1000 mm
# density: 2800 kg/m3
# allowance: 8.6 mm
# minutes per mm: 9
name,finished,value,most
9 ft,25.4 mm,100,
thick,30,130,1
`

func of(text, history string, share float64) (*answers.Answer, error) {
	s, err := sheet.Read("b.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	q, err := answers.Read(s)
	if err != nil {
		return nil, err
	}
	var needs []float64
	if history != "" {
		h, err := answers.ReadHistory("h.csv", strings.NewReader(history), "")
		if err != nil {
			return nil, err
		}
		needs = h.Needs
	}
	return answers.Of(q, needs, share)
}

func history(n int) string {
	text := "piece,need_mm\n"
	for i := range n {
		text += fmt.Sprintf("P-%d,%.2f\n", i, 4+float64(i)/100)
	}
	return text
}

func TestPlanOfABlock(t *testing.T) {
	a, err := of(block, "", 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// Rough 34 and 38.6: three of 34 need 112, two of 34 and one of 38.6 need 116.6 of 114.
	if len(a.Leaves) != 3 || a.Value != 300 || a.From != answers.FromMill || math.Abs(a.Left-2) > 1e-9 || math.Abs(*a.Less.Kg-2.8) > 1e-12 || *a.Less.Minutes != 9 {
		t.Errorf("%+v", a)
	}
	if a.Less.Leaves != 0 || a.Less.Value != 30 || a.Next == nil || math.Abs(a.Next.Allowance-7.73) > 1e-9 { // 2·25.4 + 30 + 3·a + 10 = 114
		t.Errorf("%+v %+v", a.Less, a.Next)
	}
	if len(a.Cuts) != 4 || a.Cuts[0] != (answers.Cut{From: 0, To: 3}) || a.Cuts[1] != (answers.Cut{From: 37, To: 42}) {
		t.Errorf("%+v", a.Cuts)
	}
}

func TestOrder(t *testing.T) {
	a, err := of(strings.NewReplacer("most\n", "ordered\n", ",130,1", ",130,4").Replace(strings.Replace(block, "100,\n", "100,7\n", 1)), "", 0.95)
	// Three leaves a block, of 34 or one of them 38.6 in 114: 2 × 34 + 38.6 + 10 = 116.6 does not fit, so a thick one goes with one other.
	if err != nil || a.Order == nil || a.Order.Blocks != a.Order.Bound || a.Order.Blocks != 5 {
		t.Errorf("%+v, %v", a.Order, err)
	}
}

func TestAllowanceFromHistory(t *testing.T) {
	for n, from := range map[int]string{58: answers.FromMill, 59: answers.FromHistory, 200: answers.FromHistory} {
		a, err := of(block, history(n), 0.95)
		if err != nil || a.From != from || a.Told() != (from == answers.FromHistory) {
			t.Errorf("%d: %+v, %v", n, a, err)
		}
	}
	a, err := of(strings.Replace(block, "# allowance: 8.6 mm\n", "", 1), "", 0.95)
	if err != nil || a.From != answers.FromPractice || a.Allowance != 5 { // 2 × (2 + 0.5)
		t.Errorf("%+v, %v", a, err)
	}
	a, err = of(strings.NewReplacer("# allowance: 8.6 mm\n", "", "saw", "cleave").Replace(block), "", 0.95)
	if err != nil || a.Kerf != 0 || a.Allowance != 11 || len(a.Warnings) != 1 {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestRefused(t *testing.T) {
	for want, change := range map[string][2]string{
		"no-header":   {"# thickness: 120 mm\n", ""},
		"bad-header":  {"# kerf: 5 mm", "# kerf: wide"},
		"bad-number":  {"thick,30,130,1", "thick,30,130,1.5"},
		"bad-want":    {"thick,30,130,1", "thick,30,0,1"},
		"bad-block":   {"# kerf: 5 mm", "# kerf: 5 mm\n# plane: 130 mm"},
		" bad-header": {"# kerf: 5 mm", "# kerf: 5 mm\n# plane: 30 mm ± -3 mm"}, "  bad-header": {"1000 x 1000 mm", "30 x 0.5 m"}, "   bad-header": {"mm: 9", "mm: -9"},
	} {
		_, err := of(strings.Replace(block, change[0], change[1], 1), "", 0.95)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != strings.TrimSpace(want) {
			t.Errorf("%s: %v", want, err)
		}
	}
	if _, err := of(block, history(70), 1); err == nil {
		t.Error("a share of all pieces passes")
	}
	if _, err := of(block, "need\n-1\n", 0.9); err == nil {
		t.Error("a need below nothing passes")
	}
}

// Whatever is read, the answer can be sent or the trouble has a code.
func FuzzRead(f *testing.F) {
	f.Add(block, history(3))
	f.Add(strings.Replace(block, "saw", "cleave", 1)+"a,1 in,5,\n", "need;layer\n3,5;A\n")
	f.Add(block, `{"slab":"A","available_mm":26.1,"cut_to_mm":25.4,"off_top_mm":{"mean":1},"off_bottom_mm":{"mean":1},"allowances":{"damage_top_mm":0.3}} [{"pieces":[]}]`)
	f.Fuzz(func(t *testing.T, text, past string) {
		a, err := of(text, past, 0.9)
		var tr *trouble.Trouble
		if err != nil && (!errors.As(err, &tr) || tr.Code == "" || tr.Kind != trouble.KindData) {
			t.Fatal(err)
		}
		if _, err := json.Marshal(a); err != nil {
			t.Fatal(err)
		}
	})
}
