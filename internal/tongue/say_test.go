package tongue

import (
	"html/template"
	"strings"
	"testing"
	"time"
)

func TestSay(t *testing.T) {
	at := time.Date(2026, time.November, 25, 9, 5, 0, 0, time.UTC)
	for _, c := range []struct {
		w     Words
		key   string
		pairs []any
		want  string
	}{
		{Words{}, "count.piece", []any{"n", 1}, "1 piece"},
		{Words{}, "count.piece", []any{"n", 0}, "0 pieces"},
		{Words{}, "count.piece", []any{"n", int64(12000)}, "12\u202f000 pieces"},
		{Words{}, "count.piece", []any{"n", 1.5}, "1.5 pieces"},
		{In(Portuguese, Metric), "count.piece", []any{"n", 0}, "0 peça"}, // the rule of Portuguese
		{In(Portuguese, Metric), "count.piece", []any{"n", 2}, "2 peças"},
		{In(Spanish, Metric), "count.piece", []any{"n", 0}, "0 piezas"},
		{In(Italian, Metric), "count.slab", []any{"n", 1}, "1 lastra"},
		{In(Chinese, Metric), "count.piece", []any{"n", 1}, "1 块板件"},
		{In(Italian, Metric), "series.last", []any{"before", Key("station.saw"), "last", Key("station.bench")}, "Taglio e Banco di misura"},
		{In(Chinese, Metric), "date.moment", []any{"day", at, "time", 50 * time.Hour}, "2026年11月25日 2 天"},
	} {
		if got := c.w.Say(c.key, c.pairs...); got != c.want {
			t.Errorf("%s %v in %s: %q, want %q", c.key, c.pairs, c.w.Language(), got, c.want)
		}
	}
}

func TestValuesAreShownByTheNameOfTheirPlace(t *testing.T) {
	w, inch := In(Italian, Metric), In(Italian, Inch)
	for _, c := range []struct {
		w     Words
		name  string
		value any
		want  string
	}{
		{w, "step_mm", 0.2504, "0,250\u00a0mm"}, {inch, "step_mm", 0.254, "10,0\u00a0thou"}, {w, "mm", 1, "1,000\u00a0mm"},
		{w, "length_size", 1473.26, "1473,3\u00a0mm"}, {inch, "size", 1473.2, "58\u00a0in"},
		{w, "mass_kg", 96.72, "96,7\u00a0kg"}, {inch, "kg", 100, "220\u00a0lb"},
		{w, "humidity_percent", 55.0, "55\u00a0%"}, {w, "chance", 0.9731, "97,3\u00a0%"},
		{w, "station", "saw", "Taglio"}, {w, "station", "nowhere we know", "nowhere we know"}, {w, "verdict", "cannot tell", "non si può dire"},
		{w, "id", "saw", "saw"}, {w, "pieces", []string{"A-1", "A-2"}, "A-1, A-2"}, {In(Chinese, Metric), "pieces", []string{"A-1", "A-2"}, "A-1、A-2"},
		{w, "pieces", []string(nil), ""}, {w, "summ", 2.5, "2,5"}, {w, "x", 0.12345, "0,123"},
	} {
		if got := c.w.show(c.name, c.value); got != c.want {
			t.Errorf("%s %v: %q, want %q", c.name, c.value, got, c.want)
		}
	}
}

func TestOurOwnFaultsAreLoudInTestsOnly(t *testing.T) {
	for name, say := range map[string]struct {
		do    func() string
		quiet string
	}{
		"no key":   {func() string { return Words{}.Say("no.such-key") }, "⟨no.such-key⟩"},
		"no value": {func() string { return Words{}.Say("series.last", "before", "a", "last") }, "a and {last}"},
		"no place": {func() string { return Words{}.Say("series.last", "before", "a", "lsat", "b") }, "a and {last}"},
	} {
		t.Run(name, func(t *testing.T) {
			if !panics(say.do) {
				t.Error("did not panic")
			}
			strict = false
			defer func() { strict = true }()
			if got := say.do(); got != say.quiet {
				t.Errorf("the program shows %q, want %q", got, say.quiet)
			}
		})
	}
}

func panics(do func() string) (yes bool) {
	defer func() { yes = recover() != nil }()
	do()
	return false
}

func TestSomeIsForScripts(t *testing.T) {
	some := In(Spanish, Metric).Some("count.piece", "month.1")
	want := map[string]string{"count.piece|one": "{n} pieza", "count.piece|other": "{n} piezas", "month.1": "enero", "month.10": "octubre",
		"month.11": "noviembre", "month.12": "diciembre"}
	if len(some) != len(want) {
		t.Errorf("got %v", some)
	}
	for key, text := range want {
		if some[key] != text {
			t.Errorf("%s: %q, want %q", key, some[key], text)
		}
	}
	if some := In(Chinese, Metric).Some("count.piece"); some["count.piece"] != "{n} 块板件" {
		t.Errorf("one form only: %v", some)
	}
	if len(Words{}.Some()) != 0 {
		t.Error("no prefix chooses nothing")
	}
}

func TestList(t *testing.T) {
	for want, items := range map[string][]string{"": nil, "a": {"a"}, "a e b": {"a", "b"}, "a, b, c e d": {"a", "b", "c", "d"}} {
		if got := In(Portuguese, Metric).List(items...); got != want {
			t.Errorf("%q: got %q", items, got)
		}
	}
	if got := In(Chinese, Metric).List("甲", "乙", "丙"); got != "甲、乙和丙" {
		t.Error(got)
	}
}

func TestWordsSpeakInTemplates(t *testing.T) {
	page := template.Must(template.New("").Parse(`<p title="{{.W.Size 25.4}}">{{.W.Say "series.last" "before" .Bad "last" (.W.Word "station" "saw")}}</p>`))
	var b strings.Builder
	if err := page.Execute(&b, map[string]any{"W": In(English, Inch), "Bad": "<b>"}); err != nil {
		t.Fatal(err)
	}
	if want := "<p title=\"1\u00a0in\">&lt;b&gt; and Saw</p>"; b.String() != want {
		t.Errorf("got %s, want %s", b.String(), want)
	}
}
