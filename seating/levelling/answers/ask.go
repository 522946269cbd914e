// Package answers is what the question "how is this bed laid on its frame?" is answered with. The command line and the pages give the
// same answer with the same keys.
//
// It takes gravity off the faces as they were read, makes plates of them, and says how far the answer hangs on what is not known of
// the stone. It reads no file and prints nothing for people; the computing is that of packages plate and levelling.
package answers

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/plate"
	"slatewright/seating"
	"slatewright/seating/levelling"
	"slatewright/stone"
	"slatewright/trouble"
)

// Test is the load of the tournament text: 200 lb in the middle of the bed may sink it by 0.030 in at most. It is laid on a square
// of 100 mm here.
const (
	TestKG    = 90.7
	TestLimit = 0.762 // mm
	testSide  = 100.0 // mm
	gravity   = 9.80665
)

// Ask is the question.
type Ask struct {
	Faces  [3]*face.Face // head, centre, foot
	Turned [3]bool
	Spec   bed.Spec
	Stone  stone.Stone
	Frame  *levelling.Frame // assumed in place of the supports of the specification; nil: those
	Pull   float64          // of each screw, N
	Give   float64          // of the frame at each support, mm/N
	Uneven [3][]float64     // how high the frame stands under each support; nil: it is true
	Look   [3][]plate.Point
}

// factor is by how much the stress in the stone is to stay below its strength (common practice for natural stone in bending, no source).
const factor = 4.0

// mesh is how many cells the longer side of a piece is cut into: on a nine-foot piece over points they leave less than 0.5 µm.
const mesh = 32

// Answer lays the bed. Errors are *trouble.Trouble.
func (a Ask) Answer() (*Bed, error) {
	if err := a.Stone.Check(); err != nil {
		return nil, err
	}
	a.Spec.Supports = a.supports()
	q, r, err := a.Laid()
	if err != nil {
		return nil, err
	}
	b := report(a, q, r)
	if a.Frame != nil {
		b.warn("the frame is assumed: " + a.Frame.Words + "; measure where the real one carries before shims are cut")
	}
	return b, b.spread(a, q, r)
}

// Laid lays the bed on the supports of the specification, for the stone's mean modulus alone: what the answer says of the bed, without the range.
func (a Ask) Laid() (q levelling.Question, r levelling.Result, err error) {
	if q, err = a.question((a.Stone.Along + a.Stone.Across) / 2); err == nil {
		r, err = levelling.Level(q)
	}
	return q, r, err
}

// question makes plates and free faces for a modulus; one that the stone does not have scales both of its own.
func (a Ask) question(modulus float64) (levelling.Question, error) {
	q := levelling.Question{Spec: a.Spec, Pull: a.Pull, Give: a.Give, Frame: a.Uneven, Look: a.Look, Factor: factor,
		Test: &plate.Load{N: TestKG * gravity, SideX: testSide, SideY: testSide}}
	q.Strength = min(positive(a.Stone.Strength[0]), positive(a.Stone.Strength[1]))
	var free [3]*face.Face
	for k, f := range a.Faces {
		if f == nil {
			return q, trouble.Usage("no-file", "level-bed", "three faces are needed", "name the head, centre and foot files")
		}
		c, err := f.Centred()
		if err != nil {
			return q, err
		}
		p := a.piece(c, modulus)
		if free[k], err = freed(c, p); err != nil {
			return q, err
		}
		if q.Plates[k], err = plate.New(p, math.Max(p.Outline.X, p.Outline.Y)/mesh*(1+1e-9)); err != nil {
			return q, err
		}
	}
	var err error
	q.Layout, err = seating.Lay(free, a.Spec, a.Turned)
	return q, err
}

// positive leaves out what is not known.
func positive(strength float64) float64 {
	across, along := stone.LeastStrength()
	if strength <= 0 {
		return min(across, along)
	}
	return strength
}

// piece is a plate of the face's size and mean thickness. A lining counts by its weight only: how it is laid is not in the specification.
func (a Ask) piece(f *face.Face, modulus float64) plate.Piece {
	t := a.Spec.ThicknessMin
	if n := len(f.Thickness); n > 0 {
		t = 0
		for _, c := range f.Thickness {
			t += c.T / float64(n)
		}
	}
	e := plate.Elastic{Along: a.Stone.Along, Across: a.Stone.Across, Poisson: a.Stone.Poisson, Grain: math.Pi / 2}
	scale := modulus / ((a.Stone.Along + a.Stone.Across) / 2)
	e.Along, e.Across = e.Along*scale, e.Across*scale
	return plate.Piece{Outline: plate.Rectangle(f.SizeX, f.SizeY), Thickness: plate.Even(t), Elastic: e,
		Density: a.Stone.Density + a.Spec.LiningDensity*a.Spec.Lining/t}
}

// freed is the face with what its weight did to it on its support taken away. A bench that carries everywhere presses a piece
// flatter than it is by what nobody can tell from its playing face alone, so there the face stays as it was read.
func freed(f *face.Face, p plate.Piece) (*face.Face, error) {
	u := plate.Under{}
	s := f.Support
	switch s.Kind {
	case face.SupportLines:
		for _, l := range s.Lines {
			u.Lines = append(u.Lines, plate.Line{Axis: l.Axis, At: l.At})
		}
	case face.SupportPoints:
		for _, at := range s.Points {
			u.Points = append(u.Points, plate.Support{X: at[0], Y: at[1]})
		}
	}
	c := *f
	c.Warnings = append([]string{}, f.Warnings...)
	if len(u.Lines)+len(u.Points) == 0 {
		if s.Kind == face.SupportBench {
			c.Warnings = append(c.Warnings, fmt.Sprintf("%s: read flat on a bench: what the piece's own weight pressed out there is not known and counts as nothing", f.Name))
		} else {
			c.Warnings = append(c.Warnings, fmt.Sprintf("%s: how it was held is not said, so gravity was not taken off: write it as '# support: lines 0.22'", f.Name))
		}
		return &c, nil
	}
	b, err := plate.Bend(p, u, 0)
	if err != nil {
		return nil, err
	}
	c.Z = append([]float64{}, f.Z...)
	for i := range c.Z {
		c.Z[i] -= b.Height(plate.Point{X: f.X[i], Y: f.Y[i]})
	}
	return &c, nil
}
