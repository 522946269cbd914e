package toolmarks

import (
	"math"
	"slices"

	"slatewright/surfacing/toolmarks/raster"
)

// A leaning is one piece's wedge: how much thicker it is at the far end than at the near one, along and across the feed, mm.
type leaning struct {
	rise  [2]float64
	cov   [3]float64 // of along, across; and between the two
	start int
	stair stair
}

// A stair is what is left in a piece by a disc that wears, for each mm by which it stands higher from one track to the next.
type stair struct {
	rise  [2]float64 // of the plane across the piece, from the side that was cut first; its first track is at −t, or at +t
	seen  [2]float64 // of what is seen as the step of a disc that leans across
	along float64    // of the plane along it, where all tracks are cut in one way
}

// across is the rise across, in pieces cut from the side given; 0: the mean of both.
func (st stair) across(start int) float64 {
	switch start {
	case 1:
		return st.rise[0]
	case -1:
		return st.rise[1]
	}
	return (st.rise[0] + st.rise[1]) / 2
}

// What pieces may differ in beside the caliper, and what wedges are thought of, mm over a piece (common practice, no source).
const (
	seatingSD = 0.004
	wedgeSD   = 0.06
)

// lookForWedge looks for a plane that is in every piece's thickness: the bed's, or the bits' wear.
func (s *study) lookForWedge() {
	w := wedges{order: s.facts.Order, staircase: s.staircase()}
	few := 0
	for _, v := range s.sights {
		if len(v.of.Calipers) == 0 {
			continue
		}
		l, ok := s.leaningOf(v, false)
		if !ok {
			few++
			continue
		}
		l.stair = s.stairOf(v)
		freed, _ := s.leaningOf(v, true)
		freed.stair = l.stair
		w.list, w.freed = append(w.list, l), append(w.freed, freed)
	}
	if few > 0 {
		s.warn("%d of the maps have thicknesses at fewer than three places off one line: they show no wedge", few)
	}
	if len(w.list) == 0 {
		s.blind("a wedge cannot be seen in heights alone: give at least three thicknesses a piece, off one line")
		return
	}
	w.steps = s.steps()
	if s.tracks != nil {
		w.lean = s.tracks.log
	} else {
		w.lean = math.Inf(-1)
	}
	for _, l := range w.list {
		w.mean += l.stair.across(l.start) / float64(len(w.list))
	}
	w.weigh()
	if s.tracks != nil {
		s.tracks.there = w.leans
	}
	if w.there < 0.5 {
		return
	}
	s.finding.Marks = append(s.finding.Marks, w.mark(s.sights[0].of.Size))
	if w.there >= Sure && w.cause() == Wedge {
		s.warn("bed or wear: it cannot be told which, since every piece was cut in the same order; cut the next ones from the other end")
	}
}

// A stepping is what one map's profile says of steps between its tracks: with the tracks lower at +t, and lower at −t.
type stepping struct {
	lower [2]belief
	start int
	stair stair
}

// steps are those of the maps that show tracks.
func (s *study) steps() (list []stepping) {
	f := s.tracks
	if f == nil {
		return nil
	}
	for i, v := range f.sights {
		one := stepping{start: v.of.Start, stair: s.stairOf(v), lower: [2]belief{none, none}}
		for j, sh := range shapesOf(f.radius, f.pitch) {
			if sh.alone() == LeanAcross {
				if sh.lean[1] > 0 {
					one.lower[0] = f.fits[i].beliefs[j]
				} else {
					one.lower[1] = f.fits[i].beliefs[j]
				}
			}
		}
		list = append(list, one)
	}
	return list
}

// stairs is by how many steps the plane through the tracks rises from side to side of map i, where each stands one step higher than the one cut before it;
// and how many of those steps are seen as one of a disc that leans across. Side 0: the tracks were cut towards +t, 1: towards −t.
//
// The first track is as wide as the disc, and the last ones may reach beyond the piece. While the disc passes over a place it wears on: the bits ahead
// leave it lower than those behind, so that each track is a little hollow; what is seen of the step is less for it.
func (f *found) stairs(i, side int) (rise, seen float64) {
	v := f.sights[i]
	at := 0
	for j, sh := range shapesOf(f.radius, f.pitch) {
		if sh.alone() == LeanAcross && (sh.lean[1] > 0) == (side == 0) {
			at = j
		}
	}
	sh, lay := shapesOf(f.radius, f.pitch)[at], f.fits[i].best[at]
	z := make([]float64, len(v.looker.t))
	way := v.of.Size[0] + 2*f.radius // the disc comes from beyond the piece and leaves it
	for j, parts := range v.looker.parts {
		for _, t := range parts {
			z[j] += lay.worn(1-2*side, t, f.radius, f.pitch, way) / float64(len(parts))
		}
	}
	var up, down float64
	mid := (v.looker.edge[0] + v.looker.edge[1]) / 2
	for j, t := range v.looker.t {
		up, down = up+(t-mid)*z[j], down+(t-mid)*(t-mid)
	}
	g := &v.looker.ground[f.fits[i].ground[at]]
	saw := g.white(v.looker.values(sh, f.radius, f.pitch, lay))
	seen = dot(saw, g.white(z)) / max(dot(saw, saw), 1e-12)
	return max(math.Abs(up/down)*(v.looker.edge[1]-v.looker.edge[0]), 0.5), max(seen, 0.3)
}

