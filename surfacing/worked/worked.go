// Package worked asks what work on a surfacing machine did: what really came off, what the bits paid for it, how far the machine yielded, and
// whether bits grow dull; and so what the machine's file should believe from now on.
//
// Package removal has told what was taken where. Here the passes that were set are followed over that stock by the same law as in package
// passes (of each depth a share is left standing, by force over stiffness), which shares the stone among the stages; and the shares'
// dependence on the stiffness is turned round. Every figure has an interval that holds the truth in 95 of 100 cases, or is not told.
//
// The package reads no files, plans no passes, and holds no beliefs of its own (package belief does). It knows one face of one piece at a time, and
// no heat, chatter or clamping marks.
package worked

import (
	"fmt"
	"math"

	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked/removal"
	"slatewright/trouble"
)

// Pass is one pass as it was set.
type Pass struct {
	Stage int     // index into the machine's stages
	Depth float64 // mm; 0 is a spark-out pass
	Feed  float64 // mm/s
	Power float64 // read while it cut, without what the spindle takes idle, kW; 0: not read
}

// Bits is how far the bits of one stage's disc wore during the job.
type Bits struct {
	Stage int
	Worn  float64 // mean height lost, mm
	U     float64 // its standard uncertainty
	Dof   float64 // degrees of freedom behind U; +Inf where it is known beforehand
	N     int     // bits that were measured
}

// Job is what was done to one face.
type Job struct {
	Passes []Pass // in the order in which they were made
	Bits   []Bits
	// Zero is where the disc was brought to the stone before the first pass, mm in the piece frame; nil: over the highest place.
	Zero *[2]float64
	// Setting is the standard uncertainty of the height that was set, mm; 0: the machine's own.
	Setting    float64
	FeedAlongX bool // otherwise along y
	// Begin is on which side the first track lay: −1 or +1 across the feed; 0: not known.
	Begin int
	// Thickness after the work, by calipers, for the wedge that it left.
	Thickness []removal.Pair // Taken holds the thickness
}

// Question is what is known of the work.
type Question struct {
	Machine      *machine.Machine
	Job          Job
	Removed      *removal.Found
	SizeX, SizeY float64
}

// Found is what the work did.
type Found struct {
	Stages []Stage
	// Commanded is the sum of the depths that were set, Reached how deep the face lies under the place where the disc was brought to zero, and
	// Lag what was left of the one, mm: by yielding, by worn bits, and by how well the zero was set.
	Commanded float64
	Reached   Interval
	Lag       Interval
	LagWear   float64 // of Lag, what worn bits explain, mm
	LagTold   float64 // and what the machine's file tells of its yielding
	// Foreign tells that what was reached lies so far from what was set that the passes can hardly be those between the maps.
	Foreign  bool
	Give     *Give
	Wedge    *Wedge
	Warnings []string
}

// Stage is what one stage did in the job.
type Stage struct {
	Index     int
	Passes    int
	SparkOuts int
	Commanded float64  // mm
	Removed   Interval // mean depth over the face, mm
	Stone     Interval // mm³
	UStone    float64
	Bits      *Bits    // nil: not measured
	BitVolume Interval // mm³; of Bits
	UBit      float64
	G         *Interval // nil: the bits were not measured, or the stone is not known
	LastWear  float64   // that the last cutting pass of the stage wears off the bits by what is now known, mm
	Energy    *Energy
}

// Of finds what the work did. The error is a *trouble.Trouble.
func Of(q Question) (*Found, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	f := &Found{}
	c := q.course()
	for _, p := range q.Job.Passes {
		f.Commanded += p.Depth
	}
	f.stages(q, c)
	f.lag(q, c)
	if f.Foreign {
		f.withhold()
		return f, nil
	}
	f.energy(q, c)
	f.give(q, c)
	f.wedge(q)
	return f, nil
}

// withhold takes back what was told of stages by passes that were hardly those between the maps.
func (f *Found) withhold() {
	nan := Interval{math.NaN(), math.NaN(), math.NaN()}
	for i := range f.Stages {
		s := &f.Stages[i]
		s.Removed, s.Stone, s.UStone, s.G = nan, nan, math.NaN(), nil
	}
}

// The most that is followed.
const mostPasses = 500

func (q Question) check() error {
	if err := q.Machine.Check(); err != nil {
		return err
	}
	bad := func(where, what, next string) error { return trouble.Data("bad-job", where, what, next) }
	if len(q.Job.Passes) == 0 || len(q.Job.Passes) > mostPasses {
		return bad("passes", fmt.Sprintf("%d passes", len(q.Job.Passes)), fmt.Sprintf("give the passes that were made between the two maps, at most %d", mostPasses))
	}
	cut := false
	for i, p := range q.Job.Passes {
		where := fmt.Sprintf("pass %d", i+1)
		switch {
		case p.Stage < 0 || p.Stage >= len(q.Machine.Stages):
			return bad(where, "the machine has no such stage", "name one of its stages")
		case !(p.Depth >= 0 && p.Depth < 50):
			return bad(where, fmt.Sprintf("a depth of %g mm", p.Depth), "give the depth that was set, 0 for a spark-out pass")
		case !(p.Feed > 0 && p.Feed < 1e4):
			return bad(where, fmt.Sprintf("a feed of %g mm/s", p.Feed), "give the feed, such as 1 m/min")
		case !(p.Power >= 0 && p.Power < 1e4):
			return bad(where, fmt.Sprintf("a power of %g kW", p.Power), "give what the spindle took while it cut, more than idle")
		}
		cut = cut || p.Depth > 0
	}
	if !cut {
		return bad("passes", "every pass is a spark-out pass", "give the depths that were set")
	}
	for _, b := range q.Job.Bits {
		if b.Stage < 0 || b.Stage >= len(q.Machine.Stages) || math.IsNaN(b.Worn) || math.Abs(b.Worn) > 100 || !(b.U > 0) {
			return bad("bits", "heights of bits that cannot be", "give the mean height before and after with the caliper's uncertainty")
		}
	}
	return nil
}

// long and wide are the sides along and across the feed.
func (q Question) long() float64 {
	if q.Job.FeedAlongX {
		return q.SizeX
	}
	return q.SizeY
}

func (q Question) wide() float64 { return q.SizeX + q.SizeY - q.long() }

// setting is the standard uncertainty of the zero, mm.
func (q Question) setting() float64 {
	if q.Job.Setting > 0 {
		return q.Job.Setting
	}
	return math.Max(q.Machine.Table.Setting, 0.001)
}

// width is what the disc of a stage cuts at once on all tracks but the outer ones, mm. (A plan reckons with the first track, which is the widest.)
func (q Question) width(stage int) float64 {
	if q.Machine.Tracks(stage, q.wide()) == 1 {
		return q.wide()
	}
	return q.Machine.Table.Pitch
}

// force is that normal to the face for a depth of 1 mm, N/mm: the force along the face is power over the rim's speed, and the power specific energy
// times depth, width and feed; the force normal to it is a multiple of that. It is the law of package passes.
func (q Question) force(p Pass) float64 {
	s := q.Machine.Stages[p.Stage]
	return s.Normal.Value * s.Energy.Value * 1000 * q.width(p.Stage) * p.Feed / s.Rim()
}
