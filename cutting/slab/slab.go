// Package slab is what is known of a slab that is to be cut, and of a plan of its cuts: an outline that is no rectangle, cracks, veins, stains, thin places,
// pieces that may lie only some ways round, and parts of pieces that are cut away later and so may hide a flaw. The saw cuts from edge to edge, at right
// angles, in a frame that is turned once for the whole slab to one of the angles that it can set.
//
// It checks what can be worked with and turns frames. It finds no plan and judges none: slab/ground works out where pieces may stand, slab/search finds
// plans and their bound, slab/check holds a plan against the slab by other means.
package slab

import (
	"fmt"
	"math"

	"slatewright/polygon"
	"slatewright/trouble"
)

// Point is a place on the slab in mm.
type Point struct{ X, Y float64 }

// Face says on which face of the slab something shows.
type Face int

// The faces. Top is the one that lies up as drawn.
const (
	Through Face = iota // on both, or within
	Top
	Bottom
)

// Flaw is a crack, a vein, a stain or a hole.
type Flaw struct {
	Name      string
	Points    []Point // of a line, or the corners of an area
	Area      bool
	Clearance float64 // how far a piece stays away, mm
	Face      Face
	Playing   bool // it is forbidden on a playing face only; otherwise in any piece
}

// Zone is a part of a piece that is cut away later: a convex polygon, or a circle. It is given in the frame of the finished piece as drawn:
// origin in its lower left corner, x along its length.
type Zone struct {
	Corners []Point
	Centre  Point
	Radius  float64 // 0: a polygon
}

// Shown says which face of the slab the piece may play on.
type Shown int

// The ways.
const (
	PlaysTop    Shown = iota // its playing face is the slab's top
	PlaysBottom              // it is turned over
	PlaysEither
	PlaysNone // it has no playing face
)

// Type is a kind of piece that is wanted.
type Type struct {
	Name          string
	Place         string // head, centre or foot; empty: any
	Length, Width float64
	Allowance     float64 // on every side, mm
	Thickness     float64 // rough thickness at least, mm; 0: any
	Value         int64   // of one piece, in ten-thousandths of the unit
	Most          int     // pieces at most; negative: no limit
	Quarters      [4]bool // quarter turns, anticlockwise, in which it may lie in the frame
	Grain         Grain
	GrainWithin   float64 // how far its length may stray from that, degrees
	Shown         Shown
	Zones         []Zone
}

// Grain says how a piece lies to the grain.
type Grain int

// The ways.
const (
	AnyGrain Grain = iota
	AlongGrain
	AcrossGrain
)

// Thickness is a map of readings at the crossings of lines; between them the least of the four around counts, outside the nearest.
type Thickness struct {
	X, Y []float64   // ascending, mm
	T    [][]float64 // T[j][i] at X[i], Y[j]
}

// Slab is what lies on the saw and what is wanted from it.
type Slab struct {
	Name      string
	Outline   []Point
	Flaws     []Flaw
	Thickness *Thickness
	Grain     *float64 // direction of the grain, degrees from x; nil: unknown
	Kerf      float64
	Angles    []float64 // degrees that the frame can be turned to; the first is tried first
	Types     []Type
	Unread    []string // what its file has and nobody read, in words
}

// Limits of what is worked with.
const (
	mostCorners = 2000
	mostFlaws   = 400
	mostTypes   = 60
	mostAngles  = 60
	mostSize    = 20_000.0 // mm
	mostReach   = 1e6
	mostPieces  = 100_000 // of one kind, by area
	MostValue   = int64(1) << 40
)

// Unit is what one of value is in a Type.
const Unit = 10_000

func fault(where, what, next string) error { return trouble.Data("no-slab", where, what, next) }

// Check tells what of a slab cannot be worked with, as *trouble.Trouble.
func (s *Slab) Check() error {
	if err := area("outline", s.Outline); err != nil {
		return err
	}
	b := Around(s.Outline)
	switch {
	case b.X2-b.X1 > mostSize || b.Y2-b.Y1 > mostSize:
		return fault("outline", fmt.Sprintf("the slab is larger than %g m", mostSize/1000), "check that its corners are in mm")
	case !(s.Kerf >= 0 && s.Kerf <= 100):
		return fault("kerf_mm", fmt.Sprintf("a kerf of %g mm", s.Kerf), "give what the saw takes, between 0 and 100 mm")
	case len(s.Flaws) > mostFlaws:
		return fault("flaws", fmt.Sprintf("%d flaws; at most %d are worked with", len(s.Flaws), mostFlaws), "leave out those outside the good ground")
	case len(s.Angles) == 0 || len(s.Angles) > mostAngles:
		return fault("angles_deg", fmt.Sprintf("%d angles; between 1 and %d are worked with", len(s.Angles), mostAngles), "list the angles that the saw can set")
	case s.Grain != nil && !(math.Abs(*s.Grain) <= 360):
		return fault("grain_deg", "the direction of the grain is no angle", "give degrees from the x axis")
	}
	for _, a := range s.Angles {
		if !(math.Abs(a) <= 360) {
			return fault("angles_deg", fmt.Sprintf("%g is no angle that a saw can be set to", a), "give degrees between -360 and 360")
		}
	}
	for i, f := range s.Flaws {
		if err := f.check(fmt.Sprintf("flaws[%d]", i)); err != nil {
			return err
		}
	}
	if s.Thickness != nil {
		if err := s.Thickness.check(); err != nil {
			return err
		}
	}
	return s.checkTypes()
}

