package sets

import (
	"slices"

	"slatewright/bed"
	"slatewright/face"
)

// variants are the pieces of one size with all that they could be made: things from base on.
type variants struct {
	*group
	base    int
	whose   []int // of each thing and variant: its piece, −1 for one more
	ofAll   []Piece
	left    int // variants beyond mostVariants
	list    []Change
	instead []int  // of each variant: the thing in whose stead it stands, -1 for none
	double  []bool // of each variant: it is the one before it once more
	plan    [][3]int
	sets    int // as planned
	orders  int // of those, for orders
	cost    float64
	unmet   bool   // an order gets fewer than it wants
	stand   [8]int // things of the group by the places that they may take, without those that can be in no set by their own shape
	takes   []int  // the places that each variant may take
	leaves  []int  // the places that the thing in whose stead it stands may take; -1 where that does not count
}

// mostVariants is how many variants of one size are looked at: their joints with all that is there are worked out, and each is planned with.
const mostVariants = 160

// variants lists what the pieces of a size could be made; none where counting tells that nothing frees a set.
func (w *weighing) variants(n int) *variants {
	g := w.r.groups[n]
	v := &variants{base: len(g.pieces)}
	used := v.planned(w, g, n)
	fits := make([]bool, len(g.pieces))
	for i, p := range g.of {
		if fits[i] = g.fits(i); fits[i] {
			v.stand[placesOf(p)]++
		}
	}
	v.whose, v.ofAll = slices.Clone(g.pieces), slices.Clone(g.of)
	add := func(c Change, p Piece, instead int) {
		if len(v.list) == mostVariants {
			v.left++
			return
		}
		last := len(v.list) - 1
		v.double = append(v.double, last >= 0 && v.list[last] == c)
		v.list, v.instead, v.takes = append(v.list, c), append(v.instead, instead), append(v.takes, placesOf(p))
		leaves := -1
		if instead >= 0 && fits[instead] {
			leaves = placesOf(g.of[instead])
		}
		v.leaves = append(v.leaves, leaves)
		v.whose, v.ofAll = append(v.whose, c.Piece), append(v.ofAll, p)
	}
	for _, place := range g.kinds() {
		for range w.ask.Chain {
			add(Change{OneMore, -1, place, g.size}, w.more(g, place), -1)
		}
	}
	for i, piece := range w.r.q.Pieces {
		if piece.Size == g.size && !used[i] {
			w.made(g, i, add)
		}
	}
	if !v.unmet && !v.mayFree(w.ask.Chain, w.ask.Sets) {
		w.skip(v)
	}
	return v
}

// kinds are the places that one more piece may be for: those of the bed only where not every piece of the group may take any.
func (g *group) kinds() []string {
	for _, p := range g.of {
		if placesOf(p) != 7 {
			return []string{"any", bed.Head.String(), bed.Centre.String(), bed.Foot.String()}
		}
	}
	return []string{"any"}
}

// planned takes over what is planned for group n, and returns which pieces are used.
func (v *variants) planned(w *weighing, g *group, n int) map[int]bool {
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
	return used
}

// skip counts variants as tried that need not be.
func (w *weighing) skip(v *variants) {
	for _, double := range v.double {
		if !double {
			w.done++
			w.of++
		}
	}
	if w.ask.Tell != nil && w.done > 0 {
		w.ask.Tell(w.done, w.of)
	}
	v.list, v.double = nil, nil
}

// fits tells whether a thing may be in a set at all, by its own shape.
func (g *group) fits(i int) bool {
	mostZone, mostAcross := g.widest()
	zone, across := g.stock.Own(i)
	return zone <= mostZone && across <= mostAcross
}

// piecesOfASet is how many pieces a set has.
const piecesOfASet = 3

// mayFree tells whether so many variants together could free one of so many sets that is not wholly of new pieces, counting places only: none does more for the
// number than a new piece for any place, and pieces that could be in no set as they are come as well as new ones.
func (v *variants) mayFree(chain, sets int) bool {
	mended := map[int]bool{}
	for n, c := range v.list {
		if c.Act != OneMore && v.leaves[n] < 0 {
			mended[c.Piece] = true
		}
	}
	for more := 1; more <= sets; more++ {
		stand := v.stand
		stand[len(stand)-1] += min(chain, piecesOfASet*more-1+len(mended))
		if fillPlaces(stand) >= v.sets+more {
			return true
		}
	}
	return false
}

