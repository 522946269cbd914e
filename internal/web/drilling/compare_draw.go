package drilling

import (
	"html/template"
	"math"
	"slices"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/revision"
	"slatewright/bed/pattern/shape"
)

// draw lays both revisions over one another, seen from above: the old thin and dashed, the new wide, with a sign and letters at what differs.
func (s overlaid) draw(width float64) template.HTML {
	names := []string{s.Say("revision.old", "revision", s.Before.Revision), s.Say("revision.new", "revision", s.After.Revision)}
	var present []int
	for i, h := range happened {
		if slices.ContainsFunc(s.Differences, func(d revision.Difference) bool { return d.What == h.what }) {
			names, present = append(names, h.letter+" · "+s.Say(h.key)), append(present, i)
		}
	}
	below := keyHigh(width, names...) + 8
	b := newBedPlan(width, below, s.Say("revision.picture", "before", s.Before.Revision, "after", s.After.Revision), drawing.View{Piece: drawing.Whole}, s.after, s.before)
	s.outlines(b, s.after, "value", 1)
	s.outlines(b, s.before, "later", 0)
	b.ends(s.Words, below)
	s.signs(b)
	b.names(s.Words)
	key := []sign{{names[0], func(x, y float64) { b.Line("later", x-7, y, x+7, y) }}, {names[1], func(x, y float64) { b.Line("value", x-7, y, x+7, y) }}}
	for k, i := range present {
		key = append(key, sign{names[2+k], func(x, y float64) { drawSign(b, i, x, y, 5) }})
	}
	b.key(b.bottom(below)+14, key)
	return b.End()
}

// outlines draws pieces and holes of a revision with one kind of line; a hole is at least as large as can be seen.
func (s overlaid) outlines(b *bedPlan, p pattern.Pattern, class string, more float64) {
	b.stone(p, class, class)
	for _, h := range p.Holes {
		x, y := b.on(shape.Point{X: h.X, Y: h.Y})
		hole := "plain"
		if class == "later" {
			hole = "tie"
		}
		b.Disc(hole, x, y, max(h.Diameter*b.scale/2, 1.6+more/2))
	}
}

// signs sets a sign about each feature that differs, its letters beside it, and an arrow from where it was.
func (s overlaid) signs(b *bedPlan) {
	type key struct{ of, name string }
	letters, first := map[key]string{}, map[key]int{}
	var order []key
	for _, d := range s.Differences {
		i := slices.IndexFunc(happened, func(h struct{ what, letter, key string }) bool { return h.what == d.What })
		k := key{d.Of, d.Feature}
		if i < 0 {
			continue
		}
		if _, known := letters[k]; !known {
			first[k] = i
			order = append(order, k)
		}
		if l := happened[i].letter; len(letters[k]) == 0 || letters[k][len(letters[k])-1:] != l {
			letters[k] += l
		}
	}
	at := func(p pattern.Pattern, k key) (x, y float64, ok bool) {
		q, _, ok := featureAt(p, k.of, k.name)
		x, y = b.on(q)
		return x, y, ok
	}
	for _, k := range order { // all signs first, so that the letters keep clear of them
		p := s.after
		if happened[first[k]].what == revision.Removed {
			p = s.before
		}
		x, y, ok := at(p, k)
		if !ok {
			continue
		}
		if ox, oy, was := at(s.before, k); was && math.Hypot(x-ox, y-oy) > 8 {
			b.arrow("due", ox, oy, x-ox, y-oy)
		}
		drawSign(b, first[k], x, y, 7)
		b.Block(x, y, 7)
	}
	for _, k := range order {
		p := s.after
		if happened[first[k]].what == revision.Removed {
			p = s.before
		}
		if x, y, ok := at(p, k); ok {
			b.Label("label", x, y, letters[k], false)
		}
	}
}

// drawSign draws the sign of what happened, by its place in happened: a square, a crossed square, a circle, a triangle, a hexagon.
func drawSign(b *bedPlan, i int, x, y, r float64) {
	const class = "due"
	switch happened[i].what {
	case revision.Added:
		b.Rect(class, x-r, y-r, 2*r, 2*r)
	case revision.Removed:
		b.Rect(class, x-r, y-r, 2*r, 2*r)
		b.Cross(class, x, y, r)
	case revision.Moved:
		b.Disc(class, x, y, r)
	case revision.Changed:
		b.Run(class, [][2]float64{{x, y - 1.3*r}, {x + 1.2*r, y + 0.9*r}, {x - 1.2*r, y + 0.9*r}}, true)
	default:
		var ring [][2]float64
		for k := range 6 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 3)
			ring = append(ring, [2]float64{x + 1.2*r*cos, y + 1.2*r*sin})
		}
		b.Run(class, ring, true)
	}
}
