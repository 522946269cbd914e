package cuts

import (
	"cmp"
	"math"
	"slices"
)

// mostIn is the largest group of things that is tried as a cut.
const mostIn = 60

// Fraction is a three with how much of it a solution chooses, 0 to 1.
type Fraction struct {
	Three Three
	X     float64
}

// Finder looks for cuts that a solution breaks.
type Finder struct {
	n, total int
	list     []Fraction
	of       [][]int32 // fractions of each thing
	near     [][]int32 // things that share a fraction with each thing, ascending
	weight   []float64 // n·n: how much of threes holds both
	found    []broken
	seen     map[string]bool
}

// broken is a cut with how much the solution breaks it.
type broken struct {
	Cut
	by float64
}

// NewFinder takes a solution: of n things, Σ x of all threes and what is missing are total sets; list holds every three that is not 0, once.
// Cuts that are known are not found again.
func NewFinder(n, total int, list []Fraction, known []Cut) *Finder {
	f := &Finder{n: n, total: total, list: list, of: make([][]int32, n), near: make([][]int32, n), weight: make([]float64, n*n),
		seen: map[string]bool{}}
	for a, c := range list {
		for e, i := range c.Three {
			f.of[i] = append(f.of[i], int32(a))
			for _, j := range c.Three[e+1:] {
				if f.weight[int(i)*n+int(j)] == 0 {
					f.near[i], f.near[j] = append(f.near[i], j), append(f.near[j], i)
				}
				f.weight[int(i)*n+int(j)] += c.X
				f.weight[int(j)*n+int(i)] += c.X
			}
		}
	}
	for i := range f.near {
		slices.Sort(f.near[i])
	}
	for i := range known {
		f.seen[known[i].name()] = true
	}
	return f
}

// name is the same for the same cut only.
func (c *Cut) name() string {
	b := make([]byte, 0, 2*len(c.List)+2)
	b = append(b, byte(int8(c.By[1])), byte(int8(c.By[2])), byte(int8(c.By[3])))
	for _, i := range c.List {
		b = append(b, byte(i), byte(i>>8))
	}
	return string(b)
}

// Broken returns at most so many broken cuts, the worst first and none much like another.
func (f *Finder) Broken(most int) []Cut {
	if !slices.ContainsFunc(f.list, func(c Fraction) bool { return c.X < 1-1e-6 }) {
		return nil
	}
	for i := range f.n {
		f.around(int32(i))
		f.grow(int32(i))
	}
	f.merge()
	slices.SortStableFunc(f.found, func(a, b broken) int { return cmp.Compare(b.by, a.by) })
	return varied(f.found, most)
}

// Pairs calls yield for every two things that share a three, i < j in order, with how much of threes holds both.
func (f *Finder) Pairs(yield func(pair [2]int32, weight float64) bool) {
	for i := range f.near {
		for _, j := range f.near[i] {
			if int(j) > i && !yield([2]int32{int32(i), j}, f.weight[i*f.n+int(j)]) {
				return
			}
		}
	}
}

// Used is how much of threes holds a thing.
func (f *Finder) Used(i int) float64 {
	used := 0.0
	for _, a := range f.of[i] {
		used += f.list[a].X
	}
	return used
}

// varied takes cuts from the front, but none whose group is nearly that of one taken before.
func varied(found []broken, most int) []Cut {
	var list []Cut
	for _, c := range found {
		alike := slices.ContainsFunc(list, func(o Cut) bool {
			both := 0
			for _, i := range c.List {
				if o.In[i] {
					both++
				}
			}
			return 10*both > 7*max(len(c.List), len(o.List))
		})
		if !alike {
			if list = append(list, c.Cut); len(list) >= most {
				break
			}
		}
	}
	return list
}

// around tries the groups of thing v and two that it shares threes with.
func (f *Finder) around(v int32) {
	for a, i := range f.near[v] {
		for _, j := range f.near[v][:a] {
			n := f.n
			sum := f.weight[int(v)*n+int(i)] + f.weight[int(v)*n+int(j)] + f.weight[int(i)*n+int(j)]
			if sum > 1+0.02 {
				f.try([]int32{v, i, j}, f.inside([]int32{v, i, j}))
			}
		}
	}
}

