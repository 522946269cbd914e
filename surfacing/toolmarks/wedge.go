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

// wedges weighs the bed against the wear, and both against a spindle that leans across the feed: it leaves steps between tracks as wear does, but no
// plane, and the same steps whichever track was cut first.
type wedges struct {
	list, freed []leaning // a piece each; freed of the marks of a leaning spindle
	mean        float64   // of the rises across the pieces, in steps from track to track
	order       Order
	staircase   staircase
	steps       []stepping
	lean        float64 // ln of the odds of a lean, without regard to the thicknesses

	there, bed, wear, leans float64
	fall                    [2]Interval // the bed's part over the piece, along and across
	rise                    Interval    // the wear's part, from the first track to the last
	any                     [2]Interval // whichever it is
}

// wears are the sizes of wear that are thought of, mm.
func wears() []float64 {
	var list []float64
	for x := 0.006; x < 0.4; x *= 1.04 {
		list = append(list, x)
	}
	return list
}

// A thought is one account of the thicknesses and the steps.
type thought struct {
	log       float64
	lean, bed bool
	wear      float64 // mm
	fall      [2]Interval
}

// Prior chances of wedges.
const (
	priorNoWedge = 0.5
	priorBed     = 0.22
	priorWear    = 0.22
	priorTwo     = 0.06
)

// thoughts lists them with their evidence: lean or none, bed or none, and each size of wear or none.
func (w *wedges) thoughts() (all []thought) {
	ways := w.ways()
	sizes := wears()
	for _, lean := range []bool{false, true} {
		pieces, k := w.list, 0.0
		if lean {
			pieces, k = w.freed, w.lean
		}
		if math.IsInf(k, -1) {
			continue
		}
		still := w.stairs(0)
		withBed, fall := evidenceBed(pieces, 0, way{})
		all = append(all, thought{log: k + math.Log(priorNoWedge) + evidence(pieces, 0, way{}) + still, lean: lean},
			thought{log: k + math.Log(priorBed) + withBed + still, lean: lean, bed: true, fall: fall})
		for _, size := range sizes {
			for _, y := range ways {
				share := math.Log(1 / float64(len(sizes)*len(ways)))
				log := k + share + w.stairs(size)
				if !lean {
					log += w.worn(size, y.across)
				}
				withBed, fall := evidenceBed(pieces, size/w.mean, y)
				all = append(all, thought{log: log + math.Log(priorWear) + evidence(pieces, size/w.mean, y), lean: lean, wear: size},
					thought{log: log + math.Log(priorTwo) + withBed, lean: lean, bed: true, wear: size, fall: fall})
			}
		}
	}
	return all
}

// A way is towards which sides wear rises: along the feed, where all tracks are cut in one way, and across it in pieces whose start is not known.
type way struct{ along, across float64 }

func (w *wedges) ways() (list []way) {
	both := []float64{1, -1}
	along, across := both[:1], both[:1]
	for _, l := range w.list {
		if l.start == 0 {
			across = both
		}
		if l.stair.along != 0 {
			along = both
		}
	}
	for _, a := range along {
		for _, b := range across {
			list = append(list, way{a, b})
		}
	}
	return list
}

// weigh sums up the thoughts.
func (w *wedges) weigh() {
	all := w.thoughts()
	logs := make([]float64, len(all))
	for i, t := range all {
		logs[i] = t.log
	}
	sum := logSum(logs)
	var bedLogs, wearLogs, at []float64
	var falls [][2]Interval
	for i, t := range all {
		p := math.Exp(logs[i] - sum)
		if t.lean {
			w.leans += p
		}
		byBed := t.bed && math.Abs(t.fall[0].Value)+math.Abs(t.fall[1].Value) > t.wear
		if t.bed || t.wear > 0 {
			w.there += p
		}
		switch {
		case byBed:
			w.bed += p
			bedLogs, falls = append(bedLogs, logs[i]), append(falls, t.fall)
		case t.wear > 0:
			w.wear += p
			wearLogs, at = append(wearLogs, logs[i]), append(at, t.wear)
		}
	}
	w.bed, w.wear = w.bed/max(w.there, 1e-12), w.wear/max(w.there, 1e-12)
	w.rise = weighted(at, wearLogs)
	for k := range w.fall {
		var v, half []float64
		for _, f := range falls {
			v, half = append(v, f[k].Value), append(half, f[k].High-f[k].Value)
		}
		w.fall[k] = weighted(v, bedLogs)
		h := math.Hypot(w.fall[k].High-w.fall[k].Value, weighted(half, bedLogs).Value)
		w.fall[k].Low, w.fall[k].High = w.fall[k].Value-h, w.fall[k].Value+h
	}
	pieces := w.list
	if w.leans > 0.5 {
		pieces = w.freed
	}
	_, w.any = evidenceBed(pieces, 0, way{})
}

// weighted is the mean and the interval of sizes with their logarithmic weights.
func weighted(at, logs []float64) Interval {
	all := logSum(logs)
	var m, v float64
	for i, x := range at {
		m += math.Exp(logs[i]-all) * x
	}
	for i, x := range at {
		v += math.Exp(logs[i]-all) * (x - m) * (x - m)
	}
	h := 1.645 * math.Sqrt(v)
	return Interval{m, m - h, m + h}
}

