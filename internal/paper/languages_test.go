package paper

import (
	"bytes"
	"errors"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/picture/ink"
	"slatewright/internal/tongue"
	"slatewright/trouble"
)

// chinese is the font that papers in Chinese are tested with; make test installs it.
func chinese(t *testing.T) *ink.Font {
	t.Helper()
	const path = "/usr/share/fonts/truetype/droid/DroidSansFallbackFull.ttf"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; make test installs it (package fonts-droid-fallback)", err)
	}
	font, err := ink.ReadFont(path, data)
	if err != nil {
		t.Fatal(err)
	}
	return font
}

func formIn(t *testing.T, l tongue.Language, size Size) Form {
	t.Helper()
	f := Form{Size: size, Words: tongue.In(l, tongue.Metric)}
	if l == tongue.Chinese {
		f.Font = chinese(t)
	}
	return f
}

var hole = regexp.MustCompile(`\{[a-z0-9_]+\}`)

// sealed are the sentences of the catalogue whose keys are named, with a figure in every place.
func sealed(w tongue.Words, keys ...string) (list []string) {
	all := w.Some("paper.said-")
	for _, key := range keys {
		list = append(list, hole.ReplaceAllString(all["paper.said-"+key], w.Number(0.127, 3)))
	}
	return list
}

// certificateIn and refusalIn are the specimens with the sentences of their language.
func certificateIn(w tongue.Words) Certificate {
	c := specimenCertificate()
	c.Basis, c.Reason = w.Say("paper.predicted"), w.Say("paper.decides", "result", w.Say("paper.name-step-centre-foot"), "room", w.Say("paper.room-inside", "amount", said{w}.both(0.046)))
	c.Method.Coverage = w.Say("paper.coverage")
	c.Method.Readings = w.Say("paper.a-piece", "readings", w.Say("paper.a-grid", "along", 6, "across", 9))
	c.Method.Statement = sealed(w, "seating", "zone-is", "lines", "step-is", "thickness-is", "state-laid", "doubt", "rule-iso", "tournament")
	c.NotChecked = sealed(w, "frame", "fixing", "load", "installed", "field", "height", "rails", "pockets")
	c.Warnings = sealed(w, "warn-rock")
	for i, key := range resultKeys {
		c.Results[i].Name, c.Results[i].Note = w.Say("paper.name-"+key), w.Say("paper.what-"+key)
	}
	return c
}

var resultKeys = []string{"lengthwise", "across", "zone", "step-head-centre", "step-centre-foot", "thickness"}

func refusalIn(w tongue.Words) Refusal {
	r := specimenRefusal()
	c := certificateIn(w)
	r.Basis, r.Method = c.Basis, c.Method
	r.NextStep, r.NextWhy = sealed(w, "do-dress")[0], sealed(w, "why-dress")[0]+" "+sealed(w, "why-dress-both")[0]
	r.Reasons = sealed(w, "free-lines", "misfit")
	for i := range r.Results {
		r.Results[i].Name = c.Results[i].Name
	}
	return r
}

func papersIn(w tongue.Words) map[string]pdfer {
	laid := withLayUp(certificateIn(w))
	laid.Method.Statement = append(laid.Method.Statement[:9], sealed(w, "laid-up", "laid-up-judged")...)
	laid.Basis = w.Say("paper.laid-up-and-measured")
	return map[string]pdfer{"certificate": certificateIn(w), "laid up": laid, "refusal": refusalIn(w)}
}

// wanted are keys whose words must stand on a paper.
var wanted = map[string][]string{
	"certificate": strings.Fields(`paper.certificate-title paper.set paper.date-code paper.issued paper.seal-check paper.signed-by paper.computed-by paper.results
		paper.characteristic paper.value paper.limit paper.margin paper.probability paper.verdict paper.thou paper.pieces paper.piece paper.serial paper.least
		paper.mean paper.places paper.top paper.bottom paper.read paper.dry-since paper.mass paper.thickness paper.face paper.method paper.readings
		paper.instrument paper.support paper.edge-band paper.not-checked paper.statement paper.warnings paper.levels paper.levels-note paper.levels-along
		paper.levels-across paper.levels-squares paper.shims paper.shims-exact paper.shims-pack paper.shims-note map.upper map.lower map.step map.not-read
		map.below map.by-columns place.head place.centre place.foot place.left place.right verdict.conforms`),
	"laid up": strings.Fields("paper.lay-up map.predicted map.measured map.measured-thou paper.laid-up-and-measured"),
	"refusal": strings.Fields("paper.refusal-title paper.judged paper.next verdict.does-not-conform verdict.cannot-tell map.step-mm map.step-thou map.height"),
}

