package passes

import (
	"math"

	"slatewright/surfacing/machine"
)

// confident is how many standard uncertainties a value is taken off on the bad side: 95 % of a normal distribution lie below.
const confident = 1.645

// side tells which value of a [machine.Known] is reckoned with.
type side int

const (
	told  side = 0  // the value itself
	worse side = 1  // the end of its doubt that is worse
	kind  side = -1 // the end that is better
)

// low is a positive value on its low end, high on its high one: V·exp(∓1.645·U/V), which never reaches zero.
func low(k machine.Known, s side) float64 {
	return k.Value * math.Exp(-float64(s)*confident*k.U/k.Value)
}
func high(k machine.Known, s side) float64 { return low(k, -s) }

// Cutter is what one stage of a machine does on a piece.
type Cutter struct {
	machine.Stage
	Head   machine.Head
	Width  float64 // that the disc cuts at once at most, mm
	Tracks int
	Long   float64 // of the piece along the feed, mm
	Area   float64 // of the face, mm²
}

// NewCutter is a stage at work on a piece so long and wide, mm.
func NewCutter(m *machine.Machine, stage int, long, wide float64) Cutter {
	return Cutter{Stage: m.Stages[stage], Head: m.HeadOf(stage), Width: m.Cut(stage, wide), Tracks: m.Tracks(stage, wide), Long: long, Area: long * wide}
}

// cutting is the force normal to the face for a depth of 1 mm at a feed, N/mm. The force along the face is power over the rim's speed,
// F = e·depth·width·feed / rim (Malkin, Grinding Technology), e in N/mm² being 1000 times that in J/mm³; the normal force is a multiple of it.
func (c Cutter) cutting(feed float64) float64 {
	return c.Normal.Value * c.Energy.Value * 1000 * c.Width * feed / c.Rim()
}

// Left is the share of a depth that the loop's yielding leaves standing at a feed. When the disc is set to cut c below a face that stands
// d over where it should, the machine yields by y = F/K with F = k·a, and a = c + d − y is what comes off; so y = (c + d)·k/(k + K).
// With c = 0, a spark-out pass, what was left is left times that share: it decays by this factor from pass to pass. What is uneven goes the same way.
func (c Cutter) Left(feed float64) float64 { return c.left(feed, told) }

// left takes the force over the stiffness, k/K, at the end of the doubt of all three that make it.
func (c Cutter) left(feed float64, s side) float64 {
	relative := func(k machine.Known) float64 { return k.U / k.Value }
	doubt := math.Hypot(math.Hypot(relative(c.Normal), relative(c.Energy)), relative(c.Head.Stiffness))
	r := c.cutting(feed) / c.Head.Stiffness.Value * math.Exp(float64(s)*confident*doubt)
	return r / (1 + r)
}

// Taper is by how much the bits have worn when this mean depth over the face has come off, mm: volume over G and the area of the bits. The
// face stands higher by it at the end of the pass than at its start.
func (c Cutter) Taper(depth float64) float64 { return c.taper(depth, told) }

func (c Cutter) taper(depth float64, s side) float64 {
	return depth * c.Area / (low(c.G, s) * c.Disc.Area())
}

// Power that a pass of this depth takes at a feed, kW: specific energy times depth, width and feed.
func (c Cutter) Power(depth, feed float64) float64 { return c.power(depth, feed, told) }

func (c Cutter) power(depth, feed float64, s side) float64 {
	return high(c.Energy, s) * depth * c.Width * feed / 1000
}

// fastest is the greatest feed at which the motor still gives the power that a depth takes, at the worse end of what is known; 0 where even
// the slowest is too fast.
func (c Cutter) fastest(depth float64) float64 {
	f := c.FeedMax
	if p := c.power(depth, 1, worse); p*f > c.Head.Power {
		f = c.Head.Power / p
	}
	if f < c.FeedMin {
		return 0
	}
	return f
}

// minutes of one pass: all tracks with the disc run in and out, and the turns between them.
func (c Cutter) minutes(feed, turn float64) float64 {
	n := float64(c.Tracks)
	return (n*(c.Long+c.Disc.Diameter)/feed + (n-1)*turn) / 60
}

// Hollow is the depth of the hollow that a spindle leaning along the feed leaves in each track, mm: lean·(R − √(R² − (w/2)²)), w the width
// that no other track cuts again.
func (c Cutter) Hollow(lean, pitch float64) float64 {
	w := pitch
	if c.Tracks == 1 {
		w = c.Width
	}
	r := c.Disc.Diameter / 2
	return math.Abs(lean) * (r - math.Sqrt(math.Max(0, r*r-w*w/4)))
}

// Ridge is the step from track to track that a spindle leaning across the feed leaves, mm: lean·pitch. One track has none: it leaves a wedge.
func (c Cutter) Ridge(lean, pitch float64) float64 {
	if c.Tracks == 1 {
		return 0
	}
	return math.Abs(lean) * pitch
}
