// Package answers is what questions about work that was done are answered with: what came off, what the bits paid, how far the machine yielded, and what
// its file learns. The command line and the pages give the same answer with the same keys.
//
// It computes nothing of its own: packages removal, worked and belief do, and plate bends the stone. It opens no file, knows no day of today, and prints
// nothing for people.
package answers

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/face"
	"slatewright/stone"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked"
	"slatewright/surfacing/worked/joblist"
	"slatewright/surfacing/worked/removal"
	"slatewright/trouble"
)

// Question is what is known of the work. Lengths are mm.
type Question struct {
	Before, After *face.Face
	List          *joblist.List    // nil: what came off is all that is asked
	Machine       *machine.Machine // needed with a list
	MachineName   string           // of its file, for messages
	MachineText   []byte           // the file as it stands
	Stone         stone.Stone
	UModulus      float64 // standard uncertainty of the stone's modulus, a share
	Accept        string  // why a value far from what was believed is taken all the same; "": it is set aside
}

// UsualUThickness is the standard uncertainty of a caliper thickness where the list does not say it, mm: U = 0.025 mm, k = 2, as a workshop caliper has.
const UsualUThickness = 0.0125

// Of answers. Errors are *trouble.Trouble: two-pieces, two-sides, two-states and what the packages inward refuse.
func Of(q Question) (*Work, error) {
	before, after, err := q.faces()
	if err != nil {
		return nil, err
	}
	w := &Work{Piece: first(after.Piece, before.Piece), Face: side(after, before), Date: after.Date, BeforeFile: before.Name, AfterFile: after.Name, Stages: []Stage{}, Learned: []Lesson{}, Warnings: []string{}}
	w.size = [2]float64{after.SizeX, after.SizeY}
	w.warn(append(slices.Clone(before.Warnings), after.Warnings...)...)
	r := removal.Question{SizeX: after.SizeX, SizeY: after.SizeY, Before: mapOf(before), After: mapOf(after)}
	pairs, left := pairsOf(before, after, q.uThickness())
	for _, text := range left {
		w.warn(text)
	}
	r.Pairs = pairs
	q.tie(w, &r)
	if err := q.gravity(w, before, after, &r); err != nil {
		return nil, err
	}
	r.Bend = q.bend(before, after)
	found, err := removal.Of(r)
	if err != nil {
		return nil, in(after.Name, err)
	}
	if found.Tied && found.Mean.High < 0 {
		return nil, trouble.Data("exchanged", after.Name, fmt.Sprintf("the face is %.3f mm higher after the work than before", -found.Mean.Value), "give the map from before the work first, and look whether thicknesses stand in the right file")
	}
	w.removal(found)
	for _, i := range found.Left {
		w.Tie.LeftOut = append(w.Tie.LeftOut, [2]float64{pairs[i].X, pairs[i].Y})
	}
	if q.List == nil {
		return w, nil
	}
	return w, q.done(w, after, found)
}

// done asks what the work did, and what its machine's file learns.
func (q Question) done(w *Work, after *face.Face, found *removal.Found) error {
	l := q.List
	if l.Date != "" {
		w.Date = l.Date
	}
	w.Piece, w.Face, w.Invented = first(l.Piece, w.Piece), first(l.Face, w.Face), q.Machine.Invented
	w.warn(l.Warnings...)
	job := l.Job
	for _, t := range after.Thickness {
		job.Thickness = append(job.Thickness, removal.Pair{X: t.X, Y: t.Y, Taken: t.T, U: q.uThickness()})
	}
	if z := job.Zero; z != nil && (math.Abs(z[0]) > after.SizeX/2+1 || math.Abs(z[1]) > after.SizeY/2+1) {
		return trouble.Data("zero-off", after.Name, fmt.Sprintf("the disc is said to have been brought to the stone at (%g, %g), which is off the piece", z[0], z[1]), "give '# zero at:' in mm from the middle of the piece, x along the table")
	}
	ask := worked.Question{Machine: q.Machine, Job: job, Removed: found, SizeX: after.SizeX, SizeY: after.SizeY}
	did, err := worked.Of(ask)
	if err != nil {
		return in("the list of passes", err)
	}
	s := &school{q: q, w: w}
	teaches := found.Tied && !did.Foreign
	if teaches {
		// what cutting takes is learnt first: the force hangs on it, and on the force how far the machine yields
		m := *q.Machine
		m.Stages = slices.Clone(m.Stages)
		if s.energies(did, &m) {
			ask.Machine = &m
			if did, err = worked.Of(ask); err != nil {
				return in("the list of passes", err)
			}
		}
	}
	w.work(q, did)
	if teaches {
		s.ratios(did)
		s.stiffness(did)
		return s.write()
	}
	return nil
}

