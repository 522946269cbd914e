package seasoning_test

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/seasoning"
	"slatewright/sheet"
)

// invented makes the pieces of one layer: τ about 9 days, a spread of 15 %, 300 g to lose.
func invented(s *chance.Stream, pieces int, last func(i int) float64) (list []seasoning.Series, left []float64) {
	for i := range pieces {
		k := trial{tau: 9 * math.Exp(0.15*s.Normal()), noise: 5, last: last(i), step: 3, course: plainly}
		series, rest := k.piece(s)
		series.Name = fmt.Sprint("P-", i)
		list, left = append(list, series), append(left, rest)
	}
	return list, left
}

func TestNewPieceBorrowsFromItsLayer(t *testing.T) {
	s := chance.NewStream(11)
	held, told, alone, pieces := 0, 0, 0, 0
	for range 12 {
		list, left := invented(s, 14, func(i int) float64 {
			if i < 4 {
				return 9
			}
			return 33
		})
		fits, group, err := seasoning.Together(list, true)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(math.Exp(group.LogTau)-9) > 1.8 || group.SD > 0.4 || group.Pieces != 14 || math.Abs(group.Amplitude-300) > 25 {
			t.Errorf("layer: τ %g, spread %g, %d pieces, change %g", math.Exp(group.LogTau), group.SD, group.Pieces, group.Amplitude)
		}
		for i := range 4 {
			pieces++
			_, limit, ok := fits[i].Remaining(9)
			if !ok || limit >= left[i] {
				held++
			}
			if ok && limit < 200 {
				told++
			}
			if _, limit, ok := must(t, list[i], nil).Remaining(9); ok && limit < 200 {
				alone++
			}
		}
	}
	if float64(held) < 0.87*float64(pieces) || told < pieces*3/4 || alone > told/2 {
		t.Errorf("of %d new pieces the limit held for %d and was useful for %d, alone for %d", pieces, held, told, alone)
	}
}

// One reading and a layer are enough for a forecast; a piece unlike its layer does not borrow.
func TestFirstReadingAndStranger(t *testing.T) {
	s := chance.NewStream(3)
	list, _ := invented(s, 9, func(int) float64 { return 33 })
	list = append(list, seasoning.Series{Name: "new", Readings: []seasoning.Reading{{Day: 0, Value: 95300, SD: 5}}}, exactly(95000, 300, 40, 60, 3, 5))
	fits, _, err := seasoning.Together(list, true)
	if err != nil {
		t.Fatal(err)
	}
	left, limit, ok := fits[9].Remaining(0)
	if !ok || !fits[9].Borrowed || math.Abs(left+300) > 40 || limit < 300 {
		t.Errorf("the new piece: %g, at most %g, %v", left, limit, fits[9].Warnings)
	}
	if f := fits[10]; f.Borrowed || math.Abs(f.Tau-40) > 2 {
		t.Errorf("the stranger: τ %g, borrowed %v", f.Tau, f.Borrowed)
	}
}

func TestSameAnswerOnAnyNumberOfCores(t *testing.T) {
	list, _ := invented(chance.NewStream(8), 20, func(i int) float64 { return float64(9 + 2*i) })
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first string
	for _, n := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(n)
		fits, g, err := seasoning.Together(list, true)
		if err != nil {
			t.Fatal(err)
		}
		text := fmt.Sprint(g)
		for _, f := range fits {
			left, limit, ok := f.Remaining(40)
			text += fmt.Sprint(f.Tau, f.Final, left, limit, ok)
		}
		if first == "" {
			first = text
		}
		if text != first {
			t.Errorf("another answer on %d cores", n)
		}
	}
}

