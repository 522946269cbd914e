package holes

import (
	"math"

	"slatewright/bed/holes/fit"
	"slatewright/bed/pattern"
)

// Of takes from a table pattern what a check needs: its round holes and the drops of its pockets, the pieces, the joints, and the rails that rail bolts
// hold. A position tolerance is the diameter of its zone (ISO 1101), so its half is the limit of a distance.
func Of(p *pattern.Pattern) *Drawing {
	d := &Drawing{Name: p.Name, Revision: p.Revision, Decision: p.Promise.Decision}
	for _, piece := range p.Pieces {
		d.Pieces = append(d.Pieces, Piece{piece.Name, fit.Vector{X: piece.Middle.X, Y: piece.Middle.Y}, fit.Vector{X: piece.To - piece.From, Y: p.SizeY}})
	}
	rails := map[string]int{}
	for _, h := range p.Holes {
		f := Feature{Name: h.Name, Kind: string(h.Kind), At: fit.Vector{X: h.X, Y: h.Y}, Piece: h.Piece, Diameter: h.Diameter, Limit: h.Position / 2, Size: h.Tolerance.Diameter,
			Bolt: h.Bolt, Mating: h.Mating, Rail: -1}
		if h.Piece < 0 {
			continue
		}
		if h.Kind == pattern.RailBolt {
			name := railAt(p, h.X, h.Y)
			i, ok := rails[name]
			if !ok {
				i = len(d.Rails)
				rails[name] = i
				d.Rails = append(d.Rails, name)
			}
			f.Rail = i
		}
		d.Features = append(d.Features, f)
	}
	for _, k := range p.Pockets {
		if piece := p.PieceAt(max(-p.SizeX/2, min(p.SizeX/2, k.X))); k.Radius > 0 && piece >= 0 {
			d.Features = append(d.Features, Feature{Name: k.Name, Kind: string(pattern.PocketCut), At: fit.Vector{X: k.X, Y: k.Y}, Piece: piece, Diameter: 2 * k.Radius,
				Limit: k.Position / 2, Size: 2 * k.Tolerance.Diameter, Rail: -1})
		}
	}
	for _, j := range p.Joints {
		d.Joints = append(d.Joints, Joint{j.X, p.SizeY / 2, j.Before})
	}
	return d
}

// railAt names the rail along which a bolt lies: that of the nearest edge of the bed; a long side has two, parted in the middle by its pocket.
func railAt(p *pattern.Pattern, x, y float64) string {
	if p.SizeX/2-math.Abs(x) <= p.SizeY/2-math.Abs(y) {
		if x < 0 {
			return "head rail"
		}
		return "foot rail"
	}
	switch {
	case y <= 0 && x <= 0:
		return "left rail, head half"
	case y <= 0:
		return "left rail, foot half"
	case x <= 0:
		return "right rail, head half"
	}
	return "right rail, foot half"
}
