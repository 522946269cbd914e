package drilling

import (
	"html/template"
	"slices"
	"strconv"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/chart"
)

// draw shows the view: pieces as they are cut, holes, dowels, the playing field, and a number where something is wrong.
func (s spread) draw(width float64) template.HTML {
	below := 44.0
	if s.view.Piece < 0 && width < chart.Wide { // the axes lie upright
		below = 64
	}
	title := s.Say("pattern.picture-above", "name", s.Pattern)
	if s.view.Face == pattern.Bottom {
		title = s.Say("pattern.picture-below", "name", s.Pattern)
	}
	b := newBedPlan(width, below, title, s.view, s.p)
	stone := "stone"
	if s.view.Face == pattern.Bottom {
		stone = "stone t4" // the underside has a tint of its own
	}
	b.stone(s.p, stone, "allowed")
	if s.p.FieldX > 0 && s.p.FieldY > 0 && s.view.Piece < 0 && s.view.Face == pattern.Top {
		b.contour("later", s.p, shape.Rectangle(shape.Point{X: -s.p.FieldX / 2, Y: -s.p.FieldY / 2}, shape.Point{X: s.p.FieldX / 2, Y: s.p.FieldY / 2}))
	}
	s.strips(b)
	for _, h := range s.p.Holes {
		if s.view.Shows(h.Piece) {
			b.hole(h, "allowed")
			x, y := b.on(shape.Point{X: h.X, Y: h.Y})
			b.Block(x, y, 4)
		}
	}
	s.dowels(b)
	if s.view.Piece < 0 {
		b.ends(s.Words, below)
	}
	s.wrong(b)
	b.names(s.Words)
	s.marks(b)
	s.sign(b, below)
	return b.End()
}

// strips draws the strips under the stone, dashed where the stone hides them.
func (s spread) strips(b *bedPlan) {
	class := "later"
	if s.view.Face == pattern.Bottom {
		class = "tie"
	}
	for _, t := range s.p.Strips {
		if s.view.Shows(t.Piece) {
			b.contour(class, s.p, shape.Rectangle(shape.Point{X: t.X0, Y: t.Y0}, shape.Point{X: t.X1, Y: t.Y1}))
		}
	}
}

// dowels draws the holes in the joint edges, which no face shows.
func (s spread) dowels(b *bedPlan) {
	for _, j := range s.p.Joints {
		for _, d := range j.Dowels {
			for _, side := range []float64{-1, 1} {
				piece := j.Before
				if side > 0 {
					piece++
				}
				if s.view.Shows(piece) {
					edge := j.X + side*j.Gap/2
					b.contour("later", s.p, shape.Rectangle(shape.Point{X: min(edge, edge+side*d.Depth), Y: d.Y - d.Diameter/2}, shape.Point{X: max(edge, edge+side*d.Depth), Y: d.Y + d.Diameter/2}))
				}
			}
		}
	}
}

// wrong sets a square and the problem's number where something is wrong.
func (s spread) wrong(b *bedPlan) {
	for i, p := range s.Problems {
		for _, name := range p.Features {
			q, piece, ok := featureAt(s.p, "", name)
			if !ok || !s.view.Shows(piece) {
				continue
			}
			x, y := b.on(q)
			b.Rect("due", x-7, y-7, 14, 14)
			b.Block(x, y, 7)
			b.Label("name", x, y, strconv.Itoa(i+1), false)
		}
	}
}

// featureAt is where a feature of a kind lies, and in which piece; of "" is any kind.
func featureAt(p pattern.Pattern, of, name string) (q shape.Point, piece int, ok bool) {
	may := func(kind string) bool { return of == "" || of == kind }
	for _, h := range p.Holes {
		if may("hole") && h.Name == name {
			return shape.Point{X: h.X, Y: h.Y}, h.Piece, true
		}
	}
	for _, k := range p.Pockets {
		if may("pocket") && k.Name == name {
			return shape.Point{X: k.X, Y: k.Y}, p.PieceAt(max(-p.SizeX/2, min(p.SizeX/2, k.X))), true
		}
	}
	for _, j := range p.Joints {
		if may("joint") && j.Name == name {
			return shape.Point{X: j.X}, j.Before, true
		}
		for _, d := range j.Dowels {
			if may("dowel") && d.Name == name {
				return shape.Point{X: j.X, Y: d.Y}, j.Before, true
			}
		}
	}
	for _, t := range p.Strips {
		if may("strip") && t.Name == name {
			return shape.Point{X: (t.X0 + t.X1) / 2, Y: (t.Y0 + t.Y1) / 2}, t.Piece, true
		}
	}
	return q, 0, false
}

// marks set the marks of the holes as the table has them, where there is room: of a piece all, of the whole bed the first of each group.
func (s spread) marks(b *bedPlan) {
	for _, g := range drawing.Groups(s.p) {
		for n, i := range g.Holes {
			h := s.p.Holes[i]
			if !s.view.Shows(h.Piece) || s.view.Piece < 0 && n > 0 {
				continue
			}
			x, y := b.on(shape.Point{X: h.X, Y: h.Y})
			words := g.Letter + strconv.Itoa(n+1)
			if s.view.Piece < 0 {
				words = g.Letter
			}
			b.Label("label", x, y, words, false)
		}
	}
}

// sign says from where the stone is seen, in words and with the axes as they then lie.
func (s spread) sign(b *bedPlan, below float64) {
	y, words := b.bottom(below)+26, s.Say("pattern.seen-above")
	if s.view.Face == pattern.Bottom {
		words = s.Say("pattern.seen-below")
	}
	x0 := beside + 16
	const long = 20.0
	for _, axis := range []struct {
		dx, dy float64
		name   string
	}{{1, 0, "x"}, {0, 1, "y"}} {
		dx, dy := b.along(axis.dx*long, axis.dy*long)
		b.arrow("value", x0, y, dx, dy)
		b.Text("tick", "middle", x0+dx*1.45, y+dy*1.45+4, axis.name)
	}
	class := "tick"
	if s.view.Face == pattern.Bottom {
		class = "name"
	}
	for i, line := range wrapped(words, b.Width-x0-2*long-beside) {
		b.Text(class, "start", x0+2*long, y+4+13*float64(i), line)
	}
}

// wrapped parts words into lines of a width; letters without blanks between them are parted anywhere.
func wrapped(words string, width float64) (lines []string) {
	line := []rune{}
	fits := func(l []rune) bool { return chart.Words("start", 0, 0, string(l)).X1 <= width }
	for _, r := range words {
		line = append(line, r)
		if fits(line) {
			continue
		}
		cut := len(line) - 1
		for k := cut; k > 0; k-- {
			if line[k] == ' ' {
				cut = k
				break
			}
		}
		lines = append(lines, string(line[:cut]))
		line = slices.Clone(line[cut:])
		if len(line) > 0 && line[0] == ' ' {
			line = line[1:]
		}
	}
	return append(lines, string(line))
}
