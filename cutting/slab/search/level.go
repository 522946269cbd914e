package search

import "sort"

// level is a set of parts between lines: those that can still lead to more than the best plan. A part lies behind left line a and before line i, above lower
// line j1 and below line j2. Parts of the same a and i are a block; those of them with the same j1, and j2 without a gap, are a run.
type level struct {
	x, y   []int
	blocks []block // by a, then by i
	runs   []run
	cells  int     // numbers of cells; trim leaves some without a part
	index  []int32 // of the block at a·(nx+1) + i; −1: none
	rights []int32 // blocks from a begin at rights[a]
	lefts  [][]int32
}

// block are the parts between two lines across: their runs are runs[first:last], by lower line, then by upper line.
type block struct{ a, i, first, last int32 }

// run are the parts above a lower line and below upper lines lo to hi−1, the first of them in cell at.
type run struct{ low, lo, hi, at int32 }

// of gives the cell of a part; −1 when it is none of the level's.
func (l *level) of(a, i, j1, j2 int) int32 {
	n := l.index[a*len(l.x)+i]
	if n < 0 {
		return -1
	}
	runs := l.in(n)
	k := sort.Search(len(runs), func(k int) bool {
		return int(runs[k].low) > j1 || int(runs[k].low) == j1 && int(runs[k].hi) > j2
	})
	if k == len(runs) || int(runs[k].low) != j1 || int(runs[k].lo) > j2 {
		return -1
	}
	return runs[k].at + int32(j2) - runs[k].lo
}

// in gives the runs of a block by its number.
func (l *level) in(n int32) []run {
	b := &l.blocks[n]
	return l.runs[b.first:b.last]
}

// newLevel takes all parts between lines that are wide and high enough.
func newLevel(x, y ruling, least [2]int) *level {
	l := &level{x: x.at, y: y.at}
	first := highEnough(y, least[1])
	for a := range x.n() {
		for i := a + 1; i <= x.n(); i++ {
			if x.at[i]-x.left(a) < least[0] {
				continue
			}
			l.begin(a, i)
			for j := range y.n() {
				l.add(j, first[j], y.n()+1)
			}
		}
	}
	l.connect()
	return l
}

// highEnough gives for each lower line the first upper line that is high enough for any piece.
func highEnough(y ruling, least int) []int {
	first := make([]int, y.n())
	for j := range first {
		first[j] = max(j+1, y.before(y.left(j)+least))
	}
	return first
}

// begin begins a block.
func (l *level) begin(a, i int) {
	n := int32(len(l.runs))
	l.blocks = append(l.blocks, block{int32(a), int32(i), n, n})
}

// add adds a run to the last block.
func (l *level) add(low, lo, hi int) {
	if lo < hi {
		l.runs = append(l.runs, run{int32(low), int32(lo), int32(hi), int32(l.cells)})
		l.blocks[len(l.blocks)-1].last++
		l.cells += hi - lo
	}
}

// connect drops empty blocks and finds the others by their lines.
func (l *level) connect() {
	nx := len(l.x) - 1
	kept := l.blocks[:0]
	for _, b := range l.blocks {
		if b.first < b.last {
			kept = append(kept, b)
		}
	}
	l.blocks = kept
	l.index = make([]int32, nx*(nx+1))
	for i := range l.index {
		l.index[i] = -1
	}
	l.rights = make([]int32, nx+1)
	l.lefts = make([][]int32, nx+1)
	for n, b := range l.blocks {
		l.index[int(b.a)*(nx+1)+int(b.i)] = int32(n)
		l.rights[b.a+1]++
		l.lefts[b.i] = append(l.lefts[b.i], int32(n))
	}
	for a := range nx {
		l.rights[a+1] += l.rights[a]
	}
}

// from gives the blocks that lie behind line a, by their right lines.
func (l *level) from(a int32) []block {
	if int(a) >= len(l.rights)-1 {
		return nil
	}
	return l.blocks[l.rights[a]:l.rights[a+1]]
}

// byDistance orders the blocks by the number of stretches that they span: those of d stretches begin at start[d].
func (l *level) byDistance() (order, start []int32) {
	start = make([]int32, len(l.x)+1)
	for _, b := range l.blocks {
		start[b.i-b.a+1]++
	}
	for d := 1; d < len(start); d++ {
		start[d] += start[d-1]
	}
	next := append([]int32(nil), start...)
	order = make([]int32, len(l.blocks))
	for n, b := range l.blocks {
		order[next[b.i-b.a]] = int32(n)
		next[b.i-b.a]++
	}
	return order, start
}

// fewDead is up to how many dead parts a run is not divided for.
const fewDead = 4