// fresh is how many of some variants are new pieces.
func (v *variants) fresh(with []int) (n int) {
	for _, x := range with {
		if v.list[x].Act == OneMore {
			n++
		}
	}
	return n
}

// fill is how many sets the things with some variants make when any three of them conform.
func (v *variants) fill(with []int) int {
	stand := v.stand
	for _, n := range with {
		stand[v.takes[n]]++
		if v.leaves[n] >= 0 {
			stand[v.leaves[n]]--
		}
	}
	return fillPlaces(stand)
}

// mostChoices is how many choices of several changes are looked at.
const mostChoices = 50000

// kind is a kind of choices.
type kind int

const (
	anyKind kind = iota
	there        // of pieces that are there
	mixed        // of both
	fresh        // of new pieces
)

// has tells whether variants, of which so many are new pieces, are of a kind.
func (k kind) has(bought, of int) bool {
	switch k {
	case there:
		return bought == 0
	case fresh:
		return bought == of
	case mixed:
		return bought > 0 && bought < of
	}
	return true
}

// choices gives every choice of so many variants of a kind that can be at once with those of base, base first, until yield says no.
func (v *variants) choices(base []int, size int, k kind, yield func(with []int) bool) {
	count := 0
	var walk func(from, bought int, with []int) bool
	walk = func(from, bought int, with []int) bool {
		if n := len(with) - len(base); n == size {
			if !k.has(bought, n) {
				return true
			}
			count++
			return yield(slices.Clone(with)) && count < mostChoices
		}
		for n := from; n < len(v.list); n++ {
			now := bought
			if v.list[n].Act == OneMore {
				now++
			}
			if k == there && now > 0 || k == fresh && now == bought {
				continue
			}
			if all := append(with, n); v.together(all) && !walk(n+1, now, all) {
				return false
			}
		}
		return true
	}
	walk(0, 0, append(make([]int, 0, len(base)+size), base...))
}

// together tells whether variants can be at once: of a piece only one. One more piece of a kind may come again: then its doubles follow it.
func (v *variants) together(with []int) bool {
	for a, x := range with {
		if v.double[x] && !slices.Contains(with, x-1) {
			return false
		}
		for _, y := range with[:a] {
			if x == y || v.list[x].Piece >= 0 && v.list[x].Piece == v.list[y].Piece {
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

// extend makes the group of all things and variants.
func (w *weighing) extend(g *group, v *variants) (err error) {
	v.group, err = newGroup(w.r.q, g.size, v.whose, v.ofAll, g.oldest)
	if err != nil {
		return err
	}
	v.wants = g.wants
	copy(v.hand.with, g.hand.with)
	v.hand.company = g.hand.company
	for _, pair := range w.r.q.Apart {
		for _, a := range w.stand(g, v, pair[0]) {
			for _, b := range w.stand(g, v, pair[1]) {
				v.hand.apart[a], v.hand.apart[b] = append(v.hand.apart[a], b), append(v.hand.apart[b], a)
			}
		}
	}
	return nil
}

// stand are the things that stand for a piece: itself, and what it could be made.
func (w *weighing) stand(g *group, v *variants, piece int) (things []int) {
	if n := w.r.groupOf[piece]; n >= 0 && w.r.groups[n] == g {
		things = append(things, w.r.thingOf[piece])
	}
	for n, c := range v.list {
		if c.Piece == piece {
			things = append(things, v.base+n)
		}
	}
	return things
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
		ground.Thickness -= w.taken(g, p.Face, thing) + w.ask.CleanUp
		ground.Face = flat(p.Face.SizeX, p.Face.SizeY, w.ask.Zone, w.r.q.Spec)
		switch {
		case p.Thickness >= p.Least && ground.Thickness < p.Least:
			w.thin++
		case ground.Face != nil:
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

// taken is what grinding takes off to the bottom of a face, mm: its own zone, however it was read.
func (w *weighing) taken(g *group, f *face.Face, thing int) float64 {
	if thing >= 0 {
		zone, _ := g.stock.Own(thing)
		return zone
	}
	if alone, err := w.r.q.beds([]Piece{{Face: f}}, []float64{0}); err == nil {
		zone, _ := alone.Own(0)
		return zone
	}
	if len(f.Z) == 0 {
		return 0
	}
	return slices.Max(f.Z) - slices.Min(f.Z)
}