func (s *Slab) checkTypes() error {
	if len(s.Types) == 0 || len(s.Types) > mostTypes {
		return fault("pieces", fmt.Sprintf("%d kinds of pieces; between 1 and %d are worked with", len(s.Types), mostTypes), "list the kinds that are wanted from this slab")
	}
	for i, t := range s.Types {
		where := fmt.Sprintf("pieces[%d]", i)
		switch {
		case !(t.Length >= 1 && t.Length <= mostSize && t.Width >= 1 && t.Width <= mostSize):
			return fault(where, fmt.Sprintf("a piece of %g x %g mm", t.Length, t.Width), fmt.Sprintf("give its finished size, between 1 and %g mm", mostSize))
		case !(t.Allowance >= 0 && t.Allowance <= 1000):
			return fault(where, fmt.Sprintf("an allowance of %g mm", t.Allowance), "give what is added on every side, between 0 and 1000 mm")
		case !(t.Thickness >= 0 && t.Thickness <= 10_000):
			return fault(where, fmt.Sprintf("a least thickness of %g mm", t.Thickness), "give the rough thickness that is needed, in mm")
		case t.Value < 0 || t.Value > MostValue:
			return fault(where, "its value is negative or too large", "give what one piece is worth, 0 or more")
		case t.Quarters == [4]bool{}:
			return fault(where, "it may lie no way round", "list at least one turn")
		case t.Grain != AnyGrain && s.Grain == nil:
			return fault(where, "it lies by the grain, and the slab has no direction of grain", "give the slab's grain, or leave the piece's out")
		case !(t.GrainWithin >= 0 && t.GrainWithin <= 90):
			return fault(where, fmt.Sprintf("it may stray %g degrees from the grain", t.GrainWithin), "give between 0 and 90 degrees")
		}
		if n := math.Abs(polygon.Area(s.Outline)) / (t.Length * t.Width); n > mostPieces && (t.Most < 0 || t.Most > mostPieces) {
			return fault(where, fmt.Sprintf("more than %d pieces may fit", mostPieces), "limit how many are wanted, or leave the kind out")
		}
		for k, z := range t.Zones {
			if err := z.check(fmt.Sprintf("%s.cut_away[%d]", where, k)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f Flaw) check(where string) error {
	if !(f.Clearance >= 0 && f.Clearance <= 2000) {
		return fault(where, fmt.Sprintf("a clearance of %g mm", f.Clearance), "give how far a piece stays away, between 0 and 2000 mm")
	}
	if f.Area {
		return area(where, f.Points)
	}
	if len(f.Points) == 0 || len(f.Points) > mostCorners {
		return fault(where, fmt.Sprintf("a line of %d points", len(f.Points)), fmt.Sprintf("give between 1 and %d", mostCorners))
	}
	return finite(where, f.Points)
}

func finite(where string, points []Point) error {
	for _, p := range points {
		if !(math.Abs(p.X) <= mostReach && math.Abs(p.Y) <= mostReach) {
			return fault(where, fmt.Sprintf("a point at %g, %g mm", p.X, p.Y), "check the number and its unit")
		}
	}
	return nil
}

// area checks the corners of one: at least three, on no line, no edge crossing another.
func area(where string, c []Point) error {
	if len(c) < 3 || len(c) > mostCorners {
		return fault(where, fmt.Sprintf("an area with %d corners", len(c)), fmt.Sprintf("give between 3 and %d", mostCorners))
	}
	if err := finite(where, c); err != nil {
		return err
	}
	if i, k, found := polygon.Crossing(c); found {
		return fault(where, fmt.Sprintf("the edge after corner %d crosses the one after corner %d", i+1, k+1), "give the corners in their order around it")
	}
	if math.Abs(polygon.Area(c)) < 1 {
		return fault(where, "its corners enclose no area", "give them in their order around it, in mm")
	}
	return nil
}

func (z Zone) check(where string) error {
	if z.Radius > 0 {
		if !(z.Radius <= mostSize) {
			return fault(where, "its radius is too large", "give it in mm")
		}
		return finite(where, []Point{z.Centre})
	}
	if z.Radius < 0 || math.IsNaN(z.Radius) {
		return fault(where, "its radius is negative", "give a radius in mm, or corners")
	}
	if err := area(where, z.Corners); err != nil {
		return err
	}
	if !polygon.Convex(z.Corners) {
		return fault(where, "it has a corner that points inward", "give it as several convex parts")
	}
	return nil
}

func (t *Thickness) check() error {
	rising := func(x []float64) bool {
		for i, v := range x {
			if !(math.Abs(v) <= mostReach) || i > 0 && v <= x[i-1] {
				return false
			}
		}
		return true
	}
	bad := fault("thickness", "the map of thickness is no grid", "give x_mm and y_mm ascending, and a row of readings for each y")
	if len(t.X) == 0 || len(t.Y) == 0 || len(t.X)*len(t.Y) > 10_000 || len(t.T) != len(t.Y) || !rising(t.X) || !rising(t.Y) {
		return bad
	}
	for _, row := range t.T {
		if len(row) != len(t.X) {
			return bad
		}
		for _, v := range row {
			if !(v >= 0 && v <= 10_000) {
				return bad
			}
		}
	}
	return nil
}

// Touch is how far shapes may overlap by rounding, mm.
const Touch = 1e-6

// Rough is the size of a type with its allowance, up to the grid.
func (t Type) Rough() (length, width int) {
	up := func(x float64) int { return int(math.Ceil(x + 2*t.Allowance - Touch)) }
	return up(t.Length), up(t.Width)
}

// Lies tells whether a type may lie with its length in a direction.
func (s *Slab) Lies(t Type, degrees float64) bool {
	if t.Grain == AnyGrain {
		return true
	}
	want := *s.Grain
	if t.Grain == AcrossGrain {
		want += 90
	}
	off := math.Mod(math.Abs(degrees-want), 180)
	return math.Min(off, 180-off) <= t.GrainWithin+1e-9
}
