package cli

import (
	"fmt"
	"io"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/internal/notices"
	"slatewright/internal/web/script"
)

// noticesVerb lists the third parties inside the program.
type noticesVerb struct {
	Full bool `help:"Show the licence texts in full."`
}

func (noticesVerb) About() verb.About {
	return verb.About{
		Text: `Lists every module that is linked into this program, and the language's own library, with version and licence. The
			full texts are inside when the program was built with 'make build'. The licence of slatewright itself is not chosen yet.`,
		Examples: []verb.Example{
			{"slatewright notices", "the list"},
			{"slatewright notices --full", "the list with every text, to go along with a copy of the program"},
		},
	}
}

// noticeList is the answer of the verb.
type noticeList struct {
	Notices  []notices.Notice `json:"notices"`
	Warnings []string         `json:"warnings"`
	full     bool
}

// Run lists the notices.
func (v noticesVerb) Run(*verb.Session) (verb.Report, error) {
	list := noticeList{Notices: append(notices.Linked(), ofPages()...), Warnings: []string{}, full: v.Full}
	var without []string
	for i := range list.Notices {
		n := &list.Notices[i]
		if len(n.Texts) == 0 {
			n.Texts = []notices.Text{}
			without = append(without, n.Name)
		}
	}
	if len(without) > 0 {
		list.Warnings = append(list.Warnings, "this program was built without the full licence texts of "+
			strings.Join(without, ", ")+"; build it with 'make build' before you pass it on")
	}
	return list, nil
}

// ofPages are the libraries inside the scripts of the pages.
func ofPages() (list []notices.Notice) {
	for _, n := range script.Notices() {
		list = append(list, notices.Notice{Name: n.Name, Version: n.Version, Licence: n.Licence, Use: "part of the pages' scripts", Texts: []notices.Text{{File: "licence", Text: n.Text}}})
	}
	return list
}

func (noticeList) Outcome() verb.Outcome { return verb.Done }

func (l noticeList) Print(w io.Writer) {
	var rows [][2]string
	for _, n := range l.Notices {
		rows = append(rows, [2]string{n.Name + " " + n.Version, n.Licence + ": " + n.Use})
	}
	verb.Columns(w, rows)
	if l.full {
		for _, n := range l.Notices {
			for _, t := range n.Texts {
				fmt.Fprintf(w, "\n%s\n%s %s: %s\n\n%s\n", strings.Repeat("-", verb.Width), n.Name, n.Version, t.File, strings.TrimSpace(t.Text))
			}
		}
	}
	verb.PrintWarnings(w, l.Warnings)
}
