// Package answers is what questions about a clean-up are answered with: how much off which face of a slab, one thickness for a set, and which thicknesses the
// slabs of a stock can still give. The command line and the pages give the same answer with the same keys.
//
// It finds no planes of its own, package cleanup does, and bends no stone, package plate does. It reads no file and prints nothing for people.
package answers

import (
	"fmt"
	"math"

	"slatewright/face"
	"slatewright/surfacing/cleanup"
	"slatewright/trouble"
)

// Question is one slab, and what is asked of it. Lengths are mm.
type Question struct {
	Name        string
	Top, Bottom *face.Face // as read; one of them may be nil, then the other's calipers tell of it
	Limits      cleanup.Limits
	UCaliper    float64  // standard uncertainty of a caliper reading
	UDepth      float64  // of what the machine takes
	Modulus     float64  // of the stone, MPa
	UModulus    float64  // its standard uncertainty, a share
	AsRead      bool     // take no gravity off
	Unseen      *float64 // one face: what the other may take off between its caliper places; nil: twice what they hide of the read one
}

// Usual are the uncertainties and the stone where nobody says others: a workshop caliper, and slate that was not tested.
func Usual() Question {
	return Question{UCaliper: 0.02, UDepth: 0.02, Modulus: 48000, UModulus: 0.2}
}

// Check refuses what no slab can be asked.
func (q Question) Check() error {
	l := q.Limits
	for _, v := range []float64{l.Finish, l.Least, l.Reserve, l.LightPass, l.DamageTop, l.DamageBottom, l.Movement, q.UCaliper, q.UDepth, q.UModulus} {
		if !(v >= 0 && v < 1000) {
			return trouble.Usage("bad-length", "slatewright cleanup", fmt.Sprintf("%g is not a length of 0 or more", v), "give lengths such as 0.2mm")
		}
	}
	if !(q.Modulus > 0) || q.UModulus >= 1 || q.Unseen != nil && !(*q.Unseen >= 0) {
		return trouble.Usage("bad-stone", "slatewright cleanup", "the modulus or its doubt is out of reach", "give a modulus such as 48GPa, and its doubt as a share below 1")
	}
	if l.Reserve > 0 && l.Least == 0 {
		return trouble.Usage("no-least", "slatewright cleanup", "a reserve is kept above the least thickness, and that is not given", "give --least too")
	}
	return nil
}

// slab is a slab in the piece frame, on its way to an answer.
type slab struct {
	q        Question
	r        *Slab
	body     cleanup.Slab
	calipers []cleanup.Caliper
	tied     *cleanup.Tied
	known    [2]bool // the face was read
	freed    [2]*freed
	passes   int
}

// Of answers for one slab. Errors are *trouble.Trouble: what package cleanup refuses; no-faces; wrong-face; not-tied where nothing lays the
// two maps over each other; half-zero where one of two zeros is missing.
func Of(q Question) (*Slab, error) {
	if err := q.Check(); err != nil {
		return nil, err
	}
	s := &slab{q: q, r: &Slab{Name: q.Name, Warnings: []string{}}}
	if err := s.take(); err != nil {
		return nil, err
	}
	if err := s.tie(); err != nil {
		return nil, err
	}
	s.body.U = s.u()
	p, err := cleanup.Thickest(s.body)
	if err != nil {
		return nil, err
	}
	low, high := p.Interval(s.doubt())
	s.passes += p.Passes
	low -= s.unseen(p)
	s.r.planes, s.r.plan = p, q.Limits.Plan(p, low, high)
	s.report(low, high)
	return s.r, nil
}

// take turns the faces into the piece frame and takes gravity off.
func (s *slab) take() error {
	for side, f := range []*face.Face{s.q.Top, s.q.Bottom} {
		if f == nil {
			continue
		}
		want := []face.Side{face.Top, face.Bottom}[side]
		if f.Side != face.SideUnknown && f.Side != want {
			return trouble.Data("wrong-face", f.Name, fmt.Sprintf("the file says that it is the %s, and it is given as the %s", f.Side, want), "give the top first and the bottom second, or correct the line '# face:'")
		}
		c, err := f.Centred()
		if err != nil {
			return err
		}
		s.known[side] = true
		s.takeCalipers(c, side)
		if s.freed[side], err = s.free(c, side); err != nil {
			return err
		}
		p := s.turned(c, side)
		if side == 0 {
			s.body.Top, s.r.Top = p, s.faceOf(c, side)
		} else {
			s.body.Bottom, s.r.Bottom = p, s.faceOf(c, side)
		}
		s.r.Warnings = append(s.r.Warnings, f.Warnings...)
	}
	if s.q.Top == nil && s.q.Bottom == nil {
		return trouble.Usage("no-faces", "slatewright cleanup", "no face is given", "name the file of the top, and that of the bottom")
	}
	if s.q.Top != nil && s.q.Bottom != nil {
		a, b := s.q.Top, s.q.Bottom
		if a.SizeX > 0 && b.SizeX > 0 && (a.SizeX != b.SizeX || a.SizeY != b.SizeY) {
			return trouble.Data("two-sizes", b.Name, fmt.Sprintf("it is a slab of %g x %g mm, and %s one of %g x %g mm", b.SizeX, b.SizeY, a.Name, a.SizeX, a.SizeY), "give both faces of one slab")
		}
	}
	s.passes++
	return nil
}

// sign is −1 for a face that was read turned over about y: its x and its z are the piece's with the other sign.
func sign(f *face.Face, side int) float64 {
	if side == 1 && !f.InPiece {
		return -1
	}
	return 1
}

// turned is the face in the piece frame, less gravity, its own zero put in.
func (s *slab) turned(f *face.Face, side int) cleanup.Points {
	n := f.Len()
	k := sign(f, side)
	g := s.freed[side]
	zero := 0.0
	if f.Zero != nil && !f.InPiece {
		zero = *f.Zero
	}
	if k == 1 && g == nil && zero == 0 {
		return cleanup.Points{X: f.X, Y: f.Y, Z: f.Z}
	}
	p := cleanup.Points{X: f.X, Y: f.Y, Z: make([]float64, n)}
	if k < 0 {
		p.X = make([]float64, n)
	}
	each(n, func(i int) {
		z := f.Z[i] + zero
		if g != nil {
			z -= g.down(f.X[i], f.Y[i])
		}
		p.Z[i] = k * z
		if k < 0 {
			p.X[i] = -f.X[i]
		}
	})
	return p
}

// takeCalipers adds the thicknesses of a file, each once.
func (s *slab) takeCalipers(f *face.Face, side int) {
	k := sign(f, side)
	for _, t := range f.Thickness {
		c := cleanup.Caliper{X: k * t.X, Y: t.Y, T: t.T}
		twice := false
		for _, d := range s.calipers {
			twice = twice || math.Abs(c.X-d.X)+math.Abs(c.Y-d.Y) < 1e-6 && c.T == d.T
		}
		if !twice {
			s.calipers = append(s.calipers, c)
		}
	}
}
