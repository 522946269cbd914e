package packing

import (
	"fmt"
	"html/template"
	"net/url"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/marked"
	"slatewright/internal/picture/markplan"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

// labelPage shows the marks of a set and leads to its labels.
type labelPage struct {
	Set, Check string
	Plan       template.HTML
	Marks      []markRow
	Papers     []chosen
}

type markRow struct{ Letter, Piece, Place, Where, Meets, Code string }

// sheetOf is what is printed of the set that the address names.
func sheetOf(v *shell.Visit) (sheet marks.Sheet, err error) {
	t, state, err := v.Thing(book.KindSet, v.R.PathValue("number"))
	if err != nil {
		return sheet, err
	}
	sheet, err = marked.SheetOf(v.Words, t.ID, state.(*book.SetState))
	sheet.Day, sheet.Invented = v.Now.Format(time.DateOnly), v.Demo
	return sheet, err
}

func (r room) labels(v *shell.Visit) error {
	sheet, err := sheetOf(v)
	if err != nil {
		return err
	}
	at := "/set/" + url.PathEscape(sheet.Set)
	title := v.Say("marks.labels", "set", sheet.Set)
	p := labelPage{Set: sheet.Set, Check: "/packing?set=" + url.QueryEscape(sheet.Set)}
	if p.Plan, err = markplan.SVG(v.Words, sheet.Set, sheet.Pieces, title); err != nil {
		return err
	}
	for _, m := range marks.Of(sheet.Set, sheet.Pieces) {
		where := "marks.label-near"
		if m.TowardHead() {
			where = "marks.label-far"
		}
		p.Marks = append(p.Marks, markRow{m.Letter, m.Piece, v.Word("place", m.Place.String()), v.Say(where), v.Word("place", m.Meets().String()), m.Code()})
	}
	if r.print != nil {
		p.Papers = append(p.Papers, chosen{at + "/labels.pdf", v.Say("marks.sheet-a4")})
		for _, s := range marks.Sizes() {
			p.Papers = append(p.Papers, chosen{fmt.Sprintf("%s/labels.pdf?size=%gx%g", at, s[0], s[1]), v.Say("marks.sheet-roll", "width", int(s[0]), "height", int(s[1]))})
		}
	}
	return v.Show(shell.Page{Name: "packing/labels", Title: title, Here: string(book.Shipping), Data: p, Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting})})
}

func (r room) paper(v *shell.Visit) error {
	sheet, err := sheetOf(v)
	if err != nil {
		return err
	}
	if r.print == nil {
		return problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}
	if typed := v.R.URL.Query().Get("size"); typed != "" {
		var ok bool
		if sheet.Width, sheet.Height, ok = marks.ReadSize(typed); !ok {
			return problem.New("bad-value", "size", v.Say("marks.bad-size", "typed", marked.Shortened(typed)), v.Say("marks.bad-size-next"))
		}
	}
	text, err := r.print(sheet, v.Words)
	if err != nil {
		return err
	}
	return v.Give("labels-"+strings.ReplaceAll(sheet.Set, "/", "-")+".pdf", "application/pdf", text)
}
