package patternfile

import (
	"fmt"
	"math"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
)

// mostPockets is far above any bed.
const mostPockets = 24

// placePockets works out each pocket where it is given and repeats it.
func (r *reader) placePockets(d *draft, p *pattern.Pattern) error {
	for i, k := range d.pockets {
		path := fmt.Sprintf("pockets[%d]", i)
		symmetry, sx, sy := own(k.symmetry, d.symmetry), 1.0, 1.0
		switch k.at {
		case "":
			return r.BadAt(path, "it is not said where the pocket is", "add at: corner or at: side")
		case "corner":
			symmetry = pattern.Quarter
		case "side":
			symmetry = pattern.Sides
		default:
			if strings.HasPrefix(k.at, "head") {
				sx = -1
			}
			if strings.HasSuffix(k.at, "left") {
				sy = -1
			}
		}
		one, err := r.opening(path, k, d, p)
		if err != nil {
			return err
		}
		for _, image := range symmetry.Images() {
			if one.Side && image[0] < 0 && image[1] > 0 {
				continue // the mirror of itself
			}
			p.Pockets = append(p.Pockets, turned(one, sx*image[0], sy*image[1]))
		}
		if len(p.Pockets) > mostPockets {
			return r.BadAt(path, fmt.Sprintf("more than %d pockets", mostPockets), "check what the symmetry repeats")
		}
	}
	var names []string
	for _, pocket := range p.Pockets {
		names = append(names, pocket.Name)
	}
	return r.distinct("pockets", names)
}

// turned is the pocket of the foot-right corner or the right side in another place.
func turned(k pattern.Pocket, sx, sy float64) pattern.Pocket {
	k.Outline = k.Outline.Mirrored(sx < 0, sy < 0)
	sin, cos := math.Sincos(k.Out)
	k.X, k.Y, k.Out = 0+sx*k.X, 0+sy*k.Y, math.Atan2(sy*sin, sx*cos)
	place := pattern.Quadrant(sx, sy)
	if k.Side {
		k.X = 0 + k.X
		place = pattern.Quadrant(0, sy)
		k.Out = sy * math.Pi / 2
	}
	k.Name = k.Base + "-" + place
	return k
}

// isSide reports whether the pocket is one of a long side.
func (k pocketDraft) isSide() bool { return k.at == "side" || k.at == "left" || k.at == "right" }

// opening works out one pocket as it lies at the foot-right corner or the right side.
func (r *reader) opening(path string, k pocketDraft, d *draft, p *pattern.Pattern) (pattern.Pocket, error) {
	o := pattern.Pocket{Base: k.name, Line: r.Line(path), Side: k.isSide(), Radius: k.radius, Out: k.out, Flare: k.flare, Edge: k.edge,
		Mouth: k.mouth, CutAngle: k.cut, Draft: k.draft, Tolerance: k.tolerance}
	if o.Tolerance == (pattern.Tolerance{}) {
		o.Tolerance = *d.tolerances[pattern.PocketCut]
	}
	if o.Side {
		o.Out = math.Pi / 2
	} else if r.Lines[path+".out"] == 0 {
		o.Out = math.Pi / 4
	}
	if err := r.checkPocket(path, k, d, o); err != nil {
		return o, err
	}
	k.place(d, &o, r.Lines[path+".shelf"] > 0)
	if o.Outline = flanked(o, p); len(k.shape) > 0 {
		drawn, err := r.drawn(path, k, o)
		if err != nil {
			return o, err
		}
		o.Outline = drawn
	}
	if err := o.Outline.Check(); err != nil {
		return o, r.Refused(path, err)
	}
	if at, known := k.middle(d, o); known {
		o.Shelf, o.HasShelf = shelf(o, at)
	}
	return o, nil
}

// checkPocket refuses what leaves the pocket without a place or shape, and what no pocket is.
func (r *reader) checkPocket(path string, k pocketDraft, d *draft, o pattern.Pocket) error {
	has := func(key string) bool { return r.Lines[path+"."+key] > 0 }
	if err := r.called(path, k.name, "corner"); err != nil {
		return err
	}
	switch {
	case o.Side && has("out"):
		return r.BadAt(path+".out", "a side pocket looks straight out", "leave out: away")
	case has("shelf") == has("centre"):
		return r.BadAt(path, "a pocket has either its centre or its shelf", "write centre: [x, y], or shelf: from the mouth's line to the edge of the drop")
	case has("radius") == has("shape"):
		return r.BadAt(path, "a pocket has either the radius of its drop or a shape", "write radius: for a round drop, or shape: with its corners")
	case has("shelf") && (d.field[0] == 0 || !o.Side && !has("mouth") || !has("radius")):
		return r.BadAt(path+".shelf", "the shelf is counted from the mouth's line to a round drop, and that line is not known", "add field: and mouth:, or give the centre")
	case o.Side && has("centre") && k.centre[0] != 0:
		return r.BadAt(path+".centre", "a side pocket that is not in the middle of the side", "give it x 0 mm")
	}
	for _, c := range []struct {
		key         string
		v, low, top float64
	}{{"radius", k.radius, 10, 500}, {"mouth", k.mouth, 20, 500}, {"shelf", k.shelf, -200, 300}, {"edge", k.edge, 0, 50},
		{"tolerance.position", o.Position, 0, 50}, {"tolerance.radius", o.Tolerance.Diameter, 0, 50}} {
		if err := r.within(path+"."+c.key, c.v, c.low, c.top); err != nil && c.v != 0 {
			return err
		}
	}
	for _, c := range []struct {
		key      string
		v, limit float64
	}{{"flare", k.flare, 60}, {"cut_angle", k.cut, 180}, {"back_draft", k.draft, 45}, {"out", o.Out, 90}} {
		if limit := c.limit * math.Pi / 180; !(c.v >= 0 && c.v <= limit) {
			return r.BadAt(path+"."+c.key, fmt.Sprintf("%.4g°; it must be between 0° and %g°", c.v*180/math.Pi, c.limit), "check the angle and its unit")
		}
	}
	return nil
}

