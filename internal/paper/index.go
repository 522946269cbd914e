package paper

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"slatewright/internal/paper/ink"
	"slatewright/trouble"
)

// Index is the page that shows a folder of judged sets: a table of verdicts, each set with its map, and links to all files.
type Index struct {
	Demo     bool
	Mill     string
	Title    string
	Made     string   // YYYY-MM-DD
	Summary  []string // paragraphs under the title
	Sets     []IndexSet
	Groups   []LinkGroup // further files, as the readings
	Warnings []string
	Program  string
}

// IndexSet is one judged set.
type IndexSet struct {
	Set      string
	Verdict  Verdict
	Reason   string // one sentence; may be empty
	NextStep string // for a set without certificate
	Results  []Result
	Coverage string // what U means
	Map      BedMap
	Links    []Link
	Warnings []string
}

// LinkGroup is a list of links under a heading.
type LinkGroup struct {
	Title string
	Links []Link
}

// Link is a link to a file beside the page.
type Link struct{ Text, Href string }

//go:embed index.html.tmpl
var indexText string

var indexPage = template.Must(template.New("index").Parse(indexText))

// HTML writes the page: one file without scripts, fonts or anything else from elsewhere, with the maps inside it.
func (ix Index) HTML(w io.Writer) error {
	if len(ix.Sets) == 0 {
		return trouble.Own("empty-index", ix.Title, "an index without a set", "judge at least one set first")
	}
	v := indexView{Index: ix, Banner: Banner, Cautions: Cautions(KindIndex, nil), Names: resultNames(ix.Sets)}
	for _, s := range ix.Sets {
		shown, err := showSet(s, v.Names, ix.Demo)
		if err != nil {
			return err
		}
		v.Shown = append(v.Shown, shown)
	}
	var b bytes.Buffer
	if err := indexPage.Execute(&b, v); err != nil {
		return trouble.Own("index", ix.Title, "the page could not be put together: "+err.Error(), "report this with the command that was given").Because(err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// indexView is what the template sees.
type indexView struct {
	Index
	Banner   string
	Cautions []Caution
	Names    []string
	Shown    []shownSet
}

type shownSet struct {
	IndexSet
	Anchor  string
	Mark    template.HTML
	Picture template.HTML
	Pieces  []string
	Cells   []shownResult // in the order of the names; empty where a set lacks one
	Rows    []shownResult
}

type shownResult struct {
	Name, Note                  string
	Value, U, Limit, Margin     string
	ThouValue, ThouU, ThouLimit string
	Probability, Verdict        string
	Flag                        string // the verdict, when it is not conforms
	Mark                        template.HTML
}

// resultNames lists the names of all results in the order in which they first appear.
func resultNames(sets []IndexSet) []string {
	var names []string
	for _, s := range sets {
		for _, r := range s.Results {
			if !slices.Contains(names, r.Name) {
				names = append(names, r.Name)
			}
		}
	}
	return names
}

func showSet(s IndexSet, names []string, demo bool) (shownSet, error) {
	out := shownSet{IndexSet: s, Anchor: "set-" + anchor(s.Set)}
	if err := checkResults(s.Results, s.Set); err != nil {
		return out, err
	}
	if err := s.Verdict.check(s.Set); err != nil {
		return out, err
	}
	if demo != s.Map.Demo {
		return out, trouble.Own("half-demo", s.Set, "index and map disagree on whether the data are invented", "set Demo on both")
	}
	var b bytes.Buffer
	if err := s.Map.SVG(&b); err != nil {
		return out, err
	}
	out.Picture = template.HTML(b.String()) // made by this package, all text escaped
	out.Mark = markHTML(s.Verdict)
	for _, p := range s.Map.Pieces {
		name := p.Serial
		if p.Turned {
			name += ", turned"
		}
		out.Pieces = append(out.Pieces, name)
	}
	out.Cells = make([]shownResult, len(names))
	for _, r := range s.Results {
		shown := showResult(r)
		out.Rows = append(out.Rows, shown)
		for i, name := range names {
			if name == r.Name {
				out.Cells[i] = shown
			}
		}
	}
	return out, nil
}

func showResult(r Result) shownResult {
	row := resultRow(r)
	out := shownResult{Name: row[0].text, Note: resultNote(r), Value: row[1].text, U: row[2].text, Limit: row[3].text, Margin: row[4].text,
		ThouValue: row[5].text, ThouU: row[6].text, ThouLimit: row[7].text, Probability: row[8].text, Verdict: string(r.Verdict), Mark: markHTML(r.Verdict)}
	if r.Verdict != Conforms {
		out.Flag = string(r.Verdict)
	}
	return out
}

// anchor keeps letters, digits and hyphens.
func anchor(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, s)
}

// markHTML is a verdict's mark as a small picture.
func markHTML(v Verdict) template.HTML {
	const size = 8.0
	s := ink.NewSVG()
	drawVerdict(s, v, size/2, size/2, size/math.Sqrt2)
	var b bytes.Buffer
	if err := s.Write(&b, size, size, string(v)); err != nil {
		panic("paper: our own fault: a buffer refused a picture: " + err.Error())
	}
	return template.HTML(b.String())
}
