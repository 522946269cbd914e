package paper

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/judge"
)

// tool runs a program that make test installs, and fails where it is missing: a check that is skipped checks nothing.
func tool(t *testing.T, name, pack string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Fatalf("%s is missing; make test installs it (package %s)", name, pack)
	}
	var said, complained bytes.Buffer
	cmd := exec.Command(name, args...)
	cmd.Stdout, cmd.Stderr = &said, &complained
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %s: %v\n%s%s", name, strings.Join(args, " "), err, &said, &complained)
	}
	return said.String()
}

// printed is a PDF that was written, with its path and its text page by page.
type printed struct {
	path  string
	data  []byte
	pages []string
}

func (p printed) text() string { return strings.Join(p.pages, "\n") }

type pdfer interface {
	PDF(w io.Writer, f Form) error
}

func printOut(t *testing.T, doc pdfer, size Size) printed {
	t.Helper()
	return printIn(t, doc, Form{Size: size})
}

func printIn(t *testing.T, doc pdfer, f Form) printed {
	t.Helper()
	var b bytes.Buffer
	if err := doc.PDF(&b, f); err != nil {
		t.Fatal(err)
	}
	p := printed{path: filepath.Join(t.TempDir(), "paper.pdf"), data: b.Bytes()}
	if err := os.WriteFile(p.path, p.data, 0o644); err != nil {
		t.Fatal(err)
	}
	text := tool(t, "pdftotext", "poppler-utils", "-layout", p.path, "-")
	p.pages = strings.Split(strings.TrimSuffix(text, "\f"), "\f")
	return p
}

// raw is the text in the order in which it was set, so that columns side by side do not mix.
func raw(t *testing.T, p printed) string {
	return tool(t, "pdftotext", "poppler-utils", "-raw", p.path, "-")
}

// squash leaves out all white space, so that a line break in the paper does not hide a sentence.
func squash(s string) string { return strings.Join(strings.Fields(s), "") }

// lacks lists which of the wanted words a text does not have.
func lacks(text string, want ...string) []string {
	text = squash(text)
	var missing []string
	for _, w := range want {
		if !strings.Contains(text, squash(w)) {
			missing = append(missing, w)
		}
	}
	return missing
}

// papers are the specimens of all PDFs.
func papers() map[string]pdfer {
	return map[string]pdfer{"certificate": specimenCertificate(), "laid up": withLayUp(specimenCertificate()), "refusal": specimenRefusal()}
}

func TestPapersAreSoundAndTheSameTwice(t *testing.T) {
	for name, doc := range papers() {
		for _, size := range []Size{A4, Letter} {
			p := printOut(t, doc, size)
			tool(t, "qpdf", "qpdf", "--check", p.path)
			if again := printOut(t, doc, size); !bytes.Equal(p.data, again.data) {
				t.Errorf("%s, %s: the same paper gave other bytes", name, size)
			}
			info := tool(t, "pdfinfo", "poppler-utils", p.path)
			w, h := size.mm()
			for _, want := range []string{fmt.Sprintf("Page size: %s x %s pts", points(w), points(h)), "Subject:", "Author: Quern Hollow", banner} {
				if m := lacks(info, want); len(m) > 0 {
					t.Errorf("%s, %s: pdfinfo lacks %q in\n%s", name, size, m, info)
				}
			}
		}
	}
}

func TestDateIsTheOneGiven(t *testing.T) {
	c := specimenCertificate()
	c.Issued = "2019-02-03"
	p := printOut(t, c, A4)
	if n := bytes.Count(p.data, []byte("D:20190203120000")); n != 2 {
		t.Errorf("the day given stands %d times among the PDF's dates, want 2", n)
	}
}

