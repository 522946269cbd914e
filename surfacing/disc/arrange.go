package disc

import (
	"cmp"
	"math"
	"slices"

	"slatewright/chance"
)

// stillness is the part of a limit below which nobody asks for less.
const stillness = 1e-4

// Arranged is a ring that is weighed in.
type Arranged struct {
	After Arrangement
	Left  Vector
	Bound float64 // g·mm: no arrangement leaves less
	Best  bool    // it is proven that none leaves less
}

// Small is the largest number of places for which the best of all arrangements is found.
const Small = 12

// Arrange places all bits anew so that least unbalance is left, none prouder than the ring's face. Up to Small places and without spares it is the
// best of all arrangements; beyond, it goes down by pairs of exchanges until a ten-thousandth of the limit is reached or it finds no less.
func (r *Ring) Arrange(limit float64, h Heights) Arranged {
	ok := r.anew(h)
	g := Arranged{Bound: r.Bound()}
	if best := r.smallest(ok); best != nil {
		g.After, g.Best = best, true
		g.Left = r.Unbalance(best)
		g.Bound = g.Left.Size()
		return g
	}
	g.After = r.settle(r.AsListed(), ok, limit*stillness)
	g.Left = r.Unbalance(g.After)
	g.Best = g.Left.Size() <= g.Bound+touch
	return g
}

// Effort of settle: kicks that follow when it goes down no further, and cells that it looks at in all.
const (
	kicks        = 60
	settlingWork = 2_500_000
)

// settle goes down from an arrangement by the best two exchanges, again and again; then it kicks the best it has by three drawn exchanges and goes
// down once more.
func (r *Ring) settle(a Arrangement, ok room, enough float64) Arrangement {
	work := settlingWork
	best := r.down(a, ok, enough, &work)
	least := r.Unbalance(best).Size()
	draw := chance.NewStream(1)
	for k := 0; k < kicks && least > enough && work > 0; k++ {
		b := slices.Clone(best)
		for range 3 {
			p, q := draw.IntN(len(b)), draw.IntN(len(b))
			if ok.may(p, b[q]) && ok.may(q, b[p]) {
				b[p], b[q] = b[q], b[p]
			}
		}
		b = r.down(b, ok, enough, &work)
		if u := r.Unbalance(b).Size(); u < least {
			best, least = b, u
		}
	}
	return best
}

// down goes to where no two exchanges leave less: by single ones as far as they go, then by pairs.
func (r *Ring) down(a Arrangement, ok room, enough float64, work *int) Arrangement {
	a = r.singly(slices.Clone(a), ok, enough, work)
	for *work > 0 {
		s := r.search(a, ok, len(a))
		if s.u.Size() <= enough {
			break
		}
		next, _ := s.pair(s.u.Size() * (1 - 1e-9))
		*work -= s.g.lookedAt + 2*len(s.g.moves)
		if next == nil {
			break
		}
		a = next
	}
	return a
}

// singly makes the exchange that leaves least, again and again, until none leaves less.
func (r *Ring) singly(a Arrangement, ok room, enough float64, work *int) Arrangement {
	for u := r.Unbalance(a); ; u = r.Unbalance(a) {
		least, bp, bq := u.Size()*(1-1e-9), -1, -1
		for p := range a {
			for q := p + 1; q < len(a); q++ {
				d := r.Bits[a[q]].Mass - r.Bits[a[p]].Mass
				if size := math.Hypot(u.X+d*(r.at[p].X-r.at[q].X), u.Y+d*(r.at[p].Y-r.at[q].Y)); size < least && ok.may(p, a[q]) && ok.may(q, a[p]) {
					least, bp, bq = size, p, q
				}
			}
		}
		if bp < 0 || u.Size() <= enough {
			return a
		}
		a[bp], a[bq] = a[bq], a[bp]
		*work -= len(a) * len(a) / 8
	}
}

// Bound is an unbalance, g·mm, that every arrangement of the bits has at least, heights aside. In any direction the part of the unbalance along it is
// a sum of masses times the places' parts, and is least when the heaviest bits lie in the places with the smallest part (G. H. Hardy, J. E.
// Littlewood, G. Pólya, Inequalities, 1934, 10.2); the largest such least over 360 directions bounds the size.
func (r *Ring) Bound() float64 {
	masses := make([]float64, len(r.Bits))
	for i, b := range r.Bits {
		masses[i] = b.Mass
	}
	slices.Sort(masses)
	part := make([]float64, len(r.at))
	var bound float64
	for deg := range 360 {
		d := Polar(1, float64(deg))
		sum := r.Body.X*d.X + r.Body.Y*d.Y
		for i, at := range r.at {
			part[i] = at.X*d.X + at.Y*d.Y
		}
		slices.SortFunc(part, func(a, b float64) int { return cmp.Compare(b, a) })
		for i, m := range masses {
			sum += m * part[i]
		}
		bound = math.Max(bound, sum-1e-9*math.Abs(sum))
	}
	return bound
}
