// Package gluing is where the mill asks whether a batch of lining boards may be glued today, and what its own coupon bends. A list is pasted or
// uploaded; the answer is one sentence, one picture (the bow of every month at the destination, with its limits, against what is allowed) and
// its figures.
//
// It computes nothing, package lining/answers does, and gives the same JSON as the command line. A question writes
// nothing into the book; only a list that somebody keeps with its batch does.
package gluing

import (
	"context"
	"embed"
	"net/http"
	"net/url"
	"path"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sheet"
)

//go:embed all:pages
var pages embed.FS

//go:embed examples
var examples embed.FS

// mostAtOnce is how many lists are worked out side by side: the others wait, so that the mill's pages stay quick.
const mostAtOnce = 1

// question is one page of the room.
type question struct {
	name, path, example string
	kept                bool // its list can be kept with a batch
	answer              func(say, *sheet.Sheet) (reply, error)
}

// reply is what a question comes to.
type reply struct {
	shell.Answer
	json any
}

func questions() []question {
	return []question{
		{"batch", "/lining", "batch.csv", true, answerBatch},
		{"coupon", "/lining/coupon", "coupon.csv", false, answerCoupon},
	}
}

// room is what the pages share.
type room struct{ turn chan struct{} }

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	if err := s.Pages("gluing", pages, "pages"); err != nil {
		return err
	}
	r := room{turn: make(chan struct{}, mostAtOnce)}
	var routes []shell.Route
	add := func(method, path string, do func(*shell.Visit) error) {
		routes = append(routes, shell.Route{Method: method, Path: path, Least: book.Visitor, Do: do})
	}
	for _, q := range questions() {
		add(http.MethodGet, q.path, func(v *shell.Visit) error { return r.ask(v, q) })
		add(http.MethodPost, q.path, func(v *shell.Visit) error { return r.answer(v, q) })
		add(http.MethodGet, q.path+"/example", func(v *shell.Visit) error { return r.example(v, q) })
	}
	s.Add(mux, routes)
	return nil
}

// asking is the data of a page.
type asking struct {
	Asks, About string
	Other, Text string // the room's other page
	Form        shell.ListForm
	Answer      *shell.Answer
	Invented    bool // the list is the example
}

// blank is the page before anything was given.
func (q question) blank(v *shell.Visit) asking {
	p := asking{Asks: v.Say("gluing.asks-" + q.name), About: v.Say("gluing.about-" + q.name)}
	for _, o := range questions() {
		if o.name != q.name {
			p.Other, p.Text = o.path, v.Say("gluing.asks-"+o.name)
		}
	}
	p.Form = shell.ListForm{Action: q.path, Ask: v.Say("list.answer"), Example: q.path + "/example",
		Fields: []shell.ListField{{Name: "list", Label: v.Say("gluing.field-" + q.name), Hint: v.Say("gluing.hint-" + q.name)}}}
	return p
}

func (q question) show(v *shell.Visit, p asking, code int) error {
	return v.Show(shell.Page{Name: "gluing/list", Title: p.Asks, Here: string(book.Lining), Code: code, Data: p,
		Care: caution.OnPage(v.Words, []caution.Topic{caution.Glue, caution.Lifting})})
}

// ask shows a question before it is answered, or the answer to the list that the book holds with a batch.
func (r room) ask(v *shell.Visit, q question) error {
	if batch := v.R.URL.Query().Get("batch"); q.kept && batch != "" {
		given, there, err := kept(v, batch)
		if err != nil {
			return err
		}
		if there {
			return r.reply(v, q, given, nil, false)
		}
	}
	return q.show(v, q.blank(v), 0)
}

// answer takes the list that was given.
func (r room) answer(v *shell.Visit, q question) error {
	given, err := v.ReadLists("list")
	return r.reply(v, q, given, err, false)
}

// example answers for a list that somebody made up.
func (r room) example(v *shell.Visit, q question) error {
	text, err := examples.ReadFile(path.Join("examples", q.example))
	if err != nil {
		return err
	}
	return r.reply(v, q, shell.Lists{Lists: map[string]shell.List{"list": {Name: q.example, Text: string(text)}}, Plain: url.Values{}}, nil, true)
}

func (r room) reply(v *shell.Visit, q question, given shell.Lists, err error, invented bool) error {
	var got reply
	if err == nil {
		got, err = r.compute(v, q, given.Lists["list"])
	}
	p := q.blank(v)
	p.Invented = invented
	wrong := shell.Mendable(err)
	if err != nil && wrong == nil {
		return err
	}
	v.Refill(&p.Form, given, wrong)
	if wrong != nil {
		return q.show(v, p, wrong.Status)
	}
	switch given.Plain.Get("as") {
	case "keep":
		if q.kept {
			return r.keep(v, q, p, given)
		}
	case "json":
		return v.GiveJSON("lining-"+q.name+".json", got.json)
	case "csv":
		return v.Give("lining-"+q.name+".csv", "text/csv; charset=utf-8", []byte(given.Lists["list"].Text))
	}
	p.Answer, p.Form.Files, p.Form.Example = &got.Answer, shell.JSONAndCSV(v.Words), ""
	if q.kept && !invented {
		if err := offerKeeping(v, &p.Form, given); err != nil {
			return err
		}
	}
	return q.show(v, p, 0)
}

// compute answers a list when it is its turn.
func (r room) compute(v *shell.Visit, q question, list shell.List) (reply, error) {
	if list.Empty() {
		return reply{}, problem.New("missing", "list", v.Say("gluing.empty"), v.Say("gluing.empty-next"))
	}
	table, err := sheet.Read(list.Name, list.Reader())
	if err != nil {
		return reply{}, err
	}
	select {
	case r.turn <- struct{}{}:
		defer func() { <-r.turn }()
	case <-v.R.Context().Done():
		return reply{}, context.Cause(v.R.Context())
	}
	return q.answer(say{v.Words}, table)
}
