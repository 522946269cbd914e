package toolmarks

import (
	"fmt"
	"math"
	"slices"

	"slatewright/surfacing/toolmarks/raster"
	"slatewright/trouble"
)

// A sight is one map made ready.
type sight struct {
	of     *Map
	raster *raster.Raster
	scale  float64 // how much single readings scatter about the second-order surface
	looker *looker // nil when it cannot show tracks
	y      []float64
	rise   []float64 // along the feed, at the same places
}

// A study looks for marks in the maps of one machine.
type study struct {
	facts   Facts
	sights  []*sight
	finding *Finding
	tracks  *found // the likeliest; nil when none could be looked for
	spec    *spectrum
	can     []*sight // that can show tracks
}

// Look looks for the marks of one machine in maps of its faces. The maps are not changed. Errors are *trouble.Trouble.
func Look(maps []Map, facts Facts) (*Finding, error) {
	if err := facts.Check(); err != nil {
		return nil, err
	}
	if len(maps) == 0 {
		return nil, trouble.Data("no-maps", "", "there is no map", "give at least one face as it was read")
	}
	s := &study{facts: facts, finding: &Finding{}}
	for i := range maps {
		if err := maps[i].check(); err != nil {
			return nil, err
		}
		s.sights = append(s.sights, sightOf(&maps[i]))
	}
	s.shareLookers()
	s.lookForTracks()
	s.lookForWave()
	s.lookForWedge()
	s.tellLean()
	s.lookForRipple()
	s.rank()
	return s.finding, nil
}

func (m *Map) check() error {
	if len(m.S) != len(m.Z) || len(m.T) != len(m.Z) || len(m.Z) < 12 {
		return trouble.Data("few-readings", m.Name, fmt.Sprintf("%s tell nothing of a machine", trouble.Count(len(m.Z), "reading", "readings")), "give a scan, or readings close together along lines across the tracks")
	}
	for i := range m.Z {
		if math.IsNaN(m.S[i]+m.T[i]+m.Z[i]) || math.IsInf(m.S[i]+m.T[i]+m.Z[i], 0) {
			return trouble.Data("bad-reading", m.Name, "a reading is no number", "read the face again")
		}
	}
	return nil
}

func sightOf(m *Map) *sight {
	r := raster.Of(m.S, m.T, m.Z)
	s := &sight{of: m, raster: r}
	s.scale = r.Flatten()
	return s
}

func (s *study) blind(format string, args ...any) {
	s.finding.Blind = append(s.finding.Blind, fmt.Sprintf(format, args...))
}

func (s *study) warn(format string, args ...any) {
	s.finding.Warnings = append(s.finding.Warnings, fmt.Sprintf(format, args...))
}

// perTrack is how many lines a track needs at least, and mostLines how many lines of a profile are looked at: more are joined.
const (
	perTrack  = 2.5
	mostLines = 200
)

// shareLookers gives each map that can show tracks its profile; maps read on the same lines share the work.
func (s *study) shareLookers() {
	var made []*looker
	for _, v := range s.sights {
		lines, mean, rise := v.raster.Across(v.scale)
		if len(lines) < 12 {
			continue
		}
		t, parts, mean, rise := joinedLines(lines, mean, rise)
		i := slices.IndexFunc(made, func(l *looker) bool { return slices.Equal(l.t, t) && l.edge == v.edge() })
		if i < 0 {
			i = len(made)
			made = append(made, newLooker(t, parts, v.edge()))
		}
		v.looker, v.y, v.rise = made[i], mean, rise
	}
}

// joinedLines means neighbours together until no more than mostLines are left; parts are the lines behind each.
func joinedLines(t, a, b []float64) (_ []float64, parts [][]float64, _, _ []float64) {
	k := (len(t) + mostLines - 1) / mostLines
	mean := func(v []float64) (out []float64) {
		for part := range slices.Chunk(v, k) {
			sum := 0.0
			for _, x := range part {
				sum += x
			}
			out = append(out, sum/float64(len(part)))
		}
		return out
	}
	return mean(t), slices.Collect(slices.Chunk(t, k)), mean(a), mean(b)
}

