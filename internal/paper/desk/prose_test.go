package desk

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/internal/paper"
	"slatewright/internal/tongue"
)

// prose lists every sealed sentence that a paper of the set prints.
func prose(s *Set) (list []string) {
	f := s.Body.Found
	list = append(append(list, f.Method...), f.Warnings...)
	for _, n := range f.NotChecked {
		list = append(list, n.Subject+": "+n.Demand)
	}
	for _, h := range f.Hindrances {
		list = append(list, h.Reason, h.Next)
	}
	for _, r := range f.Results {
		list = append(list, r.Reason)
	}
	return append(list, f.Next.Reason, f.Shims.NotGiven)
}

// sets are of every kind: with and without certificate, laid up, and with one thing or another in their way.
func everySet(t *testing.T) map[string]*Set {
	all := map[string]*Set{}
	for name, change := range map[string]func(*certificate.Input){
		"good":      nil,
		"laid up":   func(in *certificate.Input) { in.LayUp = layUp(t, in) },
		"too wide":  func(in *certificate.Input) { in.Spec.Limits.Zone = 0.03 },
		"near":      func(in *certificate.Input) { in.Spec.Limits.Zone = 0.1 },
		"steps":     func(in *certificate.Input) { in.Spec.Limits.Step = 0.02 },
		"wet":       func(in *certificate.Input) { in.Faces[1].DrySince = "" },
		"undated":   func(in *certificate.Input) { in.Faces[0].Date, in.Issued = "", "" },
		"late":      func(in *certificate.Input) { in.Issued = "2020-01-01" },
		"free":      func(in *certificate.Input) { in.Spec.State = bed.StateFree },
		"simple":    func(in *certificate.Input) { in.Spec.Decision = bed.Decision{Rule: bed.RuleSimple, Risk: 0.5} },
		"no levels": func(in *certificate.Input) { in.Spec.Supports = [3][][2]float64{} },
		"thin":      func(in *certificate.Input) { in.Spec.ThicknessMin = 40 },
		"by zone":   func(in *certificate.Input) { in.MaxZone = 0.3 },
		"sparse": func(in *certificate.Input) {
			for _, f := range in.Faces {
				f.Thickness, f.Instrument, f.TempTop = f.Thickness[:1], "", nil
			}
		},
	} {
		all[name] = example(t, change)
	}
	return all
}

// Every sentence that is sealed is said in every language, and with the same figures.
func TestSealedSentencesAreSaid(t *testing.T) {
	seen := map[string]bool{}
	for name, s := range everySet(t) {
		for _, l := range tongue.Languages()[1:] {
			print := s.In(tongue.In(l, tongue.Metric))
			for _, text := range prose(s) {
				said, known := print.words.Known(text)
				if !known || said == text && text != "" {
					t.Errorf("%s, %s: not known: %s", name, l, text)
				}
				if want, got := figures(text), figures(said); want != got {
					t.Errorf("%s, %s: the figures are %s in\n%s\nand %s in\n%s", name, l, want, text, got, said)
				}
				seen[text] = true
			}
			if step, why := print.next(); step == s.Body.Found.Next.Text || why == s.Body.Found.Next.Reason {
				t.Errorf("%s, %s: the next step is still in English: %s %s", name, l, step, why)
			}
		}
		if r := s.refusal(); r.NextStep != s.Body.Found.Next.Text || r.NextWhy != s.Body.Found.Next.Reason || strings.Join(r.Method.Statement, "") != strings.Join(s.Body.Found.Method, "") {
			t.Errorf("%s: an English paper does not print the sealed words", name)
		}
	}
	if len(seen) < 60 {
		t.Errorf("only %d sentences", len(seen))
	}
}

var anyFigure = regexp.MustCompile(`\d+([.,]\d+)?`)