func TestRelease(t *testing.T) {
	rule := seasoning.Rule{Share: 6, MinDays: 30, Day: math.NaN()}
	dry, wet := must(t, exactly(95000, 300, 6, 36, 3, 5), nil), must(t, exactly(95000, 300, 15, 36, 3, 5), nil)
	still, moves, unsure := sentinel(t, 4), sentinel(t, 30), sentinel(t, 300)
	if still.State != seasoning.May || moves.State != seasoning.Stays || unsure.State == seasoning.May {
		t.Fatalf("sentinels: %s %s %s", still.State, moves.State, unsure.State)
	}
	early := rule
	early.Day = 29
	lead := rule
	lead.Reason = "the customer takes the risk"
	for name, c := range map[string]struct {
		rule      seasoning.Rule
		fit       *seasoning.Fit
		sentinels []seasoning.Sentinel
		want      seasoning.State
		why       string
	}{
		"dry":                {rule, dry, nil, seasoning.May, ""},
		"dry, all still":     {rule, dry, []seasoning.Sentinel{still}, seasoning.May, ""},
		"dry, one moves":     {rule, dry, []seasoning.Sentinel{still, moves}, seasoning.Stays, "still moves"},
		"dry, one is unsure": {rule, dry, []seasoning.Sentinel{{Fit: unsure.Fit, State: seasoning.Unsure}}, seasoning.Unsure, "cannot be told"},
		"too early":          {early, dry, nil, seasoning.Stays, "29 of 30"},
		"wet":                {rule, wet, nil, seasoning.Stays, "more than its share"},
		"wet, with a reason": {lead, wet, nil, seasoning.May, "the customer"},
		"not told":           {rule, must(t, exactly(100, 0, 5, 40, 4, 1), nil), nil, seasoning.Unsure, "cannot be told"},
	} {
		if v := c.rule.Decide(c.fit, math.NaN(), c.sentinels); v.State != c.want || !strings.Contains(strings.Join(v.Why, "; "), c.why) {
			t.Errorf("%s: %s, %q", name, v.State, v.Why)
		}
	}
	v := rule.Decide(wet, math.NaN(), nil)
	if want := math.Ceil(15 * math.Log(50)); v.Expected != want || v.Ready < want {
		t.Errorf("ready on %g, surely %g; want %g", v.Expected, v.Ready, want)
	}
	if v := (seasoning.Rule{Share: 0.02, Relative: true, Day: math.NaN()}).Decide(dry, 900, nil); math.Abs(v.Share-18) > 1e-9 {
		t.Errorf("share of the layer's change: %g", v.Share)
	}
}

// sentinel is a shape that runs in 0.3 mm.
func sentinel(t *testing.T, tau float64) seasoning.Sentinel {
	t.Helper()
	return seasoning.Watch(must(t, exactly(0.1, 0.3, tau, 36, 3, 0.001), nil), math.NaN(), seasoning.MostPerWeek)
}

func TestReferenceTakesTheRoomOut(t *testing.T) {
	room := func(d float64) float64 { return 20 * math.Sin(d/4) }
	s, ref := exactly(95000, 300, 7, 40, 2, 3), seasoning.Series{Name: "old"}
	for i := range s.Readings {
		d := s.Readings[i].Day
		s.Readings[i].Value += room(d)
		ref.Readings = append(ref.Readings, seasoning.Reading{Day: d, Value: 47500 + room(d)/2, SD: 3})
	}
	clean, beyond := s.Against(ref, 2)
	f := must(t, clean, nil)
	if math.Abs(f.Tau-7) > 1e-4 || beyond || math.Abs(clean.Readings[3].SD-math.Hypot(3, 6)) > 1e-12 {
		t.Errorf("τ %g, beyond %v, noise %g", f.Tau, beyond, clean.Readings[3].SD)
	}
	if raw := must(t, s, nil); math.Abs(raw.Tau-7) < 0.3 {
		t.Errorf("the room does not disturb: τ %g", raw.Tau)
	}
	if _, beyond = s.Against(seasoning.Series{Readings: ref.Readings[:5]}, 1); !beyond {
		t.Error("readings after the last of the reference are not told")
	}
}

