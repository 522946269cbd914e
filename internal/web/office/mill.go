package office

import (
	"encoding/json"
	"net/url"
	"strings"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// settings is the page of the mill.
type settings struct {
	Name    string
	Answers []answer
	Steps   []step
	Holds   []hold
	Limits  []limit
	Rule    string
	Lead    bool
	Entry   string
	Route   string // as JSON, to be edited
	Wrong   *problem.Problem
	Head    string
}

// answer is one of the mill's own questions with its answers.
type answer struct {
	Key, Asks, Is string
	Words         []string
}

type step struct{ Act, From, To, May string }
type hold struct{ Before, Needs, Amount, Unless string }
type limit struct{ Name, Is string }

// questions are the mill's own: each was asked once, when the book was made.
var questions = []string{"flatness-state", "lining-layout", "surfacing", "supports"}

func showMill(v *shell.Visit) error { return millPage(v, nil, nil) }

func millPage(v *shell.Visit, typed url.Values, wrong *problem.Problem) error {
	_, state, err := v.Thing(book.KindMill, v.Ledger.Site())
	if err != nil {
		return err
	}
	m := state.(*book.MillState)
	p := settings{Name: m.Name, Lead: v.Sender.Role.Covers(book.Lead), Entry: v.NewEntry(), Wrong: wrong}
	for _, key := range questions {
		a := answer{Key: key, Asks: v.Say("office.asks-" + key), Is: m.Answers[key], Words: book.AnswerWords(key)}
		if typed.Get(key) != "" {
			a.Is = typed.Get(key)
		}
		p.Answers = append(p.Answers, a)
	}
	for _, s := range m.Route.Steps {
		p.Steps = append(p.Steps, stepOf(v, s))
	}
	for _, h := range m.Route.Holds {
		p.Holds = append(p.Holds, holdOf(v, h))
	}
	spec := bed.NineFoot()
	p.Rule = v.Word("rule", spec.Decision.Rule)
	for _, l := range []struct {
		key string
		mm  float64
	}{{"stone.limit-lengthwise", spec.Limits.Lengthwise}, {"stone.limit-across", spec.Limits.Across}, {"stone.limit-zone", spec.Limits.Zone}, {"office.limit-step", spec.Limits.Step}} {
		p.Limits = append(p.Limits, limit{v.Say(l.key), v.Both(l.mm)})
	}
	p.Limits = append(p.Limits, limit{v.Say("stone.limit-thickness"), v.Say("stone.at-least", "limit", v.BothSizes(spec.ThicknessMin))})
	if p.Route = typed.Get("route"); p.Route == "" {
		text, err := json.MarshalIndent(m.Route, "", "  ")
		if err != nil {
			return err
		}
		p.Route = string(text)
	}
	page := shell.Page{Name: "office/mill", Title: v.Say("shell.settings"), Here: "mill"}
	if wrong != nil {
		p.Head, page.Code = v.HeadOf(wrong), wrong.Status
	}
	page.Data = p
	return v.Show(page)
}

func stepOf(v *shell.Visit, s book.Step) step {
	var from []string
	for _, at := range s.From {
		from = append(from, v.Word("station", string(at)))
	}
	out := step{Act: v.Word("act", s.Act), From: v.List(from...), May: v.Word("role", string(s.May))}
	if s.To != "" {
		out.To = v.Word("station", string(s.To))
	}
	return out
}

func holdOf(v *shell.Visit, h book.Hold) hold {
	out := hold{Before: v.Word("act", h.Before), Needs: v.Word("needs", h.Needs)}
	for _, c := range book.Conditions() {
		if c.Name == h.Needs && h.Amount > 0 {
			out.Amount = v.Number(h.Amount, 0) + " " + v.Word("amount", strings.ReplaceAll(c.Amount, " ", "-"))
		}
	}
	if h.Unless != "" {
		out.Unless = v.Word("role", string(h.Unless))
	}
	return out
}

// settle writes the mill's answers down anew, and its route if one was sent.
func settle(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	_, state, err := v.Thing(book.KindMill, v.Ledger.Site())
	if err != nil {
		return err
	}
	m := state.(*book.MillState)
	act := &book.Settle{Name: m.Name, Answers: map[string]string{}, Demo: m.Demo, Note: "on the page of the mill"}
	for key, is := range m.Answers {
		act.Answers[key] = is
	}
	for _, key := range questions {
		if said := form.Get(key); said != "" {
			act.Answers[key] = said
		}
	}
	if text := strings.TrimSpace(form.Get("route")); text != "" {
		act.Route = &book.Route{}
		if err := json.Unmarshal([]byte(text), act.Route); err != nil {
			return millPage(v, form, problem.New("bad-json", "route", v.Say("office.route-not-json"), v.Say("office.route-not-json-next")))
		}
	}
	if _, err := v.HandIn(shell.Act{Entry: form.Get("_entry"), Station: book.Office, Act: act}); err != nil {
		if wrong := shell.Mendable(err); wrong != nil {
			return millPage(v, form, wrong)
		}
		return err
	}
	return v.Redirect("/mill?did=settle")
}