// Papers of readings that nobody dated say so, and carry no date of their own.
func TestWithoutADateTheDateIsNotStated(t *testing.T) {
	c, r := specimenCertificate(), specimenRefusal()
	c.Issued, r.Issued = "", ""
	for name, doc := range map[string]pdfer{"issued": c, "judged": r} {
		p := printOut(t, doc, A4)
		tool(t, "qpdf", "qpdf", "--check", p.path)
		if m := lacks(raw(t, p), "not stated", name); len(m) > 0 {
			t.Errorf("%s: lacks %q", name, m)
		}
		if info := tool(t, "pdfinfo", "poppler-utils", p.path); strings.Contains(info, "Date") || bytes.Contains(p.data, []byte("(D:")) {
			t.Errorf("%s: the PDF has a date that nobody gave:\n%s", name, info)
		}
		if again := printOut(t, doc, A4); !bytes.Equal(p.data, again.data) {
			t.Errorf("%s: the same paper gave other bytes", name)
		}
	}
}

// The foot names what there is: nothing stands before the first dot.
func TestFootWithoutAMill(t *testing.T) {
	c := specimenCertificate()
	c.Mill, c.DateCode = "", ""
	text := printOut(t, c, A4).pages[1]
	if !regexp.MustCompile(`(?m)^ *certificate of set QH-0007 +· +slatewright 0\.1\.0 +· +digest`).MatchString(text) {
		t.Errorf("the foot is not as it should be:\n%s", text[max(0, len(text)-300):])
	}
}

func TestNumberOfPages(t *testing.T) {
	for name, doc := range papers() {
		for _, size := range []Size{A4, Letter} {
			want := map[string]int{"certificate": 2, "laid up": 3, "refusal": 1}[name]
			p := printOut(t, doc, size)
			if len(p.pages) != want {
				t.Errorf("%s, %s: %d pages, want %d", name, size, len(p.pages), want)
			}
			for i, text := range p.pages {
				if m := lacks(text, banner, fmt.Sprintf("page %d of %d", i+1, want)); len(m) > 0 {
					t.Errorf("%s, %s, page %d lacks %q", name, size, i+1, m)
				}
			}
		}
	}
}

func TestNoBannerOnRealData(t *testing.T) {
	c, r := specimenCertificate(), specimenRefusal()
	c.Mark, c.Map.Mark, r.Mark, r.Map.Mark = "", "", "", ""
	for name, doc := range map[string]pdfer{"certificate": c, "refusal": r} {
		if p := printOut(t, doc, A4); len(lacks(p.text(), banner)) == 0 {
			t.Errorf("%s of real data carries the banner", name)
		}
	}
	if strings.Contains(c.QRText(), banner) {
		t.Error("the code of a real certificate carries the banner")
	}
}

func TestCertificateSaysEverything(t *testing.T) {
	c := specimenCertificate()
	text := raw(t, printOut(t, c, A4))
	want := []string{c.Mill, c.Set, c.DateCode, c.Issued, c.Pattern, c.Reason, judge.Conforms.String(), predicted, c.Digest, c.KeyID, c.Program,
		"25.61", "25.74", "1008", "96.7", "20.1", "2026-09-01", "20 mm (0.79 in)", "175 mm along the table, 179 mm across", "together 290.1 kg",
		"≥ 25.40", "≥ 1000.0", "touches the upper plane", "500 mm (19.7 in)", "0.211 mm (8.3 thou)", "x and y from the middle of the bed"}
	for _, r := range c.Results {
		want = append(want, r.Name, look.Fixed(look.Thou(r.U), 1), look.Fixed(*r.Probability, 4), r.Verdict.String(), r.Note)
		if !r.AtLeast {
			want = append(want, look.InMM(r.U), look.InMM(r.Value), "≤ "+look.InMM(r.Limit), look.InThou(r.Value), "≤ "+look.InThou(r.Limit), look.Signed(r.Limit-r.Value, 3))
		}
	}
	m := c.Method
	want = append(want, m.Readings, m.Instrument, m.Support, "state "+m.State, m.Coverage)
	want = append(want, m.Statement...)
	want = append(want, c.NotChecked...)
	want = append(want, c.Warnings...)
	for _, p := range c.Pieces {
		want = append(want, p.Serial, p.Place)
	}
	for _, j := range c.Map.Joints {
		for _, s := range j.Steps {
			want = append(want, look.Signed(s.Height, 3), look.Signed(look.Thou(s.Height), 1))
		}
	}
	for _, k := range c.Levels.Marks {
		want = append(want, look.Signed(k.Along.Slope, 3), look.Signed(k.Across.Slope/0.02, 1), look.Signed(k.Across.Slope*12/0.5, 1)) // 1 mm/m is 0.012 in/ft, 24 divisions of 0.0005
	}
	for _, s := range c.Shims.Shims {
		want = append(want, look.Fixed(s.Height, 3), look.Fixed(s.Pack, 2), look.Fixed(s.Pack/0.0254, 1))
	}
	if missing := lacks(text, want...); len(missing) > 0 {
		t.Errorf("the text layer lacks %q", missing)
	}
	// The check itself must be able to fail.
	if len(lacks(text, "0.1714", measured)) != 2 {
		t.Error("a number and a phrase that are not there were found")
	}
	if len(want) < 150 {
		t.Errorf("only %d things were looked for", len(want))
	}
}

