package sets_test

import (
	"math"
	"slices"
	"sort"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
	"slatewright/sets"
	"slatewright/sets/beds"
	"slatewright/sets/colour"
)

// brute answers a question by trying everything: every arrangement of every three is seated by itself, and every plan is counted. It shares nothing with
// the package but the question, and seating.
type brute struct {
	q     sets.Question
	order []int                 // orders by importance
	three map[[3]int][]bruteSet // one for all classes, or more: see set
	best  *brutePlan
}

// bruteSet is what three pieces come to.
type bruteSet struct {
	pieces [3]int
	turned [3]bool
	cost   float64 // as reported
	wish   float64 // what it costs in the search
	serves []bool  // by class
}

// brutePlan is a plan: numbers by order of importance, then for stock.
type brutePlan struct {
	numbers    []int
	cost, wish float64
	sets       []bruteSet
	several    int // threes of the stock that make one bed for one class and another for another
}

// prepared are the threes of a question, priced one by one.
func prepared(q sets.Question) *brute {
	b := &brute{q: q, three: map[[3]int][]bruteSet{}}
	ready := make([]*seating.Ready, len(q.Pieces))
	for i, p := range q.Pieces {
		if p.Face != nil {
			r, err := seating.NewReady(p.Face, q.Spec)
			if err != nil {
				panic(err)
			}
			ready[i] = r
		}
	}
	for k := range q.Pieces {
		for j := range k {
			for i := range j {
				if list := b.set([3]int{i, j, k}, ready); len(list) > 0 {
					b.three[[3]int{i, j, k}] = list
				}
			}
		}
	}
	return b
}

// plans tries everything.
func plans(q sets.Question) *brutePlan {
	b := prepared(q)
	for i := range q.Orders {
		b.order = append(b.order, i)
	}
	sort.SliceStable(b.order, func(x, y int) bool {
		o, p := q.Orders[b.order[x]], q.Orders[b.order[y]]
		if o.Due != p.Due {
			return p.Due == "" || o.Due != "" && o.Due < p.Due
		}
		return b.class(o) < b.class(p)
	})
	b.walk(0, make([]bool, len(q.Pieces)), brutePlan{numbers: make([]int, len(q.Orders)+1)})
	for _, list := range b.three {
		if len(list) > 1 {
			b.best.several++
		}
	}
	return b.best
}

func (b *brute) class(o sets.Order) int {
	for c, x := range b.q.Classes {
		if x.Name == o.Class {
			return c
		}
	}
	return len(b.q.Classes) - 1
}

// walk takes the first free piece out, or puts it in every set that it can be in, for every order and for stock.
func (b *brute) walk(from int, used []bool, p brutePlan) {
	for from < len(used) && used[from] {
		from++
	}
	if from == len(used) {
		if b.best == nil || slices.Compare(p.numbers, b.best.numbers) > 0 || slices.Equal(p.numbers, b.best.numbers) && p.wish < b.best.wish {
			p.numbers, p.sets = slices.Clone(p.numbers), slices.Clone(p.sets)
			b.best = &p
		}
		return
	}
	used[from] = true
	b.walk(from+1, used, p)
	for j := from + 1; j < len(used); j++ {
		for k := j + 1; k < len(used); k++ {
			list := b.three[[3]int{from, j, k}]
			if len(list) == 0 || used[j] || used[k] {
				continue
			}
			used[j], used[k] = true, true
			for d := range p.numbers {
				class := -1 // any, for stock
				if d < len(b.order) {
					o := b.q.Orders[b.order[d]]
					if p.numbers[d] == o.Sets || o.Size != b.q.Pieces[from].Size {
						continue
					}
					class = b.class(o)
				}
				if s := pick(list, class); class < 0 || s.serves[class] {
					next := brutePlan{cost: p.cost + s.cost, wish: p.wish + s.wish, sets: append(slices.Clone(p.sets), s), numbers: slices.Clone(p.numbers)}
					next.numbers[d]++
					b.walk(from+1, used, next)
				}
			}
			used[j], used[k] = false, false
		}
	}
	used[from] = false
}

// pick is the first that serves a class, or the first of all; −1 is any class.
func pick(list []bruteSet, class int) bruteSet {
	for _, s := range list {
		if class < 0 || s.serves[class] {
			return s
		}
	}
	return list[0]
}

// set lays three pieces in every arrangement that they allow, with the steps of each class in turn: the best is added where nothing serves the class yet.
func (b *brute) set(t [3]int, ready []*seating.Ready) (list []bruteSet) {
	if !b.may(t) {
		return nil
	}
	for c := range b.q.Classes {
		if len(list) > 0 && pick(list, c).serves[c] {
			continue
		}
		best, ok := bruteSet{}, false
		for _, order := range [][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
			for turns := range 8 {
				s := bruteSet{}
				for place := range 3 {
					s.pieces[place], s.turned[place] = t[order[place]], turns>>place&1 == 1
				}
				if b.lay(&s, c, ready) && (!ok || s.cost < best.cost-1e-9) {
					best, ok = s, true
				}
			}
		}
		if ok {
			list = append(list, best)
		}
	}
	return list
}

