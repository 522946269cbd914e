package sets

import (
	"math"
	"sync"

	"slatewright/sets/beds"
	"slatewright/sets/colour"
)

// quarter is the spread of thickness that costs as much as a zone, or a step, of its whole limit: a quarter of a millimetre
// is about one playing card in a shim pack (common practice, no source).
const quarter = 0.25

// month is how many days count as a month.
const month = 30

// group is the pieces of one size that may be matched: things, counted from 0, whose threes have costs.
type group struct {
	size    string
	pieces  []int // of the question, ascending: thing → piece
	of      []Piece
	weights Weights
	stock   *beds.Stock
	joints  []float64 // cost of a joint of things a and b at a·n+b
	age     []float64 // cost of each thing's age
	oldest  float64   // greatest age of the stock, days
	bare    bool      // no piece has a face
	hand    hand
	before  map[[3]int]bool // ascending things
	start   [][3]int        // the same
	wants   []want
	counts  []int // sets that each order of the question wants
	class   []Class
	some    []bool // see usable

	lock   sync.Mutex
	priced map[[3]int][]beds.Bed
	full   map[bedOf]beds.Bed // after all wishes of seating
}

// bedOf is three things, ascending, seated with the steps of a class.
type bedOf struct {
	three [3]int
	class int
}

// want is orders for sets of one class that follow one another in importance; the last want of a group has no end.
type want struct {
	class  int   // or forStock
	orders []int // of the question; sets without an order come last
	number int   // wanted; -1: without end
}

// forStock in the place of a class is any of them: a set that no order waits for is good when it conforms to one.
const forStock = -1

// good tells whether a bed that serves some classes serves one, or any for stock.
func good(serves uint32, class int) bool {
	if class == forStock {
		return serves != 0
	}
	return serves>>class&1 == 1
}

// within is what a bed of the class must keep while there is doubt.
func (c Class) within() beds.Limits {
	less := func(x float64) float64 { return max(0, x-c.Room) }
	return beds.Limits{MaxStep: less(c.Limits.Step), Zone: less(c.Limits.Zone), Lengthwise: less(c.Limits.Lengthwise), Across: less(c.Limits.Across)}
}

// beds makes pieces ready to be laid together. Errors are those of a face.
func (q Question) beds(pieces []Piece, joints []float64) (*beds.Stock, error) {
	list := make([]beds.Piece, len(pieces))
	for i, p := range pieces {
		list[i] = beds.Piece{Face: p.Face, Ways: p.Ways}
	}
	classes := make([]beds.Limits, len(q.Classes))
	for c := range classes {
		classes[c] = q.Classes[c].within()
	}
	n := len(pieces)
	step, zone := q.whole()
	return beds.New(list, q.Spec, classes, beds.Weights{Step: q.Weights.Step / step, Zone: q.Weights.Zone / zone,
		Joint: func(a, b int) float64 { return joints[a*n+b] }})
}

// whole are the step and the zone that cost 1 before they are weighed: the limits of the specification, or where it has none of the loosest class.
func (q Question) whole() (step, zone float64) {
	loosest := q.Classes[len(q.Classes)-1].Limits
	if step = q.Spec.Limits.Step; !(step > 0) {
		step = loosest.Step
	}
	if zone = q.Spec.Limits.Zone; !(zone > 0) {
		zone = loosest.Zone
	}
	return step, zone
}

// joint is what it costs that two pieces meet, seating apart.
func (w Weights) joint(a, b Piece) float64 {
	cost := 0.0
	if a.Layer != b.Layer {
		cost += w.Layer
	}
	if a.Batch != b.Batch {
		cost += w.Batch
	}
	if w.Colour > 0 && a.Lab != nil && b.Lab != nil {
		cost += w.Colour * colour.Difference(*a.Lab, *b.Lab)
	}
	return cost
}

// newGroup prepares pieces of one size. oldest is the greatest age of the stock, days.
func newGroup(q Question, size string, at []int, pieces []Piece, oldest float64) (*group, error) {
	n := len(pieces)
	g := &group{size: size, pieces: at, of: pieces, weights: q.Weights, oldest: oldest, joints: make([]float64, n*n), age: make([]float64, n), bare: true,
		class: q.Classes, before: map[[3]int]bool{}, priced: map[[3]int][]beds.Bed{}, full: map[bedOf]beds.Bed{}}
	for _, o := range q.Orders {
		g.counts = append(g.counts, o.Sets)
	}
	for a, p := range pieces {
		g.bare = g.bare && p.Face == nil
		g.age[a] = q.Weights.Age * (oldest - p.AgeDays) / month / 3
		for b := range a {
			c := q.Weights.joint(pieces[b], p)
			g.joints[a*n+b], g.joints[b*n+a] = c, c
		}
	}
	g.hand = hand{with: make([]int, n), apart: make([][]int, n)}
	for i := range g.hand.with {
		g.hand.with[i] = -1
	}
	var err error
	g.stock, err = q.beds(pieces, g.joints)
	return g, err
}

// spread is the thickest less the thinnest piece of those whose thickness is known.
func (g *group) spread(t [3]int) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range t {
		if x := g.of[i].Thickness; x == x {
			low, high = min(low, x), max(high, x)
		}
	}
	return max(0, high-low)
}

// own is what three things cost besides their bed; it is reported.
func (g *group) own(t [3]int) float64 {
	return g.weights.Spread*g.spread(t)/quarter + (g.age[t[0]] + g.age[t[1]] + g.age[t[2]])
}

// beds are those of three things, ascending, that serve all classes that the three can serve; asked once.
func (g *group) beds(t [3]int) []beds.Bed {
	g.lock.Lock()
	list, known := g.priced[t]
	g.lock.Unlock()
	if known {
		return list
	}
	list = g.stock.Beds(t[0], t[1], t[2])
	g.lock.Lock()
	g.priced[t] = list
	g.lock.Unlock()
	return list
}

// bed is the bed of three things, ascending, for a set of a class; where they do not serve it the first that they make, and one that serves nothing
// where they make none.
func (g *group) bed(t [3]int, class int) beds.Bed {
	list := g.beds(t)
	for _, b := range list {
		if good(b.Serves, class) {
			return b
		}
	}
	if len(list) == 0 {
		return beds.Bed{}
	}
	return list[0]
}

// widest are the largest own zone and straightness across that a piece of a set may have, mm.
func (g *group) widest() (zone, across float64) {
	for _, c := range g.class {
		w := c.within()
		zone, across = max(zone, w.Zone), max(across, w.Across)
	}
	return zone, across
}

// serves are the wants that a bed of these classes is good for.
func (g *group) serves(classes uint32) (wants uint32) {
	for d, w := range g.wants {
		if good(classes, w.class) {
			wants |= 1 << d
		}
	}
	return wants
}

// ascending is three things in their order.
func ascending(t [3]int) [3]int {
	if t[0] > t[1] {
		t[0], t[1] = t[1], t[0]
	}
	if t[1] > t[2] {
		t[1], t[2] = t[2], t[1]
	}
	if t[0] > t[1] {
		t[0], t[1] = t[1], t[0]
	}
	return t
}
