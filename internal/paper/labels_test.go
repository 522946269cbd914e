package paper

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/tongue"
	"slatewright/sets/marks"
	"slatewright/trouble"
)

func specimenLabels() Labels {
	return Labels{Mark: banner, Mill: "Quern Hollow", Program: "slatewright 0.1.0", Sheet: marks.Sheet{Set: "QH-S107", Pieces: [3]string{"QH-1012", "QH-1003", "QH-1009"}, MassKg: [3]float64{96.7, 96.9, 96.5}, Day: "2026-11-26"}}
}

// codesOn reads every code of a PDF as it is printed at a number of dots an inch, in the order of the pages.
func codesOn(t *testing.T, p printed, dpi string) []string {
	t.Helper()
	png := strings.TrimSuffix(p.path, ".pdf")
	tool(t, "pdftoppm", "poppler-utils", "-r", dpi, "-gray", "-png", p.path, png)
	files, err := filepath.Glob(png + "-*.png")
	if err != nil || len(files) != len(p.pages) {
		t.Fatalf("%d pictures of %d pages, %v", len(files), len(p.pages), err)
	}
	slices.Sort(files)
	return strings.Split(strings.TrimSpace(tool(t, "zbarimg", "zbar-tools", append([]string{"--quiet", "--raw"}, files...)...)), "\n")
}

// The codes on a sheet are read at the fineness of a plain office printer's draft, and each mark stands there for the stone and for the lining.
func TestCodesOfASheetAreReadBack(t *testing.T) {
	l := specimenLabels()
	var want []string
	for _, m := range marks.Of(l.Set, l.Pieces) {
		want = append(want, m.Code(), m.Code())
	}
	slices.Sort(want)
	for _, size := range []Size{A4, Letter} {
		p := printOut(t, l, size)
		tool(t, "qpdf", "qpdf", "--check", p.path)
		if len(p.pages) != 1 {
			t.Errorf("%s: %d pages", size, len(p.pages))
		}
		if size == A4 { // Letter has the same labels
			got := codesOn(t, p, "200")
			if slices.Sort(got); !slices.Equal(got, want) {
				t.Errorf("read %q, want %q", got, want)
			}
		}
		if again := printOut(t, l, size); !bytes.Equal(p.data, again.data) {
			t.Errorf("%s: the same labels gave other bytes", size)
		}
		if m := lacks(p.text(), banner, "Quern Hollow", "Labels of set QH-S107", "together 290.1 kg", "Lifting"); len(m) > 0 {
			t.Errorf("%s lacks %q", size, m)
		}
	}
}

// On a label printer each label is a page, in the order in which one walks along the bed; 203 dots an inch are the coarsest that is sold (common practice).
func TestCodesOfLabelsAreReadBack(t *testing.T) {
	if len(marks.Sizes()) == 0 {
		t.Fatal("no sizes")
	}
	for _, size := range [][2]float64{marks.Sizes()[0], {45, 16}} { // larger ones have larger codes
		l := specimenLabels()
		l.Width, l.Height = size[0], size[1]
		p := printOut(t, l, A4)
		if info := tool(t, "pdfinfo", "poppler-utils", p.path); len(lacks(info, fmt.Sprintf("Page size: %s x %s pts", points(size[0]), points(size[1])))) > 0 {
			t.Errorf("%v: %s", size, info)
		}
		got := codesOn(t, p, "203")
		if len(got) != 8 {
			t.Fatalf("%v: read %q", size, got)
		}
		i := 0
		for _, m := range marks.Of(l.Set, l.Pieces) {
			for _, on := range []string{"stone", "lining"} {
				if got[i] != m.Code() {
					t.Errorf("%v, page %d: read %q, want %q", size, i+1, got[i], m.Code())
				}
				if m := lacks(p.pages[i], m.Piece, m.Letter, "set QH-S107", m.Place.String(), on, banner, "left side"); len(m) > 0 {
					t.Errorf("%v, page %d lacks %q in %s", size, i+1, m, p.pages[i])
				}
				i++
			}
		}
		if i != len(got) {
			t.Errorf("%v: %d pages", size, len(got))
		}
	}
}

// The longest numbers that the book takes are still read, on the smallest label by a finer printer.
func TestCodesOfLongNumbersAreReadBack(t *testing.T) {
	l := specimenLabels()
	l.Set = "QUERN-HOLLOW-LOWER-QUARRY-2026-set-S1077"
	for i := range l.Pieces {
		l.Pieces[i] = fmt.Sprintf("QUERN-HOLLOW-LOWER-QUARRY-2026-piece-%03d", i)
	}
	for _, c := range []struct {
		w, h float64
		dpi  string
	}{{62, 29, "203"}, {45, 16, "300"}} {
		l.Width, l.Height = c.w, c.h
		read := codesOn(t, printOut(t, l, A4), c.dpi)
		for _, m := range marks.Of(l.Set, l.Pieces) {
			if !slices.Contains(read, m.Code()) {
				t.Errorf("%g x %g at %s: %q is not read", c.w, c.h, c.dpi, m.Code())
			}
		}
		if len(read) != 8 {
			t.Errorf("%g x %g: %d codes", c.w, c.h, len(read))
		}
	}
}

