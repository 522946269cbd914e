// Package setup says what is to be removed from one piece of a bed while it lies on the machine, once for each face that is worked: every hole, counterbore,
// countersink and cut, as it lies there.
//
// A [Job] is one piece as the pattern has it. [Of] makes the setups: which face is up, what is made from it and how deep, where it breaks out, and the places
// as the machine counts them. With the bottom face up the piece is turned over about its y axis, so that x changes sign.
//
// Both the program and its replay start here, and know nothing of one another. The package knows no tools, words or feeds.
package setup

import (
	"math"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/toolpath"
	"slatewright/trouble"
)

// Unsaid is the tolerance where the pattern says none, mm.
const Unsaid = 0.1

// Bore is a round hole of a job, in the piece frame seen from above.
type Bore struct {
	Name     string
	X, Y     float64
	Diameter float64
	Depth    float64 // 0: through
	From     pattern.Face
	Counter  *pattern.Counter
	pattern.Tolerance
}

// Cut is something cut through the stone along its outline, in the piece frame. It may reach beyond the stone.
type Cut struct {
	Name    string
	Outline shape.Contour
	From    pattern.Face
	pattern.Tolerance
}

// Job is one piece.
type Job struct {
	Pattern, Revision, Piece string
	Stone                    shape.Contour // outline before anything is cut out of it, piece frame, turning left
	Thickness                float64
	Bores                    []Bore
	Cuts                     []Cut
	Left                     []string // what the pattern has and no program makes
}

// Kind says what a target is.
type Kind int

// The kinds of targets.
const (
	Hole Kind = iota // round, with straight walls
	Cone             // a countersink
	Open             // an outline through the stone
)

// Target is one thing to remove, as it lies on the machine: plan in the places of the work, depths down from the face that is up.
type Target struct {
	Name    string
	Kind    Kind
	Outline shape.Contour // at the upper face, turning left
	// Wall are the sides of the outline that lie in the stone, with the target on their left; Rest are the sides of the stone outside the target.
	Wall, Rest []shape.Segment
	Centre     shape.Point // of a round target
	Diameter   float64
	Depth      float64 // that must be reached; for a target through the stone its whole thickness, or what this face's part of it is
	Deepest    float64 // that may be reached; +Inf where there is no floor
	Breaks     float64 // where it comes out into the open; 0: not in this setup
	Angle      float64 // of a cone, degrees
	Under      float64 // diameter of the hole below a cone
	Within     float64 // how far the wall may be from the drawing
	Size       float64 // how far the diameter of a round target may be
	Zone       float64 // diameter of the zone in which the middle of a round target must lie
	DepthBy    float64 // how far the depth may be
}

// Round reports whether the target is a circle.
func (t *Target) Round() bool { return t.Diameter > 0 }

// Floored reports whether the target has a floor.
func (t *Target) Floored() bool { return !math.IsInf(t.Deepest, 1) && t.Kind == Hole }

// Radius is that of the stone removed at a depth from the upper face, 0 below what is removed.
func (t *Target) Radius(depth float64) float64 {
	switch {
	case depth > t.Deepest:
		return 0
	case t.Kind == Cone:
		return math.Max(t.Under/2, t.Diameter/2-depth*math.Tan(t.Angle*math.Pi/360))
	}
	return t.Diameter / 2
}

// Setup is one piece lying on the machine with one face up.
type Setup struct {
	Job       Job
	Up        pattern.Face
	First     bool          // no other face is worked before
	Last      bool          // no other face is worked after
	Stone     shape.Contour // as it lies, in the places of the work
	Thickness float64
	Top       float64 // height of the upper face in the places of the work
	Board     float64 // thickness of the board under the stone that may be cut into; 0: none
	Targets   []Target
}

// Corner is the least place of the stone, as it lies.
func (s *Setup) Corner() shape.Point {
	low, _ := s.Stone.Bounds()
	return low
}

