package measured

import (
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/picture/bedmap"
)

// BedPicture is the picture of a composed bed as it was seated, with the steps as measured where the set was laid up.
func BedPicture(b certificate.Body) (bedmap.Map, error) {
	m := bedmap.Map{Title: "Set " + b.Set, SizeY: b.Given.Spec.Size[1].Float64(), EdgeBand: b.Given.Spec.EdgeBand.Float64(),
		Zone: b.Found.Seating.Zone.Float64(), StepLimit: b.Given.Spec.Limits.Step.Float64(), Mark: b.Mark}
	faces, err := centredFaces(b)
	if err != nil {
		return m, err
	}
	middle := middles(b, faces)
	for place, piece := range b.Found.Pieces {
		m.Pieces[place] = pieceMap(piece, faces[piece.Reading], middle[place])
		m.SizeX = max(m.SizeX, 2*m.Pieces[place].MaxX)
	}
	for j, joint := range b.Found.Seating.Joints {
		m.Joints[j] = jointMap(b.Found.LaidUp, j, joint, (m.Pieces[j].MaxX+m.Pieces[j+1].MinX)/2)
	}
	for _, c := range b.Found.Seating.Contacts {
		m.Contacts = append(m.Contacts, bedmap.Contact{X: c.Point[0].Float64(), Y: c.Point[1].Float64(), Z: c.Point[2].Float64(), Upper: c.Upper})
	}
	return m, nil
}

// centredFaces are the readings as they would be sealed, counted from the middles of the pieces.
func centredFaces(b certificate.Body) (faces [3]*face.Face, err error) {
	q, err := b.Given.Seating()
	if err != nil {
		return faces, err
	}
	for k, f := range q.Faces {
		if faces[k], err = f.Centred(); err != nil {
			return faces, err
		}
	}
	return faces, nil
}

// middles are the bed frame's x of the middles of the three places.
func middles(b certificate.Body, faces [3]*face.Face) [3]float64 {
	var half [3]float64
	for place, piece := range b.Found.Pieces {
		half[place] = faces[piece.Reading].SizeX / 2
	}
	gap := b.Given.Spec.JointGap.Float64()
	return [3]float64{-(half[0] + gap + half[1]), 0, half[1] + gap + half[2]}
}

// pieceMap is one piece with its readings moved into the bed frame.
func pieceMap(piece certificate.Piece, f *face.Face, middle float64) bedmap.Piece {
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

func jointMap(laidUp *certificate.LaidUp, j int, joint certificate.Joint, x float64) bedmap.Joint {
	m := bedmap.Joint{X: x, NotMeasured: joint.Measured != [2]bool{true, true}}
	if laidUp != nil {
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

// Shim is one pack of the shim card, its place in the bed frame.
type Shim struct {
	Place    string
	X, Y     float64
	AskedMM  float64   // what the seated piece asks for
	HeightMM float64   // of the pack
	Pack     []float64 // shims that exist, thickest first
}

// ShimCard is the starting packs for a true frame, or why there are none.
type ShimCard struct {
	Shims   []Shim
	Without string   // why there are none
	Rounded *Figures // the bed on these packs
}

// Figures are the numbers of a seated bed, mm.
type Figures struct {
	Zone, Lengthwise, Across float64
	Steps                    [2]float64
}

// ShimCard is the bed's shim card.
func (b *Bed) ShimCard() ShimCard {
	found := b.Body.Found.Shims
	card := ShimCard{Without: found.NotGiven}
	for _, k := range found.Shims {
		p := b.Picture.Pieces[k.Place]
		s := Shim{Place: k.Place.String(), X: (p.MinX+p.MaxX)/2 + k.At[0].Float64(), Y: k.At[1].Float64(), AskedMM: k.Height.Float64()}
		for _, t := range k.Pack {
			s.Pack = append(s.Pack, t.Float64())
			s.HeightMM += t.Float64()
		}
		card.Shims = append(card.Shims, s)
	}
	if f := found.Rounded; f != nil {
		card.Rounded = &Figures{Zone: f.Zone.Float64(), Lengthwise: f.Lengthwise.Float64(), Across: f.Across.Float64(), Steps: [2]float64{f.Steps[0].Float64(), f.Steps[1].Float64()}}
	}
	return card
}