// stairs is how well a wear agrees with the tracks' own rise.
func (w *wedges) stairs(size float64) float64 {
	if !w.staircase.seen {
		return 0
	}
	a := size / w.mean * w.staircase.share
	sd := math.Hypot(w.staircase.sd, 0.15*a) + 0.0003
	e := (w.staircase.rise - a) / sd
	return -min(e*e, 60)/2 - math.Log(sd)
}

// without is the piece's wedge without a wear that leaves the step from track to track.
func (l *leaning) without(step float64, y way) [2]float64 {
	start := l.start
	if start == 0 && y.across < 0 {
		start = -1
	} else if start == 0 && y.across > 0 {
		start = 1
	}
	return [2]float64{l.rise[0] - step*l.stair.along*y.along, l.rise[1] - step*l.stair.across(start)*float64(start)}
}

// evidence is the likelihood of all wedges when the wear leaves a step and the bed has none.
func evidence(list []leaning, step float64, y way) float64 {
	log := 0.0
	for i := range list {
		r := list[i].without(step, y)
		log += normal2(r[0], r[1], list[i].cov)
	}
	return log
}

// evidenceBed lets the bed have any wedge, and says which: a normal prior, exactly integrated over.
func evidenceBed(list []leaning, step float64, y way) (float64, [2]Interval) {
	p := [3]float64{1 / (wedgeSD * wedgeSD), 1 / (wedgeSD * wedgeSD), 0} // precision of the bed's wedge, and what pulls at it
	var h [2]float64
	for i := range list {
		q, r := inverse(list[i].cov), list[i].without(step, y)
		p = [3]float64{p[0] + q[0], p[1] + q[1], p[2] + q[2]}
		h[0] += q[0]*r[0] + q[2]*r[1]
		h[1] += q[2]*r[0] + q[1]*r[1]
	}
	c := inverse(p)
	m := [2]float64{c[0]*h[0] + c[2]*h[1], c[2]*h[0] + c[1]*h[1]}
	log := evidence(list, step, y) + (m[0]*h[0]+m[1]*h[1])/2 + math.Log(c[0]*c[1]-c[2]*c[2])/2 - math.Log(wedgeSD*wedgeSD)
	around := func(v, sd float64) Interval { return Interval{v, v - 1.645*sd, v + 1.645*sd} }
	return log, [2]Interval{around(m[0], math.Sqrt(c[0])), around(m[1], math.Sqrt(c[1]))}
}

// inverse of a symmetric matrix [a c; c b], kept as a, b, c.
func inverse(m [3]float64) [3]float64 {
	d := m[0]*m[1] - m[2]*m[2]
	return [3]float64{m[1] / d, m[0] / d, -m[2] / d}
}

func normal2(x, y float64, cov [3]float64) float64 {
	q := inverse(cov)
	return -(q[0]*x*x+q[1]*y*y+2*q[2]*x*y)/2 - math.Log(cov[0]*cov[1]-cov[2]*cov[2])/2
}

// told is whether the pieces can tell bed from wear at all: they were cut from both ends, or the tracks were looked at one by one.
func (w *wedges) told() bool {
	up, down := false, false
	for _, l := range w.list {
		up, down = up || l.start > 0, down || l.start < 0
	}
	return up && down || w.staircase.seen
}

// cause names the wedge, or says that it cannot be told.
func (w *wedges) cause() Cause {
	switch {
	case !w.told():
		return Wedge
	case w.bed >= 0.8:
		return Bed
	case w.wear >= 0.8:
		return Wear
	}
	return Wedge
}

// either is how thick the wedge is, bed or wear: bed's, and the rise of the wear, each with its share.
func (w *wedges) either(bed Interval) Interval {
	a, b := bed.High-bed.Value, w.rise.High-w.rise.Value
	if w.wear < 0.01 {
		return bed
	}
	m := w.bed*bed.Value + w.wear*w.rise.Value
	h := math.Sqrt(w.bed*(a*a+2.7*(bed.Value-m)*(bed.Value-m)) + w.wear*(b*b+2.7*(w.rise.Value-m)*(w.rise.Value-m))) // 1.645² = 2.7
	return Interval{m, max(0, m-h), m + h}
}

func (w *wedges) mark(size [2]float64) Mark {
	m := Mark{Cause: w.cause(), Probability: w.there, Maps: len(w.list)}
	slopes := func(v [2]Interval) {
		for k := range v {
			m.Leans = append(m.Leans, Interval{v[k].Value / size[k], v[k].Low / size[k], v[k].High / size[k]})
		}
		a, b := v[0], v[1]
		total := math.Abs(a.Value) + math.Abs(b.Value)
		h := math.Sqrt((a.High-a.Value)*(a.High-a.Value) + (b.High-b.Value)*(b.High-b.Value) + (1.645*0.05*total)*(1.645*0.05*total)) // 5 %: as found in trials
		m.Strength = Interval{total, max(0, total-h), total + h}
	}
	switch m.Cause {
	case Bed:
		m.Named = w.bed
		slopes(w.fall)
	case Wear:
		m.Named = w.wear
		m.Strength = w.rise
	default:
		m.Named = max(w.bed, w.wear)
		slopes(w.any)
		m.Strength = w.either(m.Strength)
	}
	return m
}
