package sets

import (
	"cmp"
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/sets/threes"
)

// Freeing asks what one more would free.
type Freeing struct {
	Zone    float64 // a piece that is ground again, or one more piece, is flat to this, mm
	CleanUp float64 // what grinding again takes off beyond the zone that the face has now, mm
	Most    int     // answers to give at most
	Chain   int     // how many changes may be made one after another, 1 or more
	Stop    func() bool
	Tell    func(done, of int) // changes tried, of those that there are
}

// Act is a kind of change.
type Act int

// The kinds.
const (
	Regrind Act = iota // grind the face again
	Recut              // cut for another place than it is meant for, or leave it uncut
	OneMore            // one more piece
)

// Change is something that could be done to free sets.
type Change struct {
	Act   Act
	Piece int    // index; -1 for one more piece
	Place string // head, centre, foot or any: for what it is cut, or what the one more piece is; "" for grinding again
	Size  string
}

// Freed is what a change, or one change after another, would free.
type Freed struct {
	Changes []Change
	More    int     // sets in all
	Orders  int     // sets for orders, of those or taken from stock
	Cost    float64 // what the plan then costs more; negative: less
	Proven  bool    // no plan frees more
}

// enoughGap is how near to the least cost is near enough to say what sets that are freed would cost.
const enoughGap = 0.01

// patience is how often a search that has freed nothing may ask whether to stop before it is given up: it asks every few milliseconds.
const patience = 200

// mostPairs is how many pairs of changes are tried where no change alone frees anything.
const mostPairs = 60

// Free says what would free sets: unused or refused pieces ground again or cut for another place, and one more piece; what frees most comes first. A
// change alone never frees more than one set. Where Chain allows, the best change is followed by the next best on top of it, and where none alone frees
// anything, two are tried together. Errors are *trouble.Trouble; Stop ends the search with what was found.
func (r *Racks) Free(p Plan, f Freeing) ([]Freed, error) {
	if len(p.Sets) > 0 {
		if _, err := r.exchanging(p, 0); err != nil {
			return nil, err
		}
	}
	w := &weighing{r: r, p: p, ask: f}
	if f.Chain < 1 {
		w.ask.Chain = 1
	}
	for n := range r.groups {
		v, err := w.variants(n)
		if err != nil {
			return nil, err
		}
		w.sizes = append(w.sizes, v)
		for _, double := range v.double {
			if !double {
				w.of++
			}
		}
	}
	var found []Freed
	for _, v := range w.sizes {
		list, err := w.alone(v)
		if err != nil {
			return nil, err
		}
		longer, err := w.chain(v, list)
		if err != nil {
			return nil, err
		}
		found = append(append(found, list...), longer...)
	}
	sortFreed(found)
	return found[:min(len(found), max(0, f.Most))], nil
}

func sortFreed(list []Freed) {
	slices.SortStableFunc(list, func(a, b Freed) int {
		return cmp.Or(b.More-a.More, b.Orders-a.Orders, len(a.Changes)-len(b.Changes), cmp.Compare(a.Cost, b.Cost))
	})
}

// weighing is one question of what would free sets.
type weighing struct {
	r        *Racks
	p        Plan
	ask      Freeing
	sizes    []*variants
	done, of int
}

func (w *weighing) stopped() bool { return w.ask.Stop != nil && w.ask.Stop() }

// variants are the pieces of one size with all that they could be made: things from base on.
type variants struct {
	*group
	base    int
	list    []Change
	instead []int  // of each variant: the thing in whose stead it stands, -1 for none
	double  []bool // of each variant: it is the one before it once more
	plan    [][3]int
	sets    int // as planned
	orders  int // of those, for orders
	cost    float64
	unmet   bool // an order gets fewer than it wants
}

// tried is what one or more variants free.
type tried struct {
	Freed
	with []int // the variants
}

// alone tries every variant by itself.
func (w *weighing) alone(v *variants) (list []Freed, err error) {
	for n := range v.list {
		if v.double[n] {
			continue
		}
		if w.stopped() {
			break
		}
		f, frees, err := w.try(v, []int{n})
		if err != nil {
			return nil, err
		}
		if frees {
			list = append(list, f)
		}
		if w.done++; w.ask.Tell != nil {
			w.ask.Tell(w.done, w.of)
		}
	}
	sortFreed(list)
	return list, nil
}

// chain goes on from the best variant, or from the best two where none frees alone.
func (w *weighing) chain(v *variants, alone []Freed) (list []Freed, err error) {
	var with []int
	if len(alone) > 0 {
		with = []int{v.find(alone[0].Changes[0])}
	} else if w.ask.Chain > 1 {
		best, err := w.pairs(v)
		if err != nil || best == nil {
			return nil, err
		}
		list, with = append(list, best.Freed), best.with
	}
	for len(with) > 0 && len(with) < w.ask.Chain && !w.stopped() {
		best, err := w.next(v, with)
		if err != nil || best == nil {
			return list, err
		}
		list, with = append(list, best.Freed), best.with
	}
	return list, nil
}