// A row of the sheet is a joint: its two labels lie as they will meet, their letters next to one another, and the arrows point to the left, to the head.
func TestLabelsLieAsTheyWillMeet(t *testing.T) {
	l := specimenLabels()
	l.Mark = ""
	all := words(t, printOut(t, l, A4))
	own := marks.Letters(l.Set)
	var rows []string
	at := map[string][]word{}
	for _, w := range all {
		if w.y1-w.y0 > 8 && (w.text == own[0] || w.text == own[1]) { // set large
			at[w.text] = append(at[w.text], w)
			rows = append(rows, w.text)
		}
	}
	if got := strings.Join(rows, ""); len(rows) != 8 || strings.Count(got, own[0]) != 4 {
		t.Fatalf("the letters are %q", got)
	}
	for letter, list := range at {
		for i := 0; i < len(list); i += 2 {
			a, b := list[i], list[i+1]
			if gap := b.x0 - a.x1; gap < 3 || gap > 16 || a.y0 != b.y0 {
				t.Errorf("the letters %s lie %.1f mm apart, at heights %.1f and %.1f", letter, gap, a.y0, b.y0)
			}
		}
	}
	order := []string{}
	for _, w := range all {
		if slices.Contains(l.Pieces[:], w.text) && w.x0 < 135 { // the plan lies to the right
			order = append(order, w.text)
		}
	}
	want := []string{"QH-1012", "QH-1003", "QH-1003", "QH-1009", "QH-1012", "QH-1003", "QH-1003", "QH-1009"}
	if !slices.Equal(order, want) {
		t.Errorf("%q, want %q", order, want)
	}
}

// In every language all words are there and inside their labels.
func TestLabelsInEveryLanguage(t *testing.T) {
	for _, lang := range tongue.Languages() {
		f := formIn(t, lang, A4)
		w := f.Words
		l := specimenLabels()
		p := printIn(t, l, f)
		want := []string{w.Say("marks.labels", "set", l.Set), w.Say("marks.labels-about"), w.Say("marks.labels-cut"), w.Say("marks.you-stand"), w.Say("marks.on-stone"), w.Say("marks.on-lining"),
			w.Say("marks.label-far"), w.Say("marks.label-near"), w.Say("marks.label-set", "set", l.Set), w.Say("shell.invented"), banner, w.Say("caution.rules.word")}
		for _, m := range marks.Of(l.Set, l.Pieces) {
			want = append(want, w.Say("marks.label-meets", "letter", m.Letter, "place", m.Meets().String()), w.Word("place", m.Place.String()))
		}
		if m := lacks(raw(t, p), want...); len(m) > 0 {
			t.Errorf("%s lacks %q", lang, m)
		}
		if len(p.pages) != 1 {
			t.Errorf("%s: %d pages", lang, len(p.pages))
		}
		for _, fault := range onEachOther(words(t, p), A4) {
			t.Errorf("%s: %s", lang, fault)
		}
		for _, size := range marks.Sizes()[:1] {
			l.Width, l.Height = size[0], size[1]
			for _, x := range boxes(t, printIn(t, l, f)) {
				if x.x0 < 0 || x.y0 < -0.6 || x.x1 > size[0] || x.y1 > size[1]+0.6 {
					t.Errorf("%s, %v: %q leaves its label: %.1f to %.1f, %.1f to %.1f", lang, size, x.text, x.x0, x.x1, x.y0, x.y1)
				}
			}
		}
	}
}

func TestLabelsThatCannotBe(t *testing.T) {
	for _, size := range [][2]float64{{10, 10}, {62, 0}, {0, 29}, {-62, -29}, {500, 300}, {50, 50}} {
		l := specimenLabels()
		l.Width, l.Height = size[0], size[1]
		var told *trouble.Trouble
		if err := l.PDF(io.Discard, Form{}); !errors.As(err, &told) || told.Code != "bad-size" || told.Next == "" {
			t.Errorf("%v: %v", size, err)
		}
	}
	var told *trouble.Trouble
	if err := specimenLabels().PDF(io.Discard, Form{Words: tongue.In(tongue.Chinese, tongue.Metric)}); !errors.As(err, &told) || told.Code != "no-font" {
		t.Errorf("%v", err)
	}
}

// TestLabelSpecimens writes labels to the folder named by SPECIMENS, for looking at; without it, to one that is thrown away.
func TestLabelSpecimens(t *testing.T) {
	dir := os.Getenv("SPECIMENS")
	if dir == "" {
		dir = t.TempDir()
	}
	for _, lang := range tongue.Languages() {
		for _, size := range [][2]float64{{}, marks.Sizes()[0]} {
			l := specimenLabels()
			l.Width, l.Height = size[0], size[1]
			var b bytes.Buffer
			if err := l.PDF(&b, formIn(t, lang, A4)); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("labels-%s-%g.pdf", lang, size[0])), b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
