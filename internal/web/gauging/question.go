package gauging

import (
	"context"
	"net/url"
	"path"
	"strings"

	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sheet"
)

// question is one page of the room.
type question struct {
	name    string
	lists   []string          // fields that hold a list, in the order of the form
	beside  []string          // plain fields beside them
	example map[string]string // field → file of the example
	kept    bool              // its list can be kept with an instrument
	answer  func(asked) (reply, error)
}

func (q question) path() string { return "/gauging/" + q.name }

// questions are all of them, in the order of the list.
func questions() []question {
	return []question{
		{name: "study", lists: one, beside: []string{"tolerance"}, example: from("dial-study.csv"), kept: true, answer: answerStudy},
		{name: "agreement", lists: one, example: from("feeler-verdicts.csv"), kept: true, answer: answerStudy},
		{name: "worth", lists: one, example: from("worth.csv"), answer: answerWorth},
		{name: "budget", lists: one, example: from("edge.csv"), answer: answerBudget},
		{name: "due", lists: one, example: from("dial-history.csv"), answer: answerDue},
		{name: "reversal", lists: one, example: from("edge-reversal.csv"), answer: answerReversal},
		{name: "bench", lists: []string{"list", "map"}, beside: []string{"u"}, example: map[string]string{"list": "head.csv", "map": "bench.csv"}, answer: answerBench},
	}
}

var one = []string{"list"}

func from(file string) map[string]string { return map[string]string{"list": file} }

// asked is what an answer is made of.
type asked struct {
	*shell.Visit
	lists shell.Lists
}

// list is the list of a field.
func (a asked) list(field string) shell.List { return a.lists.Lists[field] }

// sheet reads a field's list; an empty one is refused by the field's own words.
func (a asked) sheet(field string) (*sheet.Sheet, error) {
	l := a.list(field)
	if l.Empty() {
		return nil, problem.New("missing", field, a.Say("gauging.empty"), a.Say("gauging.empty-next"))
	}
	return sheet.Read(l.Name, l.Reader())
}

// reply is what a question comes to.
type reply struct {
	shell.Answer
	json any
	csv  []byte // what is taken away as CSV; nil: the list as it was given
	as   string // the question that was answered in the end, when it is another
}

// asking is the data of a question's page.
type asking struct {
	Asks, About string
	Form        shell.ListForm
	Answer      *shell.Answer
	Invented    bool // the list is the example
}

// blank is the page of a question before anything was given.
func (q question) blank(v *shell.Visit) asking {
	p := asking{Asks: v.Say("gauging.asks-" + q.name), About: v.Say("gauging.about-" + q.name)}
	p.Form = shell.ListForm{Action: q.path(), Ask: v.Say("list.answer"), Example: q.path() + "/example"}
	for _, f := range q.lists {
		p.Form.Fields = append(p.Form.Fields, shell.ListField{Name: f, Label: v.Say("gauging.field-" + q.name + "-" + f), Hint: v.Say("gauging.hint-" + q.name + "-" + f)})
	}
	for _, f := range q.beside {
		p.Form.More = append(p.Form.More, shell.ListChoice{Name: f, Label: v.Say("gauging.field-" + q.name + "-" + f), Hint: v.Say("gauging.hint-" + q.name + "-" + f)})
	}
	return p
}

func (q question) show(v *shell.Visit, p asking, code int) error {
	return v.Show(shell.Page{Name: "gauging/question", Title: p.Asks, Here: "gauging", Code: code, Data: p})
}

// room is what the pages share.
type room struct{ turn chan struct{} }

// ask shows a question before it is answered.
func (r room) ask(v *shell.Visit, q question) error {
	p := q.blank(v)
	if q.name == "due" && v.R.URL.Query().Get("thing") != "" {
		given, note, err := fromBook(v)
		if err != nil {
			return err
		}
		v.Refill(&p.Form, given, nil)
		p.About = note
	}
	if entry := v.R.URL.Query().Get("kept"); q.kept && entry != "" {
		given, err := kept(v, entry)
		if err != nil {
			return err
		}
		return r.reply(v, q, given, nil, false)
	}
	return q.show(v, p, 0)
}

// example answers the question for a list that somebody made up.
func (r room) example(v *shell.Visit, q question) error {
	given := shell.Lists{Lists: map[string]shell.List{}, Plain: url.Values{}}
	for field, file := range q.example {
		text, err := examples.ReadFile(path.Join("examples", file))
		if err != nil {
			return err
		}
		given.Lists[field] = shell.List{Name: file, Text: string(text)}
	}
	return r.reply(v, q, given, nil, true)
}

// answer takes the lists that were given, and answers.
func (r room) answer(v *shell.Visit, q question) error {
	given, err := v.ReadLists(q.lists...)
	return r.reply(v, q, given, err, false)
}

func (r room) reply(v *shell.Visit, q question, given shell.Lists, err error, invented bool) error {
	var got reply
	if err == nil {
		got, err = r.compute(v, q, given)
	}
	if got.as != "" {
		q = q.called(got.as)
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
		return v.GiveJSON("gauge-"+q.name+".json", got.json)
	case "csv":
		if got.csv == nil {
			got.csv = []byte(given.Lists["list"].Text)
		}
		return v.Give("gauge-"+q.name+".csv", "text/csv; charset=utf-8", got.csv)
	}
	p.Answer, p.Form.Files, p.Form.Example = &got.Answer, shell.JSONAndCSV(v.Words), ""
	if q.kept && !invented {
		if err := offerKeeping(v, &p.Form, given); err != nil {
			return err
		}
	}
	return q.show(v, p, 0)
}

// called finds a question by its name.
func (q question) called(name string) question {
	for _, other := range questions() {
		if other.name == name {
			return other
		}
	}
	return q
}

// compute answers when it is this question's turn.
func (r room) compute(v *shell.Visit, q question, given shell.Lists) (reply, error) {
	select {
	case r.turn <- struct{}{}:
		defer func() { <-r.turn }()
	case <-v.R.Context().Done():
		return reply{}, context.Cause(v.R.Context())
	}
	return q.answer(asked{v, given})
}

// length reads a plain field that holds a length; a bare number is in the reader's small unit: mm, or thou.
func (a asked) length(field string) (mm float64, err error) {
	typed := strings.TrimSpace(a.lists.Plain.Get(field))
	if typed == "" {
		return 0, nil
	}
	mm, ok := lengthOf(typed, a.Units())
	if !ok || !(mm > 0) {
		return 0, problem.New("bad-value", field, a.Say("gauging.no-length", "typed", typed), a.Say("gauging.no-length-next"))
	}
	return mm, nil
}

func lengthOf(typed string, units tongue.Units) (float64, bool) {
	return parseLength(strings.Replace(typed, ",", ".", 1), units == tongue.Inch)
}
