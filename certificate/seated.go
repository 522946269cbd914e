package certificate

import (
	"slatewright/bed"
	"slatewright/face"
	"slatewright/flatness"
	"slatewright/seating"
)

// seated seals how the pieces lie.
func (s *sealer) seated(r seating.Result) Seating {
	out := Seating{
		Feasible: r.Feasible, Zone: s.mm(r.Zone), ZoneBound: s.mm(r.ZoneBound), StepBound: s.mm(r.StepBound),
		Lengthwise: s.line(r.Lengthwise), Across: s.line(r.Across), Tried: r.Tried,
	}
	for _, j := range r.Joints {
		joint := Joint{Largest: s.mm(j.Largest), Measured: j.Measured}
		for i := range j.Y {
			joint.Stations = append(joint.Stations, s.pair(j.Y[i], j.Step[i]))
		}
		out.Joints = append(out.Joints, joint)
	}
	for _, c := range r.Contacts {
		out.Contacts = append(out.Contacts, Contact{Place: c.Place, Upper: c.Upper, Point: [3]Length{s.mm(c.X), s.mm(c.Y), s.mm(c.Z)}})
	}
	return out
}

func (s *sealer) line(c flatness.Course) Line {
	out := Line{Value: s.mm(c.Value), At: s.mm(c.At), Lines: c.Lines, Short: c.Short, Cells: c.Cells}
	for i, p := range c.Contacts {
		out.Contacts[i] = [3]Length{s.mm(p[0]), s.mm(p[1]), s.mm(p[2])}
	}
	return out
}

// shims seals the shim card.
func (s *sealer) shims(r seating.Result) ShimCard {
	card := ShimCard{NotGiven: r.NoShims}
	for _, shim := range r.Shims {
		card.Shims = append(card.Shims, Shim{Place: shim.Place, At: s.pair(shim.X, shim.Y), Height: s.mm(shim.Height), Pack: s.list(shim.Pack.Shims)})
	}
	if f := r.Rounded; f != nil {
		card.Rounded = &Rounded{Zone: s.mm(f.Zone), Steps: s.pair(f.Steps[0], f.Steps[1]), Lengthwise: s.mm(f.Lengthwise), Across: s.mm(f.Across)}
	}
	return card
}

// levels seals what the mechanic's levels should read.
func (s *sealer) levels(r seating.Result, spec bed.Spec) List[Level] {
	var out List[Level]
	for _, l := range r.Levels {
		level := Level{Place: l.Place, At: s.pair(l.X, l.Y), Along: l.Along, Base: s.mm(l.Foot), Slope: s.slope(l.Slope)}
		for _, of := range spec.Levels {
			level.Divisions = append(level.Divisions, Division{Division: of.Division, Reading: s.amount(of.Divisions(l.Slope))})
		}
		out = append(out, level)
	}
	return out
}

// piece seals one piece as measured and as it lies.
func (s *sealer) piece(p seating.Seated, f *face.Face, spec bed.Spec) Piece {
	out := Piece{
		Place: p.Place, Reading: p.Index, Piece: f.Piece, Turned: p.Turned,
		Height: s.mm(p.Height), TiltX: s.slope(p.TiltX), TiltY: s.slope(p.TiltY),
		Points: f.Len(), Instrument: f.Instrument, U: s.mm(f.U), Support: f.Support.Kind.String(), SupportText: f.Support.Text,
		DrySince: f.DrySince, Date: f.Date,
		TempTop: s.maybe(f.TempTop), TempBottom: s.maybe(f.TempBottom), TempEach: f.TempTop != nil && f.TempBottom != nil && !f.OneTemp,
	}
	if n := len(f.Thickness); n > 0 {
		least, sum := f.Thickness[0].T, 0.0
		for _, t := range f.Thickness {
			least = min(least, t.T)
			sum += t.T
		}
		mean := sum / float64(n)
		low, middle, mass := s.mm(least), s.mm(mean), s.amount(spec.PieceMass(mean, spec.Lining))
		out.Thickness, out.Mass = Thickness{Points: n, Least: &low, Mean: &middle}, &mass
	}
	return out
}

// maybe seals a temperature that may not have been given.
func (s *sealer) maybe(celsius *float64) *Amount {
	if celsius == nil {
		return nil
	}
	a := s.amount(*celsius)
	return &a
}
