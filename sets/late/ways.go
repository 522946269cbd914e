package late

import (
	"math"
	"sort"

	"slatewright/gauge/tables"
)

// atLeast returns the probability that at least k of n pieces pass, each with probability p.
func atLeast(k, n int, p float64) float64 {
	switch {
	case k <= 0:
		return 1
	case k > n:
		return 0
	}
	return tables.Proportion(p, float64(k), float64(n-k+1)) // the binomial tail is an incomplete beta function
}

// fewest returns the least n of which at least k pass with probability q or more.
func fewest(k int, p, q float64) int {
	most := k
	for atLeast(k, most, p) < q {
		most *= 2
	}
	return k + sort.Search(most-k, func(more int) bool { return atLeast(k, k+more, p) >= q })
}

// ways counts the three ways.
func (q Question) ways() (early, fixed, anyPlace Way) {
	all := q.Pass[0] * q.Pass[1] * q.Pass[2]
	n := fewest(q.Wanted, all, q.Sure)
	early = q.way([3]int{n, n, n}, atLeast(q.Wanted, n, all))
	early.Share, early.OfTheSame = all, float64(n)*all

	begin, probability := q.begin()
	fixed = q.way(begin, probability)
	fixed.Share = 3 / (1/q.Pass[0] + 1/q.Pass[1] + 1/q.Pass[2])
	for k := 1; k <= n; k++ { // the mean of a count is the sum of the chances to reach 1, 2, 3 …
		fixed.OfTheSame += atLeast(k, n, q.Pass[0]) * atLeast(k, n, q.Pass[1]) * atLeast(k, n, q.Pass[2])
	}

	pieces := fewest(3*q.Wanted, q.PassAny, q.Sure)
	anyPlace = Way{Share: q.PassAny, Pieces: pieces, Spare: pieces - 3*q.Wanted, Probability: atLeast(3*q.Wanted, pieces, q.PassAny),
		Money: float64(pieces) * (q.Cost[0] + q.Cost[1] + q.Cost[2]) / 3}
	for k := 3; k <= 3*n; k += 3 {
		anyPlace.OfTheSame += atLeast(k, 3*n, q.PassAny)
	}
	fixed.Saved, anyPlace.Saved = early.Money-fixed.Money, early.Money-anyPlace.Money
	return early, fixed, anyPlace
}

func (q Question) way(begin [3]int, probability float64) Way {
	w := Way{Begin: begin, Probability: probability}
	for place, n := range begin {
		w.Spares[place] = n - q.Wanted
		w.Pieces += n
		w.Spare += n - q.Wanted
		w.Money += float64(n) * q.Cost[place]
	}
	return w
}

// reach is how likely a place has all the pieces that are wanted, when it begins with from, from+1 … pieces.
type reach struct {
	from   int
	chance []float64
}

// begin returns how many pieces of each place to begin: those that cost least of all whose product of chances reaches what is asked; then the fewest,
// then the likeliest, then the first in the order of places. Every choice that could cost no more than an even one is looked at.
func (q Question) begin() ([3]int, float64) {
	price := q.Cost
	if price == [3]float64{} {
		price = [3]float64{1, 1, 1}
	}
	even, first := [3]int{}, [3]int{}
	for place, p := range q.Pass {
		first[place] = fewest(q.Wanted, p, q.Sure)
		even[place] = fewest(q.Wanted, p, math.Cbrt(q.Sure))
	}
	for q.together(even) < q.Sure { // the cube of a rounded root may fall short
		even[0]++
	}
	most := money(price, even)
	var reaches [3]reach
	for place, p := range q.Pass {
		reaches[place].from = first[place]
		for n := first[place]; ; n++ {
			with := first
			with[place] = n
			chance := atLeast(q.Wanted, n, p)
			if n > first[place] && money(price, with) > most {
				break
			}
			reaches[place].chance = append(reaches[place].chance, chance)
			if chance == 1 {
				break
			}
		}
	}
	return cheapest(reaches, price, q.Sure)
}

// together returns the probability that every place has all the pieces that are wanted.
func (q Question) together(n [3]int) float64 {
	return atLeast(q.Wanted, n[0], q.Pass[0]) * atLeast(q.Wanted, n[1], q.Pass[1]) * atLeast(q.Wanted, n[2], q.Pass[2])
}

func money(price [3]float64, n [3]int) float64 {
	return float64(n[0])*price[0] + float64(n[1])*price[1] + float64(n[2])*price[2]
}

// cheapest looks at every number of heads and centres, with the fewest feet that do: as the centres grow, those fall.
func cheapest(reaches [3]reach, price [3]float64, sure float64) (best [3]int, probability float64) {
	cost := math.Inf(1)
	for h, heads := range reaches[0].chance {
		f := len(reaches[2].chance) - 1
		for c, centres := range reaches[1].chance {
			if heads*centres*reaches[2].chance[f] < sure {
				continue
			}
			for f > 0 && heads*centres*reaches[2].chance[f-1] >= sure {
				f--
			}
			n := [3]int{reaches[0].from + h, reaches[1].from + c, reaches[2].from + f}
			chance := heads * centres * reaches[2].chance[f]
			of := money(price, n)
			pieces, fewest := n[0]+n[1]+n[2], best[0]+best[1]+best[2]
			if of < cost || of == cost && (pieces < fewest || pieces == fewest && chance > probability) {
				best, probability, cost = n, chance, of
			}
		}
	}
	return best, probability
}