// In a column the decimal points stand under one another, and the longest figure ends where the heading ends.
func TestDecimalPointsStandInLine(t *testing.T) {
	all := words(t, printOut(t, specimenCertificate(), A4))
	find := func(text string, below float64) word {
		for _, w := range all {
			if w.text == text && w.page == 1 && w.y0 > below {
				return w
			}
		}
		t.Fatalf("no %q in the table", text)
		return word{}
	}
	head, digit := find("value", 0), ink.NewSVG().Width("0", look.Strong)
	for text, fraction := range map[string]int{"0.171": 3, "0.149": 3, "0.194": 3, "0.062": 3, "25.61": 2} {
		if end := find(text, head.y0).x1 + digit*float64(3-fraction); math.Abs(end-head.x1) > 0.1 {
			t.Errorf("%s ends at %.2f, the heading at %.2f", text, end, head.x1)
		}
	}
}

func TestLevelTableKeepsAlongAndAcrossApart(t *testing.T) {
	c := LevelCard{Divisions: []string{"0.02 mm/m", "0.0005 in/ft"}, Marks: []LevelMark{{"A", 0, 0, reading(0.1), reading(-0.25)}}}
	if got := firstRow(inEnglish.levelTable(c, 0, 2, 100)); got != "A +0.100 +5.0 +2.4 −0.250 −12.5 −6.0" {
		t.Error(got)
	}
	if got := firstRow(inEnglish.levelTable(c, 1, 2, 100)); got != "A +2.4 −6.0" {
		t.Error(got)
	}
}

// firstRow is the first row of a table.
func firstRow(tb table) string {
	var words []string
	for _, c := range tb.rows[0] {
		words = append(words, c.text)
	}
	return strings.Join(words, " ")
}

// The levels are those of the specification, whatever their number, and what was not read there is no zero.
func TestLevelsOfTheSpecificationArePrinted(t *testing.T) {
	c := specimenCertificate()
	unread := LevelReading{Slope: math.NaN()}
	c.Levels.Divisions = nil
	for i := range 8 {
		c.Levels.Divisions = append(c.Levels.Divisions, fmt.Sprintf("0.%d3 mm/m", i+1))
		unread.Divisions = append(unread.Divisions, math.NaN())
	}
	for i := range c.Levels.Marks {
		k := &c.Levels.Marks[i]
		for _, r := range []*LevelReading{&k.Along, &k.Across} {
			r.Divisions = nil
			for d := range c.Levels.Divisions {
				r.Divisions = append(r.Divisions, 700+float64(10*i+d)+0.5)
			}
		}
	}
	c.Levels.Marks[4].Along = unread
	for _, size := range []Size{A4, Letter} {
		p := printOut(t, c, size)
		text := raw(t, p)
		var want []string
		for i, division := range c.Levels.Divisions {
			want = append(want, division, look.Fixed(700+float64(80+i)+0.5, 1))
		}
		if m := lacks(text, want...); len(m) > 0 {
			t.Errorf("%s: lacks %q", size, m)
		}
		if m := lacks(text, "E – – –"); len(m) > 0 {
			t.Errorf("%s: what was not read does not stand as a dash", size)
		}
		for _, fault := range onEachOther(words(t, p), size) {
			t.Errorf("%s: %s", size, fault)
		}
	}
	c.Levels.Divisions = c.Levels.Divisions[1:]
	if err := c.PDF(io.Discard, Form{}); err == nil {
		t.Error("readings of eight levels were printed under seven names")
	}
}

