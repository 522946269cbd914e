// Package drying is where the mill asks whether a piece, or a layer of them, may leave the seasoning room, and how the room's air was. A list is pasted or
// uploaded; the answer is one sentence, one picture and its figures.
//
// It computes nothing, package seasoning/answers does, and gives the same JSON as the command line. It writes nothing into the book.
package drying

import (
	"context"
	"embed"
	"net/http"
	"net/url"
	"path"
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/seasoning"
	"slatewright/seasoning/answers"
	air "slatewright/seasoning/room"
	"slatewright/sheet"
)

//go:embed all:pages
var pages embed.FS

//go:embed examples
var examples embed.FS

// mostAtOnce is how many lists are fitted side by side: the others wait, so that the mill's pages stay quick.
const mostAtOnce = 1

// What a page fits; the verb fits more. The time of a fit grows with the square of the readings of one piece: 1600 of them took 16 s.
const (
	mostSeries   = 200
	mostOfOne    = 250
	mostReadings = 2000
)

const at = "/season"

// room is what the pages share.
type room struct{ turn chan struct{} }

// reply is what the question comes to.
type reply struct {
	shell.Answer
	json any
}

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	if err := s.Pages("drying", pages, "pages"); err != nil {
		return err
	}
	r := room{turn: make(chan struct{}, mostAtOnce)}
	route := func(method, path string, do func(*shell.Visit) error) shell.Route {
		return shell.Route{Method: method, Path: path, Least: book.Visitor, Do: do}
	}
	s.Add(mux, []shell.Route{
		route(http.MethodGet, at, func(v *shell.Visit) error { return show(v, blank(v), 0) }),
		route(http.MethodPost, at, func(v *shell.Visit) error {
			given, err := v.ReadLists("list")
			return r.reply(v, given, err, false)
		}),
		route(http.MethodGet, at+"/example", func(v *shell.Visit) error { return r.example(v, "piece.csv", "0.03 mm") }),
		route(http.MethodGet, at+"/layer", func(v *shell.Visit) error { return r.example(v, "layer.csv", "5 %") }),
	})
	return nil
}

// asking is the data of the page.
type asking struct {
	Form     shell.ListForm
	Answer   *shell.Answer
	Invented bool // the list is an example
}

// blank is the page before anything was given.
func blank(v *shell.Visit) asking {
	return asking{Form: shell.ListForm{Action: at, Ask: v.Say("list.answer"), Example: at + "/example",
		Fields: []shell.ListField{{Name: "list", Label: v.Say("season.list"), Hint: v.Say("season.columns")}},
		More: []shell.ListChoice{{Name: "share", Label: v.Say("season.share"), Hint: v.Say("season.share-hint")},
			{Name: "min-days", Label: v.Say("season.min-days"), Hint: v.Say("season.min-days-hint", "days", seasoning.UsualDays)},
			{Name: "day", Label: v.Say("season.day-asked"), Hint: v.Say("season.day-hint")}}}}
}

func show(v *shell.Visit, p asking, code int) error {
	return v.Show(shell.Page{Name: "drying/list", Title: v.Say("season.asks"), Here: "room", Code: code, Data: p, Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting})})
}

// example answers for a list that somebody made up.
func (r room) example(v *shell.Visit, file, share string) error {
	text, err := examples.ReadFile(path.Join("examples", file))
	if err != nil {
		return err
	}
	return r.reply(v, shell.Lists{Lists: map[string]shell.List{"list": {Name: file, Text: string(text)}}, Plain: url.Values{"share": {share}}}, nil, true)
}

