package beddrawing

import (
	"fmt"
	"math"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/internal/picture/drafting"
)

// block is one detail with its title, to be set among others.
type block struct {
	*drafting.Drawing
	title string
	lines []string // below it
}

// detailSheets draws a section of one hole of each group, a section of a joint and one pocket of each shape, with what holds for
// the whole bed in words.
func (b *bed) detailSheets() (list []*sheet) {
	var blocks []block
	for i, g := range b.groups {
		blocks = append(blocks, b.section(g, i == 0))
	}
	if len(b.Joints) > 0 {
		blocks = append(blocks, b.jointSection())
	}
	blocks = append(blocks, b.pocketDetails()...)
	for i := range blocks {
		blocks[i].caption()
	}
	for len(blocks) > 0 {
		s, rest := b.blockSheet(blocks, len(list) == 0)
		if len(list) > 0 {
			s.Name = fmt.Sprint("details-", len(list)+1)
		}
		list = append(list, s)
		if len(rest) == len(blocks) { // larger than any sheet
			break
		}
		blocks = rest
	}
	return list
}

// blockSheet sets blocks in rows on a sheet and returns those for which there is no room.
func (b *bed) blockSheet(blocks []block, words bool) (*sheet, []block) {
	w, h := b.Paper.size()
	in := inner(w, h)
	d := drafting.New(b.Paper.pen(), 1)
	d.Width, d.Height, d.Name, d.Origin = w, h, "details", drafting.At(in.X0, in.Y1)
	high := b.titleHigh()
	if words {
		n := b.notes(drawing.View{Piece: drawing.Whole}, in.W()-titleWide-2*air, general)
		high = math.Max(high, n.Bounds().Y1+2)
		n.Move(in.X0+air, in.Y1-high)
		d.Add(n)
	}
	const gap = 7.0
	x, y, row := in.X0+air, in.Y0+air, 0.0
	for i, c := range blocks {
		size := c.Bounds()
		if x+size.W() > in.X1-air && x > in.X0+air {
			x, y, row = in.X0+air, y+row+gap, 0
		}
		if y+size.H() > in.Y1-high-2 {
			if i > 0 {
				return &sheet{Drawing: d, what: b.told("drawing.details"), scale: b.told("drawing.as-noted")}, blocks[i:]
			}
		}
		c.Move(x-size.X0, y-size.Y0)
		d.Add(c.Drawing)
		x, row = x+size.W()+gap, math.Max(row, size.H())
	}
	return &sheet{Drawing: d, what: b.told("drawing.details"), scale: b.told("drawing.as-noted")}, nil
}

// caption sets the title above a detail and its lines below.
func (c block) caption() {
	size := c.Bounds()
	width := math.Max(size.W(), 58)
	c.Text(drafting.Text{Layer: layerNote, At: drafting.At(size.X0, size.Y0-2.5), Words: c.title, Height: drafting.Least, Bold: true})
	y := size.Y1 + 1
	for _, words := range c.lines {
		for _, line := range c.Wrap(words, drafting.Least, width) {
			y += leading
			c.Words(layerNote, size.X0, y, line)
		}
	}
}

// corner is a corner of a hole's profile: how far from the middle line, and how deep below the playing face.
type corner struct{ r, z float64 }

// profile is the side of a hole from above to below.
func (b *bed) profile(h pattern.Hole) []corner {
	t, r := b.Thickness, h.Diameter/2
	top, bottom := 0.0, t
	if !h.Through() && h.From == pattern.Top {
		bottom = h.Depth
	} else if !h.Through() {
		top = t - h.Depth
	}
	list := []corner{{r, top}, {r, bottom}}
	if h.Chamfer > 0 && top == 0 {
		list = append([]corner{{r + h.Chamfer, 0}, {r, h.Chamfer}}, list[1:]...)
	}
	c := h.Counter
	if c == nil {
		return list
	}
	deep, R := drawing.SinkDepth(h), c.Diameter/2
	sink := []corner{{R, 0}, {R, deep}, {r, deep}}
	if c.Angle > 0 {
		sink = []corner{{R, 0}, {r, deep}}
	}
	if c.From == pattern.Top {
		return append(sink, list[len(list)-1])
	}
	list = list[:len(list)-1]
	for i := len(sink) - 1; i >= 0; i-- {
		list = append(list, corner{sink[i].r, t - sink[i].z})
	}
	return list
}

