package gauging

import (
	"slatewright/internal/web/shell"
)

// question is one question of the room, by its name in the words and in its address.
type question struct {
	name    string
	lists   []string          // fields that hold a list, in the order of the form
	beside  []string          // plain fields beside them
	example map[string]string // field → file of the example
	answer  func(shell.Asked) (shell.Reply, error)
}

func (q question) path() string { return at + "/" + q.name }

// asks makes the page of the question.
func (q question) asks() shell.Question {
	return shell.Question{Path: q.path(), File: "gauge-" + q.name, Form: q.form, Answer: q.answer, Examples: []shell.Example{{Files: q.example}}}
}

// form is the page of a question before anything was given.
func (q question) form(v *shell.Visit) shell.Asking {
	p := shell.Asking{Asks: v.Say("gauging.asks-" + q.name), About: v.Say("gauging.about-" + q.name)}
	for _, f := range q.lists {
		p.Form.Fields = append(p.Form.Fields, shell.ListField{Name: f, Label: v.Say("gauging.field-" + q.name + "-" + f), Hint: v.Say("gauging.hint-" + q.name + "-" + f)})
	}
	for _, f := range q.beside {
		p.Form.More = append(p.Form.More, shell.ListChoice{Name: f, Label: v.Say("gauging.field-" + q.name + "-" + f), Hint: v.Say("gauging.hint-" + q.name + "-" + f)})
	}
	return p
}

// questions are all of them, in the order of the list. A study can be kept with its instrument; the calibrations of an instrument come from the book.
func questions() []shell.Question {
	study := question{name: "study", lists: one, beside: []string{"tolerance"}, example: from("dial-study.csv"), answer: answerStudy}.asks()
	study.Fetch, study.Keep = kept, keeper{}
	agreement := question{name: "agreement", lists: one, example: from("feeler-verdicts.csv"), answer: answerStudy}.asks()
	agreement.Fetch, agreement.Keep = kept, keeper{}
	due := question{name: "due", lists: one, example: from("dial-history.csv"), answer: answerDue}.asks()
	due.Fetch = fromBook
	return []shell.Question{study, agreement,
		question{name: "worth", lists: one, example: from("worth.csv"), answer: answerWorth}.asks(),
		question{name: "budget", lists: one, example: from("edge.csv"), answer: answerBudget}.asks(),
		due,
		question{name: "reversal", lists: one, example: from("edge-reversal.csv"), answer: answerReversal}.asks(),
		question{name: "bench", lists: []string{"list", "map"}, beside: []string{"u"}, example: map[string]string{"list": "head.csv", "map": "bench.csv"}, answer: answerBench}.asks(),
	}
}

var one = []string{"list"}

func from(file string) map[string]string { return map[string]string{"list": file} }
