package pattern

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/trouble"
)

// Spec returns the specification that certificates rest on. A bed that is not of three equal pieces has none: the error is a
// *trouble.Trouble of kind data, code "not-three-pieces", and says so.
func (p Pattern) Spec() (bed.Spec, error) {
	if n := len(p.Pieces); n != 3 {
		return bed.Spec{}, trouble.Data("not-three-pieces", "pieces", fmt.Sprintf("%s is a bed of %s", p.Name, trouble.Count(n, "piece", "pieces")),
			"seating, certificates and sets are for beds of three equal pieces; holes, drawings and programs take any number")
	}
	s := p.Promise
	px, _ := s.PieceSize()
	for i, piece := range p.Pieces {
		if math.Abs(piece.To-piece.From-px) > 1e-6 {
			return bed.Spec{}, trouble.Data("not-three-pieces", "pieces", fmt.Sprintf("the %s piece of %s is %.6g mm along the table, a third of the bed is %.6g mm", piece.Name, p.Name, piece.To-piece.From, px),
				"seating, certificates and sets are for beds of three equal pieces; holes, drawings and programs take any number")
		}
		s.Supports[i] = piece.Supports
	}
	return s, nil
}
