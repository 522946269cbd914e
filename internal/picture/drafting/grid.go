package drafting

import "math"

// pitch is the side of the cells of a grid, mm.
const pitch = 4.0

// cellAt names a cell of a grid by its column and row.
type cellAt struct{ x, y int }

// content is what reaches into a cell.
type content struct {
	parts []part
	boxes []Box
}

// grid finds what is drawn near a place without looking at all that is drawn.
type grid struct {
	cells        map[cellAt]*content
	parts, boxes int // how many of the drawing's it has
}

// grown brings the grid up to what is drawn. What is only added costs only itself.
func (d *Drawing) grown() *grid {
	g := &d.grid
	if g.cells == nil || g.parts > len(d.parts) || g.boxes > len(d.boxes) {
		*g = grid{cells: map[cellAt]*content{}}
	}
	for ; g.parts < len(d.parts); g.parts++ {
		p := d.parts[g.parts]
		box := Box{math.Min(p.a.X, p.b.X), math.Min(p.a.Y, p.b.Y), math.Max(p.a.X, p.b.X), math.Max(p.a.Y, p.b.Y)}
		g.each(box, func(c cellAt) bool {
			cell := Box{pitch * float64(c.x), pitch * float64(c.y), pitch * float64(c.x+1), pitch * float64(c.y+1)}
			if cell.Grown(edge).crossed(p) {
				in := g.at(c)
				in.parts = append(in.parts, p)
			}
			return false
		})
	}
	for ; g.boxes < len(d.boxes); g.boxes++ {
		b := d.boxes[g.boxes]
		g.each(b, func(c cellAt) bool {
			in := g.at(c)
			in.boxes = append(in.boxes, b)
			return false
		})
	}
	return g
}

// edge is how far beyond its cell a part counts as in it: what runs along an edge is in the cells on both sides.
const edge = 0.01

func (g *grid) at(c cellAt) *content {
	in := g.cells[c]
	if in == nil {
		in = &content{}
		g.cells[c] = in
	}
	return in
}

// each goes through the cells that a box meets until one is said to suffice, and reports whether one was.
func (g *grid) each(b Box, f func(cellAt) bool) bool {
	x1, y1 := int(math.Floor((b.X1+edge)/pitch)), int(math.Floor((b.Y1+edge)/pitch))
	for y := int(math.Floor((b.Y0 - edge) / pitch)); y <= y1; y++ {
		for x := int(math.Floor((b.X0 - edge) / pitch)); x <= x1; x++ {
			if f(cellAt{x, y}) {
				return true
			}
		}
	}
	return false
}

// taken reports whether a box has lines nearer than air or words nearer than apart.
func (g *grid) taken(b Box, air, apart float64) bool {
	wide, near := Box{b.X0 - apart, b.Y0 - air, b.X1 + apart, b.Y1 + air}, b.Grown(air)
	return g.each(wide.Union(near), func(c cellAt) bool {
		in := g.cells[c]
		if in == nil {
			return false
		}
		for _, o := range in.boxes {
			if wide.over(o) {
				return true
			}
		}
		for _, p := range in.parts {
			if near.crossed(p) {
				return true
			}
		}
		return false
	})
}

// worded reports whether a line passes through words.
func (g *grid) worded(p part) bool {
	const air = 0.3
	around := Box{math.Min(p.a.X, p.b.X), math.Min(p.a.Y, p.b.Y), math.Max(p.a.X, p.b.X), math.Max(p.a.Y, p.b.Y)}.Grown(air)
	return g.each(around, func(c cellAt) bool {
		in := g.cells[c]
		if in == nil {
			return false
		}
		for _, o := range in.boxes {
			if o.Grown(air).crossed(p) {
				return true
			}
		}
		return false
	})
}
