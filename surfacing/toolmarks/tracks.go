package toolmarks

import (
	"math"
	"slices"

	"slatewright/surfacing/toolmarks/raster"
)

// A shape is what a leaning disc leaves across its tracks: the lowest of all discs that pass a place.
//
// The rim of a disc of radius r that leans by (along, across) sweeps, v beside its track's middle, down to −across·v − |along|·√(r² − v²):
// the ellipse of a tilted circle seen along the feed.
type shape struct {
	lean  [2]float64 // direction of the lean: along ≥ 0, across; its length is 1
	scale float64    // mm of strength (peak to valley between tracks) for a lean of 1 rad
}

// shapesOf are the directions that are thought of; the strength is that of one track far from the last.
func shapesOf(radius, pitch float64) []shape {
	var list []shape
	for _, tan := range []float64{0, math.Inf(1), math.Inf(-1), 0.7, -0.7, 2, -2, 6, -6, 20, -20} {
		s := shape{lean: [2]float64{1 / math.Sqrt(1+tan*tan), tan / math.Sqrt(1+tan*tan)}}
		if math.IsInf(tan, 0) {
			s.lean = [2]float64{0, math.Copysign(1, tan)}
		}
		low, high := math.Inf(1), math.Inf(-1)
		for i := range 200 {
			z := s.between(float64(i)/200*pitch, radius, pitch, 0, math.MinInt32, math.MaxInt32)
			low, high = min(low, z), max(high, z)
		}
		s.scale = high - low
		list = append(list, s)
	}
	return list
}

// alone tells whether the lean is along or across the feed only.
func (s shape) alone() Cause {
	switch {
	case s.lean[1] == 0:
		return LeanAlong
	case s.lean[0] == 0:
		return LeanAcross
	}
	return LeanBoth
}

// between is the lowest at t of the tracks whose middles are at phase + k·pitch, k from first to last.
func (s shape) between(t, radius, pitch, phase float64, first, last int) float64 {
	low := math.Inf(1)
	from, to := int(math.Ceil((t-phase-radius)/pitch)), int(math.Floor((t-phase+radius)/pitch))
	for k := max(first, from); k <= min(last, to); k++ {
		v := t - phase - float64(k)*pitch
		low = min(low, -s.lean[1]*v-s.lean[0]*math.Sqrt(max(0, radius*radius-v*v)))
	}
	return low
}

// deepest is the number of the track that cuts lowest at t.
func (s shape) deepest(t, radius, pitch float64, p laying) (number int) {
	low := math.Inf(1)
	for k := max(p.first, int(math.Ceil((t-p.phase-radius)/pitch))); k <= min(p.last, int(math.Floor((t-p.phase+radius)/pitch))); k++ {
		if z := s.between(t, radius, pitch, p.phase, k, k); z < low {
			low, number = z, k
		}
	}
	return number
}

// A laying is where the tracks stand: middles at phase + k·pitch, k from first to last.
type laying struct {
	phase       float64
	first, last int
}

// phases is at how many places the tracks are tried, from one track to the next: a step shows its place to half a line.
func (s shape) phases(pitch, gap float64) int {
	if s.lean[0] > 0.3 {
		return 32
	}
	return int(min(max(pitch/(0.55*gap), 32), 128))
}

// layings are the ways in which tracks may cover places from low to high: each phase, and at each end the last track as near as it still covers the
// edge, or farther out. A disc that leans across only shows the end towards which it is high.
func layings(s shape, radius, pitch, low, high, gap float64) (list []laying) {
	n := s.phases(pitch, gap)
	for i := range n {
		phase := pitch * float64(i) / float64(n)
		firsts, lasts := ends(phase, radius, pitch, low, -1), ends(phase, radius, pitch, high, 1)
		if s.alone() == LeanAcross {
			if s.lean[1] > 0 { // lower at +t: a place is left by the first track that reaches it
				lasts = lasts[:1]
			} else {
				firsts = firsts[:1]
			}
		}
		for _, first := range firsts {
			for _, last := range lasts {
				list = append(list, laying{phase, first, last})
			}
		}
	}
	return list
}

// ends are the numbers that the last track at an edge may have: the first of them so far out that it reaches nothing any more, the last the
// nearest that still covers the edge.
func ends(phase, radius, pitch, edge float64, side int) (list []int) {
	d := float64(side)
	far := int(math.Ceil((d*(edge-phase) + radius) / pitch))
	near := int(math.Ceil((d*(edge-phase) - radius) / pitch))
	for _, k := range []int{far, (far + near + 1) / 2, near + 1, near} {
		if k = side * min(max(k, near), far); !slices.Contains(list, k) {
			list = append(list, k)
		}
	}
	return list
}

// A trackFit is what the profile of one map says of each shape, at one pitch.
type trackFit struct {
	beliefs []belief  // one a shape
	best    []laying  // the likeliest, a shape
	left    []float64 // what it leaves of the profile's squares, a line and a parabola apart: a part of them, a shape
	ground  []int     // the likeliest, a shape
}

// A looker looks at profiles on one row of places; maps read alike share it.
type looker struct {
	t      []float64
	parts  [][]float64 // the lines that were joined to each place
	edge   [2]float64  // of the piece
	ground []ground
	layed  map[float64][]*layed // by pitch
	waves  map[seriesKey][][]float64
}

// layed is one shape at every laying, whitened by the grounds that were asked for.
type layed struct {
	shape   shape
	layings []laying
	values  [][]float64         // nil until they are asked for
	white   map[int][][]float64 // by ground: a laying each
	square  map[int][]float64
}

