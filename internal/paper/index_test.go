package paper

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

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
		if m := lacks(data, "set-"+s.Set, string(s.Verdict)); len(m) > 0 {
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
	if n := strings.Count(data, Banner); n < 3+len(ix.Sets) {
		t.Errorf("the banner stands %d times", n)
	}
	if data != indexHTML(t, ix) {
		t.Error("the same index gave other bytes")
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
		"no sets":       {"empty-index", func(ix *Index) { ix.Sets = nil }},
		"half invented": {"half-demo", func(ix *Index) { ix.Demo = false }},
		"no verdict":    {"bad-verdict", func(ix *Index) { ix.Sets[1].Verdict = "" }},
		"no results":    {"no-results", func(ix *Index) { ix.Sets[1].Results = nil }},
		"a bad map":     {"bad-map", func(ix *Index) { ix.Sets[0].Map.SizeX = 0 }},
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
