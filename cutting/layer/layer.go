// Package layer lays the saw's grid over a quarry layer: straight runs through the whole layer, one height each, and cross cuts within each run, where they
// give the most of the wanted blocks between joints, veins, stains and the edges of good ground. It chooses direction, order and every offset, compares with
// blind cutting, gives a bound that no such plan can pass, and says what knowing each uncertain joint would be worth.
//
// It does not split the layer in its thickness (package leaves does), places no pieces within a block (package slab), reads and draws no file, and knows of joints
// only what the survey says. Lengths are in mm in the quarry's own frame: x along the painted base line, y to its left. Angles are in degrees.
package layer

import (
	"fmt"
	"math"

	"slatewright/polygon"
	"slatewright/trouble"
)

// What a question may hold at most.
const (
	mostJoints = 2000
	mostPoints = 20000
	mostSizes  = 8
	mostAngles = 61
	widest     = 1e6           // mm across
	mostGround = 250e3 * 250e3 // mm², of the box around the layer: beyond, the finest cells are too coarse
	mostCorner = 2000
	mostBlocks = 100_000 // of one size, by area
)

// Point is a place in the layer.
type Point struct{ X, Y float64 }

func (p Point) plus(q Point) Point    { return Point{p.X + q.X, p.Y + q.Y} }
func (p Point) times(f float64) Point { return Point{p.X * f, p.Y * f} }

// Joint is a joint or a vein: no block may hold it.
type Joint struct {
	Name   string
	Trace  []Point // at the top of the layer
	Lean   Point   // how far it has moved at the bottom of the layer
	Both   bool    // it may lean either way
	Chance float64 // that it is there
	Error  float64 // standard uncertainty of its place, across itself
	Clear  float64 // kept off to either side
}

// sure tells whether there is nothing to know about the joint.
func (j Joint) sure() bool { return j.Chance >= 1 && j.Error == 0 }

// Area is ground that is not wanted: a stained zone, broken ground.
type Area struct {
	Name  string
	Ring  []Point
	Clear float64
}

// Ground is the layer as it was surveyed.
type Ground struct {
	Outline []Point // the edge of good ground
	Margin  float64 // kept off it
	Areas   []Area
	Joints  []Joint
	Depth   float64 // of the layer
}

// Size is a wanted block, overlength included.
type Size struct {
	Name          string
	Length, Width float64 // along x and along y of the grid
	Value         float64
	Most          int  // 0: as many as there come
	Turn          bool // it may also lie across
}

// Saw is what cuts.
type Saw struct {
	Kerf         float64
	Reach        float64 // the disc's depth of cut; 0: deeper than the layer
	From, To, By float64 // degrees from the base line that grain and saw lines allow
	Runs         Runs    // the way in which the face lets them go
}

// Runs says along which way of the grid the long runs may go.
type Runs string

// The ways.
const (
	Either Runs = ""
	Along  Runs = "along" // the base line, or nearly
	Across Runs = "across"
)

// Question is a layer with what is wanted of it.
type Question struct {
	Ground
	Sizes   []Size
	Saw     Saw
	Samples int     // in which the uncertain joints are drawn, 1 to 64
	Seed    uint64  // of the draws
	Least   float64 // a block is sawn only when its chance to be whole is at least this

	Stop  func() bool           // asked now and then; the best so far is answered when it says so
	Moved func(done, total int) // told how far it is
}

func (q *Question) stopped() bool { return q.Stop != nil && q.Stop() }

// angles are the directions that are tried.
func (s Saw) angles() (list []float64) {
	if s.By == 0 || s.From == s.To {
		return []float64{s.From}
	}
	for i := 0; s.From+float64(i)*s.By <= s.To+1e-9 && i <= mostAngles; i++ {
		list = append(list, s.From+float64(i)*s.By)
	}
	return list
}

func area(ring []Point) float64 { return math.Abs(polygon.Area(ring)) }

