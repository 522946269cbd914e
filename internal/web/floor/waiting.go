package floor

import (
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/slip"
)

// mostSlips bounds a page: nobody decides more than this before looking again.
const mostSlips = 60

// queue is the first page.
type queue struct {
	Slips    []slip.Slip
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
		q.Slips = append(q.Slips, slip.Of(v, x))
	}
	for _, c := range r.queue.Coming(v.Now) {
		if len(q.Coming) == 8 {
			break
		}
		q.Coming = append(q.Coming, coming{slip.Says(v.Words, c.What), c.Thing, shell.Link(c.Thing), v.Day(c.When)})
	}
	page := shell.Page{Name: "floor/waiting", Title: v.Say("floor.waiting"), Here: "waiting", Data: q}
	if err := r.queue.Fault(); err != nil {
		page.Told = &shell.Told{Tone: "doubt", What: v.Say("floor.queue-behind"), Next: err.Error()}
	}
	return v.Show(page)
}
