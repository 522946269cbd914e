package floor

import (
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/slip"
)

// place is the page of a station.
type place struct {
	Station book.Station
	Groups  []group
	Acts    []slip.Doing // the first is what the station is for
	Next    string       // cursor of the next page
}

// group is what stands there of one kind.
type group struct {
	Kind  book.Kind
	Lines []line
}

// line is one thing in a list.
type line struct {
	book.Ref
	Path  string
	Since string
	Facts string
	Next  string
}

// mostLines is how many things a page lists.
const mostLines = 300

func (r room) station(v *shell.Visit) error {
	at := book.Station(v.R.PathValue("station"))
	if !slices.Contains(shell.Way(), at) {
		return problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}
	p := place{Station: at}
	page, err := v.Ledger.Things(v.R.Context(), book.Filter{Station: at}, v.R.URL.Query().Get("after"), mostLines)
	if err != nil {
		return err
	}
	p.Next = page.Next
	refs := make([]book.Ref, len(page.Items))
	for i, t := range page.Items {
		refs[i] = t.Ref
	}
	next := r.queue.NextFor(v.Now, refs...)
	for n, t := range page.Items {
		i := slices.IndexFunc(p.Groups, func(g group) bool { return g.Kind == t.Kind })
		if i < 0 {
			p.Groups, i = append(p.Groups, group{Kind: t.Kind}), len(p.Groups)
		}
		facts, err := factsOf(v, t)
		if err != nil {
			return err
		}
		p.Groups[i].Lines = append(p.Groups[i].Lines, line{t.Ref, shell.Link(t.Ref), since(v, t.Since), facts.line(), slip.Says(v.Words, next[n])})
	}
	slices.SortStableFunc(p.Groups, func(a, b group) int { return rank(a.Kind) - rank(b.Kind) })
	if v.Sender.Role.Covers(book.Hand) {
		p.Acts = usualActs(at)
	}
	return v.Show(shell.Page{Name: "floor/station", Title: v.Word("station", string(at)), Here: string(at), Near: true, Data: p,
		Care: caution.OnPage(v.Words, caution.AtStation(at), loads(v, page.Items)...)})
}

// rank puts the stone before what works on it.
func rank(k book.Kind) int {
	order := []book.Kind{book.KindSet, book.KindPiece, book.KindSlab, book.KindBlock, book.KindLayer, book.KindShipment}
	if i := slices.Index(order, k); i >= 0 {
		return i
	}
	return len(order) + slices.Index(book.Kinds(), k)
}

func since(v *shell.Visit, t time.Time) string {
	return v.Say("floor.since", "for", v.Since(v.Now.Sub(t)))
}

// loads are the heaviest things with a known mass that stand in a list, three at most: what lifting gear must be made for.
func loads(v *shell.Visit, things []book.Thing) (list []caution.Load) {
	for _, t := range things {
		if kg := massOf(t); kg > 0 {
			list = append(list, caution.Load{Name: t.ID, Kg: kg})
		}
	}
	slices.SortStableFunc(list, func(a, b caution.Load) int {
		switch {
		case a.Kg > b.Kg:
			return -1
		case a.Kg < b.Kg:
			return 1
		}
		return 0
	})
	return list[:min(3, len(list))]
}

// usual are the acts that a station's page offers: what is done there every day. Common practice, no source.
var usual = map[book.Station][]string{
	book.Quarry:    {"survey", "lift", "take-in"},
	book.Saw:       {"slice", "cut", "mark", "weigh", "reject"},
	book.Surfacing: {"surface", "read", "mark", "reject", "enter-room"},
	book.Sets:      {"match", "lay-up", "dress-joint", "part-set"},
	book.Drilling:  {"drill", "check", "repair"},
	book.Room:      {"enter-room", "leave-room", "weigh", "read"},
	book.Lining:    {"glue-lining", "ream", "check"},
	book.Bench:     {"read", "finish", "judge", "weigh"},
	book.Shipping:  {"pack", "ship", "return"},
}

func usualActs(at book.Station) (list []slip.Doing) {
	for _, act := range usual[at] {
		path := "/do/" + act
		if act == "match" { // three are found there, or chosen by hand
			path = "/racks"
		}
		list = append(list, slip.Doing{Act: act, Path: path})
	}
	return list
}