func TestHeightsStandOnTheMap(t *testing.T) {
	c := specimenCertificate()
	r, err := c.Map.Relief()
	if err != nil {
		t.Fatal(err)
	}
	text := printOut(t, c, A4).pages[0]
	for _, level := range r.Levels {
		// In the scale each level stands once in mm; on the map at least once more where there is room. The highest and
		// lowest may be too small for words.
		if n := strings.Count(squash(text), squash(look.Signed(level, 2))); n < 1 {
			t.Errorf("level %g stands nowhere", level)
		}
		if m := lacks(text, look.Signed(look.Thou(level), 1)); len(m) > 0 {
			t.Errorf("the scale lacks %q thou", m)
		}
	}
	if n := strings.Count(text, "+0.04"); n < 5 {
		t.Errorf("+0.04 stands %d times; it runs over three pieces", n)
	}
}

func TestLaidUpShowsPredictionAgainstMeasurement(t *testing.T) {
	c := withLayUp(specimenCertificate())
	p := printOut(t, c, A4)
	want := []string{measured, "predicted", "measured", c.LayUp.Date, c.LayUp.Support, "differ by at most 0.020 mm (0.8 thou)"}
	for _, steps := range c.LayUp.Joints {
		for _, s := range steps {
			want = append(want, look.Signed(s.Predicted, 3), look.Signed(s.Measured, 3), look.Signed(look.Thou(s.Measured), 1))
		}
	}
	if m := lacks(raw(t, p), want...); len(m) > 0 {
		t.Errorf("lacks %q", m)
	}
	if len(lacks(p.text(), predicted)) == 0 {
		t.Error("a laid-up certificate says it is predicted")
	}
}

func TestRefusalSaysWhyAndWhatNext(t *testing.T) {
	r := specimenRefusal()
	r.Reasons = []string{"two lines of support prove bow but not twist"}
	r.Warnings = []string{"one reading was repeated"}
	p := printOut(t, r, A4)
	want := append([]string{judge.DoesNotConform.String(), r.NextStep, r.NextWhy, "Step at joint 2: 0.158 mm against a limit of 0.127 mm, over by 0.031 mm (1.2 thou).",
		"Across: 0.249 mm lies 0.005 mm (0.2 thou) inside its limit of 0.254 mm, with an uncertainty U of 0.018 mm (0.7 thou): cannot tell."},
		append(r.Reasons, r.Warnings...)...)
	if m := lacks(p.text(), want...); len(m) > 0 {
		t.Errorf("lacks %q", m)
	}
	if strings.Index(p.text(), "Step at joint 2:") > strings.Index(p.text(), "Across:") {
		t.Error("the failure should stand before the doubt")
	}
}

// A warning of the map is a warning of the paper, and stands there once.
func TestWarningsOfTheMapArePrinted(t *testing.T) {
	c, r := specimenCertificate(), specimenRefusal()
	c.Map.Warnings = []string{"a column stops short", c.Warnings[0]}
	r.Map.Warnings = []string{"a column stops short"}
	for name, doc := range map[string]pdfer{"certificate": c, "refusal": r} {
		if m := lacks(raw(t, printOut(t, doc, A4)), "a column stops short"); len(m) > 0 {
			t.Errorf("the %s lacks %q", name, m)
		}
	}
	if got := allWarnings(c.Warnings, c.Map); len(got) != 2 {
		t.Errorf("%q", got)
	}
}

func TestShimsNotComputedSaysWhy(t *testing.T) {
	c := specimenCertificate()
	c.Shims = ShimCard{NotComputed: "thickness at the supports is not known"}
	c.Levels = LevelCard{}
	text := printOut(t, c, Letter).text()
	if m := lacks(text, "Not computed: thickness at the supports is not known.", "What a level should read"); len(m) > 0 {
		t.Errorf("lacks %q", m)
	}
}

// readCode reads the code on the first page.
func readCode(t *testing.T, p printed) string {
	t.Helper()
	png := strings.TrimSuffix(p.path, ".pdf")
	tool(t, "pdftoppm", "poppler-utils", "-r", "150", "-f", "1", "-l", "1", "-singlefile", "-png", p.path, png)
	return strings.TrimSpace(tool(t, "zbarimg", "zbar-tools", "--quiet", "--raw", png+".png"))
}

