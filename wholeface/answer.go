package wholeface

import (
	"fmt"
	"math"
	"slices"

	"slatewright/chance"
)

// Interval is a value with the interval that holds the truth in nine of ten cases: 5, 50 and 95 %.
type Interval struct{ Low, Median, High float64 }

// Answer is what is believed of a face. All lengths in mm.
type Answer struct {
	Zone                       Distribution
	Calibrated                 bool
	Cutoff, Band               float64
	State                      string
	BowAlong, BowAcross, Twist Interval // of the face by least squares, as package flatness defines them
	Thickness                  *Thick   // nil without caliper readings enough
	Readings                   int
	Warnings                   []string
	earned                     float64 // least distance of a probability from 0 and 1
}

// Thick is what is believed of the thickness inside the edge band.
type Thick struct{ Mean, Least Interval }

// Interval returns 5, 50 and 95 % of the true zone.
func (a Answer) Interval() Interval {
	return Interval{a.Zone.Quantile(0.05), a.Zone.Quantile(0.5), a.Zone.Quantile(0.95)}
}

// Conforms is the probability that the true zone keeps within a limit, mm. It never comes nearer to 0 or 1 than was earned: half a
// scan of those learned from, and a hundredth where nothing was learned.
func (a Answer) Conforms(limit float64) float64 {
	return math.Max(a.earned, math.Min(1-a.earned, a.Zone.Below(limit)))
}

// Of answers a question about a face that has been read. Errors are *trouble.Trouble.
func Of(q Question, p *Prior) (Answer, error) {
	a, err := Start(q, p)
	if err != nil {
		return Answer{}, err
	}
	return a.Answer()
}

// Answer says what is believed of the face now.
func (a *Live) Answer() (Answer, error) {
	q := a.q
	r := Answer{Cutoff: q.Cutoff, Band: q.Band, State: q.State, Readings: len(q.Readings)}
	r.Zone, r.Calibrated = a.Zone(&r.Warnings)
	if r.earned = 0.01; r.Calibrated {
		r.earned = 0.5 / float64(max(a.prior.Scans, 50))
	}
	var shape [3][]float64
	for _, f := range a.faces {
		for k, v := range shapeOf(a.basis, f.height) {
			shape[k] = append(shape[k], v)
		}
	}
	r.BowAlong, r.BowAcross, r.Twist = intervalOf(shape[0]), intervalOf(shape[1]), intervalOf(shape[2])
	a.warn(&r.Warnings)
	var err error
	r.Thickness, err = a.thickness(&r.Warnings)
	return r, err
}

// Zone returns the distribution of the true zone, and whether it was corrected by what scans taught. A correction holds for
// pieces of the size, the band and about the number of readings that it was learned for.
func (a *Live) Zone(warnings *[]string) (Distribution, bool) {
	say := func(format string, args ...any) {
		if warnings != nil {
			*warnings = append(*warnings, fmt.Sprintf(format, args...))
		}
	}
	p, q := a.prior, a.q
	if len(p.Correction) == 0 {
		say("uncalibrated: nothing was learned from scans of this machine, so what the readings miss between them is a guess, and the interval is wider for it")
		return widened(a.zones), false
	}
	k := a.look()
	same := func(x, y float64) bool { return math.Abs(x-y) <= 0.05*y }
	switch {
	case !same(q.SizeX, p.SizeX) || !same(q.SizeY, p.SizeY) || math.Abs(q.Band-p.BandMM) > 5:
		say("uncalibrated: the scans were of pieces of %.0f x %.0f mm with an edge band of %.0f mm", p.SizeX, p.SizeY, p.BandMM)
		return widened(a.zones), false
	case q.Cutoff != 0 && q.Cutoff != p.CutoffMM:
		say("uncalibrated: the scans were taken with a cutoff of %g mm", p.CutoffMM)
		return widened(a.zones), false
	case math.Abs(float64(len(q.Readings)-k.Readings)) > 0.15*float64(k.Readings):
		say("uncalibrated: the scans taught about %d readings, and this face has %d", k.Readings, len(q.Readings))
		return widened(a.zones), false
	}
	f := a.Features()
	if k.beyond(f) {
		say("this face is unlike the scans that were learned from: the probability is beyond what they taught")
	}
	mean, _ := a.logs()
	return k.apply(mean, f), true
}

// look is the correction for the number of readings that is nearest.
func (a *Live) look() Look {
	n := len(a.q.Readings)
	return slices.MinFunc(a.prior.Correction, func(x, y Look) int { return abs(x.Readings-n) - abs(y.Readings-n) })
}

