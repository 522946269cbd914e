package patternfile

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/trouble"
)

// Bounds far above any bed.
const (
	mostHoles = 2000
	mostInRow = 200
	farthest  = 10000.0 // mm from the middle
)

// renamed gives a fault that was found under one name the line and the name of another.
func (r *reader) renamed(err error, from, to string) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		return err
	}
	return r.BadAt(strings.Replace(t.Where, from, to, 1), t.What, t.Next).Because(err)
}

// placeHoles repeats the holes and gives each its name and piece.
func (r *reader) placeHoles(d *draft, p *pattern.Pattern) error {
	var names []string
	for i, h := range d.holes {
		path := fmt.Sprintf("holes[%d]", i)
		one, err := r.pattern(path, h, d, p)
		if err != nil {
			return err
		}
		names = append(names, h.name)
		places, err := r.places(path, h)
		if err != nil {
			return err
		}
		symmetry := own(h.symmetry, d.symmetry)
		for n, place := range places {
			for _, at := range images(place[0], place[1], symmetry) {
				hole := one
				hole.Base = fmt.Sprintf("%s-%d", h.name, n+1)
				hole.Name, hole.X, hole.Y, hole.Piece = hole.Base+strings.TrimPrefix(dashed(at, symmetry), "-"), at[0], at[1], p.PieceAt(at[0])
				p.Holes = append(p.Holes, hole)
			}
		}
		if len(p.Holes) > mostHoles {
			return r.BadAt(path, fmt.Sprintf("more than %d holes", mostHoles), "check the rows and their counts")
		}
	}
	return r.distinct("holes", names)
}

// pattern is what the holes of a group have in common.
func (r *reader) pattern(path string, h holeDraft, d *draft, p *pattern.Pattern) (pattern.Hole, error) {
	hole := pattern.Hole{Kind: h.kind, Group: h.name, Line: r.Line(path), Diameter: h.diameter, Depth: h.depth, Chamfer: h.chamfer, Bolt: h.bolt, Mating: h.mating,
		Tolerance: h.tolerance, From: faceOf(h.from, pattern.Top), Alone: h.symmetry != "" && h.symmetry != d.symmetry}
	if err := r.called(path, h.name, "side-rail"); err != nil {
		return hole, err
	}
	switch {
	case h.kind == "":
		return hole, r.BadAt(path, "it is not said what the holes are for", "add kind: rail-bolt, bed-screw or accessory")
	case r.Lines[path+".counterbore"] > 0 && r.Lines[path+".countersink"] > 0:
		return hole, r.BadAt(path+".countersink", "a counterbore and a countersink about one hole", "keep one of them")
	}
	if hole.Tolerance == (pattern.Tolerance{}) {
		hole.Tolerance = *d.tolerances[h.kind]
	}
	counter, err := r.counter(path, h, hole.From)
	hole.Counter = counter
	for _, c := range []struct {
		key         string
		v, low, top float64
	}{
		{"diameter", h.diameter, 1, 200}, {"depth", h.depth, 0, p.Thickness}, {"chamfer", h.chamfer, 0, 20}, {"bolt", h.bolt, 0, h.diameter}, {"mating", h.mating, 0, 100},
		{"tolerance.position", hole.Position, 0, 50}, {"tolerance.diameter", hole.Tolerance.Diameter, 0, h.diameter / 2}, {"tolerance.depth", hole.Tolerance.Depth, 0, p.Thickness},
	} {
		if err == nil {
			err = r.within(path+"."+c.key, c.v, c.low, c.top)
		}
	}
	return hole, err
}

func faceOf(word string, usual pattern.Face) pattern.Face {
	switch word {
	case "":
		return usual
	case pattern.Bottom.String():
		return pattern.Bottom
	}
	return pattern.Top
}

// counter is the counterbore or countersink of a group; nil where there is none.
func (r *reader) counter(path string, h holeDraft, from pattern.Face) (*pattern.Counter, error) {
	switch {
	case r.Lines[path+".counterbore"] > 0:
		c := h.counterbore
		path += ".counterbore"
		if err := r.within(path+".diameter", c.diameter, h.diameter+0.1, 300); err != nil {
			return nil, err
		}
		return &pattern.Counter{Diameter: c.diameter, Depth: c.depth, From: faceOf(c.from, from)}, r.within(path+".depth", c.depth, 0.1, 200)
	case r.Lines[path+".countersink"] > 0:
		c := h.countersink
		path += ".countersink"
		if err := r.within(path+".diameter", c.diameter, h.diameter+0.1, 300); err != nil {
			return nil, err
		}
		if low, high := 30*math.Pi/180, 150*math.Pi/180; !(c.angle >= low && c.angle <= high) {
			return nil, r.BadAt(path+".angle", fmt.Sprintf("%.4g°; it must be between 30° and 150°", c.angle*180/math.Pi), "write the angle from side to side of the cone, such as 90 deg")
		}
		return &pattern.Counter{Diameter: c.diameter, Depth: (c.diameter - h.diameter) / (2 * math.Tan(c.angle/2)), Angle: c.angle, From: faceOf(c.from, from)}, nil
	}
	return nil, nil
}

// places lists the places of a group before the symmetry: those listed, then those of its row.
func (r *reader) places(path string, h holeDraft) ([][2]float64, error) {
	list := h.at
	if row := path + ".row"; r.Lines[row] > 0 {
		step := h.row.step
		to, steps := r.Lines[row+".to"] > 0, r.Lines[row+".step"] > 0
		switch {
		case to == steps:
			return nil, r.BadAt(row, "a row has either its last place or its step", "write from:, to: and count:, or from:, step: and count:")
		case h.row.count < 2 || h.row.count > mostInRow:
			return nil, r.BadAt(row, fmt.Sprintf("%d places in a row; between 2 and %d are worked with", h.row.count, mostInRow), "add count:, how many holes the row has")
		case to:
			for axis := range step {
				step[axis] = (h.row.to[axis] - h.row.from[axis]) / float64(h.row.count-1)
			}
		}
		for i := range h.row.count {
			list = append(list, [2]float64{h.row.from[0] + float64(float64(i)*step[0]), h.row.from[1] + float64(float64(i)*step[1])})
		}
	}
	if len(list) == 0 {
		return nil, r.BadAt(path, "holes without a place", "add at: with a list of places, or row:")
	}
	for i, at := range list {
		if !(math.Abs(at[0]) <= farthest && math.Abs(at[1]) <= farthest) {
			return nil, r.BadAt(fmt.Sprintf("%s.at[%d]", path, i), fmt.Sprintf("a place at %.6g, %.6g mm", at[0], at[1]), "places are counted from the middle of the bed: x along the table, y across it")
		}
	}
	return list, nil
}
