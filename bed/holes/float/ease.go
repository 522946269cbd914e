package float

import (
	"slatewright/bed/holes/fit"
	"slatewright/lowlp"
)

// Ease finds, where bolts pass, how little the parts have to be moved for each bolt to keep at least half of what the tightest can have: the moves with the least sum of
// squares of shifts and of turns at the part's furthest place. It returns a's own moves where nothing can be eased, and no moves where none are needed.
func Ease(q Question, a *Answer) ([]fit.Motion, error) {
	keep := a.Left / 2
	if keep <= 0 {
		return a.Moves, nil
	}
	still := make([]fit.Motion, len(q.Parts))
	if q.keeps(still, keep) {
		return still, nil
	}
	t := newTangents(q)
	rows := eased{t, -keep - 1e-6*keep}
	d := rows.Dim()
	s, err := lowlp.Nearest(lowlp.Least{G: unit(d), H: make([]float64, d), Rows: rows})
	if err != nil {
		return nil, err
	}
	if s.Status != lowlp.Optimal {
		return a.Moves, nil
	}
	for i := range still {
		still[i] = fit.Motion{DX: s.V[3*i], DY: s.V[3*i+1], Angle: s.V[3*i+2] / t.lever[i]}
	}
	if !q.keeps(still, 0.9*keep) {
		return a.Moves, nil
	}
	return still, nil
}

// keeps reports whether every bolt has so much float left.
func (q Question) keeps(moves []fit.Motion, least float64) bool {
	for _, p := range q.Passages {
		if p.Float-q.Apart(p, moves).Size() < least {
			return false
		}
	}
	return true
}

func unit(d int) []float64 {
	g := make([]float64, d*d)
	for i := range d {
		g[i*d+i] = 1
	}
	return g
}

// eased are the rows of the tangents with what is missing at the tightest bolt held fixed.
type eased struct {
	t       *tangents
	missing float64
}

// Dim is the number of unknowns.
func (e eased) Dim() int { return e.t.Dim() - 1 }

// Row writes one row.
func (e eased) Row(id int, a []float64) float64 {
	all := make([]float64, e.t.Dim())
	b := e.t.Row(id, all)
	copy(a, all)
	return b - all[len(all)-1]*e.missing
}

// Worst reports the rows that are broken.
func (e eased) Worst(v []float64, ray bool, yield func(int, float64)) {
	last := e.t.rows() - 1 // says something of what is missing alone
	e.t.Worst(append(append([]float64{}, v...), e.missing), ray, func(id int, excess float64) {
		if id != last {
			yield(id, excess)
		}
	})
}
