package budget

import (
	"fmt"
	"math"

	"slatewright/gauge/tables"
)

// Row is what one input does to the quantity.
type Row struct {
	Input
	Sensitivity  float64 // by how much the quantity changes per unit of the input
	Contribution float64 // sensitivity times standard uncertainty
	Share        float64 // of the variance; with correlations a share may be negative
}

// Framework is the answer of the law of propagation of uncertainty.
type Framework struct {
	Value     float64
	U         float64 // combined standard uncertainty, first order
	USecond   float64 // with the second-order terms of GUM 5.1.2, note: where it differs, the quantity is bent within the doubt of its inputs
	DoF       float64 // effective degrees of freedom (Welch–Satterthwaite, GUM G.4), may be infinite
	K         float64 // coverage factor: Student's t for DoF cut to a whole number
	Expanded  float64 // K·U
	Low, High float64 // Value ∓ Expanded
	Rows      []Row
	Warnings  []string
}

// Propagate applies the law of propagation of uncertainty (GUM 5.1, 5.2, annex G) for a coverage interval of this confidence, such as
// 0.95. Sensitivities are numerical derivatives, exact for what is a polynomial of fourth degree in each input.
func (q Quantity) Propagate(confidence float64) (*Framework, error) {
	if err := q.Check(); err != nil {
		return nil, err
	}
	f := &Framework{Value: q.Of(q.values()), Rows: make([]Row, len(q.Inputs))}
	for i, in := range q.Inputs {
		c := q.sensitivity(i)
		f.Rows[i] = Row{Input: in, Sensitivity: c, Contribution: c * in.U}
	}
	r, variance := q.correlation(), 0.0
	for i := range f.Rows {
		for j := range f.Rows {
			part := f.Rows[i].Contribution * f.Rows[j].Contribution * r[i][j]
			f.Rows[i].Share += part
			variance += part
		}
	}
	f.U = math.Sqrt(max(variance, 0))
	for i := range f.Rows {
		if variance > 0 {
			f.Rows[i].Share /= variance
		}
	}
	f.USecond = math.Sqrt(max(f.U*f.U+q.secondOrder(f.Rows), 0))
	f.cover(confidence, len(q.Correlations) > 0)
	return f, nil
}

// sensitivity is the partial derivative by input i at the best estimates, by the five-point rule with steps of an eighth of its doubt.
func (q Quantity) sensitivity(i int) float64 {
	x := q.values()
	h := q.Inputs[i].U / 8
	if h == 0 {
		h = 1e-4 * max(1e-3, math.Abs(x[i]))
	}
	at := func(steps float64) float64 {
		x[i] = q.Inputs[i].Value + steps*h
		return q.Of(x)
	}
	return (8*(at(1)-at(-1)) - (at(2) - at(-2))) / (12 * h)
}

// secondOrder is what the second-order terms add to the variance: Σᵢ Σⱼ (½ fᵢⱼ² + fᵢ fᵢⱼⱼ) uᵢ² uⱼ² (GUM 5.1.2, note; inputs symmetric
// and independent). Derivatives are differences over one standard uncertainty.
func (q Quantity) secondOrder(rows []Row) float64 {
	x, sum := q.values(), 0.0
	at := func(i int, a float64, j int, b float64) float64 {
		copy(x, q.values())
		x[i] += a * q.Inputs[i].U
		x[j] += b * q.Inputs[j].U
		return q.Of(x)
	}
	middle := q.Of(x)
	for i := range rows {
		for j := range rows {
			if q.Inputs[i].U == 0 || q.Inputs[j].U == 0 {
				continue
			}
			var second, third float64 // times uᵢ uⱼ and uᵢ uⱼ²
			if i == j {
				second = at(i, 1, i, 0) - 2*middle + at(i, -1, i, 0)
				third = (at(i, 2, i, 0) - 2*at(i, 1, i, 0) + 2*at(i, -1, i, 0) - at(i, -2, i, 0)) / 2
			} else {
				second = (at(i, 1, j, 1) - at(i, 1, j, -1) - at(i, -1, j, 1) + at(i, -1, j, -1)) / 4
				bent := func(a float64) float64 { return at(i, a, j, 1) - 2*at(i, a, j, 0) + at(i, a, j, -1) }
				third = (bent(1) - bent(-1)) / 2
			}
			sum += second*second/2 + rows[i].Contribution*third
		}
	}
	return sum
}

// cover finds the degrees of freedom and the interval.
func (f *Framework) cover(confidence float64, correlated bool) {
	sum := 0.0
	for _, r := range f.Rows {
		if r.U > 0 {
			sum += math.Pow(r.Contribution, 4) / r.dof()
		}
	}
	f.DoF = math.Inf(1)
	if sum > 0 {
		f.DoF = math.Pow(f.U, 4) / sum
		if correlated {
			f.Warnings = append(f.Warnings, "the effective degrees of freedom take the inputs as independent, and some are correlated")
		}
	}
	whole := max(math.Floor(f.DoF), 1)
	f.K = tables.StudentPoint((1+confidence)/2, whole)
	f.Expanded = f.K * f.U
	f.Low, f.High = f.Value-f.Expanded, f.Value+f.Expanded
	if whole < 5 {
		f.Warnings = append(f.Warnings, fmt.Sprintf("the doubt rests on %.0f effective degrees of freedom: more readings would make it smaller", whole))
	}
}