// worn is the height at t, in steps, where each track stands a step higher than the one cut before it, and the disc wears evenly over its way.
func (p laying) worn(way int, t, radius, pitch, length float64) float64 {
	low := math.Inf(1)
	for k := max(p.first, int(math.Ceil((t-p.phase-radius)/pitch))); k <= min(p.last, int(math.Floor((t-p.phase+radius)/pitch))); k++ {
		v := t - p.phase - float64(k)*pitch
		low = min(low, float64(way*k)-math.Sqrt(max(0, radius*radius-v*v))/length)
	}
	if math.IsInf(low, 1) {
		return 0
	}
	return low
}

// worn is how well steps agree with wear, relative to no steps: each track stands higher than the one before; freed of the plane, the profile is lower within a
// track towards the next one. The sign says towards which side the pieces were cut whose start is not known. The steps are those of a plain staircase to 5 %,
// in all maps alike; or, in one case of four, to a half: something else leaves steps as well.
func (w *wedges) worn(size, sign float64) float64 {
	return logSum([]float64{math.Log(0.75) + w.wornTo(0.05, size, sign), math.Log(0.25) + w.wornTo(0.5, size, sign)})
}

func (w *wedges) wornTo(share, size, sign float64) float64 {
	log := 0.0
	alike := share * math.Sqrt(float64(len(w.steps)))
	for _, s := range w.steps {
		start := float64(s.start)
		if start == 0 {
			start = sign
		}
		side := 0
		if start < 0 {
			side = 1
		}
		b, a := s.lower[side], size/w.mean*s.stair.seen[side]
		if math.IsInf(b.log, -1) {
			log -= min(a*a/(0.001*0.001), 60)
			continue
		}
		sd := math.Hypot(b.sd, alike*a)
		e := (a - b.mean) / sd
		log += b.log - math.Log(sd*math.Sqrt(2*math.Pi)) - min(e*e, 120)/2
		log -= max(0, b.log-math.Log(b.sd*math.Sqrt(2*math.Pi))-b.mean*b.mean/(2*b.sd*b.sd)) // no steps at all would be no evidence
	}
	return log
}

// leaningOf fits a plane to thicknesses, each freed of what the face itself does about its place; freed: also of the plane that a leaning
// spindle's marks have.
func (s *study) leaningOf(v *sight, freed bool) (leaning, bool) {
	var ms, mt, mz float64
	m := v.of
	n := float64(len(m.Calipers))
	calipers := make([][3]float64, len(m.Calipers))
	for i, c := range m.Calipers {
		calipers[i] = [3]float64{c[0], c[1], c[2] - v.raster.Near(c[0], c[1])}
		if freed {
			calipers[i][2] -= s.tracksPlane(v, c[1])
		}
	}
	for _, c := range calipers {
		ms, mt, mz = ms+c[0]/n, mt+c[1]/n, mz+c[2]/n
	}
	var ss, tt, st, sz, tz float64
	for _, c := range calipers {
		a, b, z := c[0]-ms, c[1]-mt, c[2]-mz
		ss, tt, st, sz, tz = ss+a*a, tt+b*b, st+a*b, sz+a*z, tz+b*z
	}
	det := ss*tt - st*st
	if n < 3 || det < 1e-3*ss*tt || ss*tt == 0 {
		return leaning{}, false
	}
	gs, gt := (tt*sz-st*tz)/det, (ss*tz-st*sz)/det
	var left float64
	for _, c := range calipers {
		e := c[2] - mz - gs*(c[0]-ms) - gt*(c[1]-mt)
		left += e * e
	}
	u := s.facts.CaliperU
	if u == 0 {
		u = 0.01
	}
	u2 := u * u
	if n > 3 { // a scatter beyond the caliper's counts
		u2 = max(u2, left/(n-3))
	}
	ls, lt := m.Size[0], m.Size[1]
	return leaning{rise: [2]float64{gs * ls, gt * lt}, start: m.Start,
		cov: [3]float64{u2*tt/det*ls*ls + seatingSD*seatingSD, u2*ss/det*lt*lt + seatingSD*seatingSD, -u2 * st / det * ls * lt}}, true
}