// Of makes the setups of a job on a machine, in the order in which they are worked: the face with fewer holes and cuts through the stone first, so that
// the stone is whole for the turning, and the bottom face where they are alike. The error is a *trouble.Trouble.
func Of(job Job, m *machine.Machine) ([]*Setup, error) {
	if err := check(job, m); err != nil {
		return nil, err
	}
	through := map[pattern.Face]int{}
	works := map[pattern.Face]bool{}
	see := func(f pattern.Face, isThrough bool) {
		works[f] = true
		if isThrough {
			through[f]++
			if m.Break.Way == machine.BothFaces {
				works[pattern.Top], works[pattern.Bottom] = true, true
			}
		}
	}
	for _, b := range job.Bores {
		see(b.From, b.Depth == 0)
		if b.Counter != nil {
			see(b.Counter.From, false)
		}
	}
	for _, c := range job.Cuts {
		see(c.From, true)
	}
	order := []pattern.Face{pattern.Bottom, pattern.Top}
	if through[pattern.Top] < through[pattern.Bottom] && m.Break.Way == machine.OnBoard {
		order = []pattern.Face{pattern.Top, pattern.Bottom}
	}
	var list []*Setup
	for _, f := range order {
		if works[f] {
			list = append(list, &Setup{Job: job, Up: f})
		}
	}
	for i, s := range list {
		s.First, s.Last = i == 0, i == len(list)-1
		s.lay(m)
	}
	return list, nil
}

func check(job Job, m *machine.Machine) error {
	bad := func(where, what, next string) error { return trouble.Data("bad-job", where, what, next) }
	if !(job.Thickness > 0) || len(job.Stone) == 0 || !(job.Stone.Area() > 0) {
		return bad(job.Piece, "the piece has no thickness or no outline", "give both")
	}
	if len(job.Bores)+len(job.Cuts) == 0 {
		return bad(job.Piece, "the piece has no hole and no cut", "name a piece that is drilled or cut")
	}
	for _, b := range job.Bores {
		if !(b.Diameter > 0) || !(b.Depth >= 0) || b.Depth > job.Thickness {
			return bad(b.Name, "its diameter is missing, or it is deeper than the stone", "mend the pattern")
		}
		if c := b.Counter; c != nil && (!(c.Diameter > b.Diameter) || c.Angle == 0 && !(c.Depth > 0 && c.Depth < job.Thickness) || c.Angle < 0 || c.Angle >= math.Pi) {
			return bad(b.Name, "its counterbore or countersink is no wider than the hole, or as deep as the stone", "mend the pattern")
		}
	}
	for _, c := range job.Cuts {
		if err := c.Outline.Check(); err != nil {
			return bad(c.Name, "its outline cannot be cut: "+err.Error(), "mend the pattern")
		}
	}
	if m.Break.Way == machine.BothFaces && m.Break.Overlap >= job.Thickness {
		return bad("breakthrough.overlap", "cuts from both faces pass one another by more than the stone is thick", "give a smaller overlap")
	}
	return nil
}

// lay fills in what is made from the face that is up.
func (s *Setup) lay(m *machine.Machine) {
	s.Thickness = s.Job.Thickness
	if m.ZeroZ == machine.Board {
		s.Top = s.Thickness
	}
	if m.Break.Way == machine.OnBoard {
		s.Board = m.Break.Board
	}
	place := s.placing(m)
	s.Stone = place(s.Job.Stone)
	for _, b := range s.Job.Bores {
		s.bore(b, m, place)
	}
	for _, c := range s.Job.Cuts {
		t := Target{Name: c.Name, Kind: Open, Outline: place(c.Outline), Within: half(2*c.Tolerance.Diameter, c.Position), DepthBy: Unsaid}
		if s.through(&t, c.From, m, 0) {
			s.add(t)
		}
	}
}

// placing turns a contour over where the bottom face is up, and counts its places from the zero of the work.
func (s *Setup) placing(m *machine.Machine) func(shape.Contour) shape.Contour {
	over := func(c shape.Contour) shape.Contour {
		if c.Area() < 0 {
			c = c.Reversed()
		}
		if s.Up == pattern.Bottom {
			return c.Mirrored(true, false)
		}
		return c
	}
	low := shape.Point{}
	if m.ZeroXY == machine.Lower {
		low, _ = over(s.Job.Stone).Bounds()
	}
	return func(c shape.Contour) shape.Contour { return over(c).Moved(0, -low.X, -low.Y) }
}

