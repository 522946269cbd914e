package matching

import (
	"context"
	"html/template"
	"slices"
	"strings"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/measured/kept"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sets"
)

// racks is the page of the racks.
type racks struct {
	Wish   wish
	Here   string
	Sizes  []tab
	State  string // none, computing, failed, ready
	Wrong  *problem.Problem
	Head   string // of what is wrong
	Tone   string
	Says   string
	Next   string
	Waits  bool   // something is being computed: the page looks again by itself
	Limits string // that the limits are another bed's; "" when they are its own
	Better string // a better plan is being looked for: how far that is; "" when none is
	Long   string // address at which it is looked for longer; "" where that makes no difference
	All    *proposing
	Kept   []held
	Gone   []held // proposals that the plan gives up
	Cards  []card
	More   []card // sets that nobody waits for
	Unused []left
	Wide   template.HTML
	Narrow template.HTML
	Tapped *tapped
	Free   freeing
	Figs   []shell.Figure
	Notes  []string
	Costs  []cost
	May    bool // whoever looks may propose
}

// tab is a choice beside others.
type tab struct {
	Says, Path string
	Chosen     bool
}

// held is what was tapped to stay together or apart, with the address that lets go of it.
type held struct{ Says, Path string }

// cost is what counts in a set, as it may be changed.
type cost struct{ Name, Label, Value string }

// asking is one look at the racks.
type asking struct {
	*shell.Visit
	wish  wish
	stock stock
	asked asked
	plan  *sets.Plan
	spec  bed.Spec
	set   []int // by piece: its set in the plan; −1 none
	rooms rooms
}

func (r room) racks(v *shell.Visit) error {
	w := wishOf(v.R.URL.Query())
	return r.show(v, w, nil)
}

// show answers with the racks; wrong is what the book said against what was tapped.
func (r room) show(v *shell.Visit, w wish, wrong *problem.Problem) error {
	p := racks{Wish: w, Here: w.path(), State: "none", May: v.Sender.Role.Covers(book.Hand)}
	s, sizes, there := r.rackOf(v, w.Size)
	for _, size := range sizes {
		to := wish{Size: size, Costs: w.Costs}
		p.Sizes = append(p.Sizes, tab{v.Word("table", size), to.path(), size == s.Size})
	}
	page := shell.Page{Name: "matching/racks", Title: v.Say("racks.asks"), Here: string(book.Sets), Near: true,
		Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting, caution.Placing})}
	if wrong != nil {
		p.Wrong, p.Head, page.Code = wrong, v.HeadOf(wrong), wrong.Status
	}
	if err := r.queue.Fault(); err != nil {
		if !there {
			p.State = "unknown"
		}
		page.Told = &shell.Told{Tone: "doubt", What: v.Say("floor.queue-behind"), Next: err.Error()}
	}
	if there {
		if err := r.fill(v, &p, w, s); err != nil {
			return err
		}
	}
	page.Data = p
	return v.Show(page)
}

