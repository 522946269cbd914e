package caution

import (
	"slices"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
)

func TestEveryTopicIsSaidInEveryLanguageAndWithWhoRules(t *testing.T) {
	for _, l := range tongue.Languages() {
		w := tongue.In(l, tongue.Metric)
		said := w.Some("caution.")
		for _, t := range append(Topics(), "rules") {
			delete(said, "caution."+string(t)+".word")
			delete(said, "caution."+string(t)+".text")
		}
		for _, key := range strings.Fields("title mass.first mass.several mass.one mass.load mass.unknown mass.elsewhere rules.page rules.paper") {
			if said["caution."+key] == "" {
				t.Errorf("%s: caution.%s is missing", l, key)
			}
			delete(said, "caution."+key)
		}
		for key := range said {
			t.Errorf("%s: no caution says %s", l, key)
		}
		page, paper := OnPage(w, Topics()), OnPaper(w, Topics())
		if len(page) != len(Topics())+1 || len(paper) != len(page) {
			t.Fatalf("%s: %d on a page, %d on paper", l, len(page), len(paper))
		}
		for i, c := range page {
			if rules := i == len(Topics()); c.Word == "" || c.Text == "" || (c == paper[i]) == rules {
				t.Errorf("%s: %v on a page, %v on paper", l, c, paper[i])
			}
		}
	}
}

func TestWhoRulesDefersAndNamesNoSafetyDevice(t *testing.T) {
	for _, c := range [][]Caution{OnPage(tongue.Words{}, []Topic{Dust}), OnPaper(tongue.Words{}, []Topic{Dust})} {
		last := c[len(c)-1].Text
		for _, want := range []string{"Local codes and licensed practice come first", "no work instruction", "no safety device"} {
			if !strings.Contains(last, want) {
				t.Errorf("%q lacks %q", last, want)
			}
		}
	}
	if c := OnPage(tongue.Words{}, nil); c != nil {
		t.Errorf("nothing can hurt, and yet %v", c)
	}
}

func TestLiftingNamesTheComputedMasses(t *testing.T) {
	it, inch := tongue.In(tongue.Italian, tongue.Metric), tongue.In(tongue.English, tongue.Inch)
	three := []Load{{"head", 96.7}, {"centre", 96.9}, {"foot", 96.5}}
	for _, c := range []struct {
		w     tongue.Words
		loads []Load
		want  string
	}{
		{tongue.Words{}, three, "Computed masses: head 96.7 kg, centre 96.9 kg, foot 96.5 kg, together 290.1 kg. Never lift"},
		{it, three, "Masse calcolate: testa 96,7 kg, centro 96,9 kg, piede 96,5 kg, insieme 290,1 kg. Mai"},
		{it, []Load{{"QH-0101", 96.7}}, "Massa calcolata: QH-0101 96,7 kg. Mai"},
		{inch, three, "head 213 lb, centre 214 lb, foot 213 lb, together 640 lb."}, // 290.1/0.45359237 = 639.56
		{tongue.Words{}, []Load{{"head", 96.7}, {"foot", 0}}, "The masses of the pieces were not computed"},
		{tongue.Words{}, nil, "its computed mass stands on its certificate"},
	} {
		if got := strings.ReplaceAll(OnPage(c.w, []Topic{Lifting}, c.loads...)[0].Text, "\u00a0", " "); !strings.Contains(got, c.want) {
			t.Errorf("%v: %q lacks %q", c.loads, got, c.want)
		}
	}
}

// What can hurt is listed here once more, by hand: a station or an act that loses its caution fails.
func TestStationsAndActsCarryTheirCautions(t *testing.T) {
	must := map[Topic]struct{ stations, acts string }{
		Dust:     {"quarry saw surfacing drilling bench", "slice cut surface dress-joint resize drill ream finish repair"},
		Machines: {"saw surfacing drilling", "slice cut surface resize drill ream"},
		Discs:    {"surfacing", "surface"},
		Wet:      {"saw surfacing drilling", "slice cut surface resize drill ream"},
		Lifting: {"quarry saw surfacing sets drilling room lining bench shipping",
			"lift slice cut surface lay-up resize weigh enter-room leave-room glue-lining pack ship return"},
		Placing: {"sets shipping", "lay-up"},
		Glue:    {"lining", "glue-lining repair"},
		Faces:   {"quarry", "survey lift"},
		Loading: {"", ""}, // of two pages: how a piece must be supported, and the bed on its frame
	}
	if len(must) != len(Topics()) {
		t.Fatalf("%d topics are held, there are %d", len(must), len(Topics()))
	}
	for topic, m := range must {
		var at, of []string
		for _, s := range book.Stations() {
			if slices.Contains(AtStation(s), topic) {
				at = append(at, string(s))
			}
		}
		for _, a := range book.Acts() {
			if slices.Contains(OfAct(a.Word()), topic) {
				of = append(of, a.Word())
			}
		}
		if got := strings.Join(at, " "); got != m.stations {
			t.Errorf("%s is carried at %q, must be at %q", topic, got, m.stations)
		}
		if got := strings.Join(of, " "); got != m.acts {
			t.Errorf("%s is carried by %q, must be by %q", topic, got, m.acts)
		}
	}
	for word := range acts {
		if !slices.ContainsFunc(book.Acts(), func(a book.Act) bool { return a.Word() == word }) {
			t.Errorf("there is no act %s", word)
		}
	}
}
