// Package sets finds which pieces of a stock belong together: three pieces make a set, no piece is used twice.
//
// A [Question] has the stock, classes, orders and wishes; [Match] answers it with a [Plan]: first as many sets as can be for each order, the most
// important order first, then as many as can be for stock, then the least cost, with a bound on what any plan could cost. [Racks] keep what was
// computed, and answer what an exchange would cost ([Racks.Exchanges], [Racks.Swap]) and what one more piece would free ([Racks.Free]). Pieces of
// different size never mix.
//
// The package does not judge and lays nothing up: what it says of a bed is foretold. It reads no files. What a bed of three pieces is, package
// sets/beds says; which threes to choose, sets/threes.
//
// [Try] and [Pack] are the first form, for small stocks.
package sets

import (
	"fmt"
	"sync"

	"slatewright/cores"
	"slatewright/seating"
	"slatewright/trouble"
)

// MostPieces is the largest stock that this form takes: Pack looks at every subset of it.
const MostPieces = 20

// Triples is the number of ways to take three of n pieces.
func Triples(n int) int { return n * (n - 1) * (n - 2) / 6 }

// Try seats every three pieces of the stock with steps of at most maxStep, on all cores, and returns one trial a triple in
// a fixed order. done, if not nil, is told how many are finished; calls come one at a time.
func Try(stock *seating.Stock, maxStep float64, done func(int)) ([]seating.Trial, error) {
	n := stock.Len()
	if n < 3 || n > MostPieces {
		return nil, trouble.Data("stock-size", "", fmt.Sprintf("a stock of %s cannot be matched here", trouble.Count(n, "piece", "pieces")),
			fmt.Sprintf("give 3 to %d pieces", MostPieces))
	}
	var list [][3]int
	for i := range n {
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n; k++ {
				list = append(list, [3]int{i, j, k})
			}
		}
	}
	trials := make([]seating.Trial, len(list))
	errs := make([]error, len(list))
	var lock sync.Mutex
	finished := 0
	cores.Share(len(list), 1, func(from, to int) {
		for t := from; t < to; t++ {
			trials[t], errs[t] = stock.Try(list[t][0], list[t][1], list[t][2], maxStep)
			lock.Lock()
			finished++
			if done != nil {
				done(finished)
			}
			lock.Unlock()
		}
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return trials, nil
}
