package ink

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/internal/picture/contour"
)

var words = Type{Face: Plain, Size: 8}

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

// drawing uses every call once.
func drawing(s Sheet) {
	s.Fill([]contour.Line{Rect(10, 10, 40, 30), {P: []Point{{X: 20, Y: 20}, {X: 20, Y: 30}, {X: 30, Y: 30}}, Closed: true}}, Colour{200, 150, 100})
	s.Stroke(Segment(10, 50, 60, 50), Pen{Colour: Colour{1, 2, 3}, Width: 0.3, Dash: []float64{1, 0.5}, Round: true})
	s.Strokes(Hatch(10, 60, 30, 10, 1), Pen{Width: 0.1})
	for i, a := range []Align{Left, Middle, Right} {
		s.Text(Point{X: 50, Y: 80 + 5*float64(i)}, "−0.031 mm ≤ ⌀ <&>", words.To(a))
	}
	turned := words
	turned.Angle = -math.Pi / 2
	s.Text(Point{X: 50, Y: 120}, "turned", turned)
	for f := Plain; f < faces; f++ {
		s.Text(Point{X: 120, Y: 30 + 6*float64(f)}, "face", Type{Face: f, Size: 9})
	}
	s.Text(Point{}, "", words)
	s.Fill(nil, Colour{})
	s.Strokes(nil, Pen{})
}

func pdfOf(t *testing.T, draw func(*PDF)) []byte {
	t.Helper()
	p := NewPDF(210, 297, Title{Name: "probe", Made: time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)}, nil)
	p.Page()
	draw(p)
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func save(t *testing.T, data []byte, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestPDFIsSoundAndTheSameTwice(t *testing.T) {
	one := pdfOf(t, func(p *PDF) { drawing(p) })
	for range 8 {
		if !bytes.Equal(one, pdfOf(t, func(p *PDF) { drawing(p) })) {
			t.Fatal("the same drawing gave other bytes")
		}
	}
	path := save(t, one, "probe.pdf")
	tool(t, "qpdf", "qpdf", "--check", path)
	text := tool(t, "pdftotext", "poppler-utils", path, "-")
	for _, want := range []string{"−0.031 mm ≤ ⌀ <&>", "turned"} {
		if !strings.Contains(text, want) {
			t.Errorf("the text layer lacks %q:\n%s", want, text)
		}
	}
	fonts := tool(t, "pdffonts", "poppler-utils", path)
	if strings.Count(fonts, "TrueType") != int(faces) || strings.Count(fonts, "yes no  yes") != int(faces) {
		t.Errorf("want the %d fonts used, embedded, with their letters named:\n%s", faces, fonts)
	}
}

// Turned by −90°, words run up the page from where they begin.
func TestWordsTurnTheRightWay(t *testing.T) {
	path := save(t, pdfOf(t, func(p *PDF) { drawing(p) }), "turned.pdf")
	for _, line := range strings.Split(tool(t, "pdftotext", "poppler-utils", "-bbox", path, "-"), "\n") {
		if strings.Contains(line, ">turned<") {
			var x0, y0, x1, y1 float64
			if _, err := fmt.Sscanf(strings.TrimSpace(line), `<word xMin="%f" yMin="%f" xMax="%f" yMax="%f">`, &x0, &y0, &x1, &y1); err != nil {
				t.Fatal(err)
			}
			if end := y1 * 25.4 / 72; math.Abs(end-120) > 0.5 || y1-y0 < 2*(x1-x0) {
				t.Errorf("begins at y = 120 mm and reaches from %g to %g mm", y0*25.4/72, end)
			}
			return
		}
	}
	t.Error("the turned word is not in the text layer")
}

// A document names only the fonts that it uses.
func TestUnusedFontsStayOut(t *testing.T) {
	path := save(t, pdfOf(t, func(p *PDF) { p.Text(Point{X: 9, Y: 9}, "one", words) }), "one.pdf")
	if fonts := tool(t, "pdffonts", "poppler-utils", path); strings.Count(fonts, "TrueType") != 1 {
		t.Errorf("one typeface was used:\n%s", fonts)
	}
}

func TestPagesCanBeTurnedBack(t *testing.T) {
	data := pdfOf(t, func(p *PDF) {
		p.Page()
		for n := 1; n <= p.Pages(); n++ {
			p.Turn(n)
			p.Text(Point{X: 10, Y: 10}, strings.Repeat("#", n), words)
		}
	})
	path := save(t, data, "pages.pdf")
	for n, want := range map[string]string{"1": "#", "2": "##"} {
		if got := strings.TrimSpace(tool(t, "pdftotext", "poppler-utils", "-f", n, "-l", n, path, "-")); got != want {
			t.Errorf("page %s says %q", n, got)
		}
	}
}

func svgOf(t *testing.T, draw func(*SVG), title string) string {
	t.Helper()
	s := NewSVG()
	draw(s)
	var b bytes.Buffer
	if err := s.Write(&b, 210, 297, title); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// wellFormed reads XML to its end and returns all text in it.
func wellFormed(data string) (string, error) {
	var text strings.Builder
	for d := xml.NewDecoder(strings.NewReader(data)); ; {
		tok, err := d.Token()
		if err == io.EOF {
			return text.String(), nil
		}
		if err != nil {
			return "", err
		}
		if c, ok := tok.(xml.CharData); ok {
			text.Write(c)
		}
	}
}

func TestSVGIsWellFormed(t *testing.T) {
	data := svgOf(t, func(s *SVG) { drawing(s) }, `<"title"> & more`)
	text, err := wellFormed(data)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"−0.031 mm ≤ ⌀ <&>", `<"title"> & more`} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q", want)
		}
	}
	for _, never := range []string{" id=", "script", " style=", "href", "url("} {
		if strings.Contains(data, never) {
			t.Errorf("holds %q", never)
		}
	}
	if _, err := wellFormed(strings.Replace(data, "&amp;", "&", 1)); err == nil {
		t.Error("a bare & was not noticed")
	}
}

func TestSVGSurvivesAnyWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := NewSVG()
		said := rapid.String().Draw(t, "words")
		s.Text(Point{}, said, words)
		var b bytes.Buffer
		if err := s.Write(&b, 1, 1, said); err != nil {
			t.Fatal(err)
		}
		if _, err := wellFormed(b.String()); err != nil {
			t.Fatalf("%q: %v", said, err)
		}
	})
}

func TestBothSheetsMeasureAlike(t *testing.T) {
	svg, pdf := NewSVG(), NewPDF(210, 297, Title{}, nil)
	for f := Plain; f < faces; f++ {
		ty := Type{Face: f, Size: 9}
		w := svg.Width("Quern Hollow 0.123", ty)
		if w <= 0 || w != pdf.Width("Quern Hollow 0.123", ty) {
			t.Errorf("face %d: %g mm", f, w)
		}
		for d := '1'; d <= '9'; d++ { // figures in columns need digits of one width
			if svg.Width(string(d), ty) != svg.Width("0", ty) {
				t.Errorf("face %d: %c is not as wide as 0", f, d)
			}
		}
	}
	// Plain capitals, from the font's own table: H in DejaVu Sans Condensed is 0.677 of the size.
	if got, want := svg.Width("H", Type{Face: Plain, Size: 72}), 0.677*25.4; math.Abs(got-want) > 0.03 {
		t.Errorf("a capital H of 72 points is %g mm wide, want %g", got, want)
	}
}

func TestWrapLosesNothing(t *testing.T) {
	s := NewSVG()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.SampledFrom([]rune("abcdefgh WMij-/ \n0123456789äß")), 0, 120, -1).Draw(t, "text")
		width := rapid.Float64Range(6, 60).Draw(t, "width")
		lines := Wrap(s, text, words, width)
		for _, l := range lines {
			if s.Width(l, words) > width {
				t.Fatalf("%q is wider than %g", l, width)
			}
		}
		squash := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if squash(strings.Join(lines, " ")) != squash(text) {
			t.Fatalf("%q became %q", text, lines)
		}
	})
}

func TestWrapBreaksAtSpaces(t *testing.T) {
	s := NewSVG()
	got := Wrap(s, "one two three", words, s.Width("one two", words)+0.1)
	if len(got) != 2 || got[0] != "one two" || got[1] != "three" {
		t.Errorf("%q", got)
	}
	if got := Wrap(s, "a step of 0.127 mm, or so", words, s.Width("a step of 0.127", words)+0.5); got[0] != "a step of" || !strings.HasPrefix(got[1], "0.127 mm") {
		t.Errorf("a number and its unit: %q", got)
	}
	long := Wrap(s, "serial-number-of-a-very-long-kind", words, 15)
	if len(long) < 2 || !strings.HasSuffix(long[0], "-") {
		t.Errorf("a long word should break after a hyphen: %q", long)
	}
	if w := Wrap(s, "W", words, 0.1); len(w) != 1 || w[0] != "W" {
		t.Errorf("a letter wider than the column: %q", w)
	}
}

