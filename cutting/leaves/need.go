package leaves

import (
	"fmt"
	"math"
	"slices"

	"slatewright/gauge/tables"
	"slatewright/trouble"
)

// weighed is how many cuttings are weighed at most, over all allowances that are tried.
const weighed = 1 << 22

// confidence of each end of an interval.
const confidence = 0.95

// Need is what clean-up needed of a share of the pieces at most, from what it needed of each: an order statistic, whatever the distribution.
type Need struct {
	Pieces   int
	Quantile float64
	At       float64  // mm: the smallest need that is not passed in this share of the pieces
	Low      *float64 // mm, one end of its interval, true in 95 of 100 layers; nil: too few pieces to tell
	High     *float64 // mm, the other end
}

// Told says whether the pieces bound the need from above.
func (n Need) Told() bool { return n.High != nil }

// FromHistory takes the quantile of what clean-up needed, in mm over both faces together, and its interval.
//
// The k-th smallest of n is not below the true quantile q with the probability that a binomial (n, q) is below k (H. A. David and H. N. Nagaraja,
// Order Statistics, 2003, §7.1); so the largest of n bounds it with 95 % only when qⁿ is at most 0.05: 59 pieces for q = 0.95.
//
// Errors: bad-need, bad-quantile.
func FromHistory(needs []float64, q float64) (Need, error) {
	if !(q >= 0.5 && q <= 0.999) {
		return Need{}, trouble.Data("bad-quantile", "quantile", fmt.Sprintf("a share of %g of the pieces cannot be asked", q), "give 0.5 to 0.999, say 0.95")
	}
	if len(needs) == 0 {
		return Need{}, trouble.Data("bad-need", "history", "there is no piece in the history", "give one row a piece, or no history")
	}
	for _, x := range needs {
		if !(x >= 0 && x <= mostThickness) {
			return Need{}, trouble.Data("bad-need", "history", fmt.Sprintf("clean-up cannot need %g mm", x), "give the stone that was taken off both faces together")
		}
	}
	sorted := slices.Sorted(slices.Values(needs))
	n := len(sorted)
	out := Need{Pieces: n, Quantile: q, At: sorted[max(0, int(math.Ceil(float64(n)*q-1e-9))-1)]}
	for k := n; k >= 1 && out.Low == nil; k-- { // the k-th smallest is not above with the probability of k successes or more
		if 1-below(k, n, q) >= confidence {
			out.Low = &sorted[k-1]
		}
	}
	for k := 1; k <= n && out.High == nil; k++ {
		if below(k, n, q) >= confidence {
			out.High = &sorted[k-1]
		}
	}
	return out, nil
}

// below is the probability that a binomial (n, q) is below k, 1 ≤ k ≤ n.
func below(k, n int, q float64) float64 {
	return tables.Proportion(1-q, float64(n-k+1), float64(k))
}

// PiecesFor is how many pieces bound a quantile from above.
func PiecesFor(q float64) int {
	return int(math.Ceil(math.Log(1-confidence) / math.Log(q)))
}

// Rule is the allowance where no history tells: on either face its unevenness, and the depth to which the cut has hurt the stone.
func Rule(unevenness, hurt float64) float64 { return 2 * (unevenness + hurt) }

// Paid finds the allowance that would have paid best over the pieces of a history: the value of the best plan times the share of pieces that clean
// up. It is looked for among what the pieces needed, at most 200 of them evenly over their order, fewer where a block can be cut in very many ways, at least 20; ties go
// to the larger.
func Paid(b Block, wants []Want, needs []float64) (allowance, expected float64, err error) {
	sorted := slices.Sorted(slices.Values(needs))
	n := len(sorted)
	first, err := Cut(b, wants, sorted[0])
	if err != nil {
		return 0, 0, err
	}
	most := min(200, max(20, weighed/first.Looked))
	step := max(1, (n+most-1)/most)
	for k := n; k >= 1; k -= step {
		if k < n && sorted[k-1] == sorted[k] && step == 1 {
			continue // the same need, with a smaller share
		}
		p, err := Cut(b, wants, sorted[k-1])
		if err != nil {
			return 0, 0, err
		}
		if e := p.Value * float64(k) / float64(n); e > expected {
			allowance, expected = sorted[k-1], e
		}
	}
	return allowance, expected, nil
}
