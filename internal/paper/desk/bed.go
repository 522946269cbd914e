package desk

import (
	"math"

	"slatewright/certificate"
	"slatewright/internal/paper"
	"slatewright/internal/picture/bedmap"
)

// middles are the bed frame's x of the middles of the three places.
func (s *Set) middles() [3]float64 {
	var half [3]float64
	for place, piece := range s.Body.Found.Pieces {
		half[place] = s.faces[piece.Reading].SizeX / 2
	}
	gap := s.Body.Given.Spec.JointGap.Float64()
	return [3]float64{-(half[0] + gap + half[1]), 0, half[1] + gap + half[2]}
}

// Map is the picture of the bed as it was seated, with the steps as measured where the set was laid up.
func (s *Set) Map() bedmap.Map {
	b := s.Body
	m := bedmap.Map{Title: s.words.Say("map.set", "set", b.Set), SizeY: b.Given.Spec.Size[1].Float64(), EdgeBand: b.Given.Spec.EdgeBand.Float64(),
		Zone: b.Found.Seating.Zone.Float64(), StepLimit: b.Given.Spec.Limits.Step.Float64(), Mark: b.Mark, Words: s.words}
	middle := s.middles()
	for place, piece := range b.Found.Pieces {
		m.Pieces[place] = s.pieceMap(piece, middle[place])
		m.SizeX = max(m.SizeX, 2*m.Pieces[place].MaxX)
	}
	for j, joint := range b.Found.Seating.Joints {
		m.Joints[j] = s.jointMap(j, joint, (m.Pieces[j].MaxX+m.Pieces[j+1].MinX)/2)
	}
	for _, c := range b.Found.Seating.Contacts {
		m.Contacts = append(m.Contacts, bedmap.Contact{X: c.Point[0].Float64(), Y: c.Point[1].Float64(), Z: c.Point[2].Float64(), Upper: c.Upper})
	}
	return m
}

// pieceMap is one piece with its readings moved into the bed frame.
func (s *Set) pieceMap(piece certificate.Piece, middle float64) bedmap.Piece {
	f := s.faces[piece.Reading]
	m := bedmap.Piece{Place: piece.Place.String(), Serial: piece.Piece, Turned: piece.Turned, MinX: middle - f.SizeX/2, MaxX: middle + f.SizeX/2}
	sign := 1.0
	if piece.Turned {
		sign = -1
	}
	h, tx, ty := piece.Height.Float64(), piece.TiltX.Float64(), piece.TiltY.Float64()
	for i, z := range f.Z {
		x, y := sign*f.X[i], sign*f.Y[i]
		m.X, m.Y, m.Z = append(m.X, middle+x), append(m.Y, y), append(m.Z, z+h+tx*x+ty*y)
	}
	return m
}

func (s *Set) jointMap(j int, joint certificate.Joint, x float64) bedmap.Joint {
	m := bedmap.Joint{X: x, NotMeasured: joint.Measured != [2]bool{true, true}}
	if laidUp := s.Body.Found.LaidUp; laidUp != nil {
		m.NotMeasured = false
		for _, c := range laidUp.Joints[j] {
			m.Steps = append(m.Steps, bedmap.Step{Y: c.Y.Float64(), Height: c.Measured.Float64()})
			m.Predicted = append(m.Predicted, c.Predicted.Float64())
		}
		return m
	}
	for _, c := range joint.Stations {
		m.Steps = append(m.Steps, bedmap.Step{Y: c[0].Float64(), Height: c[1].Float64()})
	}
	return m
}

func (s *Set) shims() paper.ShimCard {
	f := s.Body.Found
	card := paper.ShimCard{NotComputed: s.told(f.Shims.NotGiven)}
	middle := s.middles()
	for _, k := range f.Shims.Shims {
		pack := 0.0
		for _, t := range k.Pack {
			pack += t.Float64()
		}
		card.Shims = append(card.Shims, paper.Shim{Place: k.Place.String(), X: middle[k.Place] + k.At[0].Float64(), Y: k.At[1].Float64(),
			Height: k.Height.Float64(), Pack: pack})
	}
	if r := f.Shims.Rounded; r != nil {
		card.Outcome = &paper.ShimOutcome{Zone: r.Zone.Float64(), Step1: r.Steps[0].Float64(), Step2: r.Steps[1].Float64()}
	}
	return card
}

// levels joins the readings along and across at one place to one mark. What cannot be told stays no number.
func (s *Set) levels() paper.LevelCard {
	var card paper.LevelCard
	for _, k := range s.Body.Given.Spec.Levels {
		card.Divisions = append(card.Divisions, k.Division)
	}
	unknown := paper.LevelReading{Slope: math.NaN()}
	for range card.Divisions {
		unknown.Divisions = append(unknown.Divisions, math.NaN())
	}
	for _, l := range s.Body.Found.Levels {
		x, y := l.At[0].Float64(), l.At[1].Float64()
		card.Base = l.Base.Float64()
		n := len(card.Marks)
		if n == 0 || card.Marks[n-1].X != x || card.Marks[n-1].Y != y {
			card.Marks = append(card.Marks, paper.LevelMark{Name: string(rune('A' + n)), X: x, Y: y, Along: unknown, Across: unknown})
			n++
		}
		reading := paper.LevelReading{Slope: 1000 * l.Slope.Float64()}
		for _, d := range l.Divisions {
			reading.Divisions = append(reading.Divisions, d.Reading.Float64())
		}
		if l.Along {
			card.Marks[n-1].Along = reading
		} else {
			card.Marks[n-1].Across = reading
		}
	}
	return card
}

func (s *Set) layUp() *paper.LayUp {
	given, found := s.Body.Given.LayUp, s.Body.Found.LaidUp
	if given == nil || found == nil {
		return nil
	}
	out := &paper.LayUp{Date: given.Date, Support: given.Support, Instrument: given.Instrument, U: 2 * given.U.Float64()}
	for j, stations := range found.Joints {
		for _, c := range stations {
			out.Joints[j] = append(out.Joints[j], paper.LayUpStep{Y: c.Y.Float64(), Predicted: c.Predicted.Float64(), Measured: c.Measured.Float64()})
		}
	}
	return out
}