// figures lists the numbers of a text, whatever the decimal mark and whatever their order.
func figures(text string) string {
	count := map[string]int{}
	for _, f := range anyFigure.FindAllString(text, -1) {
		count[strings.ReplaceAll(f, ",", ".")]++
	}
	return fmt.Sprint(count)
}

// A sentence that is not known is printed as it is sealed; a next step is then said by its code, with the sealed words behind it.
func TestUnknownSentencesStandAsSealed(t *testing.T) {
	s := example(t, func(in *certificate.Input) { in.Faces[1].DrySince = "" }).In(tongue.In(tongue.Spanish, tongue.Metric))
	s.Body.Found.Method = append(certificate.List[string]{"The stone was also listened to."}, s.Body.Found.Method...)
	if got := s.method().Statement; got[0] != "The stone was also listened to." || !strings.HasPrefix(got[1], "Las tres piezas") {
		t.Errorf("%q", got[:2])
	}
	s.Body.Found.Next.Text = s.Body.Found.Hindrances[0].Of + ": Put it into the sun."
	step, why := s.next()
	if !strings.HasSuffix(step, s.words.Say("stone.do-wet")) || !strings.HasPrefix(why, "Put it into the sun. Nada dice") {
		t.Errorf("%q, %q", step, why)
	}
	two := "Nothing was read, so there is no margin. The moon was full. The margin to what is accepted is 0.040 mm."
	if got := s.told(two); got != "No se leyó nada, por eso no hay margen. The moon was full. The margin to what is accepted is 0.040 mm." {
		t.Errorf("%q", got)
	}
}

// What people call things is never translated, and words within a sentence are.
func TestValues(t *testing.T) {
	s := (&Set{}).In(tongue.In(tongue.Italian, tongue.Metric))
	for text, want := range map[string]string{
		"Exchange caliper for a piece that is thicker than 25.412 mm everywhere.":                                                                                           "Sostituire caliper con un pezzo più spesso di 25,412 mm ovunque.",
		"No line of the bed holds three readings, so straightness across is not known.":                                                                                     "Nessuna linea del piano ha tre letture, perciò non si conosce la rettilineità di traverso.",
		"Dress the step between head and centre wherever it reads more than 0.071 mm, by up to 0.055 mm off the proud side: most at y = -660 mm, on the foot piece (QH-7).": "Ritoccare a mano il gradino tra testa e centro dove si leggono più di 0,071 mm, togliendo fino a 0,055 mm dal lato sporgente: il massimo a y = −660 mm, sul pezzo in posizione piede (QH-7).",
		"The piece was read on 2026-11-20 and is dry only since 2026-11-24.":                                                                                                "Il pezzo è stato letto il 20/11/2026 ed è asciutto solo dal 24/11/2026.",
		"If the value stays at 0.120 mm, it then conforms; the largest part of its uncertainty now is step gauge.":                                                          "Se il valore resta 0,120 mm, allora è conforme; la parte maggiore della sua incertezza ora è: misuratore di gradini.",
	} {
		if got := s.told(text); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestPapersOfASetInEveryLanguage(t *testing.T) {
	s := example(t, nil)
	for _, l := range tongue.Languages() {
		form := paper.Form{Words: tongue.In(l, tongue.Metric)}
		papers, err := s.Papers(key(t, false), form)
		if l == tongue.Chinese {
			if err == nil {
				t.Error("Chinese was printed without a font")
			}
			continue
		}
		if err != nil || len(papers) != 2 {
			t.Fatalf("%s: %d papers, %v", l, len(papers), err)
		}
		sealed, err := certificate.Parse("A-1.json", papers[0].Text)
		if err != nil || !strings.HasPrefix(sealed.Body.Found.Method[0], "The three rigid pieces") {
			t.Errorf("%s: the sealed file is not as it is in English: %v", l, err)
		}
		if again, err := Print(sealed, "", form); err != nil || string(again) != string(papers[1].Text) {
			t.Errorf("%s: printed once more it is another paper: %v", l, err)
		}
	}
}