// section draws a hole cut through its middle, in true size.
func (b *bed) section(g drawing.Group, datum bool) block {
	h, t := g.Like, b.Thickness
	d := drafting.New(b.Paper.pen(), 1)
	prof := b.profile(h)
	widest := 0.0
	for _, c := range prof {
		widest = math.Max(widest, c.r)
	}
	half := widest + 12
	b.cutStone(d, prof, half)
	mid := 4.0
	d.Line(layerCentre, drafting.Centre, drafting.At(0, prof[0].z-mid), drafting.At(0, prof[len(prof)-1].z+mid))
	b.sectionSizes(d, h, half)
	d.Upright(0, t, -half, -half-7, b.told("drawing.least", "thick", b.mm(t)))
	if datum {
		d.Datum(layerDatum, drafting.At(-half+3, 0), 0, -1, "A")
	}
	title := g.Letter + ": " + b.joined(b.use(h.Kind), b.told("drawing.section"))
	lines := []string{b.note(h)}
	if h.Bolt > 0 {
		lines = append(lines, b.told("drawing.bolt", "d", b.mm(h.Bolt), "off", b.mm(h.Float())))
	}
	return block{d, title, lines}
}

// cutStone draws and hatches the stone on both sides of a hole, and the edges seen behind the cut.
func (b *bed) cutStone(d *drafting.Drawing, prof []corner, half float64) {
	t := b.Thickness
	line := func(side float64) (p []drafting.Point) {
		for _, c := range prof {
			p = append(p, drafting.At(side*c.r, c.z))
		}
		return p
	}
	right, left := line(1), line(-1)
	d.Line(layerOutline, drafting.Wide, right...)
	d.Line(layerOutline, drafting.Wide, left...)
	for _, c := range prof {
		d.Line(layerOutline, drafting.Wide, drafting.At(-c.r, c.z), drafting.At(c.r, c.z))
	}
	d.Line(layerOutline, drafting.Wide, drafting.At(-half, 0), drafting.At(half, 0))
	d.Line(layerOutline, drafting.Wide, drafting.At(-half, t), drafting.At(half, t))
	for _, x := range [2]float64{-half, half} {
		d.Line(layerOutline, drafting.Thin, drafting.At(x, 0), drafting.At(x, t))
	}
	whole := []drafting.Point{drafting.At(-half, 0), drafting.At(half, 0), drafting.At(half, t), drafting.At(-half, t)}
	hole := append([]drafting.Point{}, right...)
	for i := len(left) - 1; i >= 0; i-- {
		hole = append(hole, left[i])
	}
	d.Hatch(layerHatch, 2.5, whole, hole)
}

