// Package levels makes heights of a level walk: steps from place to place, each with its rise, in any connected graph (union jack,
// grid, loop), read with a level or an autocollimator, with gravity as the reference of all or with a datum slope of its own for each
// line.
//
// Adjust fits the heights to all steps by least squares, weighted by their uncertainties. It keeps the covariance, says how well the
// loops close and whether they close as well as the stated uncertainty allows, and names a step that cannot be right (W. Baarda, "A
// testing procedure for use in geodetic networks", 1968), what size of blunder each step would have shown, and which steps nothing
// controls. Flat says how flat the stations are, with its doubt.
//
// Heights are about the least-squares plane through the stations: the sheet does not say where level is in the hall. A suspect step is
// named, never left out. What lies between the stations, and errors that all steps share (the value of a division, the bench), are not
// in the doubt. Not on the sealing path.
package levels

import (
	"fmt"
	"math"
	"strings"

	"slatewright/traverse"
	"slatewright/trouble"
)

// Heights is an adjusted walk. Lengths are mm.
type Heights struct {
	Walk     *Walk
	Z        []float64 // about the least-squares plane
	U        []float64 // standard uncertainty of each; NaN where the sheet gives none and no loop tells
	Frame    traverse.Frame
	Checks   []Check // one a step
	Spare    int     // redundancy: steps that are more than needed
	Closures Closures
	Fit      Fit
	Suspects []Suspect // most likely first; each after the ones before it were set aside
	Warnings []string

	slope  [2]float64 // of the fitted plane, along Frame.Along and across
	known  bool       // the sheet gives uncertainties
	factor *factor
	spot   []int // of each place among the unknowns
	factU  float64
	slopes int
	unit   float64 // mm of length that a slope unknown counts in
}

// Check is what the adjustment says of one step.
type Check struct {
	Residual   float64 // reading less fitted rise, mm
	Control    float64 // share of a blunder in this step that its residual shows: 0 no loop goes through it, 1 all
	Score      float64 // residual over its standard uncertainty; 0 where Control is 0
	Detectable float64 // size of the blunder that the test finds with 80 % chance, mm; +Inf where Control is 0
}

// uncontrolled is the control below which a step has no loop through it but for rounding.
const uncontrolled = 1e-7

// Adjust fits the heights. The error is a *trouble.Trouble, such as lines that do not fix each other.
func Adjust(w *Walk) (*Heights, error) {
	h, err := fit(w, nil)
	if err != nil {
		return nil, err
	}
	h.Warnings = append(h.Warnings, w.Warnings...)
	h.Closures = h.closures()
	h.snoop()
	h.scale()
	h.warn()
	return h, nil
}

// fit is the least-squares fit of all steps but those left out.
func fit(w *Walk, out []int) (*Heights, error) {
	h := &Heights{Walk: w, known: w.Steps[0].U > 0, Frame: traverse.FrameOf(w.At), factU: 1}
	skip := make([]bool, len(w.Steps))
	for _, k := range out {
		skip[k] = true
	}
	h.number()
	b := h.normal(skip)
	if len(h.factor.held) > h.datum() {
		return nil, h.untied()
	}
	h.factor.solve(b)
	h.Z = make([]float64, len(w.At))
	for i := range h.Z {
		h.Z[i] = b[h.spot[i]]
	}
	z := h.factor.inverse()
	h.Spare = len(w.Steps) - len(out) - (len(b) - len(h.factor.held))
	h.check(b, z, skip)
	h.uncertainties(z)
	h.level()
	h.Fit = h.test()
	return h, nil
}

// datum is how many unknowns no reading can fix: one height with gravity, else a plane.
func (h *Heights) datum() int {
	if !h.Walk.Free {
		return 1
	}
	return len(h.Frame.Basis)
}

// number gives each place its unknown; the slopes of free lines come behind.
func (h *Heights) number() {
	h.spot = make([]int, len(h.Walk.At))
	for k, i := range graphOf(h.Walk).order() {
		h.spot[i] = k
	}
	if h.Walk.Free {
		h.slopes = len(h.Walk.Lines)
	}
	h.unit = h.Frame.Length
}

// row gives the unknowns of a step with their coefficients.
func (h *Heights) row(k int) (at [3]int, c [3]float64, n int) {
	s := h.Walk.Steps[k]
	at, c, n = [3]int{h.spot[s.From], h.spot[s.To]}, [3]float64{-1, 1}, 2
	if h.slopes > 0 {
		at[2], c[2], n = len(h.spot)+s.Line, s.Along/h.unit, 3
	}
	return at, c, n
}

// u is the standard uncertainty that a step counts with: 1 mm where none is stated.
func (h *Heights) u(k int) float64 {
	if h.known {
		return h.Walk.Steps[k].U
	}
	return 1
}