func TestPapersInEveryLanguage(t *testing.T) {
	for _, l := range tongue.Languages()[1:] { // English has its own tests
		w := tongue.In(l, tongue.Metric)
		for name, doc := range papersIn(w) {
			for _, size := range []Size{A4, Letter} {
				p := printIn(t, doc, formIn(t, l, size))
				text := raw(t, p)
				var want []string
				for _, key := range wanted[name] {
					want = append(want, w.Say(key))
				}
				if r, ok := doc.(Refusal); ok {
					want = append(want, r.NextStep, r.NextWhy)
				}
				for _, c := range Cautions(w, KindRefusal, nil)[1:2] {
					want = append(want, c.Word, c.Text)
				}
				if m := lacks(text, want...); len(m) > 0 {
					t.Errorf("%s %s, %s: lacks %q", l, name, size, m)
				}
				if strings.ContainsAny(text, "⟨⟩{}\uFFFD") {
					t.Errorf("%s %s: words are missing:\n%s", l, name, text)
				}
				for _, fault := range onEachOther(words(t, p), size) {
					t.Errorf("%s %s, %s: %s", l, name, size, fault)
				}
				if most := map[string]int{"certificate": 2, "laid up": 3, "refusal": 1}[name]; len(p.pages) > most {
					t.Errorf("%s %s, %s: %d pages, want at most %d", l, name, size, len(p.pages), most)
				}
			}
		}
	}
}

// A paper says in its own language that the sealed file is in English; an English one has nothing to say of it.
func TestTranslationsSayWhatCounts(t *testing.T) {
	for _, l := range []tongue.Language{tongue.English, tongue.Portuguese, tongue.Chinese} {
		w := tongue.In(l, tongue.Metric)
		p := printIn(t, certificateIn(w), formIn(t, l, A4))
		if says := len(lacks(raw(t, p), w.Say("paper.translated"))) == 0; says != (l != tongue.English) {
			t.Errorf("%s: says that it is a translation: %v", l, says)
		}
		if info := tool(t, "pdfinfo", "poppler-utils", p.path); !strings.Contains(info, w.Say("paper.certificate-name", "set", "QH-0007")) {
			t.Errorf("%s: the document is called otherwise:\n%s", l, info)
		}
		if !bytes.Contains(p.data, []byte("/Lang ("+l.Tag()+")")) {
			t.Errorf("%s: the document does not say its language", l)
		}
		if m := lacks(p.text(), banner); len(m) > 0 {
			t.Errorf("%s: lacks the mark as it is sealed", l)
		}
	}
}

// Where the comma is the decimal mark no figure has a point, and days stand in the order of the language.
func TestFiguresAndDaysOfTheLanguage(t *testing.T) {
	w := tongue.In(tongue.Italian, tongue.Metric)
	text := raw(t, printIn(t, certificateIn(w), formIn(t, tongue.Italian, A4)))
	if m := lacks(text, "0,171", "1008", "96,7", "25/11/2026", "20/11/2026", "+0,04", "0,081 mm (3,2 thou)", "19,7 in"); len(m) > 0 {
		t.Errorf("lacks %q", m)
	}
	for _, figure := range []string{"0.171", "96.7", "2026-11-20", "+0.04"} {
		if len(lacks(text, figure)) == 0 {
			t.Errorf("an Italian paper holds %s", figure)
		}
	}
	w = tongue.In(tongue.Chinese, tongue.Metric)
	text = raw(t, printIn(t, certificateIn(w), formIn(t, tongue.Chinese, A4)))
	if m := lacks(text, "0.171", "2026-11-25"); len(m) > 0 {
		t.Errorf("lacks %q", m)
	}
}

func TestChineseNeedsAFont(t *testing.T) {
	w := tongue.In(tongue.Chinese, tongue.Metric)
	for name, doc := range papersIn(w) {
		err := doc.PDF(io.Discard, Form{Words: w})
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != "no-font" || !strings.Contains(told.Next, "--font") {
			t.Errorf("%s: %v", name, err)
		}
	}
	// A mill's own name may be Chinese on a paper in any language.
	c := specimenCertificate()
	c.Mill = "石磨谷"
	var told *trouble.Trouble
	if err := c.PDF(io.Discard, Form{}); !errors.As(err, &told) || told.Code != "no-font" || !strings.Contains(told.What, "石磨谷") {
		t.Errorf("%v", err)
	}
	if m := lacks(raw(t, printIn(t, c, Form{Font: chinese(t)})), c.Mill, "Certificate of a matched bed"); len(m) > 0 {
		t.Errorf("lacks %q", m)
	}
}

// No column is so narrow that the words over it cannot be read, in any language.
func TestHeadingsCanBeRead(t *testing.T) {
	const least = 4.4 // points
	seen := 0
	for _, l := range tongue.Languages() {
		f := formIn(t, l, A4)
		p := newPress(f, ink.Title{}, "", nil, layout{air: 1})
		c := certificateIn(f.Words)
		for _, tb := range []table{p.resultsTable(c.Results, p.width()), p.piecesTable(c.Pieces[:], p.width()), p.shimTable(c.Shims.Shims, "head", (p.width()-10)/3),
			p.levelTable(c.Levels, 0, 2, p.width()-77)} {
			for i, col := range tb.columns {
				seen++
				if size := p.headType(col.head, tb.inner(i)).Size; size < least {
					t.Errorf("%s: %q is set in %.2f points", l, col.head, size)
				}
			}
			for _, g := range tb.groups {
				w := -cellGap
				for i := g.from; i <= g.to; i++ {
					w += tb.columns[i].w
				}
				if p.Width(g.head, ink.Type{Face: ink.Plain, Size: least}) > w {
					t.Errorf("%s: %q does not fit over its columns", l, g.head)
				}
			}
		}
	}
	if seen < 100 {
		t.Errorf("only %d headings", seen)
	}
	if !slices.Contains(tongue.Languages(), tongue.Chinese) {
		t.Error("no Chinese")
	}
}