// in gives trouble the name of the file that it is about.
func in(file string, err error) error {
	if t, ok := err.(*trouble.Trouble); ok && (t.Where == "" || !strings.Contains(t.Where, file)) {
		where := file
		if t.Where != "" {
			where += ", " + t.Where
		}
		return trouble.Data(t.Code, where, t.What, t.Next)
	}
	return err
}

func (w *Work) warn(texts ...string) {
	for _, t := range texts {
		if !slices.Contains(w.Warnings, t) {
			w.Warnings = append(w.Warnings, t)
		}
	}
}

func first(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}

func side(faces ...*face.Face) string {
	for _, f := range faces {
		if f.Side != face.SideUnknown {
			return f.Side.String()
		}
	}
	return ""
}

// faces are both maps in the piece's frame; they must be of the same face of the same piece.
func (q Question) faces() (before, after *face.Face, err error) {
	if before, err = q.Before.Centred(); err != nil {
		return nil, nil, err
	}
	if after, err = q.After.Centred(); err != nil {
		return nil, nil, err
	}
	b, a := *before, *after
	switch {
	case b.Piece != "" && a.Piece != "" && !sameMark(b.Piece, a.Piece):
		return nil, nil, trouble.Data("two-pieces", a.Name, fmt.Sprintf("it is of the piece %q, and %s of %q", a.Piece, b.Name, b.Piece), "give both maps of one piece, before and after the work")
	case b.Side != a.Side && b.Side != face.SideUnknown && a.Side != face.SideUnknown:
		return nil, nil, trouble.Data("two-sides", a.Name, fmt.Sprintf("it is of the %s, and %s of the %s", a.Side, b.Name, b.Side), "give both maps of one face")
	case b.InPiece != a.InPiece:
		return nil, nil, trouble.Data("two-frames", a.Name, "one of the maps is in the piece frame ('# frame: piece') and the other as it was read", "give both alike")
	}
	if a.SizeX == 0 {
		a.SizeX, a.SizeY = b.SizeX, b.SizeY
	}
	if b.SizeX == 0 {
		b.SizeX, b.SizeY = a.SizeX, a.SizeY
	}
	if math.Abs(a.SizeX-b.SizeX) > sawn || math.Abs(a.SizeY-b.SizeY) > sawn {
		return nil, nil, trouble.Data("two-sizes", a.Name, fmt.Sprintf("it is %g x %g mm, and %s %g x %g mm", a.SizeX, a.SizeY, b.Name, b.SizeX, b.SizeY), "maps before and after are of the same piece, not cut between them")
	}
	if b.InPiece && b.Side == face.Bottom { // z up, into the stone: turned outward for the reckoning
		b, a = outward(b), outward(a)
	}
	return &b, &a, nil
}

// sawn is by how much two notes of one piece's size may differ, mm.
const sawn = 3

// sameMark tells whether two marks name one piece, remarks behind the first word left aside.
func sameMark(a, b string) bool {
	return strings.EqualFold(mark(a), mark(b))
}

// mark is the first word of what a file calls its piece.
func mark(piece string) string {
	piece, _, _ = strings.Cut(strings.TrimSpace(piece), " ")
	return piece
}

func outward(f face.Face) face.Face {
	z := make([]float64, len(f.Z))
	for i, v := range f.Z {
		z[i] = -v
	}
	f.Z = z
	return f
}

func mapOf(f *face.Face) removal.Map { return removal.Map{X: f.X, Y: f.Y, Z: f.Z, U: f.U} }

func (q Question) uThickness() float64 {
	if q.List != nil && q.List.UThickness > 0 {
		return q.List.UThickness
	}
	return UsualUThickness
}
