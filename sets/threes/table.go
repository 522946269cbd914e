package threes

import (
	"fmt"
	"math"
	"slices"

	"slatewright/cores"
	"slatewright/trouble"
)

// everything is what an unpriced three is taken to serve.
const everything = ^uint32(0)

// table holds what is known of every three: its floor, or its true cost once it was priced (+Inf: no set).
type table struct {
	n        int
	triples  Triples
	base     []int32   // of each pair i·n+j: the place of {i, j, k} less k
	low      []float64 // of each three
	rowLow   []float64 // of each pair i·n+j, i < j: nothing in its row is below it
	known    []uint64  // bit: truly priced
	serves   map[int32]uint32
	patterns []uint32 // different answers to what a three serves, as they came
	possible int
	priced   int
	least    float64 // no floor is below it
	most     float64 // the largest true cost met
}

// newTable asks for every floor, on all cores.
func newTable(n int, triples Triples) (*table, error) {
	t := &table{n: n, triples: triples, serves: map[int32]uint32{}, least: math.Inf(1), most: math.Inf(-1)}
	t.base, t.rowLow = make([]int32, n*n), make([]float64, n*n)
	size := 0
	for i := range n {
		for j := i + 1; j < n; j++ {
			t.base[i*n+j] = int32(size - j - 1)
			size += n - j - 1
		}
	}
	t.low = make([]float64, size)
	t.known = make([]uint64, (size+63)/64)
	possible, wrong := make([]int, n), make([]bool, n)
	cores.Share(n, 8, func(from, to int) {
		for a := from; a < to; a++ {
			i := spread(a, n)
			possible[i], wrong[i] = t.ask(i)
		}
	})
	for i := range n {
		if wrong[i] {
			return nil, notANumber("a floor", i)
		}
		t.possible += possible[i]
		for j := i + 1; j < n; j++ {
			t.least = min(t.least, t.rowLow[i*n+j])
		}
	}
	return t, nil
}

// spread pairs the long rows at the front with the short ones at the end, so that stretches are equally heavy.
func spread(a, n int) int {
	if a%2 == 0 {
		return a / 2
	}
	return n - 1 - a/2
}

func notANumber(what string, i int) error {
	return trouble.Own("no-number", fmt.Sprintf("thing %d", i+1), what+" is no number", "let costs be finite and floors not NaN or −Inf")
}

// ask fills the rows of i and counts what is possible.
func (t *table) ask(i int) (possible int, wrong bool) {
	for j := i + 1; j < t.n; j++ {
		row := t.row(i, j)
		t.triples.Floors(i, j, row)
		low := math.Inf(1)
		for _, f := range row {
			if f < low {
				low = f
			}
			if !math.IsInf(f, 1) {
				possible++
			}
			if math.IsNaN(f) || math.IsInf(f, -1) {
				wrong = true
			}
		}
		t.rowLow[i*t.n+j] = low
	}
	return possible, wrong
}

// row is what is known of {i, j, k} for every k > j.
func (t *table) row(i, j int) []float64 {
	from := int(t.base[i*t.n+j]) + j + 1
	return t.low[from : from+t.n-j-1]
}

// at is the place of {i, j, k}, i < j < k.
func (t *table) at(i, j, k int) int32 { return t.base[i*t.n+j] + int32(k) }

func (t *table) isKnown(p int32) bool { return t.known[p>>6]&(1<<(p&63)) != 0 }

// served is what a three can serve as far as is known.
func (t *table) served(p int32) uint32 {
	if t.isKnown(p) {
		return t.serves[p]
	}
	return everything
}

// price asks for the true costs of threes that were not priced yet, on all cores, the answers kept in the order of the list.
// mask is which demands there are.
func (t *table) price(list [][3]int32, mask uint32) error {
	ask := list[:0:0]
	for _, c := range list {
		p := t.at(int(c[0]), int(c[1]), int(c[2]))
		if !t.isKnown(p) {
			t.known[p>>6] |= 1 << (p & 63)
			ask = append(ask, c)
		}
	}
	cost, serves := make([]float64, len(ask)), make([]uint32, len(ask))
	cores.Share(len(ask), 4, func(from, to int) {
		for a := from; a < to; a++ {
			cost[a], serves[a] = t.triples.Price(int(ask[a][0]), int(ask[a][1]), int(ask[a][2]))
		}
	})
	for a, c := range ask {
		p := t.at(int(c[0]), int(c[1]), int(c[2]))
		t.priced++
		if serves[a]&mask == 0 {
			t.low[p] = math.Inf(1)
			t.serves[p] = 0
			continue
		}
		if math.IsNaN(cost[a]) || math.IsInf(cost[a], 0) {
			return notANumber("a cost", int(c[0]))
		}
		t.low[p] = cost[a]
		if row := &t.rowLow[int(c[0])*t.n+int(c[1])]; cost[a] < *row { // below its floor, by rounding
			*row = cost[a]
		}
		t.least = min(t.least, cost[a])
		t.serves[p] = serves[a] & mask
		if !slices.Contains(t.patterns, serves[a]&mask) {
			t.patterns = append(t.patterns, serves[a]&mask)
		}
		t.most = max(t.most, cost[a])
	}
	return nil
}