// middle is the middle of the mouth's line between the points of the noses, and the way out of the field from there: at a corner half
// the mouth inside the field's corner, at a side on the nose line. It is known where the field is, and of a corner the mouth.
func (k pocketDraft) middle(d *draft, o pattern.Pocket) (at shape.Point, known bool) {
	if o.Side {
		return shape.Point{X: 0, Y: d.field[1] / 2}, d.field[1] > 0
	}
	sin, cos := math.Sincos(o.Out)
	return shape.Point{X: d.field[0]/2 - k.mouth/2*cos, Y: d.field[1]/2 - k.mouth/2*sin}, d.field[0] > 0 && k.mouth > 0
}

// place puts the middle of the drop: where it is given, or so far beyond the mouth's line that the shelf is what it should be.
func (k pocketDraft) place(d *draft, o *pattern.Pocket, byShelf bool) {
	if !byShelf {
		o.X, o.Y = k.centre[0], k.centre[1]
		return
	}
	sin, cos := math.Sincos(o.Out)
	if o.Side {
		sin, cos = 1, 0
	}
	at, _ := k.middle(d, *o)
	out := k.shelf + k.radius
	o.X, o.Y = at.X+float64(out*cos), at.Y+float64(out*sin)
}

// shelf measures how far the edge of the drop lies beyond the middle of the mouth's line, along the pocket's direction; negative where
// it reaches inside the line.
func shelf(o pattern.Pocket, at shape.Point) (mm float64, found bool) {
	const far = 500.0
	sin, cos := math.Sincos(o.Out)
	from := shape.Point{X: at.X - far*cos, Y: at.Y - far*sin}
	line := shape.NewSegment(from, shape.Point{X: at.X + far*cos, Y: at.Y + far*sin}, 0)
	mm = math.Inf(1)
	for _, s := range o.Outline.Segments() {
		points, _ := line.Meet(s)
		for _, p := range points {
			mm = math.Min(mm, math.Hypot(p.X-from.X, p.Y-from.Y)-far)
		}
	}
	return mm, mm < far
}

// flanked is a round drop with two flanks that touch it and run out of the bed.
func flanked(o pattern.Pocket, p *pattern.Pattern) shape.Contour {
	sin, cos := math.Sincos(o.Out)
	beyond := math.Abs(cos)*p.SizeX/2 + math.Abs(sin)*p.SizeY/2 - (cos*o.X + sin*o.Y)
	flareSin, flareCos := math.Sincos(o.Flare)
	// A flank leaves the drop at a right angle to its radius, and ends a radius beyond the bed's furthest point.
	ax, ay := -o.Radius*flareSin, o.Radius*flareCos
	long := (math.Max(beyond, 0) + o.Radius - ax) / flareCos
	bx, by := ax+long*flareCos, ay+long*flareSin
	c := shape.Contour{{X: bx, Y: by}, {X: ax, Y: ay, Bulge: math.Tan((math.Pi - 2*o.Flare) / 4)}, {X: ax, Y: -ay}, {X: bx, Y: -by}}
	return c.Moved(o.Out, o.X, o.Y)
}

// drawn is a drop drawn freely, its corners rounded.
func (r *reader) drawn(path string, k pocketDraft, o pattern.Pocket) (shape.Contour, error) {
	path += ".shape"
	n := len(k.shape)
	if n < 3 || n > 100 {
		return nil, r.BadAt(path, fmt.Sprintf("%d corners; between 3 and 100 are worked with", n), "list the corners around the drop, out beyond the bed's edge")
	}
	var c shape.Contour
	for i, at := range k.shape {
		before, after := k.shape[(i+n-1)%n], k.shape[(i+1)%n]
		ax, ay, bx, by := at.u-before.u, at.v-before.v, after.u-at.u, after.v-at.v
		la, lb := math.Hypot(ax, ay), math.Hypot(bx, by)
		turn := math.Atan2(ax*by-ay*bx, ax*bx+ay*by)
		back := at.radius * math.Abs(math.Tan(turn/2)) // from the corner to where the rounding begins
		switch {
		case !(at.radius >= 0) || at.radius > 0 && !(back <= la && back <= lb):
			return nil, r.BadAt(fmt.Sprintf("%s[%d]", path, i), fmt.Sprintf("a radius of %.6g mm does not fit between its sides", at.radius), "make it smaller")
		case at.radius == 0 || back == 0:
			c = append(c, shape.Vertex{X: at.u, Y: at.v})
		default:
			c = append(c, shape.Vertex{X: at.u - back*ax/la, Y: at.v - back*ay/la, Bulge: math.Tan(turn / 4)}, shape.Vertex{X: at.u + back*bx/lb, Y: at.v + back*by/lb})
		}
	}
	if c.Area() < 0 {
		c = c.Reversed()
	}
	return c.Moved(o.Out, o.X, o.Y), nil
}
