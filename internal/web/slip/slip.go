// Package slip is a question of the queue as it lies on a page: the first page has all of them, and the page of a piece, a set or an
// order those that are about it, with the same words, the same cut and the same answers. It decides nothing: what waits is
// asked of package waiting, and an act is done on the page that it leads to.
package slip

import (
	"math"
	"net/url"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
)

// Slip is a question with what a page says of it.
type Slip struct {
	waiting.Question
	Says, Advice, Why, Waits string
	Money                    string // what waiting costs a day; empty where the mill has not said what a day costs it
	Urgent                   string // how the slip is cut: now, soon, or neither
	Chance                   string // that the recommendation is right, when it was computed
	For                      string // since when it waits, in words
	Mine                     bool   // whoever looks may decide it
	Doing                    []Doing
	Search                   string // where a piece that has lost its number is searched for
	Looks                    []Look
	Judged                   string // address of what is believed of the face that the question is about; may be empty
}

// Doing is a way to answer a question: an act, and where it is done with what is known of it filled in.
type Doing struct{ Act, Path string }

// Look is a piece of evidence.
type Look struct {
	Ref  book.Ref
	Path string
}

// The slip is cut deep when a set is lost for each ten days of waiting, and shallow at a tenth of that. Only the sorting rests on
// the number itself; these two steps are for the eye.
const (
	rateNow  = 0.1
	rateSoon = 0.01
)

// Of is a question as whoever looks sees it.
func Of(v *shell.Visit, x waiting.Question) Slip {
	s := Slip{Question: x, Says: Says(v.Words, x.Say), Advice: Says(v.Words, x.Recommend), Why: Says(v.Words, x.Sure.Says), Waits: Says(v.Words, x.Cost.Says), Money: money(v.Words, x.Cost),
		For: v.Say("floor.since", "for", v.Since(v.Now.Sub(x.Since))), Mine: v.Sender.Role.Covers(x.May)}
	switch {
	case x.Cost.Late >= rateNow:
		s.Urgent = "now"
	case x.Cost.Late >= rateSoon:
		s.Urgent = "soon"
	}
	if x.Sure.P > 0 {
		s.Chance = v.Chance(x.Sure.P)
	}
	for _, act := range x.Acts {
		s.Doing = append(s.Doing, Doing{act, answerPath(x, act)})
	}
	if x.Kind == waiting.Remark && slices.Contains(x.Acts, "reject") { // its number is gone, not only unsaid
		s.Search = "/lost?station=" + url.QueryEscape(string(x.Station))
	}
	if x.Kind == waiting.Regrind { // only of a face that was read
		s.Judged = shell.Link(x.Thing) + "/judge-face"
	}
	evidence := x.Evidence
	if len(evidence) == 0 {
		evidence = []book.Ref{x.Thing}
	}
	for _, e := range evidence {
		s.Looks = append(s.Looks, Look{e, shell.Link(e)})
	}
	return s
}

// money says what waiting costs where the mill has said what a day costs it.
func money(w tongue.Words, c waiting.Cost) string {
	amount := twoDigits(c.Money)
	if !c.Priced || amount == 0 {
		return ""
	}
	return w.Say("waiting.cost.money", "money", w.Number(amount, 0)+"\u00a0"+c.Currency)
}

// twoDigits rounds an amount to its first two digits, and to whole units: an expectation of the day's loss is not known closer.
func twoDigits(amount float64) float64 {
	unit := math.Max(1, math.Pow(10, math.Floor(math.Log10(math.Max(amount, 1)))-1))
	return math.Round(amount/unit) * unit
}

// About are the questions about a thing. What an order lacks is not a question of each set that is made for it.
func About(v *shell.Visit, all []waiting.Question, thing book.Ref) (list []Slip) {
	for _, q := range all {
		if q.Thing == thing || q.Kind != waiting.Order && slices.Contains(q.Also, thing) {
			list = append(list, Of(v, q))
		}
	}
	return list
}

// answerPath is where a question is answered by an act. What belongs together is found at the racks: a proposal that waits is shown there with its pieces.
func answerPath(x waiting.Question, act string) string {
	size := waiting.MatchSize(x)
	switch {
	case act == "match" && size != "":
		return "/racks?size=" + url.QueryEscape(size)
	case act == "match" && x.Kind == waiting.LayUp && len(x.Also) > 0:
		return "/racks?piece=" + url.QueryEscape(x.Also[0].ID)
	case act == "match" && x.Kind == waiting.Order:
		return "/racks"
	case act == "pack" && x.Thing.Kind == book.KindSet: // three codes are read first
		return "/packing?set=" + url.QueryEscape(x.Thing.ID)
	}
	path := shell.ActPath(act, x.Thing, x.Also)
	if size != "" { // which of them is chosen there
		path += "&_size=" + url.QueryEscape(size)
	}
	return path
}

// Says tells a sentence of the queue in the reader's words; nothing where there is none.
func Says(w tongue.Words, s waiting.Sentence) string {
	if s.Key == "" {
		return ""
	}
	return w.Tell(s.Key, s.Args)
}