func (q *Question) check() error {
	if err := q.Ground.check(); err != nil {
		return err
	}
	if len(q.Sizes) == 0 || len(q.Sizes) > mostSizes {
		return trouble.Data("bad-size", "blocks", fmt.Sprintf("%d sizes of blocks are wanted", len(q.Sizes)), fmt.Sprintf("give 1 to %d", mostSizes))
	}
	for _, s := range q.Sizes {
		if !(s.Length >= 50 && s.Length <= widest && s.Width >= 50 && s.Width <= widest && s.Value > 0 && s.Value <= 1e9) || s.Most < 0 {
			return trouble.Data("bad-size", s.Name, "a block must be at least 50 mm each way, its value above 0 and its number not below 0", "correct it")
		}
		if area(q.Outline) > mostBlocks*s.Length*s.Width {
			return trouble.Data("too-many", s.Name, fmt.Sprintf("more than %d blocks of this size lie in the layer", mostBlocks), "plan a smaller stretch of the layer, or larger blocks")
		}
	}
	s := q.Saw
	if !(s.Kerf >= 0 && s.Kerf <= 500 && s.Reach >= 0 && s.Reach <= widest) {
		return trouble.Data("bad-saw", "saw", "kerf or reach of the saw cannot be", "give both in mm, from 0")
	}
	if !(s.From >= -90 && s.To <= 90 && s.From <= s.To && s.By >= 0) || s.By > 0 && (s.To-s.From)/s.By > mostAngles-1 || s.By == 0 && s.To > s.From {
		return trouble.Data("bad-saw", "directions", fmt.Sprintf("directions from %g to %g by %g degrees cannot be tried", s.From, s.To, s.By), fmt.Sprintf("give at most %d between -90 and 90, such as -3 to 3 by 0.5", mostAngles))
	}
	if s.Runs != Either && s.Runs != Along && s.Runs != Across {
		return trouble.Data("bad-saw", "runs", fmt.Sprintf("runs cannot go %q", s.Runs), "write along or across, or leave it out")
	}
	if q.Samples < 1 || q.Samples > 64 || !(q.Least >= 0 && q.Least <= 1) {
		return trouble.Data("bad-saw", "samples", "the number of draws must be 1 to 64, the least chance 0 to 1", "correct it")
	}
	return nil
}

func (g *Ground) check() error {
	points := len(g.Outline)
	if points < 3 || !inReach(g.Outline) || area(g.Outline) < 1e4 {
		return trouble.Data("bad-outline", "outline", "the outline is no area", "give at least three corners in order, in mm or m within one kilometre")
	}
	if points > mostCorner || crossesItself(g.Outline) {
		return trouble.Data("bad-outline", "outline", "the outline crosses itself, or has too many corners", fmt.Sprintf("give its corners in order, once around, at most %d", mostCorner))
	}
	if f := newFrame(&Ground{Outline: g.Outline}, 0, false); f.w*f.h > mostGround {
		return trouble.Data("too-large", "outline", "the layer is larger than 250 m square", "plan a smaller stretch of the layer")
	}
	if !(g.Depth >= 0 && g.Depth <= 1e5 && g.Margin >= 0 && g.Margin <= 1e5) {
		return trouble.Data("bad-outline", "outline", "the depth of the layer, or what is kept off its edge, cannot be", "give both in mm, from 0")
	}
	if len(g.Joints) > mostJoints {
		return trouble.Data("too-many", "joints", fmt.Sprintf("more than %d cracks", mostJoints), "plan a smaller stretch of the layer")
	}
	for _, j := range g.Joints {
		points += len(j.Trace)
		if len(j.Trace) < 2 || !inReach(append(append([]Point{}, j.Trace...), j.Lean)) || !(j.Chance >= 0 && j.Chance <= 1 && j.Error >= 0 && j.Error <= 1e5 && j.Clear >= 0 && j.Clear <= 1e5) {
			return trouble.Data("bad-joint", j.Name, "the crack has no trace, or its chance, error or clearance cannot be", "give two points or more, a chance from 0 to 1, and lengths in mm")
		}
	}
	for _, a := range g.Areas {
		points += len(a.Ring)
		if len(a.Ring) < 3 || !inReach(a.Ring) || !(a.Clear >= 0 && a.Clear <= 1e5) {
			return trouble.Data("bad-area", a.Name, "the zone is no area, or its clearance cannot be", "give at least three corners in order")
		}
	}
	if points > mostPoints {
		return trouble.Data("too-many", "points", fmt.Sprintf("more than %d points", mostPoints), "draw the lines with fewer points")
	}
	return nil
}

func crossesItself(ring []Point) bool {
	_, _, found := polygon.Crossing(ring)
	return found
}

func inReach(points []Point) bool {
	for _, p := range points {
		if !(math.Abs(p.X) <= widest && math.Abs(p.Y) <= widest) {
			return false
		}
	}
	return true
}
