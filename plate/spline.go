package plate

import "sort"

// axis is a basis of cubic splines over break points, with as many knots at a break as its multiplicity says: 1 lets the third
// derivative jump there (a line support), 2 the second (a change of stiffness). The ends are clamped: at the first
// point only function 0 is not zero.
type axis struct {
	breaks []float64
	knots  []float64
	first  []int // of each cell: the first of the four functions that live on it
}

// knot is a break point of an axis.
type knot struct {
	at       float64
	multiple int
}

func newAxis(breaks []knot) *axis {
	a := &axis{}
	last := len(breaks) - 1
	for i, b := range breaks {
		a.breaks = append(a.breaks, b.at)
		times := max(1, b.multiple)
		if i == 0 || i == last {
			times = 4
		}
		for range times {
			a.knots = append(a.knots, b.at)
		}
		if i < last {
			a.first = append(a.first, len(a.knots)-4)
		}
	}
	return a
}

// functions is how many there are.
func (a *axis) functions() int { return len(a.knots) - 4 }

// cells is how many intervals lie between the breaks.
func (a *axis) cells() int { return len(a.breaks) - 1 }

// cell returns the interval that holds x, the right one at a break, the last one at the end.
func (a *axis) cell(x float64) int {
	i := sort.SearchFloat64s(a.breaks, x)
	if i < len(a.breaks) && a.breaks[i] == x {
		i++
	}
	return min(max(i-1, 0), a.cells()-1)
}

// values holds the four functions that live on a cell: value, first and second derivative.
type values [3][4]float64

// at evaluates the functions of a cell by the recurrence of Cox and de Boor, and their derivatives by differences of
// the lower degrees.
func (a *axis) at(cell int, x float64) (v values) {
	k := a.knots
	s := a.first[cell] + 3 // the span: knots[s] ≤ x < knots[s+1]
	var low [4][4]float64  // by degree
	low[0][0] = 1
	for p := 1; p <= 3; p++ {
		for r := range p {
			left, right := k[s+r-p+1], k[s+r+1]
			t := low[p-1][r] / (right - left)
			low[p][r] += (right - x) * t
			low[p][r+1] += (x - left) * t
		}
	}
	v[0] = low[3]
	var slope [4]float64 // of the quadratics
	for r := range 2 {
		t := 2 * low[1][r] / (k[s+r+1] - k[s+r-1])
		slope[r] -= t
		slope[r+1] += t
	}
	for r := range 3 {
		w := 3 / (k[s+r+1] - k[s+r-2])
		v[1][r] -= w * low[2][r]
		v[1][r+1] += w * low[2][r]
		v[2][r] -= w * slope[r]
		v[2][r+1] += w * slope[r]
	}
	return v
}

// greville returns the places of the functions, the means of their inner knots: as many points as functions, where values
// determine a spline.
func (a *axis) greville() []float64 {
	g := make([]float64, a.functions())
	for i := range g {
		g[i] = (a.knots[i+1] + a.knots[i+2] + a.knots[i+3]) / 3
	}
	return g
}

// divided returns break points from one to another with the given ones among them, no more than step apart. Given ones that
// lie closer than a thousandth of a step are one; each keeps its largest multiplicity.
func divided(from, to, step float64, given []knot) []knot {
	points := []knot{{from, 4}}
	inner := append([]knot(nil), given...)
	sort.SliceStable(inner, func(i, j int) bool { return inner[i].at < inner[j].at })
	near := step / 1000
	for _, k := range append(inner, knot{to, 4}) {
		last := &points[len(points)-1]
		switch {
		case k.at-last.at > near && (to-k.at > near || k.at == to):
			points = append(points, k)
		case k.at > last.at-near && k.at < to-near:
			last.multiple = max(last.multiple, k.multiple)
		}
	}
	out := points[:1:1]
	for i, k := range points[1:] {
		a := points[i].at
		n := max(1, int((k.at-a)/step+0.999999))
		for c := 1; c < n; c++ {
			out = append(out, knot{a + (k.at-a)*float64(c)/float64(n), 1})
		}
		out = append(out, k)
	}
	return out
}