// Raw returns the zones of the drawn faces, mm, in the order they were drawn: uncorrected.
func (a *Live) Raw() []float64 { return slices.Clone(a.zones) }

// warn adds what is doubtful about the readings themselves.
func (a *Live) warn(to *[]string) {
	say := func(format string, args ...any) { *to = append(*to, fmt.Sprintf(format, args...)) }
	q, l := a.q, a.scene.l
	if len(q.Readings) < fewReadings {
		say("only %d readings: the answer rests on what such faces are like more than on this one", len(q.Readings))
	}
	if a.far > 0 {
		say("%d of the readings lie in the edge band: they count as readings of its inner edge", a.far)
	}
	var x, y []float64
	for _, r := range q.Readings {
		x, y = append(x, r.X), append(y, r.Y)
	}
	edge := max(slices.Min(x)+l.sizeX/2, l.sizeX/2-slices.Max(x), slices.Min(y)+l.sizeY/2, l.sizeY/2-slices.Max(y)) - l.band
	if edge > 60 {
		say("up to %.0f mm inside the edge band were not read: what the face does there is an extrapolation", edge)
	}
	if far, which := a.juts(); far > jutting {
		say("the reading at x %.0f, y %.0f mm stands %.1f standard deviations away from what the others say: read it again", q.Readings[which].X,
			q.Readings[which].Y, far)
	}
	if a.scene.reach() < 3*q.U {
		say("the readings differ by little more than their own doubt: the face may be flatter than can be seen")
	}
}

// jutting is when a reading is named: by chance one of 54 readings stands out so far in one face of a thousand.
const jutting = 4.3

// reach is the peak to valley of the readings about their least-squares plane, mm.
func (s *scene) reach() float64 { return slices.Max(s.z) - slices.Min(s.z) }

// intervalOf takes 5, 50 and 95 % of a sample, by linear interpolation.
func intervalOf(v []float64) Interval {
	v = slices.Clone(v)
	slices.Sort(v)
	at := func(p float64) float64 {
		f := p*float64(len(v)) - 0.5
		k := max(0, min(len(v)-2, int(f)))
		return v[k] + (v[k+1]-v[k])*math.Max(0, math.Min(1, f-float64(k)))
	}
	return Interval{at(0.05), at(0.5), at(0.95)}
}

// leastCaliper is how many caliper readings a thickness needs: a plane has three unknowns, and one more shows its doubt.
const leastCaliper = 4

// thickness draws thickness fields that agree with the caliper readings: the same model, for the sum of two such faces. A caliper touches
// few places and no scan tells what lies between them, so every setting is open, the short part too, and the answer says that
// it is uncalibrated. The face's own readings are not used: what they say of one side is little of the sum.
func (a *Live) thickness(to *[]string) (*Thick, error) {
	q := a.q
	if len(q.Caliper) == 0 {
		return nil, nil
	}
	if len(q.Caliper) < leastCaliper {
		*to = append(*to, fmt.Sprintf("%d caliper readings say too little of the thickness: take %d or more", len(q.Caliper), leastCaliper))
		return nil, nil
	}
	s := &scene{l: a.scene.l, fields: q.Fields, own: q.CaliperU * q.CaliperU, grounds: map[float64]*ground{}}
	_, s.variance = Blank().variances()
	mid := 0.0
	for _, c := range q.Caliper {
		mid += c.T / float64(len(q.Caliper))
	}
	for _, c := range q.Caliper {
		s.add(c.X, c.Y, c.T-mid)
	}
	t := &Live{q: q, prior: a.prior, plane: a.plane, held: a.plane.start, basis: a.basis, scene: s, settings: Blank().settings()}
	t.q.Seed = chance.NewStream(q.Seed).Split("thickness").Uint64()
	t.likely = s.weigh(t.settings)
	if err := t.draw(); err != nil {
		return nil, err
	}
	var mean, least []float64
	for _, f := range t.faces {
		h := slices.Clone(f.height)
		if f.short != nil {
			add(h, f.at.tau, f.short)
		}
		sum := 0.0
		for _, v := range h {
			sum += v
		}
		mean, least = append(mean, mid+sum/float64(len(h))), append(least, mid+slices.Min(h))
	}
	*to = append(*to, "the thickness is uncalibrated: scans teach nothing about it, and tracks in step with the places read shift its mean")
	return &Thick{intervalOf(mean), intervalOf(least)}, nil
}