// sectionSizes dimensions a hole's diameters and depths.
func (b *bed) sectionSizes(d *drafting.Drawing, h pattern.Hole, half float64) {
	t, r := b.Thickness, h.Diameter/2
	sink := ""
	if h.Counter != nil {
		sink = "⌀" + b.mm(h.Counter.Diameter)
	}
	size := "⌀" + b.mm(h.Diameter) + b.plusMinus(h.Tolerance.Diameter)
	c := h.Counter
	above := h.Through() && (c == nil || c.From == pattern.Bottom) || !h.Through() && h.From == pattern.Top && c == nil
	if above {
		d.Across(-r, r, 0, -8, size)
	} else {
		d.Across(-r, r, t, t+8, size)
	}
	// Figures that stand beside short dimensions reach to the right; depths stand beyond them.
	far := math.Max(half+7, half-2+math.Max(d.Measure(size, drafting.Least, false), d.Measure(sink, drafting.Least, false)))
	deep := func(from pattern.Face, depth float64, words string) {
		x := far
		far += 8
		if from == pattern.Top {
			d.Upright(0, depth, half, x, words)
		} else {
			d.Upright(t-depth, t, half, x, words)
		}
	}
	if !h.Through() {
		deep(h.From, h.Depth, b.mm(h.Depth)+b.plusMinus(h.Tolerance.Depth))
	}
	if c == nil {
		return
	}
	r = c.Diameter / 2
	if c.From == pattern.Top {
		d.Across(-r, r, 0, -8, sink)
	} else {
		d.Across(-r, r, t, t+8, sink)
	}
	if c.Angle == 0 {
		deep(c.From, c.Depth, b.mm(c.Depth)+b.plusMinus(h.Tolerance.Depth))
	} else {
		deep(c.From, drawing.SinkDepth(h), fmt.Sprintf("%s (%s°)", b.mm(drawing.SinkDepth(h)), b.mm(c.Angle*180/math.Pi)))
	}
}

// jointSection draws a joint cut along the table, in true size, opened by 6 mm so that both edges show.
func (b *bed) jointSection() block {
	const open, wide = 6.0, 42.0
	j, t := b.Joints[0], b.Thickness
	d := drafting.New(b.Paper.pen(), 1)
	for _, side := range [2]float64{-1, 1} {
		at := func(x, z float64) drafting.Point { return drafting.At(side*(open/2+x), z) }
		stone := []drafting.Point{at(wide, 0), at(j.TopChamfer, 0), at(0, j.TopChamfer), at(0, t-j.BottomChamfer), at(j.BottomChamfer, t), at(wide, t)}
		d.Line(layerOutline, drafting.Wide, stone...)
		d.Line(layerOutline, drafting.Thin, at(wide, 0), at(wide, t))
		rings := [][]drafting.Point{stone}
		if len(j.Dowels) > 0 {
			k := j.Dowels[0]
			hole := []drafting.Point{at(0, k.Below-k.Diameter/2), at(k.Depth, k.Below-k.Diameter/2), at(k.Depth, k.Below+k.Diameter/2), at(0, k.Below+k.Diameter/2)}
			d.Line(layerDowel, drafting.Wide, hole...)
			d.Line(layerCentre, drafting.Centre, at(-1, k.Below), at(k.Depth+3, k.Below))
			rings = append(rings, hole)
		}
		d.Hatch(layerHatch, 2.5, rings...)
	}
	var lines []string
	if len(j.Dowels) > 0 {
		k := j.Dowels[0]
		d.Across(open/2, open/2+k.Depth, t, t+8, b.mm(k.Depth)+b.plusMinus(k.Tolerance.Depth))
		d.Upright(0, k.Below, open/2+wide, open/2+wide+7, b.mm(k.Below))
		d.Upright(k.Below-k.Diameter/2, k.Below+k.Diameter/2, -open/2-wide, -open/2-wide-7, "⌀"+b.mm(k.Diameter)+b.plusMinus(k.Tolerance.Diameter))
	}
	lines = append(lines, b.told("drawing.joint-arrises", "above", b.mm(j.TopChamfer), "below", b.mm(j.BottomChamfer), "gap", b.mm(j.Gap)))
	var promised []string
	for _, x := range []struct {
		key string
		mm  float64
	}{{"drawing.straight", j.Straightness}, {"drawing.square", j.Squareness}, {"drawing.chips", j.Chip}} {
		if x.mm > 0 {
			promised = append(promised, b.told(x.key, "d", b.mm(x.mm)))
		}
	}
	if len(promised) > 0 {
		lines = append(lines, b.told("drawing.edges", "list", b.joined(promised...)))
	}
	return block{d, b.told("drawing.joint-section"), lines}
}
