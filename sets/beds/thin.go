package beds

import "math"

// thin keeps the readings that may be the highest of their piece for some tilt (s, t) inside a box |s|, |t| ≤ reach, and drops only those
// that another is never below there: no row is lost. sign is 1 for the highest, −1 for the lowest.
//
// The box is quartered again and again; in each cell a reading goes when another is at least as high at its four corners.
func thin(u, v, z []float64, sign, reach float64) []int {
	t := &thinner{u: u, v: v, z: z, sign: sign, keep: make([]bool, len(z))}
	all := make([]int32, len(z))
	for i := range all {
		all[i] = int32(i)
	}
	t.cell(all, -reach, -reach, 2*reach, 0)
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
}

// deepest is how often a cell is quartered.
const deepest = 6

func (t *thinner) cell(list []int32, s, r, side float64, depth int) {
	list = t.drop(list, s, r, side)
	if depth == deepest || len(list) <= 3 {
		for _, i := range list {
			t.keep[i] = true
		}
		return
	}
	h := side / 2
	for _, at := range [4][2]float64{{s, r}, {s + h, r}, {s, r + h}, {s + h, r + h}} {
		t.cell(list, at[0], at[1], h, depth+1)
	}
}

// drop returns those of the list that no champion beats over the whole cell. Champions are the highest at the corners and in the middle.
func (t *thinner) drop(list []int32, s, r, side float64) []int32 {
	corners := [4][2]float64{{s, r}, {s + side, r}, {s, r + side}, {s + side, r + side}}
	var champions [5]int32
	for c := range champions {
		at := [2]float64{s + side/2, r + side/2}
		if c < 4 {
			at = corners[c]
		}
		best := math.Inf(-1)
		for _, i := range list {
			if h := t.height(i, at); h > best {
				best, champions[c] = h, i
			}
		}
	}
	var high [5][4]float64
	for c, i := range champions {
		for k, at := range corners {
			high[c][k] = t.height(i, at)
		}
	}
	out := make([]int32, 0, len(list))
	for _, i := range list {
		if !t.beaten(i, &champions, &high, &corners) {
			out = append(out, i)
		}
	}
	return out
}

func (t *thinner) height(i int32, at [2]float64) float64 {
	return t.sign * (t.z[i] + at[0]*t.u[i] + at[1]*t.v[i])
}

func (t *thinner) beaten(i int32, champions *[5]int32, high *[5][4]float64, corners *[4][2]float64) bool {
	var h [4]float64
	for k, at := range corners {
		h[k] = t.height(i, at)
	}
	for c, who := range champions {
		over := h[0] <= high[c][0] && h[1] <= high[c][1] && h[2] <= high[c][2] && h[3] <= high[c][3]
		if over && who != i && (h != high[c] || who < i) {
			return true
		}
	}
	return false
}
