package toolmarks

import (
	"math"
	"slices"

	"slatewright/gauge/tables"
	"slatewright/surfacing/toolmarks/height"
	"slatewright/surfacing/toolmarks/modes"
)

// fewest is how many pieces laid at one place a wave needs.
const fewest = 3

// lookForWave looks for what comes back at one place in pieces laid alike.
func (s *study) lookForWave() {
	place, group := s.samePlace()
	if len(group) < fewest {
		s.blind("a wave of bed or bridge cannot be told from a piece's own shape: it needs at least %d maps of pieces laid at the same place, read on four lines or more, and there are %d", fewest, len(group))
		return
	}
	w := &waves{sights: group}
	if !w.measure(s) {
		s.blind("a wave of bed or bridge cannot be seen: the maps have too few lines in common")
		return
	}
	w.weigh()
	if w.there < 0.5 {
		return
	}
	mark, ok := w.mark(s)
	if !ok {
		s.blind("a wave of bed or bridge cannot be seen: the maps have too few lines in common")
		return
	}
	s.finding.Marks = append(s.finding.Marks, mark)
	if place == "" && len(group) > 1 {
		s.warn("the pieces are taken to have been laid at the same place of the bed; say so by the column place")
	}
}

// samePlace is the largest group of maps laid at one place that cover their piece.
func (s *study) samePlace() (string, []*sight) {
	groups := map[string][]*sight{}
	best := ""
	for _, v := range s.sights {
		if v.looker == nil || len(v.raster.S) < 4 || !v.covers() {
			continue
		}
		p := v.of.Place
		groups[p] = append(groups[p], v)
		if len(groups[p]) > len(groups[best]) {
			best = p
		}
	}
	return best, groups[best]
}

// covers tells whether the readings reach over most of the piece.
func (v *sight) covers() bool {
	r := v.raster
	return r.S[len(r.S)-1]-r.S[0] > 0.7*v.of.Size[0] && r.T[len(r.T)-1]-r.T[0] > 0.7*v.of.Size[1]
}

// waves is the search for a wave.
type waves struct {
	sights []*sight
	modes  []modes.Mode // beyond bow and twist
	c      [][]float64  // amplitude of each mode in each map: c[map][mode]

	mean, sd []float64 // a mode
	there    float64
	bridge   float64 // share of it that is the same in every track
}

// bridgeShare is how much of a wave must be the same in every track for it to be the bridge's.
const bridgeShare = 0.85

// measure fits the modes to each map.
func (w *waves) measure(s *study) bool {
	ns, nt := 1000, 1000
	for _, v := range w.sights {
		ns, nt = min(ns, len(v.raster.S)), min(nt, len(v.raster.T))
	}
	set := modes.Of(ns, nt)
	if w.modes = set.Beyond; len(w.modes) < 8 {
		return false
	}
	for _, v := range w.sights {
		w.c = append(w.c, set.Fit(v.raster.S, v.raster.T, s.withoutTracks(v), v.of.Size, 4*v.scale))
	}
	return true
}

// interpolated is a profile between its places.
func interpolated(t, z []float64, at float64) float64 {
	for i := 1; i < len(t); i++ {
		if at <= t[i] || i == len(t)-1 {
			k := min(max((at-t[i-1])/(t[i]-t[i-1]), 0), 1)
			return z[i-1] + k*(z[i]-z[i-1])
		}
	}
	return 0
}

// tracksOf is what the machine found leaves in a map's profile; nil when nothing.
func (s *study) tracksOf(v *sight) []float64 {
	if s.tracks == nil || s.tracks.there < Sure {
		return nil
	}
	for i, t := range s.tracks.sights {
		if t == v {
			return s.tracks.machine(i, v)
		}
	}
	return nil
}

// ownTracks is the likeliest shape of a map's own tracks, whatever the other maps say, at each line across the tracks; nil when it shows none.
func (s *study) ownTracks(v *sight) []float64 {
	if s.tracks == nil {
		return nil
	}
	i := slices.Index(s.tracks.sights, v)
	if i < 0 {
		return nil
	}
	fit, best := s.tracks.fits[i], 0
	for j, b := range fit.beliefs {
		if b.log+math.Log(sizePrior(b.mean)) > fit.beliefs[best].log+math.Log(sizePrior(fit.beliefs[best].mean)) {
			best = j
		}
	}
	b := fit.beliefs[best]
	if !(b.log+math.Log(sizePrior(b.mean)) > 3) {
		return nil
	}
	z := v.looker.values(shapesOf(s.tracks.radius, s.tracks.pitch)[best], s.tracks.radius, s.tracks.pitch, fit.best[best])
	z = v.looker.ground[0].white(z)
	out := make([]float64, len(v.raster.T))
	for j, t := range v.raster.T {
		out[j] = b.mean * interpolated(v.looker.t, z, t)
	}
	return out
}

