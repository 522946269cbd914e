package setup

import (
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/toolpath"
	"slatewright/trouble"
)

// From makes the jobs of a pattern, one for each piece, or for the one with a name. thickness is that of the stone; 0 takes the pattern's. The error is a
// *trouble.Trouble.
func From(p pattern.Pattern, piece string, thickness float64) ([]Job, error) {
	if thickness == 0 {
		thickness = p.Thickness
	}
	var list []Job
	var names []string
	for i, one := range p.Pieces {
		names = append(names, one.Name)
		if piece == "" || one.Name == piece {
			list = append(list, jobOf(p, i, thickness))
		}
	}
	if len(list) == 0 {
		return nil, trouble.Usage("no-piece", piece, "the pattern has no piece of this name", "its pieces are "+strings.Join(names, ", "))
	}
	return list, nil
}

func jobOf(p pattern.Pattern, i int, thickness float64) Job {
	piece := p.Pieces[i]
	home := func(c shape.Contour) shape.Contour { return c.Moved(0, -piece.Middle.X, -piece.Middle.Y) }
	stone := shape.Rectangle(shape.Point{X: piece.From, Y: -p.SizeY / 2}, shape.Point{X: piece.To, Y: p.SizeY / 2})
	job := Job{Pattern: p.Name, Revision: p.Revision, Piece: piece.Name, Stone: home(stone), Thickness: thickness}
	chamfers := 0
	for _, h := range p.Holes {
		if h.Piece != i {
			continue
		}
		job.Bores = append(job.Bores, Bore{Name: h.Name, X: h.X - piece.Middle.X, Y: h.Y - piece.Middle.Y, Diameter: h.Diameter, Depth: h.Depth, From: h.From,
			Counter: h.Counter, Tolerance: h.Tolerance})
		if h.Chamfer > 0 {
			chamfers++
		}
	}
	edges := 0
	for _, k := range p.Pockets {
		if !meets(stone, k.Outline) {
			continue
		}
		job.Cuts = append(job.Cuts, Cut{Name: k.Name, Outline: home(k.Outline), From: pattern.Top, Tolerance: k.Tolerance})
		if k.Edge > 0 {
			edges++
		}
	}
	dowels := 0
	for _, j := range p.Joints {
		if j.Before == i || j.Before+1 == i {
			dowels += len(j.Dowels)
		}
	}
	for _, left := range []struct {
		n    int
		what string
	}{
		{chamfers, trouble.Count(chamfers, "chamfer at a hole", "chamfers at holes")},
		{edges, trouble.Count(edges, "rounded pocket edge", "rounded pocket edges")},
		{dowels, trouble.Count(dowels, "dowel hole in a joint edge", "dowel holes in joint edges")},
	} {
		if left.n > 0 {
			job.Left = append(job.Left, left.what)
		}
	}
	return job
}

// meets reports whether a cut takes something of a stone: a part of its sides lies within.
func meets(stone, cut shape.Contour) bool {
	for _, side := range cut.Segments() {
		for _, part := range toolpath.Split(side, stone.Segments()) {
			if p := part.Along(0.5); stone.Inside(p) && toolpath.From(p, stone.Segments()) > 1e-6 {
				return true
			}
		}
	}
	return false
}
