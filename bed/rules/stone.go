package rules

import (
	"fmt"
	"math"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
)

// reach is how far a hole reaches from its middle at the face where it is widest.
func reach(h pattern.Hole) float64 {
	r := h.Diameter/2 + h.Chamfer
	if h.Counter != nil {
		r = math.Max(r, h.Counter.Diameter/2)
	}
	return r
}

// found is a finding of a hole.
func found(rule string, h pattern.Hole, message string) finding {
	return finding{rule, h.Base, h.Name, message, h.Line}
}

func holesAndEdges(p pattern.Pattern) (list []finding) {
	for _, h := range p.Holes {
		left := math.Min(p.SizeX/2-math.Abs(h.X), p.SizeY/2-math.Abs(h.Y)) - reach(h)
		switch {
		case left <= 0:
			list = append(list, found(HoleEdge, h, "the hole breaks out of the bed's edge, or lies beyond it"))
		case tight(left, p.Clearances.Edge):
			list = append(list, found(HoleEdge, h, fmt.Sprintf("%s of stone to the bed's edge, %s is asked", mm(left), mm(p.Clearances.Edge))))
		}
	}
	return list
}

func holesAndJoints(p pattern.Pattern) (list []finding) {
	for _, h := range p.Holes {
		for _, j := range p.Joints {
			left := math.Abs(h.X-j.X) - j.Gap/2 - reach(h)
			switch {
			case left <= 0:
				list = append(list, found(HoleJoint, h, "the hole breaks into the joint"))
			case tight(left, p.Clearances.Joint):
				list = append(list, found(HoleJoint, h, fmt.Sprintf("%s of stone to the joint, %s is asked", mm(left), mm(p.Clearances.Joint))))
			}
		}
	}
	return list
}

func holesAndPockets(p pattern.Pattern) (list []finding) {
	for _, h := range p.Holes {
		at := shape.Point{X: h.X, Y: h.Y}
		for _, k := range p.Pockets {
			_, left := k.Outline.Nearest(at)
			left -= reach(h)
			switch {
			case left <= 0 || k.Outline.Inside(at):
				list = append(list, found(HolePocket, h, "the hole lies in the pocket "+k.Base+" or breaks into it"))
			case tight(left, p.Clearances.Pocket):
				list = append(list, found(HolePocket, h, fmt.Sprintf("%s of stone to the pocket %s, %s is asked", mm(left), k.Base, mm(p.Clearances.Pocket))))
			}
		}
	}
	return list
}

func holesAndHoles(p pattern.Pattern) (list []finding) {
	for i, h := range p.Holes {
		for _, o := range p.Holes[:i] {
			left := math.Hypot(h.X-o.X, h.Y-o.Y) - reach(h) - reach(o)
			if !tight(left, p.Clearances.Hole) {
				continue
			}
			message := fmt.Sprintf("%s of stone between them, %s is asked", mm(left), mm(p.Clearances.Hole))
			if left <= 0 {
				message = "the holes run into one another"
			}
			list = append(list, finding{HoleHole, o.Base + " and " + h.Base, o.Name + " and " + h.Name, message, h.Line})
		}
	}
	return list
}

func webs(p pattern.Pattern) (list []finding) {
	for _, h := range p.Holes {
		deep, what := h.Depth, "the hole"
		if c := h.Counter; c != nil {
			switch {
			case h.Depth > 0 && c.From != h.From:
				deep += c.Depth
			case c.Depth > deep:
				deep, what = c.Depth, "the counterbore"
			}
			if what == "the counterbore" && c.Angle > 0 {
				what = "the countersink"
			}
		}
		if deep == 0 {
			continue
		}
		left := p.Thickness - deep - h.Tolerance.Depth
		if tight(left, p.Clearances.Web) {
			list = append(list, found(Web, h, fmt.Sprintf("%s of stone under %s at its deepest, %s is asked", mm(math.Max(left, 0)), what, mm(p.Clearances.Web))))
		}
	}
	return list
}

// line is a joint as a rectangle of its gap, widened by a hair on each side so that it is one where the pieces touch.
func line(p pattern.Pattern, j pattern.Joint) shape.Contour {
	half := j.Gap/2 + hair
	return shape.Rectangle(shape.Point{X: j.X - half, Y: -p.SizeY / 2}, shape.Point{X: j.X + half, Y: p.SizeY / 2})
}

const hair = 1e-3 // mm

func jointsAndPockets(p pattern.Pattern) (list []finding) {
	for _, j := range p.Joints {
		edge := line(p, j)
		for _, k := range p.Pockets {
			left, _, _ := shape.Between(edge, k.Outline)
			if left > 0 {
				left += hair
			}
			message := fmt.Sprintf("%s of stone between joint and pocket, %s is asked", mm(left), mm(p.Clearances.Joint))
			switch {
			case left == 0 || k.Outline.Inside(edge[0].At()):
				message = "the joint runs through the pocket"
			case !tight(left, p.Clearances.Joint):
				continue
			}
			list = append(list, finding{JointPocket, "joint " + j.Name + " and " + k.Base, "joint " + j.Name + " and " + k.Name, message, k.Line})
		}
	}
	return list
}