// may tells whether the three may be in one set at all.
func (b *brute) may(t [3]int) bool {
	for _, i := range t {
		if p := b.q.Pieces[i]; p.NotReady != "" || p.Size != b.q.Pieces[t[0]].Size {
			return false
		}
	}
	for _, a := range b.q.Apart {
		if a[0] != a[1] && slices.Contains(t[:], a[0]) && slices.Contains(t[:], a[1]) {
			return false
		}
	}
	for _, g := range b.q.Together {
		if n := b.inside(g, t); n > 0 && n < len(g) {
			return false
		}
	}
	return true
}

func (b *brute) inside(g []int, t [3]int) (n int) {
	for _, i := range g {
		if slices.Contains(t[:], i) {
			n++
		}
	}
	return n
}

// lay prices an arrangement seated for a class; it tells whether it conforms to it.
func (b *brute) lay(s *bruteSet, class int, ready []*seating.Ready) bool {
	var faces [3]*seating.Ready
	bare := false
	for place, i := range s.pieces {
		ways := b.q.Pieces[i].Ways
		if f := b.q.Pieces[i].Face; f != nil && f.TurnFixed {
			ways &= 1 | 1<<2 | 1<<4
		}
		way := 2 * place
		if s.turned[place] {
			way++
		}
		if ways>>way&1 == 0 {
			return false
		}
		faces[place] = ready[i]
		bare = bare || ready[i] == nil
	}
	s.serves = make([]bool, len(b.q.Classes))
	if bare {
		for c := range s.serves {
			s.serves[c] = true
		}
	} else {
		l, err := seating.LayReady(faces, s.turned, max(0, b.q.Classes[class].Limits.Step-b.q.Classes[class].Room), true)
		if err != nil || !l.Feasible { // by less than exact arithmetic can tell: neither may be told from the other
			return false
		}
		for c, x := range b.q.Classes {
			const hold = 2e-9
			s.serves[c] = l.Step <= x.Limits.Step-x.Room+hold && l.Zone <= x.Limits.Zone-x.Room+hold &&
				l.Lengthwise <= x.Limits.Lengthwise-x.Room+hold && l.Across <= x.Limits.Across-x.Room+hold
		}
		if !s.serves[class] {
			return false
		}
		whole := b.q.Spec.Limits
		s.cost = b.q.Weights.Step*l.Step/whole.Step + b.q.Weights.Zone*l.Zone/whole.Zone
	}
	b.price(s)
	return true
}

// price adds what is not seating's.
func (b *brute) price(s *bruteSet) {
	w, q := b.q.Weights, b.q
	var thick []float64
	oldest := 0.0
	for _, p := range q.Pieces {
		if p.NotReady == "" {
			oldest = math.Max(oldest, p.AgeDays)
		}
	}
	for _, i := range s.pieces {
		if x := q.Pieces[i].Thickness; !math.IsNaN(x) {
			thick = append(thick, x)
		}
		s.cost += w.Age * (oldest - q.Pieces[i].AgeDays) / 90
	}
	if len(thick) > 1 {
		s.cost += w.Spread * (slices.Max(thick) - slices.Min(thick)) / 0.25
	}
	for joint := range 2 {
		a, c := q.Pieces[s.pieces[joint]], q.Pieces[s.pieces[joint+1]]
		if a.Layer != c.Layer {
			s.cost += w.Layer
		}
		if a.Batch != c.Batch {
			s.cost += w.Batch
		}
		if a.Lab != nil && c.Lab != nil {
			s.cost += w.Colour * colour.Difference(*a.Lab, *c.Lab)
		}
	}
	s.wish = s.cost
	if len(q.Before) > 0 && !slices.ContainsFunc(q.Before, func(t [3]int) bool { return b.inside(t[:], s.pieces) == 3 }) {
		s.wish += w.Change
	}
	for _, g := range q.Together {
		if b.inside(g, s.pieces) == len(g) {
			s.wish -= sets.Kept
		}
	}
}

// dished is a small invented face: bow both ways, twist, ripples.
func dished(a, b, twist float64, ripple func() float64) *face.Face {
	f := &face.Face{Header: face.Header{Name: "p", SizeX: 900, SizeY: 1400, Side: face.Top}}
	add := func(u, v float64, row face.Row) {
		f.X, f.Y, f.Row = append(f.X, 440*u), append(f.Y, 690*v), append(f.Row, row)
		f.Z = append(f.Z, a*(1-u*u)+b*(1-v*v)+twist/4*u*v+ripple())
	}
	for i := range 3 {
		for j := range 5 {
			add(float64(i)-1, float64(j)/2-1, face.NoRow)
		}
	}
	for j := range 5 {
		add(-1, float64(j)/2-1, face.JointMinus)
		add(1, float64(j)/2-1, face.JointPlus)
	}
	return f
}

// small is the nine-foot bed read at few stations.
func small() bed.Spec {
	s := bed.NineFoot()
	s.EdgeBand, s.JointRow.MinStations = 0, 5
	return s
}

// places are the ways that a draw chooses from: all, one place, and pockets that are cut.
var places = []beds.Ways{beds.AnyWay(), beds.AnyWay(), beds.In(bed.Head), beds.In(bed.Centre), beds.In(bed.Foot), beds.CutAs(bed.Head), beds.CutAs(bed.Foot)}
