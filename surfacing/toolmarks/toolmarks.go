// Package toolmarks looks in measured faces for what the surfacing machine left there: a hollow or a step in every track of the disc, a wedge, a
// wave that comes back at one place, a ripple that comes back with every turn of the disc. Each mark comes with its strength, how sure it is,
// what else would look alike, and what it says about the machine.
//
// A face map shows no plane: heights are counted from where the gauge was laid. So a wedge is seen in thicknesses only. It shows no
// bow either that could be told from the piece's own: what repeats as a bow of the second order is taken off before anything is looked for.
//
// The package finds marks; it does not mend machines, plans no passes, and knows no files. It lies off the sealing path.
//
// Inside: mm and rad; s is the place along the feed, t across it, both in the machine's frame and counted from the middle of the piece.
package toolmarks

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Map is one face as it was read, in the machine's frame.
type Map struct {
	Name     string
	S, T, Z  []float64    // one entry a reading
	Size     [2]float64   // of the piece, along and across the feed
	Calipers [][3]float64 // s, t and thickness
	Place    string       // where on the bed it was laid; the same text is the same place
	Start    int          // +1: its tracks were cut towards +t, −1: towards −t, 0: not known
	Day      float64      // on which it was cut; NaN when not known
}

// Order is in which way one track follows the other.
type Order int

// The orders.
const (
	OrderUnknown Order = iota
	Alternate          // to and fro: every second track is cut on the way back
	OneWay             // the disc returns lifted
)

// Facts are what is known of the machine.
type Facts struct {
	Diameter float64 // of the disc over its bits; 0 = not known: then no lean can be told from a hollow
	Pitch    float64 // from track to track; 0 = not known
	Turn     float64 // way along the feed for one turn of the disc; 0 = not known
	Order    Order
	CaliperU float64 // standard uncertainty of one thickness
}

// Check is the trouble with facts that cannot be.
func (f Facts) Check() error {
	for _, v := range []float64{f.Diameter, f.Pitch, f.Turn, f.CaliperU} {
		if !(v >= 0) || v > 1e5 {
			return trouble.Usage("bad-machine", "", fmt.Sprintf("no length of a machine is %g mm", v), "give a length above zero, or leave it out when it is not known")
		}
	}
	if f.Diameter > 0 && f.Pitch > f.Diameter {
		return trouble.Usage("bad-machine", "", fmt.Sprintf("tracks %g mm apart leave stone between them: the disc is %g mm", f.Pitch, f.Diameter), "give the pitch from track to track and the diameter over the bits")
	}
	return nil
}

// Cause is what on the machine leaves a mark.
type Cause string

// The causes.
const (
	None       Cause = ""
	LeanAlong  Cause = "lean-along"  // the spindle leans along the feed: a hollow in every track
	LeanAcross Cause = "lean-across" // it leans across: a step between tracks
	LeanBoth   Cause = "lean-both"   // both, and neither alone explains the marks
	Bed        Cause = "bed-wedge"   // the bed is not parallel to the way of the disc
	Wear       Cause = "wear-wedge"  // the bits wear from the first track to the last
	Wedge      Cause = "wedge"       // one of the two, and it cannot be told which
	BedWave    Cause = "bed-wave"    // the bed is not flat
	BridgeWave Cause = "bridge-wave" // the disc's way is not straight
	Unbalance  Cause = "unbalance"   // the disc leans round with its turning
)

// Interval is a value with where it lies in nine cases of ten.
type Interval struct{ Value, Low, High float64 }

// Mark is one thing found, or looked for.
type Mark struct {
	Cause       Cause
	Strength    Interval   // mm, peak to valley on the face
	Probability float64    // that there is such a mark
	Named       float64    // that this is its cause, among those that leave it
	Leans       []Interval // rad; along and across the feed for a lean (+ lower at +t; along it the face does not show the sign) and for a bed's wedge
	Maps        int        // on how many maps it rests
}

// Fifth is how far a correction may be off and still be called settled, as a share of it.
const Fifth = 0.2

// Correction is what the mark says is to be corrected: the lean of a spindle, rad, or what the machine leaves in the face, mm.
func (m *Mark) Correction() Interval {
	switch {
	case m.Cause == LeanAlong && len(m.Leans) == 2:
		return m.Leans[0]
	case m.Cause == LeanAcross && len(m.Leans) == 2:
		if i := m.Leans[1]; i.Value < 0 {
			return Interval{-i.Value, -i.High, -i.Low}
		}
		return m.Leans[1]
	}
	return m.Strength
}

// Doubt is by which share of it the correction may be off, in nine cases of ten; +Inf where there is nothing to correct.
func (m *Mark) Doubt() float64 {
	c := m.Correction()
	if !(c.Value > 0) {
		return math.Inf(1)
	}
	return max(c.High-c.Value, c.Value-c.Low) / c.Value
}

// Settled tells whether the correction is sure to a fifth of it.
func (m *Mark) Settled() bool { return m.Doubt() <= Fifth }

// Finding is what was found in maps of one machine.
type Finding struct {
	Marks    []Mark    // the surest and strongest first; a probability below one half is left out
	Pitch    *Interval // mm, from the spectrum; nil when no tracks are seen
	Hidden   float64   // mm: a hollow or a step may be so high where none is found; 0 when no tracks could be looked for
	Blind    []string  // what could not be looked for, and why
	Warnings []string
	Profiles []Profile // across the tracks, a map each, for who draws it
	Series   []Series  // a lean's or a ripple's strength map by map
}

// Profile is the mean face across the tracks, and what the machine that was found would leave.
type Profile struct {
	Name    string
	T, Z    []float64 // mm
	Machine []float64 // nil when no tracks were found
	Joints  []float64 // t of the places where one track meets the next
}

// Series is one mark's strength map by map.
type Series struct {
	Cause    Cause
	Days     []float64
	Strength []float64
	U        []float64
	Names    []string
}

// Sure is the probability from which a mark counts as found.
const Sure = 0.9

// First is the cause to look at first: the strongest of those found.
func (f *Finding) First() Cause {
	if len(f.Marks) == 0 || f.Marks[0].Probability < Sure {
		return None
	}
	return f.Marks[0].Cause
}

// hollow is how deep the rim of a disc of radius r, leaning one radian along the feed, dips below the edges of a track of width w. Formula:
// delta = (r − √(r² − (w/2)²)) · sin(tilt), from memory (handbooks of machining give the same).
func hollow(r, w float64) float64 { return r - math.Sqrt(max(0, r*r-w*w/4)) }

// Hollow is the depth of the hollow that a disc of the given diameter, leaning along the feed by tilt (rad), leaves in a track of the given width, mm.
func Hollow(diameter, width, tilt float64) float64 {
	return hollow(diameter/2, width) * math.Sin(math.Abs(tilt))
}

// Step is the height between two tracks that a disc leaning across the feed by tilt (rad) leaves, mm: tilt times pitch.
func Step(pitch, tilt float64) float64 { return pitch * math.Sin(math.Abs(tilt)) }