func TestFit(t *testing.T) {
	s := NewSVG()
	full := s.Width("fitting words", words)
	if got := Fit(s, "fitting words", words, full, 4); got.Size != 8 {
		t.Errorf("what fits was made %g points", got.Size)
	}
	small := Fit(s, "fitting words", words, full*0.7, 4)
	if s.Width("fitting words", small) > full*0.7 || small.Size < 5 {
		t.Errorf("size %g", small.Size)
	}
	if got := Fit(s, "fitting words", words, 1, 4); got.Size != 4 {
		t.Errorf("smaller than allowed: %g", got.Size)
	}
}

func TestHatchStaysInside(t *testing.T) {
	const x, y, w, h = 13.0, 7.0, 21.0, 9.0
	lines := Hatch(x, y, w, h, 1.5)
	if len(lines) < 10 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, l := range lines {
		for _, p := range l.P {
			if p.X < x-1e-9 || p.X > x+w+1e-9 || p.Y < y-1e-9 || p.Y > y+h+1e-9 {
				t.Errorf("%v lies outside", p)
			}
		}
		if d := (l.P[1].X - l.P[0].X) + (l.P[1].Y - l.P[0].Y); math.Abs(d) > 1e-9 {
			t.Errorf("%v is not at 45°", l)
		}
	}
}

func TestMix(t *testing.T) {
	a, b := Colour{0, 100, 255}, Colour{200, 100, 55}
	if a.Mix(b, 0) != a || a.Mix(b, 1) != b || a.Mix(b, 0.5) != (Colour{100, 100, 155}) {
		t.Errorf("%v %v %v", a.Mix(b, 0), a.Mix(b, 1), a.Mix(b, 0.5))
	}
}

func TestQRIsReadBack(t *testing.T) {
	read := func(text string) string {
		data := pdfOf(t, func(p *PDF) {
			if err := QR(p, text, 20, 20, 29, Colour{33, 39, 45}, Colour{255, 255, 255}); err != nil {
				t.Fatal(err)
			}
		})
		path := save(t, data, "qr.pdf")
		png := strings.TrimSuffix(path, ".pdf")
		// 150 dots per inch: what a poor office copier keeps.
		tool(t, "pdftoppm", "poppler-utils", "-r", "150", "-singlefile", "-png", path, png)
		return strings.TrimSpace(tool(t, "zbarimg", "zbar-tools", "--quiet", "--raw", png+".png"))
	}
	for _, text := range []string{"set: QH-0007\nsha256: " + strings.Repeat("9f2c5a1e", 8), "short", "Grüße ⌀"} {
		if got := read(text); got != text {
			t.Errorf("wrote %q, read %q", text, got)
		}
	}
}

// fillings writes down what is filled.
type fillings struct {
	SVG
	rings [][]contour.Line
}

func (f *fillings) Fill(rings []contour.Line, _ Colour) { f.rings = append(f.rings, rings) }

// The upper left finder pattern begins four modules from the edge and is seven wide (ISO/IEC 18004:2015, 6.3.3 and 6.3.8).
func TestQRKeepsItsQuietZone(t *testing.T) {
	var f fillings
	if err := QR(&f, "set: QH-0007", 10, 20, 29, Colour{}, Colour{255, 255, 255}); err != nil {
		t.Fatal(err)
	}
	if len(f.rings) != 2 || len(f.rings[0]) != 1 {
		t.Fatalf("%d fillings", len(f.rings))
	}
	first := f.rings[1][0].P
	module := (first[1].X - first[0].X) / 7
	if modules := 29 / module; math.Abs(modules-math.Round(modules)) > 1e-9 || int(math.Round(modules))%4 != 1 { // 21, 25, 29 … and 8 of quiet
		t.Errorf("%g modules across", modules)
	}
	if math.Abs(first[0].X-10-4*module) > 1e-9 || math.Abs(first[0].Y-20-4*module) > 1e-9 {
		t.Errorf("the pattern begins at %v, modules of %g", first[0], module)
	}
}

func TestQRRefusesWhatDoesNotFit(t *testing.T) {
	err := QR(NewSVG(), strings.Repeat("x", 4000), 0, 0, 10, Colour{}, Colour{})
	if err == nil || !strings.Contains(err.Error(), "shorten") {
		t.Errorf("%v", err)
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestWriteErrorsArePassedOn(t *testing.T) {
	p := NewPDF(10, 10, Title{}, nil)
	p.Page()
	if err := p.Write(fullDisk{}); err == nil {
		t.Error("PDF: no error")
	}
	if err := NewSVG().Write(fullDisk{}, 1, 1, ""); err == nil {
		t.Error("SVG: no error")
	}
}
