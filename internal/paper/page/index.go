// Package page makes the page that shows a folder of judged sets on a screen: a table of verdicts, each set with its map, and
// links to all files.
//
// The page is one HTML file without scripts, fonts or anything else from elsewhere. Like the papers it is made from plain
// structs: the package computes and judges nothing, and it writes no file.
package page

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"
	"slices"
	"strings"

	"slatewright/internal/caution"
	"slatewright/internal/paper"
	"slatewright/internal/picture/bedmap"
	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/judge"
	"slatewright/trouble"
)

// Index is what the page shows.
type Index struct {
	Mark     string // over it, as over every paper it shows; empty: none
	Mill     string
	Title    string
	Made     string   // YYYY-MM-DD, or empty
	Summary  []string // paragraphs under the title
	Sets     []Entry
	Groups   []LinkGroup // further files, as the readings
	Warnings []string
	Program  string
}

// Entry is one judged set.
type Entry struct {
	Set      string
	Verdict  judge.Verdict
	Reason   string // what decided; may be empty
	NextStep string // for a set without certificate
	Results  []paper.Result
	Coverage string // what U means
	Map      bedmap.Map
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
	v := indexView{Index: ix, Cautions: paper.Cautions(tongue.Words{}, paper.KindIndex, nil), Names: resultNames(ix.Sets)}
	for _, s := range ix.Sets {
		shown, err := showSet(s, v.Names, ix.Mark)
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
	Cautions []caution.Caution
	Names    []string
	Shown    []shownSet
}

type shownSet struct {
	Entry
	Anchor  string
	Mark    template.HTML
	Picture template.HTML
	Pieces  []string
	Cells   []shownResult // in the order of the names; empty where a set lacks one
	Rows    []shownResult
}

type shownResult struct {
	paper.Row
	Flag string // the verdict, when it is not conforms
	Mark template.HTML
}

// resultNames lists the names of all results in the order in which they first appear.
func resultNames(sets []Entry) []string {
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

func showSet(s Entry, names []string, banner string) (shownSet, error) {
	out := shownSet{Entry: s, Anchor: "set-" + anchor(s.Set)}
	if err := paper.CheckResults(s.Results, s.Set); err != nil {
		return out, err
	}
	if err := paper.CheckVerdict(s.Verdict, s.Set); err != nil {
		return out, err
	}
	if err := paper.CheckMark(banner, s.Map, s.Set); err != nil {
		return out, err
	}
	var b bytes.Buffer
	if err := s.Map.SVG(&b); err != nil {
		return out, err
	}
	out.Picture = template.HTML(b.String()) // made by package paper, all text escaped
	out.Mark = mark(s.Verdict)
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

func showResult(r paper.Result) shownResult {
	out := shownResult{Row: r.Row(tongue.Words{}), Mark: mark(r.Verdict)}
	if r.Verdict != judge.Conforms {
		out.Flag = r.Verdict.String()
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

// mark is a verdict's mark as a small picture.
func mark(v judge.Verdict) template.HTML {
	var b bytes.Buffer
	if err := look.VerdictSVG(&b, v); err != nil {
		panic("page: our own fault: a buffer refused a picture: " + err.Error())
	}
	return template.HTML(b.String()) // made by package paper, all text escaped
}