// normal makes and factorises the normal equations, and returns their right side.
func (h *Heights) normal(skip []bool) []float64 {
	n := len(h.spot) + h.slopes
	first, low, diag, b := make([]int, n), make([][]float64, n), make([]float64, n), make([]float64, n)
	for i := range first {
		first[i] = i
		if i >= len(h.spot) && i > len(h.spot) {
			first[i] = len(h.spot)
		}
	}
	for k := range h.Walk.Steps {
		at, _, m := h.row(k)
		for _, i := range at[:m] {
			for _, j := range at[:m] {
				first[i] = min(first[i], j)
			}
		}
	}
	for i := range low {
		low[i] = make([]float64, i-first[i])
	}
	for k, s := range h.Walk.Steps {
		if skip[k] {
			continue
		}
		at, c, m := h.row(k)
		weight := 1 / (h.u(k) * h.u(k))
		for p, i := range at[:m] {
			b[i] += weight * c[p] * s.Rise
			diag[i] += weight * c[p] * c[p]
			for q, j := range at[:m] {
				if j < i {
					low[i][j-first[i]] += weight * c[p] * c[q]
				}
			}
		}
	}
	h.factor = factorise(first, low, diag)
	return b
}

// check sets residual, control and score of each step.
func (h *Heights) check(x []float64, z inverse, skip []bool) {
	h.Checks = make([]Check, len(h.Walk.Steps))
	for k, s := range h.Walk.Steps {
		at, c, n := h.row(k)
		fitted, q := 0.0, 0.0
		for p, i := range at[:n] {
			fitted += c[p] * x[i]
			for m, j := range at[:n] {
				q += c[p] * c[m] * z.at(i, j)
			}
		}
		u := h.u(k)
		check := &h.Checks[k]
		check.Residual, check.Control, check.Detectable = s.Rise-fitted, max(0, 1-q/(u*u)), math.Inf(1)
		if skip[k] || check.Control < uncontrolled {
			check.Control = 0
			continue
		}
		check.Score = check.Residual / (u * math.Sqrt(check.Control))
	}
}

// uncertainties sets U about the least-squares plane from the stated ones: the diagonal of (I−P)·Q·(I−P), P the projection on planes.
func (h *Heights) uncertainties(z inverse) {
	basis := h.Frame.Basis
	columns := make([][]float64, len(basis)) // Q·basis
	for k, e := range basis {
		columns[k] = h.spread(e)
	}
	h.U = make([]float64, len(h.spot))
	for i := range h.U {
		q := z.diag[h.spot[i]]
		for k, e := range basis {
			q -= 2 * e[i] * columns[k][i]
			for m, other := range basis {
				q += e[i] * other[i] * traverse.Dot(e, columns[m])
			}
		}
		h.U[i] = math.Sqrt(max(q, 0))
	}
}

// spread returns Q·v over the places.
func (h *Heights) spread(v []float64) []float64 {
	x := make([]float64, len(h.spot)+h.slopes)
	for i, c := range v {
		x[h.spot[i]] = c
	}
	h.factor.solve(x)
	out := make([]float64, len(h.spot))
	for i := range out {
		out[i] = x[h.spot[i]]
	}
	return out
}

// Covariance returns the covariances of the height of station i with all heights, mm², about the least-squares plane.
func (h *Heights) Covariance(i int) []float64 {
	e := make([]float64, len(h.spot))
	e[i] = 1
	h.Frame.Level(e)
	q := h.spread(e)
	h.Frame.Level(q)
	for j := range q {
		q[j] *= h.factU * h.factU
	}
	return q
}

// level takes the plane off the heights; with gravity its slope is known.
func (h *Heights) level() {
	for k := 1; k < len(h.Frame.Basis) && !h.Walk.Free; k++ {
		size := []float64{0, h.Frame.Length, h.Frame.Width}[k]
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, v := range h.Frame.Basis[k] {
			lo, hi = min(lo, v), max(hi, v)
		}
		h.slope[k-1] = traverse.Dot(h.Frame.Basis[k], h.Z) * (hi - lo) / size
	}
	h.Frame.Level(h.Z)
}

// Slope is how much the stations as a whole rise along x and along y, mm per mm; ok is false where the readings do not tell: the lines
// have no common datum, or all stations lie on one line.
func (h *Heights) Slope() (x, y float64, ok bool) {
	a := h.Frame.Along
	return h.slope[0]*a[0] - h.slope[1]*a[1], h.slope[0]*a[1] + h.slope[1]*a[0], !h.Walk.Free && len(h.Frame.Basis) == 3
}

// untied is the trouble of lines with a datum of their own that do not fix each other.
func (h *Heights) untied() error {
	shared := map[int]int{} // lines through each place
	seen := map[[2]int]bool{}
	for _, s := range h.Walk.Steps {
		for _, at := range []int{s.From, s.To} {
			if key := [2]int{at, s.Line}; !seen[key] {
				seen[key] = true
				shared[at]++
			}
		}
	}
	crossings := make([]int, len(h.Walk.Lines))
	for at := range h.Walk.At {
		for line := range crossings {
			if seen[[2]int{at, line}] && shared[at] > 1 {
				crossings[line]++
			}
		}
	}
	var loose []string
	for line, n := range crossings {
		if n < 2 {
			loose = append(loose, h.Walk.Lines[line])
		}
	}
	words := "their slopes stay unknown"
	if len(loose) > 0 {
		words = "nothing fixes the slope of " + strings.Join(loose, ", ")
	}
	free := len(h.factor.held) - h.datum()
	return trouble.Data("not-tied", h.Walk.Name, fmt.Sprintf("the lines do not cross often enough to hold each other: %s (%s missing)", words,
		trouble.Count(free, "crossing", "crossings")), "read a line that crosses them at stations which both have, or a walk with gravity as the reference")
}