func parsed(t *testing.T, text string) *seasoning.List {
	t.Helper()
	s, err := sheet.Read("list.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	l, err := seasoning.Read(s)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestLists(t *testing.T) {
	l := parsed(t, "# layer: 14\n# noise of weight: 5 g\n# step of weight: 12 g\n# noise of shape: 3 um\n# reference: OLD\n# moved: P-1 9\n# sentinel: P-1, P-2\n# entered: 2026-10-01\n# entered: OLD 2020-10-01\n# thickness: 25.4 mm\n"+
		"piece,day,weight_kg,shape_mm\nP-1,2026-10-01,95.3,0.125\nP-1,2026-10-04,95.2,\nOLD,2026-10-01,90,0.01\nOLD,2026-10-04,90.09,0.02\n")
	if l.Layer != "14" || !l.Dated || len(l.Values) != 2 || l.Thickness != 25.4 || len(l.Sentinels) != 2 || len(l.Warnings) != 0 {
		t.Fatalf("%+v", l)
	}
	w, s := l.Values[0], l.Values[1]
	if w.Unit != "kg" || len(w.Series) != 1 || len(w.Series[0].Readings) != 2 || w.Series[0].Readings[1].Day != 3 || len(s.Series[0].Readings) != 1 || len(w.Series[0].Moved) != 1 {
		t.Fatalf("%+v", l.Values)
	}
	if got := w.Series[0].Readings[1]; math.Abs(got.Value-(95.2-0.09*95.3/90)) > 1e-12 || math.Abs(got.SD-math.Hypot(math.Hypot(0.005, 0.012/math.Sqrt(12)), math.Hypot(0.005, 0.012/math.Sqrt(12))*95.3/90)) > 1e-12 {
		t.Errorf("%+v", got)
	}
	if m := s.MostPerWeek(); m != 0.01 {
		t.Error(m)
	}
	l = parsed(t, "# unit: g\n# start: 0.3 kg\nday,value\n0,300\n1.5,200\n")
	if l.Values[0].Kind != seasoning.Weight || *l.Values[0].Series[0].Start != 300 {
		t.Errorf("%+v", l)
	}
	if l = parsed(t, "day,value\n0,1\n"); l.Values[0].Unit != "mm" || len(l.Warnings) != 1 {
		t.Errorf("%+v", l)
	}
}

func TestListsThatAreRefused(t *testing.T) {
	for text, where := range map[string]string{
		"# unit: pound\nday,value\n0,1\n":                                  ":1",
		"day,value\nmonday,1\n":                                            ":2",
		"day,value\n0,much\n":                                              ":2",
		"day\n0\n":                                                         ":1",
		"day,value,weight_kg\n0,1,2\n":                                     "", // shape and weight: lawful
		"day,weight_kg,value_g\n0,1,2\n":                                   ":1",
		"# noise: 5 mm\n# unit: g\nday,value\n0,1\n":                       ":1",
		"# noise: 0 g\n# unit: g\nday,value\n0,1\n":                        ":1",
		"# moved: P-9 3\npiece,day,value\nA,0,1\n":                         ":1",
		"# reference: Z\npiece,day,value\nA,0,1\n":                         ":1",
		"# reference: A\npiece,day,value\nA,0,1\n":                         "list.csv",
		"day,value\n0,1\n2026-01-01,1\n":                                   ":3",
		"# entered: soon\nday,value\n0,1\n":                                ":1",
		"piece,day,value\n,0,1\n":                                          ":2",
		"day,shape_g\n0,1\n":                                               ":1",
		"# moved: 1\n# moved: 2\n# moved: 3\n# moved: 4\nday,value\n0,1\n": ":4",
	} {
		s, err := sheet.Read("list.csv", strings.NewReader(text))
		if err == nil {
			_, err = seasoning.Read(s)
		}
		if where == "" {
			if err != nil {
				t.Errorf("%q: %v", text, err)
			}
		} else if err == nil || !strings.Contains(err.Error(), where) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("# layer: 14\n# noise: 5 g\n# reference: OLD\npiece,day,weight_kg,shape_mm\nP-1,2026-10-01,95.3,0.1\nOLD,2026-10-01,90,0\n")
	f.Add("# moved: 3\nday,value\n0,1\n3,2\n4,1\n5,1\n6,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("list.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		if l, err := seasoning.Read(s); err == nil {
			for _, v := range l.Values {
				if len(v.Series) > 5 {
					return
				}
				if fits, _, err := seasoning.Together(v.Series, v.Kind == seasoning.Weight); err == nil {
					for _, fit := range fits {
						if _, limit, ok := fit.Remaining(30); ok && math.IsNaN(limit) {
							t.Fatalf("%q: a limit that is no number", text)
						}
					}
				}
			}
		}
	})
}