func (r room) reply(v *shell.Visit, given shell.Lists, err error, invented bool) error {
	var got reply
	if err == nil {
		got, err = r.compute(v, given)
	}
	p := blank(v)
	p.Invented = invented
	wrong := shell.Mendable(err)
	if err != nil && wrong == nil {
		return err
	}
	v.Refill(&p.Form, given, wrong)
	if wrong != nil {
		return show(v, p, wrong.Status)
	}
	switch given.Plain.Get("as") {
	case "json":
		return v.GiveJSON("season.json", got.json)
	case "csv":
		return v.Give("season.csv", "text/csv; charset=utf-8", []byte(given.Lists["list"].Text))
	}
	p.Answer, p.Form.Files, p.Form.Example = &got.Answer, shell.JSONAndCSV(v.Words), ""
	return show(v, p, 0)
}

// compute answers a list when it is its turn.
func (r room) compute(v *shell.Visit, given shell.Lists) (reply, error) {
	list := given.Lists["list"]
	if list.Empty() {
		return reply{}, problem.New("missing", "list", v.Say("season.empty"), v.Say("season.empty-next"))
	}
	q, err := questionOf(v, given.Plain)
	if err != nil {
		return reply{}, err
	}
	table, err := sheet.Read(list.Name, list.Reader())
	if err != nil {
		return reply{}, err
	}
	if _, logged := table.Has("humidity"); logged {
		log, err := air.Read(table)
		if err != nil {
			return reply{}, err
		}
		return answerRoom(say{v.Words}, answers.OfRoom(table.Name, log)), nil
	}
	read, err := seasoning.Read(table)
	if err != nil {
		return reply{}, err
	}
	if err := fits(v, read, q); err != nil {
		return reply{}, err
	}
	select {
	case r.turn <- struct{}{}:
		defer func() { <-r.turn }()
	case <-v.R.Context().Done():
		return reply{}, context.Cause(v.R.Context())
	}
	got, err := answers.Of(table.Name, read, q)
	if err != nil {
		return reply{}, err
	}
	if len(got.Pieces) == 1 {
		return answerPiece(say{v.Words}, got), nil
	}
	return answerLayer(say{v.Words}, got), nil
}

// questionOf reads the fields beside the list.
func questionOf(v *shell.Visit, plain url.Values) (answers.Question, error) {
	q := answers.Question{Share: answers.UsualShare, MinDays: seasoning.UsualDays}
	if typed := tidy(plain.Get("share")); typed != "" {
		q.Share = typed
	}
	for name, take := range map[string]func(float64){"min-days": func(x float64) { q.MinDays = x }, "day": func(x float64) { q.Day = &x }} {
		typed := tidy(plain.Get(name))
		if typed == "" {
			continue
		}
		x, err := strconv.ParseFloat(typed, 64)
		if err == nil {
			take(x)
		}
		if err != nil || !q.DaysInReach() {
			return q, problem.New("bad-value", name, v.Say("season.no-days", "typed", typed), v.Say("season.no-days-next"))
		}
	}
	return q, nil
}

// tidy is what was typed in a field, with a decimal point.
func tidy(typed string) string { return strings.Replace(strings.TrimSpace(typed), ",", ".", 1) }

// fits refuses what a page does not fit, and a share that the list's values cannot have.
func fits(v *shell.Visit, list *seasoning.List, q answers.Question) error {
	series, readings, longest := 0, 0, 0
	for _, values := range list.Values {
		series += len(values.Series)
		for _, s := range values.Series {
			readings, longest = readings+len(s.Readings), max(longest, len(s.Readings))
		}
	}
	if series > mostSeries || readings > mostReadings || longest > mostOfOne {
		return problem.New("too-large", "list", v.Say("season.too-many", "series", mostSeries, "readings", mostReadings, "most", mostOfOne), v.Say("season.too-many-next", "command", "slatewright season FILE"))
	}
	if _, _, ok := answers.ReadShare(q.Share, list.Values[0]); !ok {
		return problem.New("bad-value", "share", v.Say("season.no-share", "typed", q.Share, "unit", list.Values[0].Unit), v.Say("season.no-share-next"))
	}
	return nil
}

// say speaks to the reader.
type say struct{ tongue.Words }
