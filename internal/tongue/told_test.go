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

// What the reckoning says comes out whole: counts in the plural of the language, figures with its mark, words of the trade.
func TestTheReckoningInWords(t *testing.T) {
	for _, c := range []struct {
		l             Language
		english, want string
	}{
		{Spanish, "a.csv:12: no reading here (empty or NaN z); 1 such station is left out", "a.csv:12: sin lectura aquí (z vacío o NaN); 1 punto así quedó fuera"},
		{Italian, "1 point is too few: at least 3 are needed", "1 punto è troppo poco: ne servono almeno 3"},
		{Portuguese, "head: the joint between head and centre is not measured at the edge of this piece: its joint row has 2 stations, fewer than 9; its heights there are uncertain by 0.02 mm more (standard uncertainty)",
			"head: a junta entre cabeceira e centro não foi medida na borda desta peça: a sua fila na junta tem 2 pontos, menos que 9; ali as suas alturas têm 0,02 mm a mais de incerteza padrão"},
		{Chinese, "lengthwise straightness is that of means over cells of 25 mm", "纵向直线度取 25 mm 单元的平均值"},
		{Spanish, "no loop goes through 1 step (line 12, 14, … of the file): a slip there would not show", "ningún circuito pasa por 1 paso (línea 12, 14, … del archivo): un desliz allí no se vería"},
		{Italian, "Everything conforms with a probability of 0.912; this costs 120.50 EUR on average. No other way can be compared with it.",
			"Tutto è conforme con probabilità 0,912; questo costa 120,50 EUR in media. Nessun'altra via si può confrontare con questa."},
		{Spanish, "A toss-up: re-grinding (light pass) comes next, with a risk larger by 0.010 ± 0.004.", "Casi igual: después viene rectificar (light pass), con un riesgo mayor en 0,010 ± 0,004."},
		{Portuguese, "bow along and twist cannot be told apart from these readings: only a mixture of them is seen",
			"flecha ao comprido e empeno não se distinguem por estas leituras: só se vê uma mistura dos dois"},
		{Chinese, "QH-1, QH-2: lengthwise straightness is that of means over cells of 25 mm", "QH-1、QH-2：纵向直线度取 25 mm 单元的平均值"},
		{Spanish, "at the worst of its tolerances the hole passes a straight pin of 10.50 mm; the bolt of 9.53 mm whose mate may be off in a zone of 1.50 mm, over pieces laid in a zone of 0.40 mm, needs 11.43 mm",
			"en el peor caso de sus tolerancias el agujero deja pasar un pasador recto de 10,50 mm; el perno de 9,53 mm, cuya pareja puede estar fuera en una zona de 1,50 mm, sobre piezas puestas en una zona de 0,40 mm, necesita 11,43 mm"},
		{Italian, "a cut angle of 143.1°; the rules ask for 141.0° to 143.0° (WPA pool, 9 ft)", "un angolo di taglio di 143,1°; le regole chiedono da 141,0° a 143,0° (WPA, pool, 9 piedi)"},
		{Portuguese, "counter changed from nothing to countersink 15 mm, 90.000°, from the top", "counter mudou de nada para escareado 15 mm, 90,000°, a partir da face de jogo"},
		{Spanish, "limits.step: the limit of the joint steps is 0 mm; it must be between 0.001 and 10 mm", "limits.step: el límite de los escalones de las juntas es 0 mm; debe estar entre 0,001 y 10 mm"},
		{Portuguese, "the file has no key \"edge-band\"", "o arquivo não tem a chave “edge-band”"},
		{Italian, "revision changed from 1.2 to 1.3", "revision cambiato da 1.2 a 1.3"},
		{Italian, "0.79375 mm", "0,79375 mm"},
		{Italian, "1.2", "1.2"},
		{Chinese, "there is no such hole at the other end", "在另一端没有这样的孔"},
		{Chinese, "None of the draws does not conform: the probability of it is not 0 but below 0.0003 (95 %).", "抽样中没有一次不合格：其概率不是 0，而是低于 0.0003（95 %）。"},
	} {
		got := In(c.l, Metric).InWords(c.english)
		if got != c.want {
			t.Errorf("%s: %q becomes\n%q, want\n%q", c.l, c.english, got, c.want)
		}
	}
}

func FuzzInWords(f *testing.F) {
	for _, said := range []string{"a: b, c; d. E", "the joint between head and centre", strings.Repeat("it is no size; ", 300), strings.Repeat("a, b. ", 800), "\xff: ", "1 point is"} {
		f.Add(said)
	}
	es := In(Spanish, Metric)
	f.Fuzz(func(t *testing.T, said string) {
		once, all := es.Known(said)
		if again, also := es.Known(said); again != once || also != all {
			t.Errorf("%q becomes %q, and then %q", said, once, again)
		}
	})
}

// Each sentence is its own: no other takes it.
func TestNoSentenceTakesAnother(t *testing.T) {
	count := 0
	for key, e := range all(t)[English] {
		if !strings.HasPrefix(key, told) && !strings.HasPrefix(key, sealed) {
			continue
		}
		for f, text := range e {
			n := map[form]string{"one": "1", other: "7"}[f]
			said := straight.Replace(place.ReplaceAllString(strings.ReplaceAll(text, "{n}", n), "QH-7"))
			for _, p := range patterns() {
				if p.find(said) == nil {
					continue
				}
				if count++; p.key != key {
					t.Errorf("%s is taken by %s: %s", key, p.key, said)
				}
				break
			}
		}
	}
	if count < 1000 {
		t.Errorf("only %d sentences", count)
	}
}