// fill answers what is asked about a stock.
func (r room) fill(v *shell.Visit, p *racks, w wish, s stock) error {
	l := asking{Visit: v, wish: w, stock: s, spec: bed.NineFoot(), rooms: r.learnedRooms(v)}
	l.asked = asked{s.key(w, l.rooms, v.Now), func(ctx context.Context) (sets.Question, error) { return r.question(ctx, s, w, l.rooms, v.Now) }, s.tidy}
	found, better := r.desk.plan(l.asked, w.Long)
	p.State = found.State.String()
	p.Costs = costsOf(v, w)
	if s.Size != limited {
		p.Limits = v.Say("racks.other-limits", "table", s.Size)
	}
	l.holds(p)
	switch found.State {
	case kept.Failed:
		if p.Wrong = shell.Mendable(found.Err); p.Wrong == nil {
			return found.Err
		}
		p.Head = v.HeadOf(p.Wrong)
		return nil
	case kept.Computing:
		p.Better, p.Waits = l.far(r.desk.progress(l.asked)), true
		return nil
	}
	l.plan = found.Value
	l.set = setsOf(*l.plan, len(s.Pieces))
	if better != nil {
		p.Better = l.far(r.desk.progress(l.asked))
	} else if l.plan.Stopped && !w.Long {
		long := w
		long.Long = true
		p.Long = long.path()
	}
	l.says(p)
	l.cards(p)
	l.gone(p)
	l.leftOver(p)
	p.Figs, p.Notes = figuresOf(l.Visit, *l.plan, l.keeps(l.spec.Limits.Step, l.rooms.step), l.keeps(l.spec.Limits.Zone, l.rooms.zone), len(s.Pieces)), l.plan.Warnings
	p.Wide, p.Narrow = chart.Both(l.draw)
	if err := r.tap(l, p); err != nil {
		return err
	}
	r.wouldFree(l, p)
	computing := kept.Computing.String()
	p.Waits = better != nil || p.Free.State == computing || p.Tapped != nil && p.Tapped.State == computing
	return nil
}

// setsOf says of each piece in which set of a plan it is; −1 in none.
func setsOf(p sets.Plan, pieces int) []int {
	list := make([]int, pieces)
	for i := range list {
		list[i] = -1
	}
	for k, s := range p.Sets {
		for _, i := range s.Pieces {
			if i < pieces {
				list[i] = k
			}
		}
	}
	return list
}

// far says how far a search is.
func (l asking) far(p *sets.Progress) string {
	if p == nil || p.Sets == 0 {
		return l.Say("racks.looking")
	}
	gap := 0.0
	if p.Cost > 0 {
		gap = max(0, (p.Cost-p.Bound)/p.Cost)
	}
	return l.Say("racks.looking-far", "n", p.Sets, "gap_percent", 100*gap)
}

// says is the answer in one sentence, what to do about it, and how sure it is.
func (l asking) says(p *racks) {
	orders, waiting := 0, 0 // of these, proposed already
	for _, s := range l.plan.Sets {
		if s.Order >= 0 {
			orders++
			if l.proposal(l.idsOf(s)) != nil {
				waiting++
			}
		}
	}
	n := len(l.plan.Sets)
	switch {
	case n == 0:
		p.Tone, p.Says = "bad", l.Say("racks.no-set", "n", len(l.stock.Pieces))
	case len(l.stock.Wants) == 0:
		p.Tone, p.Says, p.Next = "", l.Say("racks.for-stock", "n", n), l.Say("racks.for-stock-next")
	default:
		p.Tone, p.Says = "good", l.Say("racks.put-together", "n", orders-waiting)
		if waiting > 0 && waiting == orders {
			p.Says = l.Say("racks.lay-up-now", "n", waiting)
		} else if waiting > 0 {
			p.Says += " " + l.Say("racks.lay-up-too", "n", waiting)
		}
		if short := l.short(); short != "" {
			p.Tone, p.Next = "doubt", short
		}
		if orders == 0 {
			p.Tone, p.Says = "bad", l.Say("racks.none-for-orders", "n", n)
		}
	}
	if n > 0 {
		p.Next = strings.TrimSpace(p.Next + " " + proofOf(l.Visit, *l.plan))
	}
}

// short names the orders that get fewer sets than they want.
func (l asking) short() string {
	var list []string
	for _, s := range l.plan.Short {
		o := l.stock.Wants[s.Order]
		list = append(list, l.Say("racks.short", "order", o.Order, "n", s.Given, "of", s.Wanted))
	}
	return strings.Join(list, " ")
}

// proofOf says in plain words how good a plan is.
func proofOf(v *shell.Visit, p sets.Plan) string {
	best := v.Say("racks.best")
	if p.Gap > 0 && p.Cost > 0 {
		best = v.Say("racks.within", "gap_percent", 100*p.Gap)
	}
	if !p.SetsProven && p.SetsBound > len(p.Sets) {
		return v.Say("racks.perhaps-more", "n", p.SetsBound-len(p.Sets)) + " " + best
	}
	return best
}

