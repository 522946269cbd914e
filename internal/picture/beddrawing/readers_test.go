package beddrawing

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
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

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/internal/picture/drafting"
)

// circle is a circle as a reader finds it, in the units of what it read.
type circle struct {
	X, Y, R float64
	Layer   string
}

// run runs a program that make test installs, and fails where it is missing: a check that is skipped checks nothing.
func run(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Env = append(cmd.Environ(), "PYTHONIOENCODING=utf-8", "HOME="+t.TempDir())
	var said, complained bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &complained
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s (make test installs chromium-headless-shell, poppler-utils, python3-ezdxf and qpdf): %v\n%s%s", name, err, &said, &complained)
	}
	return said.Bytes()
}

// svgCircles reads the circles of an SVG.
func svgCircles(t *testing.T, text []byte) (list []circle) {
	t.Helper()
	for d := xml.NewDecoder(bytes.NewReader(text)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return list
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := token.(xml.StartElement)
		if !ok || e.Name.Local != "circle" {
			continue
		}
		value := map[string]float64{}
		for _, a := range e.Attr {
			value[a.Name.Local], _ = strconv.ParseFloat(a.Value, 64)
		}
		list = append(list, circle{X: value["cx"], Y: value["cy"], R: value["r"]})
	}
}

var (
	paths   = regexp.MustCompile(`<path[^>]*? d="([^"]*)"[^>]*>`)
	numbers = regexp.MustCompile(`-?[0-9.]+`)
)

// pdfCircles finds the circles on each page of a PDF: closed paths of eight curves whose ends lie on one circle, in mm from the
// upper left. pdftocairo keeps the numbers of the document in its paths, and what it adds to bring them onto its own page is left aside.
func pdfCircles(t *testing.T, file string, page int, high float64) (list []circle) {
	t.Helper()
	n := strconv.Itoa(page)
	text := run(t, "pdftocairo", "-svg", "-f", n, "-l", n, file, "-")
	for _, m := range paths.FindAllSubmatch(text, -1) {
		d := string(m[1])
		if strings.Count(d, "C") != 8 || strings.Count(d, "M") > 2 || strings.Contains(d, "L") {
			continue
		}
		var x, y float64
		var on [][2]float64
		for _, part := range strings.Split(d, "C")[1:] {
			v := numbers.FindAllString(part, 6)
			px, _ := strconv.ParseFloat(v[4], 64)
			py, _ := strconv.ParseFloat(v[5], 64)
			on = append(on, [2]float64{px, py})
			x, y = x+px/8, y+py/8
		}
		r := math.Hypot(on[0][0]-x, on[0][1]-y)
		round := true
		for _, p := range on {
			round = round && math.Abs(math.Hypot(p[0]-x, p[1]-y)-r) < 0.05
		}
		if round {
			const mm = 25.4 / 72
			list = append(list, circle{X: x * mm, Y: high - y*mm, R: r * mm})
		}
	}
	return list
}

// dxfFile is what the independent reader says of a drawing.
type dxfFile struct {
	Errors, Fixes, Units int
	Circles              []circle
	Layers               map[string]string // name and type of line
	Kinds                map[string]int
	Unknown              []string // layers that are used and not named
}

const readDXF = `
import sys, json, ezdxf
from collections import Counter
out = {}
for f in sys.argv[1:]:
    doc = ezdxf.readfile(f)
    a = doc.audit()
    m = list(doc.modelspace())
    names = {l.dxf.name: l.dxf.linetype for l in doc.layers}
    out[f] = dict(Errors=len(a.errors), Fixes=len(a.fixes), Units=doc.header.get('$INSUNITS', 0), Layers=names, Kinds=Counter(e.dxftype() for e in m),
        Unknown=sorted({e.dxf.layer for e in m} - set(names)),
        Circles=[dict(X=e.dxf.center.x, Y=e.dxf.center.y, R=e.dxf.radius, Layer=e.dxf.layer) for e in m if e.dxftype() == 'CIRCLE'])
print(json.dumps(out))
`

func readAll(t *testing.T, files []string) map[string]dxfFile {
	t.Helper()
	var list map[string]dxfFile
	if err := json.Unmarshal(run(t, "/usr/bin/python3", append([]string{"-c", readDXF}, files...)...), &list); err != nil {
		t.Fatal(err)
	}
	return list
}

