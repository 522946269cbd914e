// Package seating lays three measured pieces together as one bed: rigid pieces, each with a height and two tilts.
//
// [Seat] finds the moves with which the bed is flattest while the steps over both joints stay within a limit, or those with
// which the steps are smallest while the bed stays within a zone. The optimum is seldom one point, so the moves are the
// last of a list of wishes, each kept to within 1e-9 mm while the next is asked:
//
//	the zone of the whole bed (or the larger step), the larger step (or the zone), the smaller step,
//	the least sum of squared moves of the twelve corners.
//
// Every wish is one linear program of at most ten unknowns (package lowlp), the last one a least distance; the zone, or the
// step, comes with a proven bound. Which pieces may be turned by half a turn, and whether they may change places, is tried
// in full.
//
// The package does not bend stone: gravity, frames that are not true, screws and contact are for elastic levelling. It
// reads no files, judges nothing and knows no doubt of the readings.
//
// It lies on the sealing path: + − × ÷ √ and comparison only, products never fused, sums in a stated order.
package seating

import (
	"slatewright/bed"
	"slatewright/face"
	"slatewright/flatness"
)

// Hold is how much each wish may give up for the next ones, mm.
const Hold = 1e-9

// MaxTilt is the largest tilt of a map, mm per mm, for which moving it by height and tilts is still turning it: at 5 mm/m
// heights along the normal and along z differ by 1.25e-5 of themselves.
const MaxTilt = 0.005

// Question asks how three pieces lie best together.
type Question struct {
	// Faces are the measured top faces, in the order head, centre, foot unless AnyPlace. Each must say its size.
	Faces [3]*face.Face
	// Spec gives the edge band, the joints' rules, supports and shims. Its limits are not used here.
	Spec bed.Spec
	// MaxStep is the largest step allowed at any station of a joint, mm; the smallest zone is sought. Used if MaxZone is 0.
	MaxStep float64
	// MaxZone is the largest zone allowed, mm; the smallest larger step is sought. 0: the other question.
	MaxZone float64
	// AnyPlace lets the pieces change places.
	AnyPlace bool
}

// Seated is one piece as it lies in the bed. Height + TiltX·x + TiltY·y in the turned piece's frame is added to its z.
type Seated struct {
	Place  bed.Place
	Index  int  // which of Question.Faces
	Turned bool // by half a turn about z
	Height float64
	TiltX  float64 // mm per mm
	TiltY  float64
}

// Joint is one joint of the seated bed. A step is the height of the foot-side piece less that of the head-side piece: with
// a positive one the foot-side piece stands proud.
type Joint struct {
	Y        []float64 // stations, bed frame, ascending
	Step     []float64 // signed, mm
	Largest  float64   // largest |Step|
	Measured [2]bool   // head-side and foot-side profile read at the edge by the joint's rules, else reached by extrapolation
	Covered  bool      // the stations reach from end to end of the joint, without a wide gap
}

// Contact is a reading that touches one of the two planes of the bed's zone.
type Contact struct {
	Place   bed.Place
	X, Y, Z float64 // bed frame, seated
	Upper   bool
}

// Result is how the pieces lie.
type Result struct {
	Feasible   bool    // whether the limit asked for can be met; if not, the pieces lie as near to it as they can
	Zone       float64 // of the whole bed inside the edge band, mm
	ZoneBound  float64 // proven, where the zone came first: no moves in these places and turns give less under the step limit; else 0
	StepBound  float64 // the same for the larger step, where it came first (with MaxZone, or when MaxStep cannot be met); else 0
	Proven     bool    // whether the bound could be proven for every move that pieces of slate can make
	Joints     [2]Joint
	Lengthwise flatness.Course
	Across     flatness.Course
	Pieces     [3]Seated // head, centre, foot
	Contacts   []Contact
	Shims      []Shim
	NoShims    string   // why no shim heights are given; empty when they are
	Rounded    *Figures // the bed on packs of shims that exist (rigid pieces, true frame); Zone is then the minimum zone
	Levels     []LevelReading
	Tried      int // arrangements tried
	Warnings   []string
}

// Shim is a starting pack under one support, for a true frame.
type Shim struct {
	Place  bed.Place
	X, Y   float64 // piece frame of the piece as it lies (turned), mm
	Height float64 // what the seated piece asks for, mm above the lowest support
	Pack   bed.Pack
}

// Figures are the numbers of a seated bed that are judged, mm.
type Figures struct {
	Zone       float64 // of the whole bed as it lies: highest less lowest reading
	Lengthwise float64
	Across     float64
	Steps      [2]float64 // largest at each joint
}

// LevelReading is what a level should read at a marked place of the seated bed.
type LevelReading struct {
	Place bed.Place
	X, Y  float64 // middle of the level, bed frame
	Along bool    // level lies along the table (x), else across (y)
	Foot  float64 // length of the level's base, mm
	Slope float64 // rise per mm towards +x or +y
}
