// Package known keeps what is known of all threes of n things: a floor under what each costs, or its true cost and what it serves once that was
// asked for; and passes over all of them by prices of the things, for the threes that such prices find cheap.
//
// It chooses nothing and knows nothing of stone.
package known

import (
	"fmt"
	"math"
	"slices"

	"slatewright/cores"
	"slatewright/trouble"
)

// Triples says what threes cost; i < j < k everywhere. It is used on several cores at once and must give the same answer each time.
type Triples interface {
	// Floors writes for every k > j into floors[k-j-1] a number that the cost of {i, j, k} is never below; +Inf where they can be no set.
	Floors(i, j int, floors []float64)
	// Price is the true cost (at least its floor, finite) and the demands it can serve (bit d); serves 0: no set. It may be slow.
	Price(i, j, k int) (cost float64, serves uint32)
}

// Three is three things, ascending.
type Three = [3]int32

// Everything is what an unpriced three is taken to serve.
const Everything = ^uint32(0)

// Table holds what is known of every three: its floor, or its true cost once it was priced (+Inf: no set). Its fields are for reading.
type Table struct {
	N        int      // things
	Patterns []uint32 // different answers to what a three serves, as they came
	Possible int      // threes whose floor was finite
	Priced   int
	Least    float64 // no floor is below it, no cost either
	Most     float64 // the largest true cost met; −Inf: none

	triples Triples
	base    []int32   // of each pair i·n+j: the place of {i, j, k} less k
	low     []float64 // of each three
	rowLow  []float64 // of each pair i·n+j, i < j: nothing in its row is below it
	known   []uint64  // bit: truly priced
	serves  map[int32]uint32
}

// New asks for every floor of n things, on all cores. A floor that is NaN or −Inf is an own trouble.
func New(n int, triples Triples) (*Table, error) {
	t := &Table{N: n, triples: triples, serves: map[int32]uint32{}, Least: math.Inf(1), Most: math.Inf(-1)}
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
		t.Possible += possible[i]
		for j := i + 1; j < n; j++ {
			t.Least = min(t.Least, t.rowLow[i*n+j])
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
func (t *Table) ask(i int) (possible int, wrong bool) {
	for j := i + 1; j < t.N; j++ {
		row := t.Row(i, j)
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
		t.rowLow[i*t.N+j] = low
	}
	return possible, wrong
}

// Row is what is known of {i, j, k} for every k > j.
func (t *Table) Row(i, j int) []float64 {
	from := int(t.base[i*t.N+j]) + j + 1
	return t.low[from : from+t.N-j-1]
}

// At is the place of {i, j, k}, i < j < k.
func (t *Table) At(i, j, k int) int32 { return t.base[i*t.N+j] + int32(k) }

// Place is the place of a three.
func (t *Table) Place(c Three) int32 { return t.base[int(c[0])*t.N+int(c[1])] + c[2] }

// Low is the true cost of the three at a place, +Inf where it is no set; its floor where it was not priced yet.
func (t *Table) Low(p int32) float64 { return t.low[p] }

// RowLow is a number that no {i, j, k} with k > j is below.
func (t *Table) RowLow(i, j int) float64 { return t.rowLow[i*t.N+j] }

// Size is how many threes there are.
func (t *Table) Size() int { return len(t.low) }

// IsKnown says that the three at a place was truly priced.
func (t *Table) IsKnown(p int32) bool { return t.known[p>>6]&(1<<(p&63)) != 0 }

// Serves is what a three can serve as far as is known.
func (t *Table) Serves(p int32) uint32 {
	if t.IsKnown(p) {
		return t.serves[p]
	}
	return Everything
}

// Price asks for the true costs of threes that were not priced yet, on all cores, the answers kept in the order of the list.
// mask is which demands there are.
func (t *Table) Price(list []Three, mask uint32) error {
	ask := list[:0:0]
	for _, c := range list {
		p := t.Place(c)
		if !t.IsKnown(p) {
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
		p := t.Place(c)
		t.Priced++
		if serves[a]&mask == 0 {
			t.low[p] = math.Inf(1)
			t.serves[p] = 0
			continue
		}
		if math.IsNaN(cost[a]) || math.IsInf(cost[a], 0) {
			return notANumber("a cost", int(c[0]))
		}
		t.low[p] = cost[a]
		if row := &t.rowLow[int(c[0])*t.N+int(c[1])]; cost[a] < *row { // below its floor, by rounding
			*row = cost[a]
		}
		t.Least = min(t.Least, cost[a])
		t.serves[p] = serves[a] & mask
		if !slices.Contains(t.Patterns, serves[a]&mask) {
			t.Patterns = append(t.Patterns, serves[a]&mask)
		}
		t.Most = max(t.Most, cost[a])
	}
	return nil
}