// has reports whether a circle is among a list, within a tolerance.
func has(list []circle, want circle, within float64) bool {
	for _, c := range list {
		if math.Hypot(c.X-want.X, c.Y-want.Y) <= within && math.Abs(c.R-want.R) <= within {
			return true
		}
	}
	return false
}

// written is a drawing in all its forms.
type written struct {
	d        *drafting.Drawing
	v        drawing.View
	p        pattern.Pattern
	dxf, pdf string
	page     int
	svg      []byte
}

// writeAll writes all plans of a pattern.
func writeAll(t *testing.T, dir, name string, p pattern.Pattern, o Options) (list []written) {
	t.Helper()
	views := Views(p, drawing.Whole)
	sheets, err := Sheets(p, o, views, true)
	if err != nil {
		t.Fatal(err)
	}
	pdf := filepath.Join(dir, name+".pdf")
	save(t, pdf, func(w io.Writer) error { return PDF(w, name, o, sheets) })
	for i, d := range sheets {
		w := written{d: d, p: p, pdf: pdf, page: i + 1, dxf: filepath.Join(dir, name+"-"+d.Name+".dxf"), v: drawing.View{Piece: -2}}
		if i < len(views) {
			w.v = views[i]
		}
		save(t, w.dxf, d.DXF)
		var svg bytes.Buffer
		if err := d.SVG(&svg); err != nil {
			t.Fatal(err)
		}
		w.svg = svg.Bytes()
		list = append(list, w)
	}
	return list
}

