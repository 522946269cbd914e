package tongue

import "testing"

func TestChoose(t *testing.T) {
	for _, c := range []struct {
		wish, accept string
		want         Language
	}{
		{"it", "pt-BR,pt;q=0.9", Italian}, {"", "pt-BR,pt;q=0.9,en;q=0.5", Portuguese}, {"", "pt-PT", Portuguese}, {"xx", "es-419", Spanish},
		{"", "zh-CN,zh;q=0.9", Chinese}, {"", "zh-Hans-SG", Chinese}, {"", "fr,it;q=0.3", Italian}, {"", "fr", English}, {"", "", English},
		{"", "de-DE;q=broken,,;", English}, {"", "en-GB,es;q=0.8", English}, {"EN", "es", Spanish},
	} {
		if got := Choose(c.wish, c.accept); got != c.want {
			t.Errorf("%q, %q: %s, want %s", c.wish, c.accept, got, c.want)
		}
	}
}

func TestLanguagesHaveTheirNames(t *testing.T) {
	seen := map[string]bool{}
	for _, l := range Languages() {
		if l.Own() == "" || l.Tag() == "" || seen[l.Own()] || !l.Known() {
			t.Errorf("%s is called %q, %q", l, l.Own(), l.Tag())
		}
		seen[l.Own()] = true
	}
	if Language("fr").Known() || len(seen) != 5 {
		t.Error("there are five languages")
	}
}

func TestUnknownLanguagesAndUnitsAreEnglishAndMetric(t *testing.T) {
	for _, w := range []Words{{}, In("fr", "ell"), In("", "")} {
		if w.Language() != English || w.Units() != Metric || w.Say("station.saw") != "Saw" {
			t.Errorf("%v speaks %s in %s", w, w.Language(), w.Units())
		}
	}
	if w := In(Chinese, Inch); w.Language() != Chinese || w.Units() != Inch {
		t.Errorf("%v", w)
	}
}