// next is the best variant on top of others, nil where none frees more than they.
func (w *weighing) next(v *variants, with []int) (best *tried, err error) {
	now, _, err := w.try(v, with)
	if err != nil {
		return nil, err
	}
	for n := range v.list {
		if w.stopped() {
			break
		}
		if all := append(slices.Clone(with), n); v.together(all) {
			f, _, err := w.try(v, all)
			if err != nil {
				return nil, err
			}
			if more := f.More - now.More; (more > 0 || more == 0 && f.Orders > now.Orders) && (best == nil || better(f, best.Freed)) {
				best = &tried{f, all}
			}
		}
	}
	return best, nil
}

// pairs is the best pair of variants.
func (w *weighing) pairs(v *variants) (best *tried, err error) {
	count := 0
	for a := range v.list {
		for b := a + 1; b < len(v.list); b++ {
			all := []int{a, b}
			if !v.together(all) || !v.unmet && fill(v.some(all)) <= v.sets {
				continue
			}
			if count++; count > mostPairs || w.stopped() {
				return best, nil
			}
			f, frees, err := w.try(v, all)
			if err != nil {
				return nil, err
			}
			if frees && (best == nil || better(f, best.Freed)) {
				best = &tried{f, all}
			}
		}
	}
	return best, nil
}

func better(a, b Freed) bool {
	if a.More != b.More {
		return a.More > b.More
	}
	if a.Orders != b.Orders {
		return a.Orders > b.Orders
	}
	return a.Cost < b.Cost
}

func (v *variants) find(c Change) int { return slices.Index(v.list, c) }

// together tells whether variants can be at once: of a piece only one. One more piece of a kind may come again: then its doubles follow it.
func (v *variants) together(with []int) bool {
	for a, x := range with {
		if v.double[x] && !slices.Contains(with, x-1) {
			return false
		}
		for _, y := range with[:a] {
			if x == y || v.instead[x] >= 0 && v.instead[x] == v.instead[y] || v.list[x].Piece >= 0 && v.list[x].Piece == v.list[y].Piece {
				return false
			}
		}
	}
	return true
}

// at are the things with some variants, ascending.
func (v *variants) at(with []int) (list []int) {
	for i := range v.base {
		if !slices.ContainsFunc(with, func(n int) bool { return v.instead[n] == i }) {
			list = append(list, i)
		}
	}
	for _, n := range with {
		list = append(list, v.base+n)
	}
	slices.Sort(list)
	return list
}

// some are their pieces.
func (v *variants) some(with []int) (list []Piece) {
	for _, i := range v.at(with) {
		list = append(list, v.of[i])
	}
	return list
}

// try plans with some variants.
func (w *weighing) try(v *variants, with []int) (f Freed, frees bool, err error) {
	for _, n := range with {
		f.Changes = append(f.Changes, v.list[n])
	}
	at := v.at(with)
	if most := fill(v.some(with)); most <= v.sets && !v.unmet {
		f.Proven = true
		return f, false, nil
	}
	s := &trial{w: w, v: v, at: at}
	plan, err := threes.Choose(threes.Ask{N: len(at), Triples: s, Wanted: v.wanted(), Before: s.start(), Gap: max(enoughGap, w.r.q.Gap), Stop: s.stop})
	if err != nil {
		return f, false, err
	}
	f.More = len(plan.Sets) - v.sets
	f.Orders, f.Cost = -v.orders, -v.cost
	given := make([]int, len(v.wants))
	for _, c := range plan.Sets {
		if v.order(c.Demand, given[c.Demand]) >= 0 {
			f.Orders++
		}
		given[c.Demand]++
		t := s.real(c.Three)
		f.Cost += v.bed(t).Cost + v.own(t)
	}
	f.Proven = slices.Equal(plan.Numbers, plan.NumbersBound)
	return f, f.More > 0 || f.More == 0 && f.Orders > 0, nil
}

// trial is the threes of some of the things.
type trial struct {
	w     *weighing
	v     *variants
	at    []int
	asked int
}

// start is the plan as it stands, counted as this trial counts.
func (s *trial) start() (list [][3]int) {
	for _, t := range s.v.plan {
		var now [3]int
		there := true
		for k, i := range t {
			n, ok := slices.BinarySearch(s.at, i)
			now[k], there = n, there && ok
		}
		if there {
			list = append(list, now)
		}
	}
	return list
}