// weigh tests each order's mean amplitudes against how they differ from piece to piece, and joins the orders (R. A. Fisher's method). The significance is
// turned into a probability by the largest odds that it can give (Sellke, Bayarri and Berger, The American Statistician 55, 2001).
func (w *waves) weigh() {
	n := float64(len(w.c))
	m := len(w.modes)
	w.mean, w.sd = make([]float64, m), make([]float64, m)
	for k := range m {
		for _, c := range w.c {
			w.mean[k] += c[k] / n
		}
	}
	stat, terms := 0.0, 0.0
	var one, rest []int // modes that are the same in every track, and others
	for sum := 3; sum <= modes.Order; sum++ {
		var list []int
		for k, d := range w.modes {
			if d.Along+d.Across == sum {
				list = append(list, k)
			}
		}
		if len(list) == 0 {
			continue
		}
		var within, mean float64
		for _, k := range list {
			for _, c := range w.c {
				within += (c[k] - w.mean[k]) * (c[k] - w.mean[k])
			}
			mean += n * w.mean[k] * w.mean[k]
		}
		d1, d2 := float64(len(list)), float64(len(list))*(n-1)
		v := max(within/d2, 1e-12)
		p := tables.FAbove(mean/d1/v, d1, d2)
		stat, terms = stat-2*math.Log(max(p, 1e-300)), terms+2
		for _, k := range list {
			w.sd[k] = math.Sqrt(v / n)
			if w.modes[k].Across == 0 {
				one = append(one, k)
			} else {
				rest = append(rest, k)
			}
		}
	}
	w.there = odds(chiTail(stat, int(terms)))
	energy := func(list []int) (e float64) {
		for _, k := range list {
			e += w.mean[k]*w.mean[k] - w.sd[k]*w.sd[k]
		}
		return max(0, e)
	}
	a, b := energy(one), energy(rest)
	if a+b > 0 {
		w.bridge = a / (a + b)
	}
}

// chiTail is the probability that chi squared with an even number of degrees of freedom exceeds x: e^(−x/2) Σ (x/2)^k/k!.
func chiTail(x float64, dof int) float64 {
	term, sum := 1.0, 0.0
	for k := range dof / 2 {
		if k > 0 {
			term *= x / 2 / float64(k)
		}
		sum += term
	}
	return math.Exp(-x/2) * sum
}

// priorMark is how likely a mark of one kind is before anything is looked at.
const priorMark = 0.2

// odds is the probability that goes with a significance.
func odds(p float64) float64 {
	if p >= 1/math.E {
		return 0
	}
	return 1 / (1 - math.E*p*math.Log(p)*(1-priorMark)/priorMark)
}

// mark is the wave: the bridge's where nearly all of it is the same in every track.
func (w *waves) mark(s *study) (m Mark, ok bool) {
	var h height.Span
	m = Mark{Cause: BedWave, Probability: w.there, Named: 1 - w.bridge, Maps: len(w.sights)}
	var faces []height.Face
	for _, v := range w.sights {
		faces = append(faces, height.Face{S: v.raster.S, T: v.raster.T, Z: s.withoutTracks(v)})
	}
	size := w.sights[0].of.Size
	off := 0.03 // of the height; as found in trials on invented machines
	if w.bridge > bridgeShare {
		m.Cause, m.Named, off = BridgeWave, w.bridge, 0.05
		h, ok = height.Led(faces, size, s.pitch())
	} else {
		h, ok = height.Repeated(faces, size)
	}
	m.Strength = wider(h, off)
	return m, ok
}

// pitch is from track to track, as far as it is known or was found.
func (s *study) pitch() float64 {
	if s.facts.Pitch == 0 && s.tracks != nil {
		return s.tracks.pitch
	}
	return s.facts.Pitch
}

// withoutTracks is a map's flattened face, freed of its own tracks.
func (s *study) withoutTracks(v *sight) []float64 {
	z, tracks := slices.Clone(v.raster.Z), s.ownTracks(v)
	for i := range z {
		if tracks != nil {
			z[i] -= tracks[i%len(tracks)]
		}
	}
	return z
}