// inside is how much of threes holds 0, 1, 2 and 3 things of a group.
func (f *Finder) inside(s []int32) (x [4]float64) {
	count := map[int32]int{}
	for _, i := range s {
		for _, a := range f.of[i] {
			count[a]++
		}
	}
	for a, c := range f.list {
		x[count[int32(a)]] += c.X
	}
	return x
}

// grow begins with a thing and takes in one by one what shares most with the group.
func (f *Finder) grow(v int32) {
	count := make([]int8, len(f.list))
	pull := make([]float64, f.n)
	in := make([]bool, f.n)
	x := [4]float64{}
	for _, c := range f.list {
		x[0] += c.X
	}
	var s, met []int32 // the group, and what shares with it
	for len(s) < min(mostIn, f.n/2) {
		in[v] = true
		s = append(s, v)
		for _, a := range f.of[v] {
			x[count[a]] -= f.list[a].X
			count[a]++
			x[count[a]] += f.list[a].X
		}
		for _, j := range f.near[v] {
			if pull[j] == 0 {
				met = append(met, j)
			}
			pull[j] += f.weight[int(v)*f.n+int(j)]
		}
		if len(s) > 2 {
			f.try(s, x)
		}
		best := 1e-6
		v = -1
		for _, j := range met {
			if !in[j] && pull[j] > best+1e-12 {
				best, v = pull[j], j
			}
		}
		if v < 0 {
			return
		}
	}
}

// merge tries what hangs together by ever weaker threes.
func (f *Finder) merge() {
	type edge struct {
		i, j int32
		w    float64
	}
	var edges []edge
	for i := range f.near {
		for _, j := range f.near[i] {
			if int(j) > i {
				edges = append(edges, edge{int32(i), j, f.weight[i*f.n+int(j)]})
			}
		}
	}
	slices.SortStableFunc(edges, func(a, b edge) int { return cmp.Compare(b.w, a.w) })
	part := make([][]int32, f.n)
	of := make([]int32, f.n)
	for i := range part {
		part[i], of[i] = []int32{int32(i)}, int32(i)
	}
	for _, e := range edges {
		a, b := of[e.i], of[e.j]
		if a == b {
			continue
		}
		if len(part[a]) < len(part[b]) {
			a, b = b, a
		}
		for _, i := range part[b] {
			of[i] = a
		}
		part[a] = append(part[a], part[b]...)
		part[b] = nil
		if size := len(part[a]); size > 2 && size <= max(mostIn, f.n/2) {
			f.try(part[a], f.inside(part[a]))
		}
	}
}

// try looks at every cut over a group; x is how much of threes holds 0, 1, 2 and 3 of it.
func (f *Finder) try(s []int32, x [4]float64) {
	size, out, total := len(s), f.n-len(s), float64(f.total)
	if size == 3 {
		f.take(s, x, [4]float64{0, 0, 1, 1}, 0, 1)
		return
	}
	f.take(s, x, [4]float64{0, 0, 0, 1}, 0, float64(size/3))
	f.take(s, x, [4]float64{0, 0, 1, 1}, 0, float64(size/2))
	f.take(s, x, [4]float64{0, 0, 1, 2}, 0, float64(2*size/3))
	f.take(s, x, [4]float64{0, -1, -1, -1}, -1, float64(out/3)-total)
	f.take(s, x, [4]float64{0, 0, -1, -1}, -1, float64(out/2)-total)
	f.take(s, x, [4]float64{0, -1, -2, -2}, -2, float64(2*out/3)-2*total)
}

// take keeps a cut if it is broken.
func (f *Finder) take(s []int32, x [4]float64, by [4]float64, missing, room float64) {
	value := by[1]*x[1] + by[2]*x[2] + by[3]*x[3]
	all := x[0] + x[1] + x[2] + x[3]
	value += missing * (float64(f.total) - all)
	if value <= room+0.02 {
		return
	}
	c := Cut{List: slices.Sorted(slices.Values(s)), By: by, Missing: missing, Room: room}
	name := c.name()
	if f.seen[name] {
		return
	}
	f.seen[name] = true
	c.In = make([]bool, f.n)
	for _, i := range s {
		c.In[i] = true
	}
	norm := math.Sqrt(by[1]*by[1]*x[1] + by[2]*by[2]*x[2] + by[3]*by[3]*x[3] + 1)
	f.found = append(f.found, broken{c, (value - room) / norm})
}