// edge is where the piece ends across the feed.
func (v *sight) edge() [2]float64 {
	if w := v.of.Size[1]; w > 0 {
		return [2]float64{-w / 2, w / 2}
	}
	return [2]float64{slices.Min(v.of.T), slices.Max(v.of.T)}
}

// found is what the tracks of all maps say.
type found struct {
	pitch  float64
	radius float64
	shape  shape
	at     int // of the shape
	fits   []trackFit
	sights []*sight
	size   belief  // of the shape, all maps together
	log    float64 // ln of the odds of any lean against none, the prior in them
	there  float64
	named  float64
}

// lookForTracks looks for a lean of the spindle.
func (s *study) lookForTracks() {
	var can []*sight
	coarse, span := 0.0, 0.0
	for _, v := range s.sights {
		if v.looker == nil {
			continue
		}
		t := v.looker.t
		if p := s.facts.Pitch; p > 0 && raster.Gap(t)*perTrack > p {
			coarse = max(coarse, raster.Gap(t))
			continue
		}
		can = append(can, v)
		span = max(span, t[len(t)-1]-t[0])
	}
	switch {
	case len(can) == 0 && coarse > 0:
		s.blind("tracks %g mm apart cannot be seen in lines %.3g mm apart: read lines across the tracks with a reading at least every %.3g mm", s.facts.Pitch, coarse, s.facts.Pitch/4)
		return
	case len(can) == 0:
		s.blind("tracks cannot be seen: no map has a dozen lines across them")
		return
	case s.facts.Pitch > 0 && span < 1.5*s.facts.Pitch:
		s.blind("tracks cannot be seen: the readings reach over %.3g mm, and tracks are %g mm apart", span, s.facts.Pitch)
		return
	}
	spec := s.spectrum(can, span)
	if s.facts.Pitch > 0 {
		tries := []float64{s.facts.Pitch}
		if p, ok := spec.against(s.facts.Pitch); ok {
			tries = append(tries, p)
		}
		s.judgeTracks(can, tries, 1)
	} else if len(spec.pitch) == 0 {
		s.blind("tracks cannot be seen: disc and lines leave no pitch that could be looked for")
		return
	} else {
		var tries []float64
		for _, i := range spec.tops(3) {
			for k := 1.0; k <= 3; k++ { // a smooth unevenness may take the place of the slowest term
				if p := k * spec.interval(i).Value; p <= spec.pitch[0]*1.02 && !slices.ContainsFunc(tries, func(x float64) bool { return math.Abs(p/x-1) < 0.02 }) {
					tries = append(tries, p)
				}
			}
		}
		s.judgeTracks(can, tries, span*(1/spec.pitch[len(spec.pitch)-1]-1/spec.pitch[0]))
	}
	s.spec, s.can = spec, can
}

// tellLean tells of the spindle's lean, once it is known what else explains the tracks.
func (s *study) tellLean() {
	if f := s.tracks; f != nil && f.there >= 0.5 {
		s.finding.Marks = append(s.finding.Marks, s.lean(f, f.shape.alone()))
		s.pitchFound(s.spec)
	}
	s.draw(s.can)
}

// spectrum looks at every pitch that the maps can show.
func (s *study) spectrum(can []*sight, span float64) *spectrum {
	finest := 0.0
	for _, v := range can {
		finest = max(finest, perTrack*raster.Gap(v.looker.t))
	}
	coarsest := span / 2
	if d := s.facts.Diameter; d > 0 {
		finest, coarsest = max(finest, d/6), min(coarsest, d)
	}
	spec := &spectrum{}
	if finest < coarsest {
		spec.pitch = pitches(span, finest, coarsest)
	}
	spec.log = make([]float64, len(spec.pitch))
	for _, v := range can {
		spec.add(v.looker, v.y)
	}
	return spec
}

