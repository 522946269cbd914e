package tongue

import (
	"strings"
	"testing"
)

// Each sentence is found by its own words, whatever stands in its places.
func TestSentencesAreFound(t *testing.T) {
	count := 0
	for key, e := range all(t)[English] {
		if !strings.HasPrefix(key, told) {
			continue
		}
		for f, text := range e {
			n := map[form]string{"one": "1", other: "7"}[f]
			said := straight.Replace(place.ReplaceAllString(strings.ReplaceAll(text, "{n}", n), "QH-7"))
			if strings.HasPrefix(said, ",") {
				said = "wait until noon" + said
			}
			for _, l := range Languages()[1:] {
				count++
				found(t, In(l, Metric), key, said)
			}
		}
	}
	if count < 1000 {
		t.Errorf("only %d sentences", count)
	}
}

func found(t *testing.T, w Words, key, said string) {
	t.Helper()
	got := w.InWords(said)
	if got == said && sameAsEnglish[key].why == "" {
		t.Errorf("%s %s: %q is said in English", w.Language(), key, said)
	}
	if n := strings.Count(said, "QH-7"); strings.Count(got, "QH-7") != n {
		t.Errorf("%s %s: %q has not the %d values of %q", w.Language(), key, got, n, said)
	}
}

func TestInWords(t *testing.T) {
	es := In(Spanish, Metric)
	if got := In(English, Metric).InWords("piece QH-1 is in no room"); got != "piece QH-1 is in no room" {
		t.Errorf("English becomes %q", got)
	}
	if got := es.InWords("what nobody ever said of anything before"); got != "what nobody ever said of anything before" {
		t.Errorf("an unknown sentence becomes %q", got)
	}
	outer := es.InWords("then the entry drill of 2026-10-01 by lead could not follow: piece QH-1 is in no room")
	if inner := es.InWords("piece QH-1 is in no room"); !strings.Contains(outer, inner) || !strings.Contains(outer, es.Say("act.drill")) {
		t.Errorf("%q should hold %q and the word for drill", outer, inner)
	}
}

// What a certificate seals is said too, sentence by sentence, with figures as the language writes them.
func TestSealedSentences(t *testing.T) {
	const wet, again = "Nothing says that the stone was dry, and wet stone bows as it dries.", "The piece was read on 2026-09-14 and is dry only since 2026-09-16."
	for _, l := range Languages()[1:] {
		w := In(l, Metric)
		one, two := w.InWords(wet), w.InWords(again)
		if one == wet || two == again || w.InWords(wet+" "+again) != one+w.gap()+two || strings.Contains(two, "2026-09-14") == (l != Chinese) && l != Chinese {
			t.Errorf("%s: %q, %q, together %q", l, one, two, w.InWords(wet+" "+again))
		}
		apart := w.InWords("Top and bottom are 1.2 K apart, more than 0.3 K.")
		if comma := strings.Contains(apart, "1,2"); comma == (l == Chinese) {
			t.Errorf("%s: %q", l, apart)
		}
	}
}
