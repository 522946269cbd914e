// Package machine is what a mill knows of a surfacing machine: its heads, the stages from coarse to fine with their discs, how it
// yields and how its spindles stand, what its hold presses flat, how long each act takes, and what it costs.
//
// A value that work can teach (G ratio, loop stiffness, specific energy, tilt and so on) is a [Known]: the value, its standard uncertainty, and
// on how many observations it rests. A price that is not known is nil: nothing is reckoned in money then.
//
// The package holds values and checks them. It reads no files (package machinefile does), plans no passes and learns nothing; it is no
// part of a machine's control and no safety device.
//
// Inside the program: mm, s, N, MPa (= N/mm²), rad; what has another unit says so.
package machine

import "math"

// Known is a value with how sure it is.
type Known struct {
	Value float64
	U     float64 // standard uncertainty, in the value's unit
	Seen  int     // observations behind it; 0: an estimate, taken from a book or a maker
}

// Said tells whether the value is given: its zero value is not.
func (k Known) Said() bool { return k.Value != 0 || k.U != 0 }

// Machine is one surfacing machine.
type Machine struct {
	Name     string
	Invented bool // the values are made up, for an example or an exercise: every answer says so
	Heads    []Head
	Stages   []Stage // from coarse to fine
	Table    Table
	Hold     Hold
	Times    Times
	Prices   Prices
	History  []Observation // what jobs have shown of the values that are learnt
}

// Observation is what one job showed of a value, or what was believed of it before the first job; so that what is believed can be reckoned again.
type Observation struct {
	Of    string // GRatio, Stiffness or Energy
	In    string // name of the stage, of the head for Stiffness
	First Known  // in the unit of the value; said: this is what was believed before
	Date  string // of the job, YYYY-MM-DD; "": not known
	Job   string // such as the piece and its face
	// Seen is what the job showed: bits worn over stone taken (the inverse of a G ratio), yielding to a force, mm/N (the inverse of a stiffness), or a
	// specific energy, J/mm³. It may lie at zero or below where it is small beside its doubt.
	Seen  Known
	Aside string // why it is not believed; "": it is
}

// The values that jobs teach.
const (
	GRatio    = "g_ratio"
	Stiffness = "stiffness"
	Energy    = "energy"
)

// Head is one spindle. A machine with one head has its discs changed from stage to stage; with several heads in line each stage has the head of
// its own, and one travel cuts with as many as are lowered.
type Head struct {
	Name  string
	Power float64 // that the motor gives to the disc, kW
	// Stiffness of the whole loop, disc to bed, normal to the face, N/mm (a machine file says N/µm).
	Stiffness Known
	// TiltAlong and TiltAcross are the spindle's lean along and across the feed, rad (a machine file says µm/m): + when the disc stands
	// lower in front, and lower towards the next track.
	TiltAlong, TiltAcross Known
	Water                 float64 // while it cuts, litres a minute
}

// Stage is one kind of cut, with the disc that makes it.
type Stage struct {
	Name  string
	Head  int    // index into Heads
	Grit  string // as the mill names it
	Disc  Disc
	Speed float64 // of the spindle, revolutions a minute
	// DepthMin and DepthMax bound what one pass may be set to take, mm; Step is how finely it is set, mm.
	DepthMin, DepthMax, Step float64
	FeedMin, FeedMax         float64 // mm/s (a machine file says m/min)
	// RimMin and RimMax bound the speed of the disc's rim, mm/s (a machine file says m/s): below, the grains glaze; above, they break out.
	RimMin, RimMax float64
	G              Known // volume of stone over volume of bits worn
	Energy         Known // specific energy, J/mm³
	// Normal is the force normal to the face over the force along it.
	Normal Known
	// Damage is how deep this stage leaves the stone broken under its face, mm: what follows must take it off.
	Damage float64
}

// Disc carries the bits of one stage.
type Disc struct {
	Diameter  float64 // over the bits, mm
	Bits      int
	BitArea   float64  // of one bit's face on the stone, mm²
	BitHeight float64  // that can be used up, mm
	Price     *float64 // of one bit; nil: not known
	Mass      float64  // of the rotor that is balanced: disc with bits and what turns with it, kg; 0: not known
	Band      float64  // by how much heights of bits may differ before a new one scores the face, mm; 0: not known
	Grade     float64  // balance quality, mm/s, as 6.3 of G6.3; 0: not known
}

// Area is that of all its bits, mm².
func (d Disc) Area() float64 { return float64(d.Bits) * d.BitArea }

// Table is what the stone lies on and how the heads travel over it.
type Table struct {
	X, Y float64 // largest piece, mm, along and across the feed
	// Bed and Ways are peak to valley: how far the bed is from a plane under a piece, and the travel from straight, mm. Both are copied into
	// the stone.
	Bed, Ways Known
	Pitch     float64 // from track to track, mm; a disc as wide as the piece needs one track
	Rezero    bool    // the disc is brought to zero before each pass, so that worn bits do not leave the face high from pass to pass
	Setting   float64 // standard uncertainty of the height it is brought to, mm
}

// Hold is how a piece is held.
type Hold struct {
	Pressure float64 // with which a vacuum or clamps press the piece on the bed, MPa (a machine file says kPa); 0: it lies by its own weight
	// Free is what supports under the first face still bend the piece by, mm, peak to valley.
	Free Known
}

// Times are minutes unless they say otherwise.
type Times struct {
	Setup  float64 // laying a piece on the bed
	Free   float64 // setting it on free supports (wedges, plaster, jacks) in the place of that
	Flip   float64 // turning it over
	Change float64 // of the disc, from one stage to the next
	Pass   float64 // between two passes: measuring, setting, bringing to zero
	Turn   float64 // from one track to the next, s
	Bits   float64 // to put a new ring of bits on a disc
}

// Prices are in one currency; nil is not known.
type Prices struct {
	Currency string
	Hour     *float64 // of the machine with its people
	Water    *float64 // a cubic metre
	Power    *float64 // a kilowatt-hour
}

// Line tells whether it has several heads in line.
func (m *Machine) Line() bool { return len(m.Heads) > 1 }

// HeadOf is the head that cuts a stage.
func (m *Machine) HeadOf(stage int) Head { return m.Heads[m.Stages[stage].Head] }

// Rim is the speed of the disc's rim, mm/s.
func (s Stage) Rim() float64 { return math.Pi * s.Disc.Diameter * s.Speed / 60 }

// Priced tells whether all that a piece costs on it is known: the hour and the bits. Water and power are added where they are known.
func (m *Machine) Priced() bool {
	for _, s := range m.Stages {
		if s.Disc.Price == nil {
			return false
		}
	}
	return m.Prices.Hour != nil
}

// Tracks is in how many tracks a piece of this width is covered: one where the disc is as wide, otherwise as many as pitches go into the width,
// the outer ones with half a pitch of the disc's middle on the stone.
func (m *Machine) Tracks(stage int, width float64) int {
	if m.Stages[stage].Disc.Diameter >= width {
		return 1
	}
	return int(math.Ceil(width/m.Table.Pitch - 1e-9))
}

// Cut is the greatest width that a disc cuts at once on a piece of this width, mm: half a disc and half a pitch on the first of several tracks.
func (m *Machine) Cut(stage int, width float64) float64 {
	d := m.Stages[stage].Disc.Diameter
	if d >= width {
		return width
	}
	return math.Min(width, (d+m.Table.Pitch)/2)
}