// trimmed is the level without parts that lead to nothing; cells keep their numbers.
func (l *level) trimmed(leads func(cell int32) bool) *level {
	out := &level{x: l.x, y: l.y, cells: l.cells}
	for _, b := range l.blocks {
		out.begin(int(b.a), int(b.i))
		now := &out.blocks[len(out.blocks)-1]
		for _, r := range l.runs[b.first:b.last] {
			from, last := int32(-1), int32(-1) // of a run that leads somewhere
			end := func() {
				if from >= 0 {
					out.runs = append(out.runs, run{r.low, from, last + 1, r.at + from - r.lo})
					now.last++
				}
				from = -1
			}
			for j := r.lo; j < r.hi; j++ {
				if !leads(r.at + j - r.lo) {
					continue
				}
				if from >= 0 && j-last > fewDead {
					end()
				}
				if from < 0 {
					from = j
				}
				last = j
			}
			end()
		}
	}
	out.connect()
	return out
}

// size counts the parts.
func (l *level) size() (n int) {
	for _, r := range l.runs {
		n += int(r.hi - r.lo)
	}
	return n
}

// refined divides the parts between more lines, and gives for each new part what was known of the one that it lies in, if anything was.
func (l *level) refined(x, y []int, least [2]int, kerf int, known []int32) (*level, []int32) {
	out := &level{x: x, y: y}
	first := highEnough(ruling{y, kerf, true}, least[1])
	rx := ruling{x, kerf, true}
	px, py := parents(x, l.x), parents(y, l.y)
	finer := make([]int, len(l.y)+1) // first finer line of each
	finer[len(l.y)] = len(y)
	for j := len(py) - 1; j >= 0; j-- {
		finer[py[j]] = j
	}
	var room []int32
	for a := range len(x) - 1 {
		i := a + 1
		for _, b := range l.from(int32(px[a])) {
			for i < len(x) && px[i] < int(b.i) {
				i++
			}
			for ; i < len(x) && px[i] == int(b.i); i++ {
				if x[i]-rx.left(a) < least[0] {
					continue
				}
				out.begin(a, i)
				for k, n := b.first, b.first; k < b.last; k = n { // the runs of one lower line
					for n < b.last && l.runs[n].low == l.runs[k].low {
						n++
					}
					for j := finer[l.runs[k].low]; j < min(finer[l.runs[k].low+1], len(y)-1); j++ {
						for _, r := range l.runs[k:n] {
							lo, hi := max(first[j], finer[r.lo]), finer[r.hi]
							out.add(j, lo, hi)
							for m := lo; m < hi && known != nil; m++ {
								room = append(room, known[r.at+int32(py[m])-r.lo])
							}
						}
					}
				}
			}
		}
	}
	out.connect()
	return out, room
}

// pairs calls with the stretches of cells that two blocks have in common: from cells a and b on, n of them.
func pairs(one, two []run, with func(a, b, n int32)) {
	k := 0
	for _, r := range one {
		k = seek(two, k, r.low, r.lo)
		for m := k; m < len(two) && two[m].low == r.low && two[m].lo < r.hi; m++ {
			lo, hi := max(r.lo, two[m].lo), min(r.hi, two[m].hi)
			with(r.at+lo-r.lo, two[m].at+lo-two[m].lo, hi-lo)
		}
	}
}

// triples calls with the stretches of cells that three blocks have in common; it is quickest when the first has the fewest runs.
func triples(one, two, three []run, with func(a, b, c, n int32)) {
	k, q := 0, 0
	for _, r := range one {
		if k = seek(two, k, r.low, r.lo); k == len(two) {
			return
		}
		for m := k; m < len(two) && two[m].low == r.low && two[m].lo < r.hi; m++ {
			lo, hi := max(r.lo, two[m].lo), min(r.hi, two[m].hi)
			if q = seek(three, q, r.low, lo); q == len(three) {
				return
			}
			for p := q; p < len(three) && three[p].low == r.low && three[p].lo < hi; p++ {
				from, to := max(lo, three[p].lo), min(hi, three[p].hi)
				with(r.at+from-r.lo, two[m].at+from-two[m].lo, three[p].at+from-three[p].lo, to-from)
			}
		}
	}
}

// seek finds the first run from k on that ends above a line over a lower line, or lies over a later one.
func seek(runs []run, k int, low, lo int32) int {
	before := func(r *run) bool { return r.low < low || r.low == low && r.hi <= lo }
	if k >= len(runs) || !before(&runs[k]) {
		return k
	}
	step := 1
	for k+step < len(runs) && before(&runs[k+step]) {
		k += step
		step *= 2
	}
	for end := min(k+step, len(runs)); k+1 < end; { // runs[k] lies before, runs[end] does not
		if m := (k + end) / 2; before(&runs[m]) {
			k = m
		} else {
			end = m
		}
	}
	return k + 1
}