func save(t *testing.T, path string, write func(io.Writer) error) {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Three independent readers open what was written: ezdxf the DXF, with nothing to complain of and mm as its unit; pdftocairo and qpdf the PDF; an
// XML reader the SVG. In all three, every hole of the pattern is a circle of its size at its place.
func TestThreeFormsAgree(t *testing.T) {
	dir := t.TempDir()
	var all []written
	for name, p := range shipped(t) {
		paper := A4
		if strings.HasPrefix(name, "nine") {
			paper = A3
		}
		all = append(all, writeAll(t, dir, name, p, Options{Paper: paper})...)
	}
	var files []string
	for _, w := range all {
		files = append(files, w.dxf)
	}
	read := readAll(t, files)
	checked := 0
	for _, w := range all {
		f := read[w.dxf]
		if f.Errors+f.Fixes+len(f.Unknown) > 0 || f.Units != 4 || f.Kinds["TEXT"] != len(w.d.Texts) || f.Kinds["CIRCLE"] != len(w.d.Circles) || f.Kinds["SOLID"] != len(w.d.Fills) {
			t.Errorf("%s: %+v", w.d.Name, f)
		}
		if w.v.Piece < -1 {
			continue
		}
		if w.page == 1 {
			run(t, "qpdf", "--check", w.pdf)
		}
		svg, pdf := svgCircles(t, w.svg), pdfCircles(t, w.pdf, w.page, w.d.Height)
		for _, h := range w.p.Holes {
			if !w.v.Shows(h.Piece) {
				continue
			}
			// From the pattern, by hand: from the middle of what is shown, seen from below with x turned about.
			x, y := h.X, h.Y
			if w.v.Piece >= 0 {
				x -= (w.p.Pieces[w.v.Piece].From + w.p.Pieces[w.v.Piece].To) / 2
			}
			if w.v.Face == pattern.Bottom {
				x = -x
			}
			s := w.d.Scale
			on := circle{X: w.d.Origin.X + x/s, Y: w.d.Origin.Y - y/s, R: h.Diameter / 2 / s}
			if !has(f.Circles, circle{X: x, Y: y, R: h.Diameter / 2}, 1e-3) {
				t.Errorf("%s, DXF: no %s at (%.3f, %.3f)", w.d.Name, h.Name, x, y)
			}
			if !has(svg, on, 2e-4) {
				t.Errorf("%s, SVG: no %s at %+v", w.d.Name, h.Name, on)
			}
			if !has(pdf, on, 0.01) {
				t.Errorf("%s, PDF: no %s at %+v", w.d.Name, h.Name, on)
			}
			checked++
		}
	}
	if checked < 500 {
		t.Errorf("%d holes", checked)
	}
}

// Layers carry the kinds of holes and lines: hidden ones are dashed, middle lines dashed and dotted.
func TestLayers(t *testing.T) {
	dir := t.TempDir()
	list := writeAll(t, dir, "nine", shipped(t)["nine-foot"], Options{Paper: A3})
	f := readAll(t, []string{list[0].dxf})[list[0].dxf]
	for name, line := range map[string]string{"OUTLINE": "CONTINUOUS", "HOLES-RAIL-BOLT": "CONTINUOUS", "HOLES-BED-SCREW": "CONTINUOUS", "HOLES-ACCESSORY-HIDDEN": "DASHED", "COUNTERBORES": "CONTINUOUS",
		"DOWELS-HIDDEN": "DASHED", "CENTRES-CENTRE": "DASHDOT", "FIELD-BESIDE": "DIVIDE", "DIMENSIONS": "CONTINUOUS", "MARKS": "CONTINUOUS", "NOTES": "CONTINUOUS", "SHEET": "CONTINUOUS", "DATUMS": "CONTINUOUS"} {
		if !strings.EqualFold(f.Layers[name], line) {
			t.Errorf("%s is %q, want %q", name, f.Layers[name], line)
		}
	}
	count := map[string]int{}
	for _, c := range f.Circles {
		count[c.Layer]++
	}
	if count["HOLES-RAIL-BOLT"] != 18 || count["HOLES-BED-SCREW"] != 18 || count["HOLES-ACCESSORY-HIDDEN"] != 8 || count["COUNTERBORES"] != 18 {
		t.Errorf("%v", count)
	}
}

// A template is in true size in all three forms, and its tiles together show every hole at its place in the whole.
func TestTemplates(t *testing.T) {
	dir := t.TempDir()
	all := shipped(t)
	for _, name := range []string{"nine-foot", "snooker-twelve-foot"} {
		p := all[name]
		o := Options{Paper: A3, Invented: true}
		v := drawing.View{Piece: len(p.Pieces) - 1, Face: pattern.Bottom}
		d := Template(p, o, v)
		look(t, "template-"+name, d)
		if c := d.Clashes(); len(c) > 0 {
			t.Errorf("%s: %v", name, c)
		}
		path, pdf := filepath.Join(dir, name+".dxf"), filepath.Join(dir, name+".pdf")
		save(t, path, d.DXF)
		save(t, pdf, func(w io.Writer) error { return TilePDF(w, d, o) })
		var svg bytes.Buffer
		if err := d.SVG(&svg); err != nil {
			t.Fatal(err)
		}
		size := regexp.MustCompile(`width="([0-9.]+)mm"`).FindStringSubmatch(svg.String())
		if wide, err := strconv.ParseFloat(size[1], 64); err != nil || math.Abs(wide-d.Width) > 0.006 || d.Scale != 1 {
			t.Errorf("%s: %s", name, svg.String()[:200])
		}
		f := readAll(t, []string{path})[path]
		if f.Errors+f.Fixes > 0 || f.Units != 4 {
			t.Errorf("%s: %+v", name, f)
		}
		across, down, lying := Tiles(d, o)
		wide, high := o.Paper.size()
		if !lying {
			wide, high = high, wide
		}
		var tiled []circle
		for page := range across * down {
			row, col := page/across, page%across
			for _, c := range pdfCircles(t, pdf, page+1, high) {
				c.X += float64(col)*(wide-2*tileMargin-tileOver) - tileMargin
				c.Y += float64(row)*(high-2*tileMargin-tileOver) - tileMargin
				tiled = append(tiled, c)
			}
		}
		if right := float64(across-1)*(wide-2*tileMargin-tileOver) + wide - 2*tileMargin; right < d.Width {
			t.Errorf("%s: the tiles reach %v mm, the template %v", name, right, d.Width)
		}
		for _, h := range p.Holes {
			if h.Piece != v.Piece {
				continue
			}
			x, y, r := -(h.X - p.Pieces[v.Piece].Middle.X), h.Y, h.Diameter/2
			on := circle{X: d.Origin.X + x, Y: d.Origin.Y - y, R: r}
			if !has(f.Circles, circle{X: x, Y: y, R: r}, 1e-3) || !has(svgCircles(t, svg.Bytes()), on, 2e-4) || !has(tiled, on, 0.02) {
				t.Errorf("%s: %s is not at (%.2f, %.2f) in all three", name, h.Name, x, y)
			}
		}
	}
}

const askBrowser = `<!DOCTYPE html><meta charset="utf-8"><body>%s<pre id="out"></pre><script>
const svg = document.querySelector('svg'), box = svg.getBoundingClientRect(), scale = svg.viewBox.baseVal.width / box.width;
const rect = e => { const r = e.getBoundingClientRect(); return {X0: (r.left-box.left)*scale, Y0: (r.top-box.top)*scale, X1: (r.right-box.left)*scale, Y1: (r.bottom-box.top)*scale}; };
const out = {Width: box.width*25.4/96, Circles: [...svg.querySelectorAll('circle')].map(rect), Texts: [...svg.querySelectorAll('text')].map(e => ({Words: e.textContent, Box: rect(e)}))};
document.getElementById('out').textContent = JSON.stringify(out);</script>`

// The browser shows an SVG in the size that it states, its circles where they belong, and no words over words.
func TestBrowserShowsTheSheet(t *testing.T) {
	p := shipped(t)["nine-foot"]
	list, err := Sheets(p, Options{Paper: A3}, []drawing.View{{Piece: drawing.Whole, Face: pattern.Bottom}}, false)
	if err != nil {
		t.Fatal(err)
	}
	d := list[0]
	var svg bytes.Buffer
	if err := d.SVG(&svg); err != nil {
		t.Fatal(err)
	}
	page := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(page, fmt.Appendf(nil, askBrowser, svg.Bytes()), 0o644); err != nil {
		t.Fatal(err)
	}
	chromium := "chromium"
	if _, err := exec.LookPath("chromium-headless-shell"); err == nil { // the one without windows, where it is
		chromium = "chromium-headless-shell"
	}
	dom := string(run(t, chromium, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+t.TempDir(), "--dump-dom", "file://"+page))
	_, rest, _ := strings.Cut(dom, `<pre id="out">`)
	text, _, _ := strings.Cut(rest, "</pre>")
	var seen struct {
		Width   float64
		Circles []drafting.Box
		Texts   []struct {
			Words string
			Box   drafting.Box
		}
	}
	if err := json.Unmarshal([]byte(strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(text)), &seen); err != nil {
		t.Fatalf("%v: %.200s", err, text)
	}
	if math.Abs(seen.Width-d.Width) > 0.1 || len(seen.Circles) != len(d.Circles) || len(seen.Texts) != len(d.Texts) {
		t.Fatalf("%.2f mm wide, %d circles, %d texts", seen.Width, len(seen.Circles), len(seen.Texts))
	}
	for i, c := range d.Circles {
		b := seen.Circles[i]
		if math.Hypot((b.X0+b.X1)/2-c.At.X, (b.Y0+b.Y1)/2-c.At.Y) > 0.05 || math.Abs((b.X1-b.X0)/2-c.R) > 0.05 {
			t.Errorf("%s: %+v, want %v, %v", c.Name, b, c.At, c.R)
		}
	}
	for i, a := range seen.Texts {
		if own := d.BoxOf(d.Texts[i]); math.Abs(a.Box.X0-own.X0)+math.Abs(a.Box.X1-own.X1) > 1 && !d.Texts[i].Turned {
			t.Errorf("%q reaches from %.2f to %.2f, measured %.2f to %.2f", a.Words, a.Box.X0, a.Box.X1, own.X0, own.X1)
		}
	}
}

// The same pattern gives the same bytes.
func TestSameBytes(t *testing.T) {
	p := shipped(t)["snooker-twelve-foot"]
	all := func() []byte {
		list, err := Sheets(p, Options{Paper: A4}, Views(p, drawing.Whole), true)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		for _, d := range list {
			if d.SVG(&b) != nil || d.DXF(&b) != nil {
				t.Fatal("cannot be written")
			}
		}
		if err := PDF(&b, "set", Options{}, list); err != nil {
			t.Fatal(err)
		}
		o := Options{Paper: A3}
		if err := TilePDF(&b, Template(p, o, drawing.View{Piece: 2}), o); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	first := all()
	for range 3 {
		if !bytes.Equal(first, all()) {
			t.Fatal("the same pattern gave other bytes")
		}
	}
}