// through whitens the shape by one ground.
func (d *layed) through(l *looker, ground int, radius, pitch float64) ([][]float64, []float64) {
	if got, ok := d.white[ground]; ok {
		return got, d.square[ground]
	}
	if d.values == nil {
		for _, p := range d.layings {
			d.values = append(d.values, l.values(d.shape, radius, pitch, p))
		}
	}
	white, square := l.ground[ground].whites(d.values), make([]float64, len(d.values))
	for k, w := range white {
		square[k] = dot(w, w)
	}
	d.white[ground], d.square[ground] = white, square
	return white, square
}

func newLooker(t []float64, parts [][]float64, edge [2]float64) *looker {
	return &looker{t: t, parts: parts, edge: edge, ground: grounds(t), layed: map[float64][]*layed{}, waves: map[seriesKey][][]float64{}}
}

// whitened is the profile through every ground, and the likelihood that there is no mark, summed over the grounds.
func (l *looker) whitened(y []float64) (white [][]float64, squares []float64, without float64) {
	var logs []float64
	for i := range l.ground {
		w := l.ground[i].white(y)
		s := dot(w, w)
		white, squares, logs = append(white, w), append(squares, s), append(logs, l.ground[i].likelihood(s))
	}
	return white, squares, logSum(logs)
}

// at prepares the shapes of a pitch.
func (l *looker) at(radius, pitch float64) []*layed {
	if got, ok := l.layed[pitch]; ok {
		return got
	}
	var list []*layed
	for _, s := range shapesOf(radius, pitch) {
		d := &layed{shape: s, layings: layings(s, radius, pitch, l.edge[0], l.edge[1], raster.Gap(l.t)), white: map[int][][]float64{}, square: map[int][]float64{}}
		list = append(list, d)
	}
	if len(l.layed) > 12 {
		clear(l.layed)
	}
	l.layed[pitch] = list
	return list
}

// values are the heights that a shape of strength 1 leaves at the places.
func (l *looker) values(s shape, radius, pitch float64, p laying) []float64 {
	z := make([]float64, len(l.t))
	for i, part := range l.parts {
		for _, t := range part {
			if v := s.between(t, radius, pitch, p.phase, p.first, p.last); !math.IsInf(v, 1) {
				z[i] += v / s.scale / float64(len(part))
			}
		}
	}
	return z
}

// likely are the grounds that count once something repeats: those whose likelihood, with any series of the pitch taken off, is not far below the best.
func (l *looker) likely(white [][]float64, squares []float64, pitch float64) (list []int) {
	logs := make([]float64, len(l.ground))
	for i := range l.ground {
		logs[i] = l.ground[i].likelihood(l.repeating(i, pitch, white[i], squares[i]))
	}
	top := slices.Max(logs)
	for i, x := range logs {
		if x > top-7 {
			list = append(list, i)
		}
	}
	return list
}

// newTrackFit says nothing of any shape.
func newTrackFit(shapes int) trackFit {
	f := trackFit{beliefs: make([]belief, shapes), best: make([]laying, shapes), left: make([]float64, shapes), ground: make([]int, shapes)}
	for j := range f.beliefs {
		f.beliefs[j], f.left[j] = none, 1
	}
	return f
}

// tracks is what a profile says of the shapes at a pitch: of a lean both along and across, or of the others.
func (l *looker) tracks(y []float64, radius, pitch float64, both bool, fit *trackFit) {
	white, squares, without := l.whitened(y)
	grounds := l.likely(white, squares, pitch)
	for j, d := range l.at(radius, pitch) {
		if (d.shape.alone() == LeanBoth) != both {
			continue
		}
		var w weigher
		for _, i := range grounds {
			shapes, square := d.through(l, i, radius, pitch)
			for k := range shapes {
				w.shape(&l.ground[i], squares[i], dot(white[i], shapes[k]), square[k])
			}
		}
		n := len(w.logs)
		at := slices.Index(w.logs, slices.Max(w.logs))
		best, ground := d.layings[at%len(d.layings)], grounds[at/len(d.layings)]
		if !both && !math.IsInf(w.logs[at], -1) {
			best = l.finer(&w, d, best, grounds, white, squares, radius, pitch)
		}
		fit.beliefs[j], fit.best[j], fit.ground[j] = w.belief(without, float64(n/len(grounds))), best, ground
		fit.left[j] = l.left(white[0], squares[0], l.values(d.shape, radius, pitch, best))
	}
}

// between is into how many steps the way from one phase to the next is parted.
const between = 8

// finer tries the places of the tracks between the best phase and its neighbours, each for an eighth of a phase, and returns the best.
func (l *looker) finer(w *weigher, d *layed, best laying, grounds []int, white [][]float64, squares []float64, radius, pitch float64) laying {
	step := pitch / float64(d.shape.phases(pitch, raster.Gap(l.t))) / between
	top := slices.Max(w.logs)
	found := best
	var places []laying
	var values [][]float64
	for k := -between + 1; k < between; k++ {
		p := best
		p.phase += float64(k) * step
		places, values = append(places, p), append(values, l.values(d.shape, radius, pitch, p))
	}
	for _, i := range grounds {
		for k, x := range l.ground[i].whites(values) {
			w.shape(&l.ground[i], squares[i], dot(white[i], x), dot(x, x))
			last := len(w.logs) - 1
			if w.logs[last] > top {
				top, found = w.logs[last], places[k]
			}
			w.logs[last] -= math.Log(between)
		}
	}
	return found
}

// left is which part of a profile's squares its best multiple of a shape leaves, seen without any smooth ground.
func (l *looker) left(white []float64, squares float64, values []float64) float64 {
	w := l.ground[0].white(values)
	p, c := dot(w, white), dot(w, w)
	if c == 0 || squares == 0 || p < 0 {
		return 1
	}
	return max(0, 1-p*p/c/squares)
}