func dowels(p pattern.Pattern) (list []finding) {
	for _, j := range p.Joints {
		for _, d := range j.Dowels {
			say := func(left, asked float64, from string) {
				if tight(left, asked) {
					list = append(list, finding{Dowels, d.Base, d.Name, fmt.Sprintf("%s of stone %s, %s is asked", mm(math.Max(left, 0)), from, mm(asked)), 0})
				}
			}
			say(d.Below-d.Diameter/2, p.Clearances.Dowel, "above the dowel's hole")
			say(p.Thickness-d.Below-d.Diameter/2, p.Clearances.Dowel, "below the dowel's hole")
			say(p.SizeY/2-math.Abs(d.Y)-d.Diameter/2, p.Clearances.Edge, "between the dowel's hole and the bed's edge")
			bore := shape.Rectangle(shape.Point{X: j.X - d.Depth, Y: d.Y - d.Diameter/2}, shape.Point{X: j.X + d.Depth, Y: d.Y + d.Diameter/2})
			for _, k := range p.Pockets {
				left, _, _ := shape.Between(bore, k.Outline)
				if k.Outline.Inside(bore[0].At()) {
					left = 0
				}
				say(left, p.Clearances.Pocket, "between the dowel's hole and "+k.Name)
			}
			for _, h := range p.Holes {
				at := shape.Point{X: h.X, Y: h.Y}
				_, left := bore.Nearest(at)
				if bore.Inside(at) {
					left = 0
				}
				say(left-reach(h), p.Clearances.Hole, "between the dowel's hole and "+h.Name)
			}
		}
	}
	return list
}

func supports(p pattern.Pattern) (list []finding) {
	for _, piece := range p.Pieces {
		for i, s := range piece.Supports {
			at := shape.Point{X: piece.Middle.X + s[0], Y: piece.Middle.Y + s[1]}
			for _, k := range p.Pockets {
				_, left := k.Outline.Nearest(at)
				name := fmt.Sprintf("support %d of %s", i+1, piece.Name)
				switch {
				case k.Outline.Inside(at):
					list = append(list, finding{Supports, name, name, "the support stands under the pocket " + k.Base, k.Line})
				case tight(left, p.Clearances.Support):
					list = append(list, finding{Supports, name, name, fmt.Sprintf("%s from the support's middle to the pocket %s, %s is asked", mm(left), k.Base, mm(p.Clearances.Support)), k.Line})
				}
			}
		}
	}
	return list
}

func strips(p pattern.Pattern) (list []finding) {
	for _, s := range p.Strips {
		say := func(message string) { list = append(list, finding{Strips, s.Name, s.Name, message, s.Line}) }
		if tight(p.SizeX/2, math.Max(s.X1, -s.X0)) || tight(p.SizeY/2, math.Max(s.Y1, -s.Y0)) {
			say("the strip reaches beyond the bed")
		}
		for _, j := range p.Joints {
			if s.X0 < j.X-j.Gap/2-1e-6 && s.X1 > j.X+j.Gap/2+1e-6 {
				say("the strip lies across joint " + j.Name)
			}
		}
	}
	return list
}

func floats(p pattern.Pattern) (list []finding) {
	for _, h := range p.Holes {
		if h.Bolt == 0 {
			continue
		}
		if h.Position == 0 {
			list = append(list, found(BoltFloat, h, "a bolt passes, and it is not said how far off the hole may be: whether it passes cannot be told"))
			continue
		}
		placing := placing(p, h)
		needs := h.Bolt + h.Mating + placing
		pin := h.VirtualCondition()
		if !tight(pin, needs) {
			continue
		}
		list = append(list, found(BoltFloat, h, fmt.Sprintf("at the worst of its tolerances the hole passes a straight pin of %s; %s needs %s", mm(pin), stack(h, placing), mm(needs))))
	}
	return list
}

// stack names what must pass through a hole together.
func stack(h pattern.Hole, placing float64) string {
	switch {
	case h.Mating > 0 && placing > 0:
		return fmt.Sprintf("the bolt of %s whose mate may be off in a zone of %s, over pieces laid in a zone of %s,", mm(h.Bolt), mm(h.Mating), mm(placing))
	case h.Mating > 0:
		return fmt.Sprintf("the bolt of %s whose mate may be off in a zone of %s", mm(h.Bolt), mm(h.Mating))
	case placing > 0:
		return fmt.Sprintf("the bolt of %s, over pieces laid in a zone of %s,", mm(h.Bolt), mm(placing))
	}
	return "the bolt of " + mm(h.Bolt)
}

// placing is what the laying of the pieces adds to the stack of a rail bolt's hole: nothing where all holes of its rail lie in one piece, or
// where a screw finds its own place.
func placing(p pattern.Pattern, h pattern.Hole) (zone float64) {
	if h.Kind != pattern.RailBolt {
		return 0
	}
	for _, o := range p.Holes {
		if o.Group != h.Group || o.Piece == h.Piece || pattern.Quadrant(o.X, o.Y) != pattern.Quadrant(h.X, h.Y) {
			continue
		}
		for _, j := range p.Joints {
			zone = math.Max(zone, j.Placing)
		}
	}
	return zone
}