func (s *trial) real(t [3]int) [3]int { return [3]int{s.at[t[0]], s.at[t[1]], s.at[t[2]]} }

// Floors is that of sets/threes.
func (s *trial) Floors(i, j int, floors []float64) {
	row := make([]float64, len(s.v.pieces)-s.at[j]-1)
	costs{group: s.v.group}.Floors(s.at[i], s.at[j], row)
	for m := range floors {
		floors[m] = row[s.at[j+1+m]-s.at[j]-1]
	}
}

// Price is that of sets/threes.
func (s *trial) Price(i, j, k int) (float64, uint32) {
	return costs{group: s.v.group}.Price(s.at[i], s.at[j], s.at[k])
}

func (s *trial) stop() bool {
	s.asked++
	return s.w.stopped() || s.asked > patience
}

// variants prepares what the pieces of a size could be made.
func (w *weighing) variants(n int) (*variants, error) {
	g := w.r.groups[n]
	v := &variants{base: len(g.pieces)}
	used := map[int]bool{}
	for _, s := range w.p.Sets {
		if w.r.groupOf[s.Pieces[0]] != n {
			continue
		}
		var t [3]int
		for k, i := range s.Pieces {
			used[i], t[k] = true, w.r.thingOf[i]
		}
		v.plan = append(v.plan, ascending(t))
		v.sets++
		v.cost += s.Cost
		if s.Order >= 0 {
			v.orders++
		}
	}
	for _, s := range w.p.Short {
		if of, _ := w.r.sized(w.r.q.Orders[s.Order]); of == g {
			v.unmet = true
		}
	}
	at, pieces := slices.Clone(g.pieces), slices.Clone(g.of)
	add := func(c Change, p Piece, instead int) {
		last := len(v.list) - 1
		v.double = append(v.double, last >= 0 && v.list[last] == c)
		v.list, v.instead = append(v.list, c), append(v.instead, instead)
		at, pieces = append(at, max(c.Piece, -1)), append(pieces, p)
	}
	for _, place := range [...]string{"any", bed.Head.String(), bed.Centre.String(), bed.Foot.String()} {
		for range w.ask.Chain {
			add(Change{OneMore, -1, place, g.size}, w.more(g, place), -1)
		}
	}
	for i, piece := range w.r.q.Pieces {
		if piece.Size == g.size && !used[i] {
			w.made(g, i, add)
		}
	}
	return v, w.extend(g, v, at, pieces)
}

// extend makes the group of all things and variants.
func (w *weighing) extend(g *group, v *variants, at []int, pieces []Piece) (err error) {
	v.group, err = newGroup(w.r.q, g.size, at, pieces, g.oldest)
	if err != nil {
		return err
	}
	v.wants = g.wants
	copy(v.hand.with, g.hand.with)
	v.hand.company = g.hand.company
	for i, list := range g.hand.apart {
		v.hand.apart[i] = slices.Clone(list)
	}
	for n, i := range v.instead {
		if i < 0 {
			continue
		}
		for _, other := range g.hand.apart[i] {
			v.hand.apart[v.base+n] = append(v.hand.apart[v.base+n], other)
			v.hand.apart[other] = append(v.hand.apart[other], v.base+n)
		}
	}
	return nil
}

// made adds what piece i, which is unused, could be made.
func (w *weighing) made(g *group, i int, add func(Change, Piece, int)) {
	p, thing := w.r.q.Pieces[i], -1
	if w.r.groupOf[i] >= 0 {
		thing = w.r.thingOf[i]
	}
	if slices.ContainsFunc(w.r.q.Together, func(company []int) bool { return slices.Contains(company, i) }) {
		return // decided by hand
	}
	if p.Face != nil {
		ground := p
		ground.NotReady = ""
		ground.Thickness -= height(p.Face.Z) + w.ask.CleanUp
		ground.Face = flat(p.Face.SizeX, p.Face.SizeY, w.ask.Zone, w.r.q.Spec)
		if ground.Face != nil {
			ground.Face.TurnFixed = p.Face.TurnFixed
			add(Change{Regrind, i, "", p.Size}, ground, thing)
		}
	}
	if thing < 0 {
		return
	}
	for _, place := range bed.Places() {
		if !p.Ways.Stands(place) {
			cut := p
			cut.Ways = waysOf(place.String())
			if p.Face != nil && p.Face.TurnFixed {
				cut.Ways = cut.Ways.Unturned()
			}
			add(Change{Recut, i, place.String(), p.Size}, cut, thing)
		}
	}
}

// height is the highest less the lowest reading: at least the zone.
func height(z []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range z {
		low, high = min(low, x), max(high, x)
	}
	return max(0, high-low)
}