// half is how far a wall may be off where a diameter and a zone are allowed.
func half(diameter, zone float64) float64 { return (said(diameter) + said(zone)) / 2 }

func said(v float64) float64 {
	if v == 0 {
		return Unsaid
	}
	return v
}

// bore adds the targets of one bore that are made from the face that is up.
func (s *Setup) bore(b Bore, m *machine.Machine, place func(shape.Contour) shape.Contour) {
	round := func(name string, kind Kind, diameter float64) Target {
		c := place(shape.Circle(shape.Point{X: b.X, Y: b.Y}, diameter/2))
		low, high := c.Bounds()
		return Target{Name: name, Kind: kind, Outline: c, Centre: shape.Point{X: (low.X + high.X) / 2, Y: (low.Y + high.Y) / 2}, Diameter: diameter,
			Within: half(b.Tolerance.Diameter, b.Position), Size: said(b.Tolerance.Diameter), Zone: said(b.Position), DepthBy: said(b.Tolerance.Depth)}
	}
	if c := b.Counter; c != nil && c.From == s.Up {
		t := round(b.Name+" counterbore", Hole, c.Diameter)
		t.Depth, t.Deepest, t.Under = c.Depth, c.Depth+t.DepthBy, b.Diameter
		if c.Angle > 0 {
			t = round(b.Name+" countersink", Cone, c.Diameter)
			t.Angle, t.Under = c.Angle*180/math.Pi, b.Diameter
			t.Depth = (c.Diameter - b.Diameter) / 2 / math.Tan(c.Angle/2)
			t.Deepest = math.Inf(1)
			if b.Depth > 0 {
				t.Deepest = b.Depth + t.DepthBy
			}
		}
		s.add(t)
	}
	t := round(b.Name, Hole, b.Diameter)
	if b.Depth > 0 {
		if b.From == s.Up {
			t.Depth, t.Deepest = b.Depth, b.Depth+t.DepthBy
			s.add(t)
		}
		return
	}
	opened := 0.0 // by a counterbore on the other face
	if c := b.Counter; c != nil && c.From != s.Up {
		opened = c.Depth
		if c.Angle > 0 {
			opened = (c.Diameter - b.Diameter) / 2 / math.Tan(c.Angle/2)
		}
	}
	if s.through(&t, b.From, m, opened) {
		s.add(t)
	}
}

// through gives a target through the stone its depths in this setup, and tells whether it is worked here.
func (s *Setup) through(t *Target, from pattern.Face, m *machine.Machine, opened float64) bool {
	t.Deepest = math.Inf(1)
	if m.Break.Way == machine.OnBoard {
		t.Depth, t.Breaks = s.Thickness, s.Thickness-opened
		return from == s.Up
	}
	t.Depth = (s.Thickness + m.Break.Overlap) / 2
	if !s.First {
		t.Breaks = s.Thickness - t.Depth
	}
	if opened > 0 && s.Thickness-opened < t.Depth {
		t.Breaks = s.Thickness - opened
	}
	return true
}

// add works out which sides of the target lie in the stone, and which of the stone outside the target. A target beside the stone is left out.
func (s *Setup) add(t Target) {
	edge, outline := s.Stone.Segments(), t.Outline.Segments()
	var wall []shape.Segment
	for _, side := range outline {
		for _, part := range toolpath.Split(side, edge) {
			if p := part.Along(0.5); s.Stone.Inside(p) && toolpath.From(p, edge) > 1e-6 {
				wall = append(wall, part)
			}
		}
	}
	if len(wall) == 0 {
		return
	}
	for _, side := range edge {
		for _, part := range toolpath.Split(side, outline) {
			if p := part.Along(0.5); !t.Outline.Inside(p) && toolpath.From(p, outline) > 1e-6 {
				t.Rest = append(t.Rest, part)
			}
		}
	}
	for _, p := range toolpath.Chained(wall) {
		t.Wall = append(t.Wall, p...)
	}
	s.Targets = append(s.Targets, t)
}

// Kept are the sides of the stone that stays where only this target is removed.
func (t *Target) Kept() []shape.Segment {
	return append(append([]shape.Segment{}, t.Wall...), t.Rest...)
}
