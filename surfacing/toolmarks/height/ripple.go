package height

import (
	"math"
	"slices"

	"slatewright/chance"
)

// A Course is one line of readings along the feed.
type Course struct{ S, Z []float64 }

// harmonics is up to which overtone a ripple is told.
const harmonics = 12

// Ripple is how high a ripple is that comes back at the frequency f (1/mm): the mean over the courses of what each one shows from peak to valley. What is
// longer than four turns is each course's own and taken off with it; readings that stand far off, such as chips, are not listened to.
func Ripple(courses []Course, f float64) Span {
	d := chance.NewStream(seed).Split("ripple")
	sums := make([]float64, draws)
	for _, c := range courses {
		for k, h := range c.heights(f, d) {
			sums[k] += h / float64(len(courses))
		}
	}
	return spanOf(sums)
}

// heights are drawn ones of one course.
func (c Course) heights(f float64, d *chance.Stream) []float64 {
	cols, own := c.columns(f)
	keep := make([]bool, len(c.S))
	for i := range keep {
		keep[i] = true
	}
	var thoughts []thought
	var share []float64
	n := 0.0
	for range 3 {
		var few [][]float64
		for _, x := range cols {
			few = append(few, kept(x, keep))
		}
		z := kept(c.Z, keep)
		n = float64(len(z))
		thoughts, share = waysOf(equationsOf(few, z), own)
		best := thoughts[slices.Index(share, slices.Max(share))]
		if !c.listen(keep, cols, best) {
			break
		}
	}
	list := make([]float64, draws)
	for k := range list {
		t := &thoughts[pick(share, d.Float64())]
		dof := n - t.free
		list[k] = overTurn(t.draw(math.Sqrt(t.left/chiSquared(dof, d)), d)[own:])
	}
	return list
}

// columns are the course's own slow terms, how many they are, and then a sine and a cosine an overtone.
func (c Course) columns(f float64) (cols [][]float64, own int) {
	n := len(c.S)
	from := c.S[0]
	span := c.S[n-1] - from
	add := func(at func(s float64) float64) {
		x := make([]float64, n)
		for i, s := range c.S {
			x[i] = at(s)
		}
		cols = append(cols, x)
	}
	for k := range 1 + int(span*f/2) {
		add(func(s float64) float64 { return math.Cos(math.Pi * float64(k) * (s - from) / span) })
	}
	own = len(cols)
	for h := 1.0; h <= harmonics; h++ {
		add(func(s float64) float64 { return math.Sin(2 * math.Pi * h * f * s) })
		add(func(s float64) float64 { return math.Cos(2 * math.Pi * h * f * s) })
	}
	return cols, own
}

// waysOf weighs how fast the overtones may fall off, and how high the first is beside the noise.
func waysOf(e equations, own int) (list []thought, share []float64) {
	var logs []float64
	for _, fall := range []float64{1, 1.5, 2, 3} {
		for ratio := 0.03; ratio < 3e3; ratio *= 2 { // variance of the first overtone's weights over that of one reading
			wanted := make([]float64, len(e.xy))
			for k := own; k < len(wanted); k++ {
				wanted[k] = math.Pow(float64((k-own)/2+1), 2*fall) / ratio
			}
			t := e.with(wanted)
			list, logs = append(list, t), append(logs, t.log-(e.n-t.free)/2*math.Log(t.left))
		}
	}
	return list, shares(logs)
}

// listen marks the readings that stand more than four deviations off; false when they are those marked already.
func (c Course) listen(keep []bool, cols [][]float64, t thought) (changed bool) {
	left := slices.Clone(c.Z)
	for k, x := range cols {
		for i := range left {
			left[i] -= t.mean[k] * x[i]
		}
	}
	size := make([]float64, len(left))
	for i, e := range left {
		size[i] = math.Abs(e)
	}
	slices.Sort(size)
	far := 4 * 1.4826 * size[len(size)/2]
	for i, e := range left {
		if near := math.Abs(e) <= far; near != keep[i] {
			keep[i], changed = near, true
		}
	}
	return changed
}

func kept(x []float64, keep []bool) (out []float64) {
	for i, v := range x {
		if keep[i] {
			out = append(out, v)
		}
	}
	return out
}

// overTurn is the peak to valley of a series over one turn.
func overTurn(weights []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range phases {
		z := 0.0
		for k, w := range weights {
			z += w * turnAt[k][i]
		}
		low, high = min(low, z), max(high, z)
	}
	return high - low
}

// phases is at how many places of a turn a ripple is told.
const phases = 96

// turnAt are the sines and cosines of the overtones at each phase.
var turnAt = func() (table [2 * harmonics][phases]float64) {
	for k := range table {
		for i := range phases {
			a := 2 * math.Pi * float64(k/2+1) * float64(i) / phases
			table[k][i] = math.Sin(a)
			if k%2 == 1 {
				table[k][i] = math.Cos(a)
			}
		}
	}
	return table
}()
