package agreement

import (
	"math"
	"slices"

	"slatewright/chance"
)

// Kappa is agreement beyond chance: 1 is full, 0 what chance alone would give. It is not defined (NaN, Defined false) where all say the same.
type Kappa struct {
	Value     float64
	Low, High float64 // large-sample interval
	DrawnLow  float64 // bootstrap over parts: the one to trust for few parts or several trials
	DrawnHigh float64
	Agreed    float64 // share of agreeing pairs
	Defined   bool
}

// Fleiss returns kappa for several raters who sort subjects into classes (J. L. Fleiss, Psychol. Bull. 76, 1971) with its large-sample
// standard error for sampled subjects (K. L. Gwet, Educ. Psychol. Meas. 81, 2021). counts holds, for each subject, how many raters chose
// each class; every subject has the same number of raters, 2 or more.
func Fleiss(counts [][]int) (kappa, se, agreed float64) {
	n, classes, raters := float64(len(counts)), len(counts[0]), 0
	for _, c := range counts[0] {
		raters += c
	}
	r, share := float64(raters), make([]float64, classes)
	pairs := make([]float64, len(counts))
	for i, row := range counts {
		for k, c := range row {
			share[k] += float64(c) / (n * r)
			pairs[i] += float64(c) * float64(c-1) / (r * (r - 1))
		}
		agreed += pairs[i] / n
	}
	by := 0.0
	for _, p := range share {
		by += p * p
	}
	if by >= 1 {
		return math.NaN(), math.NaN(), agreed
	}
	kappa = (agreed - by) / (1 - by)
	sum := 0.0
	for i, row := range counts {
		chosen := 0.0
		for k, c := range row {
			chosen += share[k] * float64(c) / r
		}
		sum += square((pairs[i]-by)/(1-by) - 2*(1-kappa)*(chosen-by)/(1-by) - kappa)
	}
	return kappa, math.Sqrt(sum / (n * (n - 1))), agreed
}

// Cohen returns kappa for two raters (J. Cohen, Educ. Psychol. Meas. 20, 1960) with its large-sample standard error (J. L. Fleiss, J. Cohen
// and B. S. Everitt, Psychol. Bull. 72, 1969). table[i][k] counts subjects that the first put into class i and the second into k.
func Cohen(table [][]float64) (kappa, se, agreed float64) {
	n, total := len(table), 0.0
	rows, columns := make([]float64, n), make([]float64, n)
	for i := range n {
		for k := range n {
			total += table[i][k]
			rows[i] += table[i][k]
			columns[k] += table[i][k]
		}
	}
	by := 0.0
	for i := range n {
		agreed += table[i][i] / total
		by += rows[i] * columns[i] / (total * total)
	}
	if by >= 1 {
		return math.NaN(), math.NaN(), agreed
	}
	kappa = (agreed - by) / (1 - by)
	var a, b float64
	for i := range n {
		a += table[i][i] / total * square(1-(rows[i]+columns[i])/total*(1-kappa))
		for k := range n {
			if i != k {
				b += table[i][k] / total * square((columns[i]+rows[k])/total)
			}
		}
	}
	b *= square(1 - kappa)
	c := square(kappa - by*(1-kappa))
	return kappa, math.Sqrt(max(0, a+b-c)/total) / (1 - by), agreed
}

func square(x float64) float64 { return x * x }

// resamples is how many times parts are drawn anew for a bootstrap interval.
const resamples = 2000

// spanned makes a Kappa of a statistic over a choice of parts: on all of them, and drawn with repetition. Parts are drawn whole, with all
// judgements on them, since those are not independent of each other.
func (s *Study) spanned(of func(parts []int) (kappa, se, agreed float64), confidence float64, stream *chance.Stream) Kappa {
	all := make([]int, len(s.Parts))
	for i := range all {
		all[i] = i
	}
	var k Kappa
	var se float64
	k.Value, se, k.Agreed = of(all)
	if k.Defined = !math.IsNaN(k.Value); !k.Defined {
		k.Low, k.High, k.DrawnLow, k.DrawnHigh = k.Value, k.Value, k.Value, k.Value
		return k
	}
	z := chance.Quantile((1 + confidence) / 2)
	k.Low, k.High = max(-1, k.Value-z*se), min(1, k.Value+z*se)
	drawn, parts := make([]float64, 0, resamples), make([]int, len(all))
	for range resamples {
		for i := range parts {
			parts[i] = stream.IntN(len(all))
		}
		if v, _, _ := of(parts); !math.IsNaN(v) {
			drawn = append(drawn, v)
		}
	}
	slices.Sort(drawn)
	cut := int((1 - confidence) / 2 * float64(len(drawn)))
	k.DrawnLow, k.DrawnHigh = min(k.Value, drawn[cut]), max(k.Value, drawn[len(drawn)-1-cut])
	return k
}
