package ways

import (
	"fmt"
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/trouble"
)

// Posterior is what is known about the true characteristics: joint draws of them.
type Posterior struct {
	Names []string
	Draws [][]float64 // one row a draw, values in the order of Names; at least FewestDraws
	// Weights of the draws, 0 or more; nil: all alike.
	Weights []float64
}

// FewestDraws is the least number of draws that is accepted. With 100 draws a probability of one half is known to 0.05.
const FewestDraws = 100

// Normal draws n times from a normal distribution with these means, standard uncertainties and correlations (nil: none). Errors: numbers
// that do not agree, a correlation matrix that is not one.
func Normal(names []string, mean, u []float64, correlation [][]float64, n int, seed uint64) (Posterior, error) {
	if len(mean) != len(names) || len(u) != len(names) {
		return Posterior{}, bad("bad-posterior", "names, means and uncertainties differ in number", "give one of each for every characteristic")
	}
	return draw(names, func(j int, z float64) float64 { return mean[j] + u[j]*z }, correlation, n, seed)
}

// Joint draws n times from characteristics of which each is known by its quantiles (the value that the truth stays below with
// probability p, 0 < p < 1), joined like normal ones with these correlations (a Gaussian copula; nil: independent).
func Joint(names []string, quantile []func(p float64) float64, correlation [][]float64, n int, seed uint64) (Posterior, error) {
	if len(quantile) != len(names) {
		return Posterior{}, bad("bad-posterior", "names and quantiles differ in number", "give one of each for every characteristic")
	}
	return draw(names, func(j int, z float64) float64 { return quantile[j](chance.Cumulative(z)) }, correlation, n, seed)
}

// draw makes the values of correlated standard normal draws.
func draw(names []string, value func(j int, z float64) float64, correlation [][]float64, n int, seed uint64) (Posterior, error) {
	k := len(names)
	if correlation != nil && len(correlation) != k {
		return Posterior{}, bad("bad-correlation", "names and correlations differ in number", "give a row for every characteristic")
	}
	root, err := cholesky(correlation, k)
	if err != nil {
		return Posterior{}, err
	}
	p := Posterior{Names: slices.Clone(names), Draws: make([][]float64, max(n, 0))}
	stream, z := chance.NewStream(seed).Split("normal"), make([]float64, k)
	for d := range p.Draws {
		for j := range z {
			z[j] = stream.Normal()
		}
		row := make([]float64, k)
		for j := range row {
			row[j] = value(j, dot(root[j], z))
		}
		p.Draws[d] = row
	}
	return p, p.check()
}

// cholesky is the lower root of a correlation matrix, which may be singular; nil is the unit matrix.
func cholesky(c [][]float64, k int) ([][]float64, error) {
	root := make([][]float64, k)
	for i := range root {
		root[i] = make([]float64, k)
		for j := 0; j <= i; j++ {
			entry := 0.0
			switch {
			case i == j:
				entry = 1
			case c != nil && len(c[i]) == k && len(c[j]) == k && c[i][j] == c[j][i]:
				entry = c[i][j]
			case c != nil:
				return nil, bad("bad-correlation", "the correlations are no symmetric matrix", "give the same number in both places")
			}
			rest := entry - dot(root[i][:j], root[j][:j])
			switch {
			case i != j && root[j][j] > 0:
				root[i][j] = rest / root[j][j]
			case i == j && rest >= -rounding:
				root[i][i] = math.Sqrt(max(rest, 0))
			case !(math.Abs(rest) <= math.Sqrt(rounding)):
				return nil, bad("bad-correlation", "these correlations cannot be true together", "check them; each must lie between -1 and 1")
			}
		}
	}
	return root, nil
}

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// WithPrior weighs the draws of a posterior that knows only the readings by what the mill's own pieces are like: one characteristic
// normally spread. It must not be used on draws in which such a prior is already.
func (p Posterior) WithPrior(name string, mean, sd float64) (Posterior, error) {
	j := slices.Index(p.Names, name)
	if j < 0 || !(sd > 0) {
		return Posterior{}, bad("bad-prior", fmt.Sprintf("a prior spread of %g for %q", sd, name), "name a characteristic of the posterior and give a spread above 0")
	}
	w := p.weights()
	for i, row := range p.Draws {
		z := (row[j] - mean) / sd
		w[i] *= math.Exp(-z * z / 2)
	}
	p.Weights = w
	return p, p.check()
}

// weights are those of the draws with sum 1, in a slice of their own.
func (p Posterior) weights() []float64 {
	w, sum := make([]float64, len(p.Draws)), 0.0
	for i := range w {
		w[i] = 1
		if p.Weights != nil {
			w[i] = p.Weights[i]
		}
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// effective is how many equally weighted draws these are worth (Kish).
func effective(w []float64) float64 { return 1 / dot(w, w) }

func (p Posterior) check() error {
	switch {
	case len(p.Draws) < FewestDraws:
		return bad("few-draws", trouble.Count(len(p.Draws), "draw is", "draws are")+" too few to weigh ways by", fmt.Sprintf("give at least %d", FewestDraws))
	case p.Weights != nil && len(p.Weights) != len(p.Draws):
		return bad("bad-weights", "draws and weights differ in number", "give one weight a draw")
	case len(p.Names) == 0:
		return bad("bad-posterior", "the posterior has no characteristic", "name at least one")
	}
	for i, row := range p.Draws {
		if len(row) != len(p.Names) || slices.ContainsFunc(row, unreal) {
			return bad("bad-posterior", fmt.Sprintf("draw %d is not one finite number for each characteristic", i+1), "check how it was drawn")
		}
		if p.Weights != nil && (unreal(p.Weights[i]) || p.Weights[i] < 0) {
			return bad("bad-weights", fmt.Sprintf("the weight of draw %d is not 0 or more", i+1), "check how it was weighted")
		}
	}
	if e := effective(p.weights()); !(e >= FewestDraws/4) {
		return bad("few-draws", fmt.Sprintf("the weights leave no more than %.0f draws that count", e), "draw more, nearer to what the weights favour")
	}
	return nil
}

func unreal(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) }

func bad(code, what, next string) error { return trouble.Data(code, "ways out", what, next) }
