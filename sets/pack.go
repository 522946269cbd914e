package sets

import (
	"fmt"

	"slatewright/seating"
	"slatewright/trouble"
)

// Packing is a choice of sets out of trials.
type Packing struct {
	Sets   []seating.Trial // good ones first, each kind in the order of its first piece
	Good   int             // how many of them are good
	Cost   float64         // sum over all
	Unused []int           // pieces in no set, ascending
}

// worth is what a plan for a subset of the pieces reaches.
type worth struct {
	good, sets int
	cost       float64
}

// better reports whether a is worth more than b.
func (a worth) better(b worth) bool {
	switch {
	case a.good != b.good:
		return a.good > b.good
	case a.sets != b.sets:
		return a.sets > b.sets
	}
	return a.cost < b.cost
}

// Pack chooses disjoint triples out of n pieces, exactly: the most good sets, then the most sets, then the least cost. Trials
// that are not feasible count as sets only if cost is given for them; a negative cost leaves a triple out.
//
// It fills a table over all subsets of the pieces: the best plan for a subset either leaves its first piece out, or puts it
// in one of its triples and takes the best plan for the rest (Held and Karp, Journal of SIAM 10, 1962, 196–210, use the
// table for tours).
func Pack(n int, trials []seating.Trial, good func(seating.Trial) bool, cost func(seating.Trial) float64) (Packing, error) {
	if n > MostPieces {
		return Packing{}, trouble.Data("stock-size", "", fmt.Sprintf("a stock of %d pieces cannot be matched here", n), fmt.Sprintf("give at most %d pieces", MostPieces))
	}
	choices := make([][]choice, n)
	for t, trial := range trials {
		if c := cost(trial); c >= 0 {
			first := min(trial.Index[0], trial.Index[1], trial.Index[2])
			choices[first] = append(choices[first], choice{trial: t, mask: maskOf(trial), good: good(trial), cost: c})
		}
	}
	table := make([]worth, 1<<n)
	taken := make([]int, 1<<n) // choice+1 of the first piece, or 0
	for free := 1; free < 1<<n; free++ {
		first := 0
		for free>>first&1 == 0 {
			first++
		}
		table[free] = table[free&^(1<<first)]
		for c, ch := range choices[first] {
			if ch.mask&free != ch.mask {
				continue
			}
			if w := table[free&^ch.mask].with(ch); w.better(table[free]) {
				table[free], taken[free] = w, c+1
			}
		}
	}
	return read(n, trials, choices, table, taken), nil
}

// choice is a triple that a plan may take.
type choice struct {
	trial, mask int
	good        bool
	cost        float64
}

func maskOf(t seating.Trial) int { return 1<<t.Index[0] | 1<<t.Index[1] | 1<<t.Index[2] }

func (a worth) with(c choice) worth {
	a.sets++
	a.cost += c.cost
	if c.good {
		a.good++
	}
	return a
}

// read follows the table from the whole stock down.
func read(n int, trials []seating.Trial, choices [][]choice, table []worth, taken []int) Packing {
	all := 1<<n - 1
	plan := Packing{Good: table[all].good, Cost: table[all].cost}
	var others []seating.Trial
	for free := all; free != 0; {
		first := 0
		for free>>first&1 == 0 {
			first++
		}
		if taken[free] == 0 {
			plan.Unused = append(plan.Unused, first)
			free &^= 1 << first
			continue
		}
		c := choices[first][taken[free]-1]
		if c.good {
			plan.Sets = append(plan.Sets, trials[c.trial])
		} else {
			others = append(others, trials[c.trial])
		}
		free &^= c.mask
	}
	plan.Sets = append(plan.Sets, others...)
	return plan
}