// Prior chances of what a machine leaves in its tracks.
const (
	priorNone   = 0.5
	priorAlong  = 0.2
	priorAcross = 0.2
	priorBoth   = 0.1
)

// A try is one shape at one pitch.
type try struct {
	pitch, radius float64
	shape         shape
	at            int
	fits          []trackFit
	size          belief
	log, left     float64
}

// mixed is by how much of the profile's squares a lean along and across together must explain more than either alone to be believed.
const mixed = 0.15

// judgeTracks weighs the shapes at the pitches; apart is how many pitches could have been told apart. A lean in one direction alone is preferred: real
// tracks do not stand as evenly as the shapes do, and a richer shape would feed on that. Where a lean in one direction is unlikely none in both is looked for.
func (s *study) judgeTracks(can []*sight, tries []float64, apart float64) {
	fits := map[float64][]trackFit{}
	one := s.tryShapes(can, tries, apart, false, fits)
	for _, t := range one {
		if !math.IsInf(t.log, -1) {
			s.finding.Hidden = math.Max(s.finding.Hidden, t.size.mean+1.645*t.size.sd)
		}
	}
	best, log, named := likeliest(one)
	if log > 0 {
		both := s.tryShapes(can, tries, apart, true, fits)
		if b, l, _ := likeliest(both); len(both) > 0 && l > log && b.left < best.left-mixed {
			best, log, named = b, l, 1
		}
	}
	if !math.IsInf(log, -1) {
		s.tracks = &found{pitch: best.pitch, radius: best.radius, shape: best.shape, at: best.at, fits: best.fits, size: best.size, sights: can,
			log: log, there: 1 / (1 + math.Exp(-log)), named: named}
	}
}

// tryShapes fits the shapes of a lean in both directions, or of one alone, at each pitch; what the maps say of them is added to the fits.
func (s *study) tryShapes(can []*sight, tries []float64, apart float64, both bool, fits map[float64][]trackFit) (list []try) {
	for _, pitch := range tries {
		radius := s.facts.Diameter / 2
		if radius == 0 {
			radius = 0.75 * pitch
		}
		shapes := shapesOf(radius, pitch)
		if fits[pitch] == nil {
			for range can {
				fits[pitch] = append(fits[pitch], newTrackFit(len(shapes)))
			}
		}
		for i, v := range can {
			v.looker.tracks(v.y, radius, pitch, both, &fits[pitch][i])
		}
		for j, sh := range shapes {
			if (sh.alone() == LeanBoth) != both {
				continue
			}
			t := try{pitch: pitch, radius: radius, shape: sh, at: j, fits: fits[pitch]}
			beliefs := make([]belief, len(can))
			for i := range can {
				beliefs[i] = t.fits[i].beliefs[j]
				t.left += t.fits[i].left[j] / float64(len(can))
			}
			unlike := unlikeSteps
			if sh.alone() == LeanAlong {
				unlike = unlikeHollows
			}
			t.size = joined(beliefs, unlike)
			t.log = t.size.log + math.Log(s.prior(sh, len(shapes))/max(apart, 1)) - math.Log(priorNone)
			list = append(list, t)
		}
	}
	return list
}

// likeliest is the best of them, ln of the odds of all of them, and how sure its cause is among them.
func likeliest(list []try) (best try, log, named float64) {
	var all, same []float64
	best.log = math.Inf(-1)
	for _, t := range list {
		all = append(all, t.log)
		if t.log > best.log {
			best = t
		}
	}
	for _, t := range list {
		if t.shape.alone() == best.shape.alone() {
			same = append(same, t.log)
		}
	}
	if math.IsInf(best.log, -1) {
		return best, best.log, 0
	}
	return best, logSum(all), math.Exp(logSum(same) - logSum(all))
}

