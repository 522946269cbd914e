package cause

import (
	"math"

	"slatewright/bed/holes/fit"
)

// Scatter says, as Finding.Of of a wander, that the drill goes astray in no one direction, but more and more along the run.
const Scatter = "scatter"

// starts are shares of the scatter at the end of the run with which it may begin.
var starts = []float64{0.05, 0.15, 0.35}

// growing are wanders whose scatter grows evenly along the run, from each of the starts. A place then counts by how little it scatters: its weight is that of the last place over its own.
func (q Question) growing() (list []model) {
	if !q.Drilled {
		return nil
	}
	for _, s := range starts {
		m := model{kind: Wander, of: Scatter, choice: 1, extra: 2 * math.Log(float64(len(starts)))}
		for _, p := range q.Places {
			m.weights = append(m.weights, 1/(s+(1-s)*p.Run))
		}
		list = append(list, m)
	}
	return list
}

// weighted multiplies each place by its weight, and says what the weights cost the criterion and how large the largest is.
func (m model) weighted(d []fit.Vector) (columns [][]fit.Vector, deviations []fit.Vector, cost, most float64) {
	if m.weights == nil {
		return m.columns, d, 0, 1
	}
	times := func(c []fit.Vector) []fit.Vector {
		out := make([]fit.Vector, len(c))
		for i, v := range c {
			out[i] = fit.Vector{X: m.weights[i] * v.X, Y: m.weights[i] * v.Y}
		}
		return out
	}
	for _, c := range m.columns {
		columns = append(columns, times(c))
	}
	for _, w := range m.weights {
		cost -= 4 * math.Log(w)
		most = math.Max(most, w)
	}
	return columns, times(d), cost, most
}