// stairOf is what a worn disc leaves in a map. Where no tracks are seen they are taken to be as wide as the pitch.
func (s *study) stairOf(v *sight) (st stair) {
	pitch, radius := s.pitch(), s.facts.Diameter/2
	steps := 3.0
	if pitch > 0 {
		steps = max(1, v.of.Size[1]/pitch)
	}
	st = stair{rise: [2]float64{steps, steps}, seen: [2]float64{1, 1}}
	if f := s.tracks; f != nil && v.looker != nil && slices.Contains(f.sights, v) {
		radius = f.radius
		for side := range st.rise {
			st.rise[side], st.seen[side] = f.stairs(slices.Index(f.sights, v), side)
		}
	}
	if s.facts.Order == OneWay && pitch > 0 {
		st.along = v.of.Size[0] / (v.of.Size[0] + 2*radius)
	}
	return st
}

// tracksPlane is the part of a leaning spindle's marks that the flattened face does not show: the line and the parabola taken off it.
func (s *study) tracksPlane(v *sight, t float64) float64 {
	free := s.tracksOf(v)
	if free == nil {
		return 0
	}
	f := s.tracks
	full := v.looker.values(f.shape, f.radius, f.pitch, f.laying(v))
	for i := range full {
		full[i] = full[i]*f.size.mean - free[i]
	}
	return interpolated(v.looker.t, full, t)
}

// A staircase is what wear leaves in the face: where tracks are cut to and fro, each rises along its own way, so that neighbours lean against each
// other.
type staircase struct {
	rise, sd float64 // of one track, mm
	share    float64 // of the step to the next track that is expected
	seen     bool
}

// staircase looks for tracks that lean against each other.
func (s *study) staircase() staircase {
	pitch := s.facts.Pitch
	if pitch == 0 && s.tracks != nil && s.tracks.there >= 0.5 {
		pitch = s.tracks.pitch
	}
	if pitch == 0 || s.facts.Order != Alternate {
		return staircase{}
	}
	var w, m, share float64
	for _, v := range s.sights {
		if v.looker == nil || len(v.raster.S) < 20 || raster.Gap(v.looker.t)*perTrack > pitch {
			continue
		}
		radius := s.facts.Diameter / 2
		if radius == 0 {
			radius = 0.75 * pitch
		}
		a, sd := v.looker.leaningTracks(v.rise, radius, pitch, v.of.Start)
		w, m = w+1/(sd*sd), m+a/(sd*sd)
		if r, way := v.raster.S, v.of.Size[0]+2*radius; way > 0 { // the disc comes from beyond the piece and leaves it
			share += (r[len(r)-1] - r[0]) / way / (sd * sd)
		}
	}
	if w == 0 {
		return staircase{}
	}
	return staircase{m / w, math.Sqrt(1 / w), share / w, true}
}

// leaningTracks is how much a track rises along the feed where its neighbours fall as much: the size of a wave that changes its sign from one
// track to the next. A later track stands higher and cuts nothing of what an earlier one has left: the first track is as wide as the disc, and each
// other adds a pitch.
func (l *looker) leaningTracks(rise []float64, radius, pitch float64, start int) (size, sd float64) {
	white, squares, _ := l.whitened(rise)
	grounds := l.likely(white, squares, 2*pitch)
	var values [][]float64
	for _, way := range []float64{1, -1} {
		if start != 0 && float64(start) != way {
			continue
		}
		s := shape{lean: [2]float64{0, way}}
		for _, p := range layings(s, radius, pitch, l.edge[0], l.edge[1], pitch) {
			v := make([]float64, len(l.t))
			for j, t := range l.t {
				v[j] = 1 - 2*math.Abs(math.Mod(float64(p.cutBy(way, t, radius, pitch)), 2))
			}
			values = append(values, v)
		}
	}
	var w weigher
	for _, i := range grounds {
		for _, x := range l.ground[i].whites(values) {
			w.shape(&l.ground[i], squares[i], math.Abs(dot(white[i], x)), dot(x, x))
		}
	}
	b := w.belief(0, 1)
	return b.mean, b.sd
}

// cutBy is the number of the track that a place owes its height to, where tracks follow each other towards +t (way 1) or −t (−1): the first that
// reaches it.
func (p laying) cutBy(way, t, radius, pitch float64) int {
	if way > 0 {
		return max(p.first, int(math.Ceil((t-p.phase-radius)/pitch)))
	}
	return min(p.last, int(math.Floor((t-p.phase+radius)/pitch)))
}
