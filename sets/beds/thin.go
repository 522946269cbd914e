package beds

import "math"

// thin keeps the readings that may be the highest of their piece for some tilt (s, t) inside a box |s|, |t| ≤ reach, and drops only those
// that another is never below there: no row is lost. sign is 1 for the highest, −1 for the lowest.
//
// The box is quartered again and again. In a cell of it a reading goes when a champion stands so high over it at the cell's middle that no tilt
// in the cell makes up for it; champions are the highest reading of all and the highest of each patch of the face.
func thin(u, v, z []float64, sign, reach float64) []int {
	t := &thinner{u: u, v: v, z: z, sign: sign, keep: make([]bool, len(z)), height: make([]float64, len(z))}
	all := make([]int32, len(z))
	for i := range all {
		all[i] = int32(i)
	}
	t.cell(all, 0, 0, reach, 0)
	var out []int
	for i, k := range t.keep {
		if k {
			out = append(out, i)
		}
	}
	return out
}

type thinner struct {
	u, v, z []float64
	sign    float64
	keep    []bool
	height  []float64 // at the middle of the cell at hand
	best    []int32   // of each patch
}

// deepest is how often a cell is quartered; many readings are not worth looking at in a cell that has not been quartered twice.
const (
	deepest = 6
	many    = 2000
)

// cell looks at the tilts within reach of (s, r), either way.
func (t *thinner) cell(list []int32, s, r, reach float64, depth int) {
	if depth >= 2 || len(list) < many {
		list = t.drop(list, s, r, reach)
	}
	if depth == deepest || len(list) <= 3 {
		for _, i := range list {
			t.keep[i] = true
		}
		return
	}
	h := reach / 2
	for _, at := range [4][2]float64{{s - h, r - h}, {s + h, r - h}, {s - h, r + h}, {s + h, r + h}} {
		t.cell(list, at[0], at[1], h, depth+1)
	}
}

// drop returns those of the list that no champion beats.
func (t *thinner) drop(list []int32, s, r, reach float64) []int32 {
	side := min(1+int(math.Sqrt(float64(len(list)))/3), 40)
	t.best = append(t.best[:0], make([]int32, side*side)...)
	for k := range t.best {
		t.best[k] = -1
	}
	patch := func(i int32) int {
		return place(t.u[i], side)*side + place(t.v[i], side)
	}
	top := list[0]
	for _, i := range list {
		h := t.sign * (t.z[i] + s*t.u[i] + r*t.v[i])
		t.height[i] = h
		if b := &t.best[patch(i)]; *b < 0 || h > t.height[*b] {
			*b = i
		}
		if h > t.height[top] {
			top = i
		}
	}
	out := make([]int32, 0, len(list)/2)
	for _, i := range list {
		if !t.beaten(i, top, reach) && !t.beaten(i, t.best[patch(i)], reach) {
			out = append(out, i)
		}
	}
	return out
}

// beaten tells whether reading i is nowhere in the cell above the champion.
func (t *thinner) beaten(i, by int32, reach float64) bool {
	return i != by && t.height[by]-t.height[i] >= reach*(math.Abs(t.u[by]-t.u[i])+math.Abs(t.v[by]-t.v[i]))
}

// place is which of n equal parts of −1 … 1 a place lies in.
func place(at float64, n int) int {
	return min(max(int((at+1)/2*float64(n)), 0), n-1)
}
