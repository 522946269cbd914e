package page

import (
	"bytes"
	"encoding/xml"
	"errors"
	"html"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/internal/paper"
	"slatewright/internal/tongue"
	"slatewright/trouble"
)

func indexHTML(t *testing.T, ix Index) string {
	t.Helper()
	var b bytes.Buffer
	if err := ix.HTML(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// elements reads HTML and counts what the test asks for.
func elements(t *testing.T, data string) (count map[string]int, hrefs, ids []string) {
	t.Helper()
	count = map[string]int{}
	d := xml.NewDecoder(strings.NewReader(data))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return count, hrefs, ids
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := tok.(xml.StartElement); ok {
			count[e.Name.Local]++
			for _, a := range e.Attr {
				switch a.Name.Local {
				case "href", "src":
					hrefs = append(hrefs, a.Value)
				case "id":
					ids = append(ids, a.Value)
				}
			}
		}
	}
}

func TestIndexShowsEverySet(t *testing.T) {
	ix := specimenIndex()
	data := indexHTML(t, ix)
	count, hrefs, ids := elements(t, data)
	if count["section"] != len(ix.Sets)+1 || count["figure"] != len(ix.Sets) || count["script"]+count["link"]+count["img"]+count["iframe"] != 0 {
		t.Errorf("%v", count)
	}
	for _, s := range ix.Sets {
		if m := lacks(data, "set-"+s.Set, s.Verdict.String()); len(m) > 0 {
			t.Errorf("set %s lacks %q", s.Set, m)
		}
	}
	linked := strings.Join(hrefs, "\n")
	for _, s := range ix.Sets {
		for _, l := range s.Links {
			if !strings.Contains(linked, l.Href) {
				t.Errorf("no link to %s", l.Href)
			}
		}
	}
	for _, h := range hrefs {
		if strings.Contains(h, ":") || strings.HasPrefix(h, "/") {
			t.Errorf("%s leads out of the folder", h)
		}
		if anchor, ok := strings.CutPrefix(h, "#"); ok && !strings.Contains(strings.Join(ids, "\n")+"\n", anchor+"\n") {
			t.Errorf("%s leads nowhere", h)
		}
	}
	seen := map[string]bool{}
	for _, id := range ids {
		if seen[id] {
			t.Errorf("two things are called %s", id)
		}
		seen[id] = true
	}
	if n := strings.Count(data, banner); n < 3+len(ix.Sets) {
		t.Errorf("the banner stands %d times", n)
	}
	if data != indexHTML(t, ix) {
		t.Error("the same index gave other bytes")
	}
}

// What is the page's own: the figures and notes of every result, and the cautions that it must carry.
func TestIndexSaysEverything(t *testing.T) {
	ix := specimenIndex()
	data := indexHTML(t, ix)
	want := []string{ix.Mill, ix.Title, ix.Made, ix.Program, ix.Summary[0], ix.Sets[0].Reason, ix.Sets[0].Warnings[0], ix.Sets[1].NextStep, "QH-P003, turned"}
	for _, s := range ix.Sets {
		want = append(want, "<h2>Set "+s.Set+"</h2>", ">"+s.Set+"</a>")
		for _, r := range s.Results {
			row := r.Row(tongue.Words{})
			want = append(want, row.Name, row.Note, row.Value, row.U, row.Limit, row.ThouValue, row.Probability, row.Verdict.String())
		}
	}
	for _, c := range paper.Cautions(tongue.Words{}, paper.KindIndex, nil) {
		want = append(want, c.Word, c.Text)
	}
	if m := lacks(data, want...); len(m) > 0 {
		t.Errorf("lacks %q", m)
	}
	if len(lacks(data, "no such words")) != 1 {
		t.Error("words that are not there were found")
	}
}

func TestIndexWithoutADate(t *testing.T) {
	ix := specimenIndex()
	ix.Made = ""
	if data := indexHTML(t, ix); !strings.Contains(data, "<footer>"+ix.Program+" ·") {
		t.Error("the foot of a page without a date does not begin with the program")
	}
}

// lacks lists which of the wanted words the text does not have.
func lacks(text string, want ...string) (missing []string) {
	text = html.UnescapeString(text)
	for _, w := range want {
		if !strings.Contains(text, w) {
			missing = append(missing, w)
		}
	}
	return missing
}

// TestSpecimen writes the page to the folder named by SPECIMENS, for looking at; without it, to a folder that is thrown away.
func TestSpecimen(t *testing.T) {
	dir := os.Getenv("SPECIMENS")
	if dir == "" {
		dir = t.TempDir()
	}
	if err := os.WriteFile(filepath.Join(dir, "index.html"), []byte(indexHTML(t, specimenIndex())), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestIndexAsksNothingOfTheNetwork(t *testing.T) {
	data := indexHTML(t, specimenIndex())
	rest := strings.ReplaceAll(data, `xmlns="http://www.w3.org/2000/svg"`, "")
	for _, never := range []string{"http:", "https:", "url(", "@import", "<script", "javascript:", "//www"} {
		if strings.Contains(rest, never) {
			t.Errorf("the page holds %q", never)
		}
	}
	if !strings.Contains(data, "prefers-color-scheme: dark") {
		t.Error("no dark look")
	}
}

func TestIndexEscapesWhatItIsGiven(t *testing.T) {
	ix := specimenIndex()
	ix.Sets[0].Reason = "<script>alert(1)</script>"
	ix.Sets[0].Links = []Link{{"<b>", "javascript:alert(1)"}}
	ix.Sets[0].Map.Title = "</title><script>"
	ix.Title = "</title><script>"
	data := indexHTML(t, ix)
	if strings.Contains(data, "<script") || strings.Contains(data, `"javascript:`) {
		t.Error("what was given is run")
	}
	if strings.Contains(data, "ZgotmplZ") && !strings.Contains(data, "#ZgotmplZ") {
		t.Error("something was replaced that should not be")
	}
}

func TestIndexesThatMayNotBeWritten(t *testing.T) {
	for name, c := range map[string]struct {
		code  string
		spoil func(*Index)
	}{
		"no sets":     {"empty-index", func(ix *Index) { ix.Sets = nil }},
		"half marked": {"half-marked", func(ix *Index) { ix.Mark = "" }},
		"no verdict":  {"bad-verdict", func(ix *Index) { ix.Sets[1].Verdict = 0 }},
		"no results":  {"no-results", func(ix *Index) { ix.Sets[1].Results = nil }},
		"a bad map":   {"bad-map", func(ix *Index) { ix.Sets[0].Map.SizeX = 0 }},
	} {
		ix := specimenIndex()
		c.spoil(&ix)
		err := ix.HTML(io.Discard)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != c.code {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestAnchor(t *testing.T) {
	if got := anchor("QH 0007/ä"); got != "QH-0007--" {
		t.Error(got)
	}
}
