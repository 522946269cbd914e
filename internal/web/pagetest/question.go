package pagetest

import (
	"encoding/xml"
	"io"
	"net/http"
	"net/url"
	"os"
	"path"
	"regexp"
	"strings"
	"testing"

	"slatewright/internal/tongue"
)

// languages are those in which a page is shown, in inches one of them.
var languages = map[string]string{"en": "mm", "pt": "mm", "it": "mm", "es": "inch", "zh": "mm"}

// HoldQuestions looks at pages in every language: each is sound, speaks the language and no other, and has so many charts.
func (m *Mill) HoldQuestions(t *testing.T, h http.Handler, pages map[string]int) {
	t.Helper()
	if len(pages) == 0 || len(languages) != len(tongue.Languages()) {
		t.Fatalf("%d pages in %d languages", len(pages), len(languages))
	}
	b := m.SignIn(t, h, "visitor-1")
	defer b.Reads("visitor-1", "en", "mm")
	for path, drawn := range pages {
		said := map[string]string{}
		for language, units := range languages {
			b.Reads("visitor-1", language, units)
			w := b.Get(t, path)
			page := w.Body.String()
			if w.Code != http.StatusOK || !strings.Contains(page, `lang="`+language) {
				t.Errorf("%s in %s: %d", path, language, w.Code)
			}
			if n := Charts(t, page); n != drawn {
				t.Errorf("%s in %s has %d charts, not %d: one picture in two widths", path, language, n, drawn)
			}
			Sound(t, path+" in "+language, page)
			text := Text(page)
			for other, same := range said {
				if text == same {
					t.Errorf("%s says the same in %s and %s", path, language, other)
				}
			}
			said[language] = text
		}
	}
}

// Sound holds that a page has nothing that no page may have.
func Sound(t *testing.T, name, page string) {
	t.Helper()
	for _, no := range []string{"⟨", " style=", "<script", "onclick", "NaN", "%!", "<nil>", "<no value>", "Inf"} {
		if strings.Contains(page, no) {
			t.Errorf("%s holds %s", name, no)
		}
	}
}

// chart finds the pictures that are drawn within a page.
var chart = regexp.MustCompile(`(?s)<svg class="(?:chart|proven)".*?</svg>`)

// Charts counts the charts of a page. Each must be well-formed and have a title.
func Charts(t *testing.T, page string) int {
	t.Helper()
	list := chart.FindAllString(page, -1)
	for _, svg := range list {
		for d := xml.NewDecoder(strings.NewReader(svg)); ; {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%v in %.200s", err, svg)
			}
		}
		if !strings.Contains(svg, "<title>") {
			t.Errorf("a chart without words: %.100s", svg)
		}
	}
	return len(list)
}

// HoldExamples holds that the examples of a room's folder are those of the handbook's folder, to the byte.
func HoldExamples(t *testing.T, handbook string) {
	t.Helper()
	files, err := os.ReadDir("examples")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d examples, %v", len(files), err)
	}
	for _, f := range files {
		mine, err := os.ReadFile(path.Join("examples", f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := os.ReadFile(path.Join(handbook, f.Name()))
		if err != nil || string(mine) != string(theirs) {
			t.Errorf("%s is not the handbook's: %v", f.Name(), err)
		}
	}
}

// Ask sends fields as a browser does, and returns the status, the page's text with plain blanks, and the page.
func (b *Browser) Ask(t *testing.T, path string, pairs ...string) (code int, text, page string) {
	t.Helper()
	f := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		f.Set(pairs[i], pairs[i+1])
	}
	w := b.Send(t, path, f)
	return w.Code, strings.ReplaceAll(Text(w.Body.String()), "\u00a0", " "), w.Body.String()
}