func (s *study) prior(sh shape, shapes int) float64 {
	switch sh.alone() {
	case LeanAlong:
		return priorAlong
	case LeanAcross:
		return priorAcross / 2
	}
	return priorBoth / float64(shapes-3)
}

// lean is the mark of a spindle that leans.
func (s *study) lean(f *found, cause Cause) Mark {
	around := func(k float64) Interval {
		v, h := k*f.size.mean, math.Abs(k)*1.645*f.size.sd
		return Interval{v, v - h, v + h}
	}
	m := Mark{Cause: cause, Strength: around(1), Probability: f.there, Named: f.named, Maps: len(f.sights)}
	if s.facts.Diameter > 0 || cause == LeanAcross {
		m.Leans = []Interval{around(f.shape.lean[0] / f.shape.scale), around(f.shape.lean[1] / f.shape.scale)}
	}
	series := Series{Cause: cause}
	for i, v := range f.sights {
		b := f.fits[i].beliefs[f.at]
		series.add(v.of, b.mean, b.sd)
	}
	s.finding.Series = append(s.finding.Series, series)
	return m
}

func (r *Series) add(m *Map, strength, u float64) {
	r.Days, r.Names = append(r.Days, m.Day), append(r.Names, m.Name)
	r.Strength, r.U = append(r.Strength, strength), append(r.U, u)
}

// pitchFound tells the pitch that the spectrum shows about that of the tracks found.
func (s *study) pitchFound(spec *spectrum) {
	if at, ok := spec.about(s.tracks.pitch, 0.125); ok {
		p := spec.interval(at)
		s.finding.Pitch = &p
	}
	if given := s.facts.Pitch; given > 0 && s.tracks.pitch != given {
		s.warn("the marks repeat every %.3g mm, and the pitch given is %g mm: look the pitch up in the machine", s.tracks.pitch, given)
	}
}

// draw keeps the profiles, with what the machine that was found leaves in them.
func (s *study) draw(can []*sight) {
	for i, v := range can {
		p := Profile{Name: v.of.Name, T: v.looker.t, Z: v.y}
		if f := s.tracks; f != nil && f.there >= 0.5 {
			p.Machine = f.machine(i, v)
			p.Joints = f.joints(f.fits[i].best[f.at], p.T[0], p.T[len(p.T)-1])
		}
		s.finding.Profiles = append(s.finding.Profiles, p)
	}
}

// joints are the places from low to high at which one track's cut ends and the next one's begins, to a millimetre.
func (f *found) joints(lay laying, low, high float64) (list []float64) {
	before := 0
	for t := low; t <= high; t++ {
		k := f.shape.deepest(t, f.radius, f.pitch, lay)
		if t > low && k != before {
			list = append(list, t-0.5)
		}
		before = k
	}
	return list
}

// machine is what the machine found leaves in a map's profile, free of a straight line and a parabola as the profile is.
func (f *found) machine(i int, v *sight) []float64 {
	z := v.looker.values(f.shape, f.radius, f.pitch, f.fits[i].best[f.at])
	z = v.looker.ground[0].white(z) // plain: only the line and the parabola go
	for k := range z {
		z[k] *= f.size.mean
	}
	return z
}

// laying is where the tracks stand in a map.
func (f *found) laying(v *sight) laying {
	return f.fits[slices.Index(f.sights, v)].best[f.at]
}

// rank puts the marks in order: those found before those suspected, and among the former the strongest first.
func (s *study) rank() {
	slices.SortStableFunc(s.finding.Marks, func(a, b Mark) int {
		sa, sb := a.Probability >= Sure, b.Probability >= Sure
		if sa != sb {
			if sa {
				return -1
			}
			return 1
		}
		switch {
		case a.Strength.Value > b.Strength.Value:
			return -1
		case a.Strength.Value < b.Strength.Value:
			return 1
		}
		return 0
	})
}
