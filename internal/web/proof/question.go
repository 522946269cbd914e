package proof

import (
	"context"
	"errors"
	"net/url"
	"path"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/lowlp"
	"slatewright/measure"
	"slatewright/trouble"
)

// question is a page that answers a list.
type question struct {
	name    string // of its address, and of the verb that answers the same
	asks    string // key of the question
	words   string // beginning of its other keys
	example string // file of the example
	limit   string // of the example, as it is typed in mm
	answer  func(asked) (reply, error)
}

func (q question) path() string { return "/" + q.name }

func questions() []question {
	return []question{
		{name: "levels", asks: "proof.levels", words: "proof.levels-", example: "level-slip.csv", limit: "0.2 mm", answer: answerLevels},
		{name: "feelers", asks: "proof.feelers", words: "proof.feelers-", example: "straightedge.csv", limit: "0.2 mm", answer: answerFeelers},
	}
}

// asked is what an answer is made of.
type asked struct {
	*shell.Visit
	ctx   context.Context // ends when the page must be there
	list  shell.List
	limit *float64 // mm; nil: none was given
}

// stop tells a computation that nobody waits for it any more.
func (a asked) stop() bool { return a.ctx.Err() != nil }

// reply is what a question comes to.
type reply struct {
	shell.Answer
	json any
}

// asking is the data of a page.
type asking struct {
	Name, Asks, About string
	Form              shell.ListForm
	Answer            *shell.Answer
	Invented          bool // the list is the example
}

// blank is the page before anything was given.
func (q question) blank(v *shell.Visit) asking {
	return asking{Name: q.name, Asks: v.Say(q.asks), About: v.Say(q.words + "about"), Form: shell.ListForm{Action: q.path(), Ask: v.Say("list.answer"), Example: q.path() + "/example",
		Fields: []shell.ListField{{Name: "list", Label: v.Say(q.words + "list"), Hint: v.Say(q.words + "columns")}},
		More:   []shell.ListChoice{{Name: "limit", Label: v.Say("proof.limit"), Hint: v.Say("proof.limit-hint")}}}}
}

func (q question) show(v *shell.Visit, p asking, code int) error {
	return v.Show(shell.Page{Name: "proof/list", Title: p.Asks, Here: "gauging", Code: code, Data: p})
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
	given := shell.Lists{Lists: map[string]shell.List{"list": {Name: q.example, Text: string(text)}}, Plain: url.Values{"limit": {q.limit}}}
	return r.reply(v, q, given, nil, true)
}

func (r room) reply(v *shell.Visit, q question, given shell.Lists, err error, invented bool) error {
	var got reply
	if err == nil {
		got, err = r.compute(v, q, given.Lists["list"], given.Plain.Get("limit"))
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
	case "json":
		return v.GiveJSON(q.name+".json", got.json)
	case "csv":
		return v.Give(q.name+".csv", "text/csv; charset=utf-8", []byte(given.Lists["list"].Text))
	}
	p.Answer, p.Form.Files, p.Form.Example = &got.Answer, shell.JSONAndCSV(v.Words), ""
	return q.show(v, p, 0)
}

// longest is how long a list may be computed with, waiting for its turn included. Sheets of a bench take well under a second; a sheet of
// feelers with many lines can take minutes.
const longest = 10 * time.Second

// compute answers a list when it is its turn, or gives it up.
func (r room) compute(v *shell.Visit, q question, list shell.List, limit string) (reply, error) {
	if list.Empty() {
		return reply{}, problem.New("missing", "list", v.Say("proof.empty"), v.Say("proof.empty-next"))
	}
	a := asked{Visit: v, list: list}
	if mm, given, err := limitOf(v, limit); err != nil {
		return reply{}, err
	} else if given {
		a.limit = &mm
	}
	ctx, stop := context.WithTimeout(v.R.Context(), longest)
	defer stop()
	a.ctx = ctx
	select {
	case r.turn <- struct{}{}:
		defer func() { <-r.turn }()
	case <-ctx.Done():
		return reply{}, problem.New("busy", "", v.Say("proof.busy"), v.Say("shell.again"))
	}
	got, err := q.answer(a)
	var told *trouble.Trouble
	if errors.As(err, &told) && told.Code == lowlp.Stopped {
		return reply{}, problem.New("too-large", list.Name, v.Say("proof.too-long", "many", int(longest.Seconds())), v.Say("proof.too-long-next", "command", "slatewright "+q.name+" FILE"))
	}
	return got, err
}

// limitOf reads the limit that was typed, mm; a bare number is in the reader's small unit.
func limitOf(v *shell.Visit, typed string) (mm float64, given bool, err error) {
	if typed = strings.TrimSpace(typed); typed == "" {
		return 0, false, nil
	}
	mm, ok := length(v.Words, typed)
	if !ok || !(mm > 0) || mm > 1000 {
		return 0, false, problem.New("bad-value", "limit", v.Say("proof.no-limit", "typed", typed), v.Say("proof.no-limit-next"))
	}
	return mm, true, nil
}

// length reads a small length as a person types it: a bare number is mm, or thou for a reader of inches.
func length(w tongue.Words, typed string) (mm float64, ok bool) {
	typed = strings.Replace(typed, ",", ".", 1)
	if _, err := strconv.ParseFloat(typed, 64); err == nil {
		typed += " " + unitOf(w)
	}
	mm, err := measure.ParseLength(typed)
	return mm, err == nil
}

// unitOf is the unit in which small lengths are typed.
func unitOf(w tongue.Words) string {
	if w.Units() == tongue.Inch {
		return "thou"
	}
	return "mm"
}
