// Package budget works out the doubt of a quantity that is computed from doubtful inputs, in two ways side by side: by the law of
// propagation of uncertainty (GUM, JCGM 100:2008) and by the propagation of distributions with drawn numbers (JCGM 101:2008), and
// says whether the two agree.
//
// It knows no instrument and no unit: package gauge does. It does not decide on conformity, and its draws are seeded, never chance.
package budget

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Kind is the form of an input's distribution.
type Kind int

// The kinds. The standard uncertainty is the standard deviation of each; for limits ±a it is a/√3 (Rectangular), a/√6 (Triangular) and
// a/√2 (Arcsine), GUM 4.3 and JCGM 101 6.4.
const (
	Exact       Kind = iota // no doubt at all
	Normal                  // with degrees of freedom: Student's t, scaled by the standard uncertainty
	Rectangular             // anywhere within limits
	Triangular              // within limits, the middle likeliest
	Arcsine                 // swings between limits, as a temperature does
)

var kinds = [...]string{"exact", "normal", "rectangular", "triangular", "arcsine"}

// String returns the kind's word.
func (k Kind) String() string { return kinds[k] }

// Input is one thing that a quantity is computed from.
type Input struct {
	Name  string
	Value float64 // best estimate
	U     float64 // standard uncertainty, 0 or more
	DoF   float64 // degrees of freedom of U; 0 or infinite: U is known
	Kind  Kind
}

// dof is the degrees of freedom, infinite where U is known.
func (in Input) dof() float64 {
	if in.DoF == 0 {
		return math.Inf(1)
	}
	return in.DoF
}

// Within is an input that lies anywhere within value ± a.
func Within(name string, value, a float64) Input {
	return Input{Name: name, Value: value, U: a / math.Sqrt(3), Kind: Rectangular}
}

// Correlation joins two inputs, by their places, with the coefficient R of −1 to 1.
type Correlation struct {
	A, B int
	R    float64
}

// Quantity is what is computed, and from what. Of must return a finite number for all inputs that their doubt allows, and must not keep x.
type Quantity struct {
	Name         string
	Inputs       []Input
	Correlations []Correlation
	Of           func(x []float64) float64
}

// Check refuses a quantity that cannot be worked out: *trouble.Trouble with kind data.
func (q Quantity) Check() error {
	bad := func(where, what, next string) error { return trouble.Data("bad-budget", where, what, next) }
	if len(q.Inputs) == 0 {
		return bad(q.Name, "nothing goes into it", "name its components")
	}
	for _, in := range q.Inputs {
		switch {
		case math.IsNaN(in.Value) || math.IsInf(in.Value, 0):
			return bad(in.Name, "the value is not a number", "correct it")
		case !(in.U >= 0) || math.IsInf(in.U, 0):
			return bad(in.Name, "a standard uncertainty is 0 or more", "correct it")
		case in.DoF != 0 && !(in.DoF >= 1):
			return bad(in.Name, "there is at least 1 degree of freedom", "give the number of readings less one")
		case in.Kind < Exact || int(in.Kind) >= len(kinds) || in.Kind == Exact && in.U > 0:
			return bad(in.Name, "the distribution does not fit its doubt", "say normal, rectangular, triangular or arcsine")
		}
	}
	for _, c := range q.Correlations {
		if c.A < 0 || c.B < 0 || c.A >= len(q.Inputs) || c.B >= len(q.Inputs) || c.A == c.B || !(math.Abs(c.R) <= 1) {
			return bad(q.Name, fmt.Sprintf("the correlation %g of inputs %d and %d cannot be", c.R, c.A, c.B), "give two inputs and a number from -1 to 1")
		}
		for _, i := range []int{c.A, c.B} {
			if in := q.Inputs[i]; in.Kind != Normal || !math.IsInf(in.dof(), 1) {
				return bad(in.Name, "only normal inputs of known uncertainty can be correlated", "split off what is common as an input of its own")
			}
		}
	}
	if q.factor() == nil {
		return bad(q.Name, "the correlations contradict each other", "correct them: no inputs can vary so")
	}
	return nil
}

// correlation is the matrix of all coefficients.
func (q Quantity) correlation() [][]float64 {
	n := len(q.Inputs)
	r := make([][]float64, n)
	for i := range r {
		r[i] = make([]float64, n)
		r[i][i] = 1
	}
	for _, c := range q.Correlations {
		r[c.A][c.B], r[c.B][c.A] = c.R, c.R
	}
	return r
}

// factor is the lower triangle L with L·Lᵀ the correlation matrix; nil where there is none. A coefficient of 1 gives a zero on the diagonal.
func (q Quantity) factor() [][]float64 {
	const slack = 1e-10 // coefficients are typed with a few digits
	r := q.correlation()
	for j := range r {
		d := r[j][j]
		for k := range j {
			d -= r[j][k] * r[j][k]
		}
		if d < -slack {
			return nil
		}
		r[j][j] = math.Sqrt(max(d, 0))
		for i := j + 1; i < len(r); i++ {
			s := r[i][j]
			for k := range j {
				s -= r[i][k] * r[j][k]
			}
			switch {
			case r[j][j] > math.Sqrt(slack):
				s /= r[j][j]
			case math.Abs(s) > math.Sqrt(slack):
				return nil
			default:
				s = 0
			}
			r[i][j], r[j][i] = s, 0
		}
	}
	return r
}

// values are the best estimates.
func (q Quantity) values() []float64 {
	x := make([]float64, len(q.Inputs))
	for i, in := range q.Inputs {
		x[i] = in.Value
	}
	return x
}
