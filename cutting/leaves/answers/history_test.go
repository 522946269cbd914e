package answers_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/cutting/leaves/answers"
	"slatewright/face"
	"slatewright/surfacing/cleanup"
	cleaned "slatewright/surfacing/cleanup/answers"
	"slatewright/trouble"
)

// cleanup answers for a slab 30 mm thick with a ridge of some height along the middle of its top, damage off each face.
func cleanup1(t *testing.T, name string, ridge, damage, finish float64) *cleaned.Slab {
	t.Helper()
	read := func(side string, z func(x float64) float64) *face.Face {
		text := "# size: 914 x 1473 mm\n# u: 0.001 mm\n# face: " + side + "\n"
		for _, p := range [][2]float64{{-400, -700}, {400, -700}, {-400, 700}, {400, 700}} {
			text += fmt.Sprintf("# thickness: %g %g 30\n", p[0], p[1])
		}
		text += "x,y,z\n"
		for i := -4; i <= 4; i++ {
			for k := -4; k <= 4; k++ {
				text += fmt.Sprintf("%d,%d,%g\n", 100*i, 175*k, z(float64(100*i)))
			}
		}
		f, err := face.Read("f", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	q := cleaned.Usual()
	q.Name, q.AsRead = name, true
	q.Limits = cleanup.Limits{Finish: finish, DamageTop: damage, DamageBottom: damage}
	q.Top = read("top", func(x float64) float64 {
		if x == 0 {
			return ridge
		}
		return 0
	})
	q.Bottom = read("bottom", func(float64) float64 { return 0 })
	got, err := cleaned.Of(q)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func said(t *testing.T, what any) string {
	t.Helper()
	text, err := json.MarshalIndent(what, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text) + "\n"
}

// A slab 30 mm thick with a ridge of 0.9 mm on one of nine columns is 30.1 mm thick on average and gives 30 mm less the damage, whatever finish is asked for.
func TestNeedOfACleanUp(t *testing.T) {
	one, two := cleanup1(t, "A", 0.9, 0.3, 25), cleanup1(t, "B", 1.8, 0, 29.9)
	three := cleanup1(t, "C", 0.9, 0.3, 31) // not possible
	set, err := cleaned.OfSet([]*cleaned.Slab{cleanup1(t, "D", 0.9, 0.3, 0), cleanup1(t, "E", 1.8, 0.3, 0)})
	if err != nil {
		t.Fatal(err)
	}
	lines, err := json.Marshal(one)
	if err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string]struct {
		text  string
		needs []float64
		notes int
	}{
		"one after the other": {said(t, one) + said(t, two) + said(t, three), []float64{0.7, 0.2, 0.7}, 2},
		"lines":               {string(lines) + "\n" + strings.Replace(string(lines), `"A"`, `"F"`, 1) + "\n", []float64{0.7, 0.7}, 1},
		"an array":            {said(t, []any{one, three}), []float64{0.7, 0.7}, 1},
		"a set":               {said(t, set), []float64{0.7, 0.8}, 1},
	} {
		h, err := answers.ReadHistory("f", strings.NewReader(c.text), "")
		if err != nil || len(h.Needs) != len(c.needs) || len(h.Warnings) != c.notes {
			t.Errorf("%s: %+v, %v", what, h, err)
			continue
		}
		for i, want := range c.needs {
			if math.Abs(h.Needs[i]-want) > 1e-6 {
				t.Errorf("%s: piece %d needs %v, want %v", what, i, h.Needs[i], want)
			}
		}
	}
}

func TestLayersOfAHistory(t *testing.T) {
	one := func(slab, layer string) string {
		return fmt.Sprintf(`{"slab":%q,"layer":%q,"available_mm":26,"cut_to_mm":25,"off_top_mm":{"mean":1},"off_bottom_mm":{"mean":1.5},"allowances":{"damage_top_mm":0.3}}`, slab, layer)
	}
	both := one("A", "14") + one("B", "13")
	for layer, n := range map[string]int{"": 2, "14": 1} {
		if h, err := answers.ReadHistory("f", strings.NewReader(both), layer); err != nil || len(h.Needs) != n || math.Abs(h.Needs[0]-1.5) > 1e-12 {
			t.Errorf("%q: %+v, %v", layer, h, err)
		}
	}
	if h, err := answers.ReadHistory("f", strings.NewReader(`{"layer":"14","pieces":[`+one("A", "")+`]}`), "14"); err != nil || len(h.Needs) != 1 {
		t.Errorf("a set of a layer: %+v, %v", h, err)
	}
	for want, texts := range map[string][]string{
		"no-rows":  {},
		"twice":    {one("A", "") + one("A", "")},
		"bad-json": {"{", "[3]", `[null]`, `{"slab":"A"}`, `{"pieces":[null]}`, `{"finishes_mm":[1],"slabs":[{"slab":"A"}]}`, one("A", "") + "]", "[[" + one("A", "") + "]]"},
	} {
		for _, text := range texts {
			_, err := answers.ReadHistory("f", strings.NewReader(text), "")
			var tr *trouble.Trouble
			if !errors.As(err, &tr) || tr.Code != want {
				t.Errorf("%s: %v", text, err)
			}
		}
	}
	for _, text := range []string{both, "need,layer\n1,13\n", "[]"} {
		_, err := answers.ReadHistory("f", strings.NewReader(text), "15")
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != "no-rows" {
			t.Errorf("%s: %v", text, err)
		}
	}
}
