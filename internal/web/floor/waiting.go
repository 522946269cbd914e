package floor

import (
	"net/url"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
)

// mostSlips bounds a page: nobody decides more than this before looking again.
const mostSlips = 60

// slip is a question as it lies on the page.
type slip struct {
	waiting.Question
	Says, Advice, Why, Waits string
	Urgent                   string // how the slip is cut: now, soon, or neither
	Chance                   string // that the recommendation is right, when it was computed
	For                      string // since when it waits, in words
	Mine                     bool   // whoever looks may decide it
	Doing                    []doing
	Search                   string // where a piece that has lost its number is searched for
	Looks                    []look
	Judged                   string // address of what is believed of the face that the question is about; may be empty
}

// doing is a way to answer a question: an act, with what is known of it filled in.
type doing struct {
	Act, Path string
	Weighty   bool
}

// look is a piece of evidence.
type look struct {
	Ref  book.Ref
	Path string
}

// queue is the first page.
type queue struct {
	Slips    []slip
	All      int // before the filter
	Left     int // that are not shown
	Coming   []coming
	Stations []book.Station
	Roles    []book.Role
	Station  book.Station
	Role     book.Role
}

type coming struct {
	What string
	Ref  book.Ref
	Path string
	When string
}

// waiting is the first page: the decision queue.
func (r room) waiting(v *shell.Visit) error {
	asked := v.R.URL.Query()
	q := queue{Stations: shell.Way(), Roles: book.Roles()[1:], Station: book.Station(asked.Get("station")), Role: book.Role(asked.Get("role"))}
	all := slices.Clone(r.queue.Ask(v.Now))
	q.All = len(all)
	all = slices.DeleteFunc(all, func(x waiting.Question) bool {
		return q.Station != "" && x.Station != q.Station || q.Role != "" && !q.Role.Covers(x.May)
	})
	if len(all) > mostSlips {
		all, q.Left = all[:mostSlips], len(all)-mostSlips
	}
	for _, x := range all {
		q.Slips = append(q.Slips, shown(v, x))
	}
	for _, c := range r.queue.Coming(v.Now) {
		if len(q.Coming) == 8 {
			break
		}
		q.Coming = append(q.Coming, coming{says(v.Words, c.What), c.Thing, shell.Link(c.Thing), v.Day(c.When)})
	}
	page := shell.Page{Name: "floor/waiting", Title: v.Say("floor.waiting"), Here: "waiting", Data: q}
	if err := r.queue.Fault(); err != nil {
		page.Told = &shell.Told{Tone: "doubt", What: v.Say("floor.queue-behind"), Next: err.Error()}
	}
	return v.Show(page)
}

func says(w tongue.Words, s waiting.Sentence) string {
	if s.Key == "" {
		return ""
	}
	return w.Tell(s.Key, s.Args)
}

// The slip is cut deep when a set is lost for each ten days of waiting, and shallow at a tenth of that. Only the sorting rests on
// the number itself; these two steps are for the eye.
const (
	rateNow  = 0.1
	rateSoon = 0.01
)

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

func shown(v *shell.Visit, x waiting.Question) slip {
	s := slip{Question: x, Says: says(v.Words, x.Say), Advice: says(v.Words, x.Recommend), Why: says(v.Words, x.Sure.Says), Waits: says(v.Words, x.Cost.Says),
		For: since(v, x.Since), Mine: v.Sender.Role.Covers(x.May)}
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
		s.Doing = append(s.Doing, doing{act, answerPath(x, act), weighty[act]})
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
		s.Looks = append(s.Looks, look{e, shell.Link(e)})
	}
	return s
}