// holds lists what was tapped to stay together or apart.
func (l asking) holds(p *racks) {
	for _, ids := range l.wish.Keep {
		p.Kept = append(p.Kept, held{l.Say("racks.kept", "pieces", ids), l.wish.letting(ids).path()})
	}
	for _, ids := range l.wish.Apart {
		p.Kept = append(p.Kept, held{l.Say("racks.kept-apart", "pieces", ids), l.wish.letting(ids).path()})
	}
}

// gone lists the open proposals that the plan gives up for a better one, each with the address that keeps it.
func (l asking) gone(p *racks) {
	for _, o := range l.stock.Proposed {
		if !slices.ContainsFunc(l.plan.Sets, func(s sets.Set) bool { return share(l.idsOf(s), o.Pieces) == len(o.Pieces) }) {
			p.Gone = append(p.Gone, held{l.Say("racks.dropped", "pieces", o.Pieces, "day", o.At), l.wish.keeping(o.Pieces).tapping("").path()})
		}
	}
}

// keeps says what a limit is, and what of it is kept for doubt and for what lay-ups have taught.
func (l asking) keeps(limit, taught float64) string {
	return l.Say("racks.limit-less", "limit_mm", limit, "mm", max(roomOf(l.spec), min(taught, limit/2)))
}

// figuresOf are what a plan comes to, with what is said of the limits of step and zone.
func figuresOf(v *shell.Visit, p sets.Plan, ofStep, ofZone string, pieces int) []shell.Figure {
	if len(p.Sets) == 0 {
		return nil
	}
	step, zone, spread, changes, seated := 0.0, 0.0, 0.0, 0, 0
	for _, s := range p.Sets {
		if s.Seated {
			step, zone = max(step, s.Step), max(zone, s.Zone)
			seated++
		}
		spread += s.Spread / float64(len(p.Sets))
		changes += s.LayerChanges
	}
	list := []shell.Figure{{Name: v.Say("racks.sets"), Value: v.Number(float64(len(p.Sets)), 0), Small: v.Say("racks.of-pieces", "n", pieces)}}
	if seated > 0 {
		list = append(list, shell.Figure{Name: v.Say("racks.largest-step"), Value: v.Length(step), Small: ofStep},
			shell.Figure{Name: v.Say("racks.largest-zone"), Value: v.Length(zone), Small: ofZone})
	}
	return append(list, shell.Figure{Name: v.Say("racks.mean-spread"), Value: v.Length(spread)},
		shell.Figure{Name: v.Say("racks.layer-changes"), Value: v.Number(float64(changes), 0)}, looked(v, p))
}

// looked is how many threes were laid together, and why that is enough.
func looked(v *shell.Visit, p sets.Plan) shell.Figure {
	var why []string
	for _, x := range p.Why {
		if key := "racks.spared-" + string(x.Why); x.Threes > 0 && v.Has(key) {
			why = append(why, v.Say(key, "n", x.Threes))
		}
	}
	return shell.Figure{Name: v.Say("racks.tried"), Value: v.Say("racks.tried-of", "priced", p.Priced, "n", p.Triples), Small: strings.Join(why, " ")}
}

// costsOf are the weights as they may be changed.
func costsOf(v *shell.Visit, w wish) (list []cost) {
	by := w.weights()
	for _, x := range []struct{ name, key string }{{"w-step", "racks.w-step"}, {"w-zone", "racks.w-zone"}, {"w-spread", "racks.w-spread"}, {"w-layer", "racks.w-layer"}, {"w-age", "racks.w-age"}, {"w-change", "racks.w-change"}} {
		list = append(list, cost{x.name, v.Say(x.key), v.Number(*by[x.name], 3)})
	}
	return list
}