// The code leads to the public page where the mill says its address; the digest is in clear either way.
func TestQRLeadsToThePage(t *testing.T) {
	c := specimenCertificate()
	c.Page = "https://bench.quern-hollow.internal:8273/certificate/QH-S0107-B"
	p := printOut(t, c, A4)
	if got := readCode(t, p); got != c.Page {
		t.Errorf("read %q", got)
	}
	if m := lacks(p.text(), c.Digest); len(m) > 0 {
		t.Errorf("the paper lacks %q", m)
	}
}

func TestQRIsReadBackFromThePaper(t *testing.T) {
	c := specimenCertificate()
	got := readCode(t, printOut(t, c, A4))
	if got != c.QRText() {
		t.Errorf("read %q, want %q", got, c.QRText())
	}
	for _, want := range []string{c.Set, c.Digest, banner} {
		if !strings.Contains(got, want) {
			t.Errorf("the code lacks %q", want)
		}
	}
}

// word is a word of the text layer with its box, mm.
type word struct {
	text           string
	x0, y0, x1, y1 float64
	page           int
}

var bbox = regexp.MustCompile(`<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">(.*)</word>`)

func words(t *testing.T, p printed) []word {
	t.Helper()
	out := boxes(t, p)
	if len(out) < 100 {
		t.Fatalf("only %d words", len(out))
	}
	return out
}

// boxes are the words of a document of any length.
func boxes(t *testing.T, p printed) []word {
	t.Helper()
	var out []word
	page := 0
	for _, line := range strings.Split(tool(t, "pdftotext", "poppler-utils", "-bbox", p.path, "-"), "\n") {
		if strings.Contains(line, "<page ") {
			page++
		}
		m := bbox.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		var v [4]float64
		for i := range v {
			f, err := strconv.ParseFloat(m[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			v[i] = f * 25.4 / 72
		}
		out = append(out, word{m[5], v[0], v[1], v[2], v[3], page})
	}
	return out
}

// collide says whether two words stand on each other: boxes shrunk by a quarter of their height, because a box holds the
// room for letters that hang below the line.
func collide(a, b word) bool {
	s := 0.25 * math.Min(a.y1-a.y0, b.y1-b.y0)
	return a.page == b.page && a.x0+s < b.x1-s && b.x0+s < a.x1-s && a.y0+s < b.y1-s && b.y0+s < a.y1-s
}

// onEachOther lists words that leave the page's margins or stand on each other.
func onEachOther(all []word, size Size) []string {
	var faults []string
	w, h := size.mm()
	for i, a := range all {
		if a.x0 < 8 || a.y0 < 6 || a.x1 > w-8 || a.y1 > h-4 {
			faults = append(faults, fmt.Sprintf("%q leaves the page %d at %.1f, %.1f", a.text, a.page, a.x0, a.y0))
		}
		for _, b := range all[:i] {
			if collide(a, b) {
				faults = append(faults, fmt.Sprintf("%q and %q stand on each other on page %d at %.1f, %.1f", a.text, b.text, a.page, a.x0, a.y0))
			}
		}
	}
	return faults
}

func TestNothingIsCutOffOrOnAnother(t *testing.T) {
	docs := papers()
	docs["long words"] = longWords()
	docs["long refusal"] = longRefusal()
	docs["long lists"] = longLists()
	for name, doc := range docs {
		for _, size := range []Size{A4, Letter} {
			p := printOut(t, doc, size)
			for _, fault := range onEachOther(words(t, p), size) {
				t.Errorf("%s, %s: %s", name, size, fault)
			}
		}
	}
	at := word{"a", 20, 20, 30, 24, 1}
	if len(onEachOther([]word{at, {"b", 25, 21, 35, 25, 1}, {"c", 205, 50, 220, 54, 1}}, A4)) != 2 {
		t.Error("a collision and a word off the page were not noticed")
	}
}

// points prints mm as the points of a PDF, at most two decimals.
func points(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*7200/25.4)/100, 'f', -1, 64)
}
