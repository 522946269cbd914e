package rules

import (
	"fmt"
	"math"

	"slatewright/bed/pattern"
)

const same = 1e-6 // mm

func near(ax, ay, bx, by float64) bool { return math.Hypot(ax-bx, ay-by) <= same }

// alike asks for the image of everything that the symmetry repeats.
func alike(p pattern.Pattern) (list []finding) {
	for _, image := range p.Symmetry.Images()[1:] {
		how := map[[2]float64]string{{-1, 1}: "at the other end", {1, -1}: "on the other side", {-1, -1}: "when the bed is turned by half a turn"}[image]
		list = append(list, lonelyHoles(p, image, how)...)
		list = append(list, lonelyPockets(p, image, how)...)
		list = append(list, lonelyEdges(p, image, how)...)
		list = append(list, lonelySupports(p, image, how)...)
	}
	return list
}

func lonelyHoles(p pattern.Pattern, image [2]float64, how string) (list []finding) {
	for _, h := range p.Holes {
		if h.Kind == pattern.Accessory && h.Alone {
			continue
		}
		has := false
		for _, o := range p.Holes {
			has = has || near(image[0]*h.X, image[1]*h.Y, o.X, o.Y) && likeHoles(h, o)
		}
		if !has {
			list = append(list, found(NotAlike, h, "there is no such hole "+how))
		}
	}
	return list
}

// likeHoles reports whether two holes differ in nothing but place and name.
func likeHoles(a, b pattern.Hole) bool {
	if (a.Counter == nil) != (b.Counter == nil) || a.Counter != nil && *a.Counter != *b.Counter {
		return false
	}
	return a.Kind == b.Kind && a.Diameter == b.Diameter && a.Depth == b.Depth && a.From == b.From && a.Chamfer == b.Chamfer && a.Bolt == b.Bolt
}

func lonelyPockets(p pattern.Pattern, image [2]float64, how string) (list []finding) {
	for _, k := range p.Pockets {
		mirrored := k.Outline.Mirrored(image[0] < 0, image[1] < 0)
		want := mirrored.Centroid()
		has := false
		for _, o := range p.Pockets {
			got := o.Outline.Centroid()
			has = has || near(want.X, want.Y, got.X, got.Y) && math.Abs(mirrored.Area()-o.Outline.Area()) <= 1e-3 && o.Radius == k.Radius && o.Edge == k.Edge
		}
		if !has {
			list = append(list, finding{NotAlike, k.Base, k.Name, "there is no such pocket " + how, k.Line})
		}
	}
	return list
}

// lonelyEdges asks joints, dowels and strips.
func lonelyEdges(p pattern.Pattern, image [2]float64, how string) (list []finding) {
	for _, j := range p.Joints {
		other := -1
		for i, o := range p.Joints {
			if math.Abs(image[0]*j.X-o.X) <= same {
				other = i
			}
		}
		if other < 0 {
			list = append(list, finding{NotAlike, "joint " + j.Name, "joint " + j.Name, "there is no joint " + how, 0})
			continue
		}
		for _, d := range j.Dowels {
			has := false
			for _, o := range p.Joints[other].Dowels {
				has = has || math.Abs(image[1]*d.Y-o.Y) <= same
			}
			if !has {
				list = append(list, finding{NotAlike, d.Base, d.Name, "there is no such dowel " + how, 0})
			}
		}
	}
	for _, s := range p.Strips {
		x, y, has := image[0]*(s.X0+s.X1)/2, image[1]*(s.Y0+s.Y1)/2, false
		for _, o := range p.Strips {
			has = has || near(x, y, (o.X0+o.X1)/2, (o.Y0+o.Y1)/2) && near(s.X1-s.X0, s.Y1-s.Y0, o.X1-o.X0, o.Y1-o.Y0) && s.Thickness == o.Thickness
		}
		if !has {
			list = append(list, finding{NotAlike, s.Name, s.Name, "there is no such strip " + how, s.Line})
		}
	}
	return list
}

func lonelySupports(p pattern.Pattern, image [2]float64, how string) (list []finding) {
	var places [][2]float64
	for _, piece := range p.Pieces {
		for _, s := range piece.Supports {
			places = append(places, [2]float64{piece.Middle.X + s[0], piece.Middle.Y + s[1]})
		}
	}
	for _, piece := range p.Pieces {
		for i, s := range piece.Supports {
			x, y, has := image[0]*(piece.Middle.X+s[0]), image[1]*(piece.Middle.Y+s[1]), false
			for _, o := range places {
				has = has || near(x, y, o[0], o[1])
			}
			if !has {
				name := fmt.Sprintf("support %d of %s", i+1, piece.Name)
				list = append(list, finding{NotAlike, name, name, "there is no support " + how, 0})
			}
		}
	}
	return list
}
