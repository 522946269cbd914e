package sets

import (
	"slices"

	"slatewright/sets/beds"
	"slatewright/sets/threes"
)

// Racks are a question made ready: what was computed for one answer serves the next. Not safe for concurrent use.
type Racks struct {
	q       Question
	groups  []*group
	groupOf []int // of each piece: -1 where it may not be matched
	thingOf []int
	refused []Left
	ranked  []int // orders by importance
}

// Lay makes a question ready. Errors are *trouble.Trouble. A piece whose face cannot be used is refused in the plan, with the reason.
func Lay(q Question) (*Racks, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	companies, err := q.companies()
	if err != nil {
		return nil, err
	}
	r := &Racks{q: q, groupOf: make([]int, len(q.Pieces)), thingOf: make([]int, len(q.Pieces))}
	r.refuse()
	sizes := map[string]bool{}
	var order []string
	for _, p := range q.Pieces {
		if !sizes[p.Size] {
			sizes[p.Size] = true
			order = append(order, p.Size)
		}
	}
	slices.Sort(order)
	for _, size := range order {
		if err := r.gather(size); err != nil {
			return nil, err
		}
	}
	r.byHand(companies)
	return r, r.ask()
}

// Match answers the question at once.
func Match(q Question) (Plan, error) {
	r, err := Lay(q)
	if err != nil {
		return Plan{}, err
	}
	return r.Match()
}

// refuse marks the pieces that may not be matched.
func (r *Racks) refuse() {
	for i, p := range r.q.Pieces {
		why := p.NotReady
		if why == "" && p.Ways&beds.AnyWay() == 0 {
			why = "it may lie in no place of a bed"
		}
		if why != "" {
			r.groupOf[i] = -1
			r.refused = append(r.refused, Left{i, why})
		}
	}
}

// refuseFaulty refuses those of the pieces whose faces cannot be laid: the halves in which there is one are asked until it stands alone.
func (r *Racks) refuseFaulty(at []int) (found bool) {
	pieces := make([]Piece, len(at))
	for k, i := range at {
		pieces[k] = r.q.Pieces[i]
	}
	_, err := r.q.beds(pieces, make([]float64, len(at)*len(at)))
	switch half := len(at) / 2; {
	case err == nil:
		return false
	case half == 0:
		r.groupOf[at[0]] = -1
		r.refused = append(r.refused, Left{at[0], err.Error()})
		return true
	default:
		first := r.refuseFaulty(at[:half])
		return r.refuseFaulty(at[half:]) || first
	}
}

// gather makes the pieces of a size a group.
func (r *Racks) gather(size string) error {
	var at []int
	var pieces []Piece
	oldest := 0.0
	for i, p := range r.q.Pieces {
		if r.groupOf[i] < 0 {
			continue
		}
		oldest = max(oldest, p.AgeDays)
		if p.Size == size {
			at, pieces = append(at, i), append(pieces, p)
		}
	}
	g, err := newGroup(r.q, size, at, pieces, oldest)
	if err != nil {
		if r.refuseFaulty(at) {
			return r.gather(size)
		}
		return err
	}
	for thing, i := range at {
		r.groupOf[i], r.thingOf[i] = len(r.groups), thing
	}
	r.groups = append(r.groups, g)
	return nil
}

// things are the pieces as things of one group; ok is false where they are not all in one.
func (r *Racks) things(pieces ...int) (g *group, things []int, ok bool) {
	for _, i := range pieces {
		at := r.groupOf[i]
		if at < 0 || g != nil && r.groups[at] != g {
			return nil, nil, false
		}
		g = r.groups[at]
		things = append(things, r.thingOf[i])
	}
	return g, things, g != nil
}

// byHand gives each group what was decided by hand about its pieces. A company of which a piece is refused stays out as a whole.
func (r *Racks) byHand(companies [][]int) {
	for _, c := range companies {
		for _, i := range c {
			if r.groupOf[i] < 0 {
				continue
			}
			g := r.groups[r.groupOf[i]]
			g.hand.with[r.thingOf[i]] = len(g.hand.company)
		}
		if g, things, ok := r.things(c...); ok {
			g.hand.company = append(g.hand.company, things)
			continue
		}
		for _, i := range c { // nobody can be with the missing one
			if r.groupOf[i] >= 0 {
				g := r.groups[r.groupOf[i]]
				if g.hand.with[r.thingOf[i]] == len(g.hand.company) {
					g.hand.company = append(g.hand.company, []int{r.thingOf[i], -1})
				}
			}
		}
	}
	for _, a := range r.q.Apart {
		if g, t, ok := r.things(a[:]...); ok {
			g.hand.apart[t[0]], g.hand.apart[t[1]] = append(g.hand.apart[t[0]], t[1]), append(g.hand.apart[t[1]], t[0])
		}
	}
	for _, b := range r.q.Start {
		if g, t, ok := r.things(b[:]...); ok {
			g.start = append(g.start, ascending([3]int(t)))
		}
	}
	for _, b := range r.q.Before {
		if g, t, ok := r.things(b[:]...); ok {
			three := ascending([3]int(t))
			g.before[three] = true
			g.start = append(g.start, three)
		}
	}
}

// wanted is what a group's wants come to, as sets/threes is asked.
func (g *group) wanted() []int {
	list := make([]int, len(g.wants))
	for d, w := range g.wants {
		list[d] = w.number
	}
	return list
}

var reasons = [...]Reason{threes.NoSet: NoSet, threes.TooCostly: TooCostly, threes.NotNeeded: NotNeeded}
