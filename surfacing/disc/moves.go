package disc

import (
	"cmp"
	"math"
	"slices"
)

// move exchanges the bits of two places; v is what it adds to the unbalance.
type move struct {
	p, q int
	v    Vector
	size float64 // of v
}

func (m move) apart(o move) bool { return m.p != o.p && m.p != o.q && m.q != o.p && m.q != o.q }

// moves lists the exchanges that a rule allows among the first n places and that change anything, p < q, the longest first.
func (r *Ring) moves(a Arrangement, ok room, n int) (list []move) {
	for p := range n {
		for q := p + 1; q < n; q++ {
			d := r.Bits[a[q]].Mass - r.Bits[a[p]].Mass
			if d == 0 || !ok.may(p, a[q]) || !ok.may(q, a[p]) {
				continue
			}
			if v := (Vector{d * (r.at[p].X - r.at[q].X), d * (r.at[p].Y - r.at[q].Y)}); v != (Vector{}) {
				list = append(list, move{p, q, v, v.Size()})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b move) int { return cmp.Compare(b.size, a.size) })
	return list
}

// grid finds, among moves, the one that adds most nearly what is wanted. Its cells hold about two moves each.
type grid struct {
	moves    []move
	low      Vector
	cell     float64
	nx, ny   int
	start    []int32 // of each cell in order, and the end
	order    []int32
	empty    []int32 // of each cell: so many rings of cells about it hold nothing
	longest  float64 // g·mm, of one move
	lookedAt int     // cells, the measure of work
}

func newGrid(moves []move) *grid {
	g := &grid{moves: moves, low: Vector{math.Inf(1), math.Inf(1)}}
	high := Vector{math.Inf(-1), math.Inf(-1)}
	for _, m := range moves {
		g.low.X, g.low.Y = math.Min(g.low.X, m.v.X), math.Min(g.low.Y, m.v.Y)
		high.X, high.Y = math.Max(high.X, m.v.X), math.Max(high.Y, m.v.Y)
		g.longest = math.Max(g.longest, m.size)
	}
	if len(moves) == 0 {
		return g
	}
	w, h := high.X-g.low.X, high.Y-g.low.Y
	g.cell = math.Max(math.Sqrt(w*h*2/float64(len(moves))), math.Max(w, h)/500)
	if g.cell == 0 {
		g.cell = 1
	}
	g.nx, g.ny = int(w/g.cell)+1, int(h/g.cell)+1
	g.start = make([]int32, g.nx*g.ny+1)
	for _, m := range moves {
		g.start[g.at(m.v)+1]++
	}
	for c := range g.nx * g.ny {
		g.start[c+1] += g.start[c]
	}
	g.order = make([]int32, len(moves))
	fill := append([]int32(nil), g.start...)
	for i, m := range moves {
		c := g.at(m.v)
		g.order[fill[c]] = int32(i)
		fill[c]++
	}
	g.clear()
	return g
}

// clear finds how far each cell is from one that holds a move: two sweeps, each cell one more than the least of the neighbours already swept.
func (g *grid) clear() {
	g.empty = make([]int32, g.nx*g.ny)
	far := int32(g.nx + g.ny)
	at := func(x, y int) int32 {
		if x < 0 || y < 0 || x >= g.nx || y >= g.ny {
			return far
		}
		return g.empty[y*g.nx+x]
	}
	for c := range g.empty {
		if x, y := c%g.nx, c/g.nx; g.start[c] == g.start[c+1] {
			g.empty[c] = 1 + min(at(x-1, y), at(x-1, y-1), at(x, y-1), at(x+1, y-1))
		}
	}
	for c := len(g.empty) - 1; c >= 0; c-- {
		x, y := c%g.nx, c/g.nx
		g.empty[c] = min(g.empty[c], 1+min(at(x+1, y), at(x+1, y+1), at(x, y+1), at(x-1, y+1)))
	}
}

// column and row of v, of the nearest cell where v lies outside.
func (g *grid) column(v Vector) int {
	return min(max(int(math.Floor((v.X-g.low.X)/g.cell)), 0), g.nx-1)
}

func (g *grid) row(v Vector) int {
	return min(max(int(math.Floor((v.Y-g.low.Y)/g.cell)), 0), g.ny-1)
}

func (g *grid) at(v Vector) int { return g.row(v)*g.nx + g.column(v) }

// nearest is the move nearest to want that leaves the places of the taken ones alone, if it is nearer than best; −1 where there is none. It looks at
// cells in growing rings about want's own: what lies beyond ring k is at least k cells away.
func (g *grid) nearest(want Vector, best float64, taken ...move) (int, float64) {
	found := -1
	if len(g.moves) == 0 || math.Max(math.Abs(want.X), math.Abs(want.Y)) > g.longest+best {
		return found, best
	}
	cx, cy := g.column(want), g.row(want)
	g.lookedAt++
	for ring := int(g.empty[cy*g.nx+cx]); ring < max(g.nx, g.ny); ring++ {
		if float64(ring-1)*g.cell >= best {
			break
		}
		for y := max(cy-ring, 0); y <= min(cy+ring, g.ny-1); y++ {
			step := 1
			if y != cy-ring && y != cy+ring {
				step = 2 * ring
			}
			for x := cx - ring; x <= cx+ring; x += max(step, 1) {
				if x < 0 || x >= g.nx {
					continue
				}
				g.lookedAt++
				c := y*g.nx + x
			candidates:
				for _, i := range g.order[g.start[c]:g.start[c+1]] {
					m := &g.moves[i]
					d := math.Hypot(m.v.X-want.X, m.v.Y-want.Y)
					if d > best || d == best && (found < 0 || int(i) >= found) {
						continue
					}
					for _, t := range taken {
						if !m.apart(t) {
							continue candidates
						}
					}
					found, best = int(i), d
				}
			}
		}
	}
	return found, best
}

// steps turns one arrangement into another by the fewest exchanges: as many as bits that move, less one for each cycle.
func steps(from, to Arrangement) (list [][2]int) {
	now := append(Arrangement(nil), from...)
	where := make([]int, len(now))
	for p, b := range now {
		where[b] = p
	}
	for p := range now {
		if b := to[p]; now[p] != b {
			q := where[b]
			list = append(list, [2]int{p, q})
			where[now[p]], where[b] = q, p
			now[p], now[q] = now[q], now[p]
		}
	}
	return list
}

// exchanged is the arrangement after moves that leave each other's places alone.
func exchanged(a Arrangement, moves ...move) Arrangement {
	b := append(Arrangement(nil), a...)
	for _, m := range moves {
		b[m.p], b[m.q] = b[m.q], b[m.p]
	}
	return b
}

// Steps are the fewest exchanges that lead from the arrangement as listed to another.
func (r *Ring) Steps(to Arrangement) [][2]int { return steps(r.AsListed(), to) }
