package sets

import (
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/sets/beds"
)

// waysOf are the ways of a piece meant for a place, its pockets not cut.
func waysOf(place string) beds.Ways {
	for _, p := range bed.Places() {
		if p.String() == place {
			return beds.In(p)
		}
	}
	return beds.AnyWay()
}

// more is one more piece: flat, as thick as the middle one of those that are there, of the layer and the batch that most of them are of.
func (w *weighing) more(g *group, place string) Piece {
	p := Piece{ID: place, Ways: waysOf(place), Thickness: math.NaN(), Size: g.size}
	var thick []float64
	layers, batches := []string{}, []string{}
	for _, o := range g.of {
		if o.Thickness == o.Thickness {
			thick = append(thick, o.Thickness)
		}
		layers, batches = append(layers, o.Layer), append(batches, o.Batch)
	}
	if slices.Sort(thick); len(thick) > 0 {
		p.Thickness = thick[len(thick)/2]
	}
	p.Layer, p.Batch = commonest(layers), commonest(batches)
	for _, o := range g.of {
		if o.Face != nil {
			p.Face = flat(o.Face.SizeX, o.Face.SizeY, w.ask.Zone, w.r.q.Spec)
			break
		}
	}
	return p
}

// commonest is the word that stands most often, the first of those as frequent; "" of none.
func commonest(words []string) (best string) {
	count := map[string]int{}
	for _, w := range words {
		count[w]++
	}
	for i, w := range words {
		if i == 0 || count[w] > count[best] {
			best = w
		}
	}
	return best
}

// Readings of an imagined face: so many along the table and across it inside the edge band.
const (
	imaginedAlong, imaginedAcross = 5, 9
	fewestAtJoint                 = 9
)

// flat is an imagined face of the size, mm, whose zone is as asked: the readings lie on its two planes by turns, and both joint edges are straight in the
// middle between them. nil where the size is not known.
func flat(sizeX, sizeY, zone float64, spec bed.Spec) *face.Face {
	if !(sizeX > 0) || !(sizeY > 0) {
		return nil
	}
	f := &face.Face{Header: face.Header{Name: "imagined", SizeX: sizeX, SizeY: sizeY, Side: face.Top}}
	add := func(x, y, z float64, row face.Row) {
		f.X, f.Y, f.Z, f.Row = append(f.X, x), append(f.Y, y), append(f.Z, z), append(f.Row, row)
	}
	mx, my := sizeX/2-spec.EdgeBand, sizeY/2-spec.EdgeBand
	for i := range imaginedAlong {
		for j := range imaginedAcross {
			z := zone / 2
			if (i+j)%2 == 1 {
				z = -z
			}
			add(mx*(2*float64(i)/(imaginedAlong-1)-1), my*(2*float64(j)/(imaginedAcross-1)-1), z, face.NoRow)
		}
	}
	edge, n := sizeX/2-spec.JointRow.MaxFromArris/2, max(fewestAtJoint, spec.JointRow.MinStations)
	for j := range n {
		y := my * (2*float64(j)/float64(n-1) - 1)
		add(-edge, y, 0, face.JointMinus)
		add(edge, y, 0, face.JointPlus)
	}
	return f
}
