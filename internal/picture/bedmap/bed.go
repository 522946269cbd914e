package bedmap

import (
	"math"
	"sort"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// Room around the bed for names and arrows, mm of paper.
const (
	bedSide   = 6.5
	bedTop    = 8.5 // more where the pieces' names take several lines
	bedBottom = 6.5
)

// view puts the bed on paper: x to the right, y up, so that z comes towards the reader and nothing is mirrored.
type view struct {
	left, top, scale float64
	halfX, halfY     float64
}

func (v view) at(p contour.Point) ink.Point {
	return ink.Point{X: v.left + (p.X+v.halfX)*v.scale, Y: v.top + (v.halfY-p.Y)*v.scale}
}

func (v view) xy(x, y float64) ink.Point { return v.at(contour.Point{X: x, Y: y}) }

// rect returns a rectangle of the bed on paper.
func (v view) rect(x0, y0, x1, y1 float64) contour.Line {
	a, b := v.xy(x0, y1), v.xy(x1, y0)
	return ink.Rect(a.X, a.Y, b.X-a.X, b.Y-a.Y)
}

// Height is how high the bed with its names will be, drawn w wide.
func Height(s ink.Sheet, m Map, w float64) float64 {
	return topRoom(s, m, w) + bedBottom + m.SizeY*(w-2*bedSide)/m.SizeX
}

// topRoom is the room above the bed for the names of the pieces.
func topRoom(s ink.Sheet, m Map, w float64) float64 {
	room := bedTop
	for _, p := range m.Pieces {
		_, t, lines := pieceName(s, m, p, (p.MaxX-p.MinX)*(w-2*bedSide)/m.SizeX)
		room = math.Max(room, bedTop+look.Leading(t)*float64(len(lines)-2))
	}
	return room
}

// Draw draws the bed with its names and marks, w wide and [Height] high.
func Draw(s ink.Sheet, m Map, r Relief, x, y, w float64) {
	v := view{left: x + bedSide, top: y + topRoom(s, m, w), scale: (w - 2*bedSide) / m.SizeX, halfX: m.SizeX / 2, halfY: m.SizeY / 2}
	for i, p := range m.Pieces {
		drawTints(s, v, p, r.meshes[i], r)
	}
	drawLines(s, v, m, r)
	drawFrame(s, v, m)
	drawMarks(s, v, m)
	drawNames(s, v, m)
}

// drawTints fills one piece: hatching for what was not read, then the bands of height one on the other.
func drawTints(s ink.Sheet, v view, p Piece, mesh contour.Mesh, r Relief) {
	edge := v.rect(p.MinX, -v.halfY, p.MaxX, v.halfY)
	s.Fill([]contour.Line{edge}, look.Unread)
	a, c := edge.P[0], edge.P[2]
	s.Strokes(ink.Hatch(a.X, a.Y, c.X-a.X, c.Y-a.Y, 0.9), ink.Pen{Colour: look.Unhatch, Width: 0.12})
	_, top := mesh.Range()
	for i := 0; i <= len(r.Levels); i++ {
		level := math.Inf(-1)
		if i > 0 {
			level = r.Levels[i-1]
		}
		if level > top {
			break
		}
		s.Fill(onPaper(v, mesh.Region(level)), r.band(i))
	}
}

// paperTolerance is how far a drawn line may stray from the computed one, mm of paper: less than half a hairline.
const paperTolerance = 0.02

func onPaper(v view, lines []contour.Line) []contour.Line {
	out := make([]contour.Line, len(lines))
	for i, l := range lines {
		out[i] = l.Map(v.at).Simplify(paperTolerance)
	}
	return out
}

// isoline is one drawn contour line.
type isoline struct {
	line  contour.Line
	level float64
}

// drawLines draws the contour lines of all pieces with their heights set into them.
func drawLines(s ink.Sheet, v view, m Map, r Relief) {
	iso := isolines(v, r)
	lines := make([]contour.Line, len(iso))
	for i := range iso {
		lines[i] = iso[i].line
	}
	bed := v.rect(-v.halfX, -v.halfY, v.halfX, v.halfY)
	a, c := bed.P[0], bed.P[2]
	rim := 2*m.EdgeBand*v.scale + 0.6
	bounds := contour.Box{At: ink.Point{X: (a.X + c.X) / 2, Y: (a.Y + c.Y) / 2}, W: c.X - a.X - rim, H: c.Y - a.Y - rim}
	placer := contour.NewPlacer(bounds, lines)
	block(placer, v, m)
	digits := contour.Decimals(r.step)
	for i, l := range iso {
		words := m.Words.Signed(l.level, digits)
		free := s.Width("0", look.Level) // so that a minus sign is not taken for a piece of the line
		labels := placer.Along(i, s.Width(words, look.Level)+free, look.Level.Height())
		for _, part := range contour.Cut(l.line, labels) {
			s.Stroke(part, look.LevelPen(l.level))
		}
		for _, b := range labels {
			look.SetInBox(s, b.Box, words, look.Level)
		}
	}
	for i := range m.Pieces {
		nameExtremes(s, v, m, placer, r.meshes[i])
	}
}

// isolines collects the lines of all levels and pieces, longest first: the longest have the first choice of places.
func isolines(v view, r Relief) []isoline {
	var iso []isoline
	for _, mesh := range r.meshes {
		for _, level := range r.Levels {
			for _, l := range onPaper(v, mesh.Lines(level)) {
				iso = append(iso, isoline{l, level})
			}
		}
	}
	sort.SliceStable(iso, func(a, b int) bool { return iso[a].line.Length() > iso[b].line.Length() })
	return iso
}

// block keeps heights off the joints and the contact marks.
func block(p *contour.Placer, v view, m Map) {
	for i := range m.Joints {
		at := v.xy(m.Joints[i].X, 0)
		p.Block(contour.Box{At: at, W: 3, H: m.SizeY * v.scale})
		for _, w := range wedges(v, m, m.Joints[i]) {
			tip, base := w.P[2], w.P[0]
			p.Block(contour.Box{At: ink.Point{X: (tip.X + base.X) / 2, Y: tip.Y}, W: math.Abs(tip.X-base.X) + 1, H: wedgeBase + 0.8})
		}
	}
	for _, c := range m.Contacts {
		p.Block(contour.Box{At: v.xy(c.X, c.Y), W: contactSize + 1.2, H: contactSize + 1.2})
	}
}

// nameExtremes writes high and low at the places that are, where there is room.
func nameExtremes(s ink.Sheet, v view, m Map, p *contour.Placer, mesh contour.Mesh) {
	low, zLow, _ := mesh.Lowest()
	high, zHigh, _ := mesh.Highest()
	if zHigh == zLow {
		return
	}
	for _, e := range []struct {
		at   contour.Point
		word string
	}{{high, m.Words.Say("map.high")}, {low, m.Words.Say("map.low")}} {
		at := v.at(e.at)
		w, h := s.Width(e.word, look.Caption), look.Caption.Height()
		for _, d := range [][2]float64{{0, 0}, {0, 3}, {0, -3}, {5, 0}, {-5, 0}, {5, 3}, {-5, 3}, {5, -3}, {-5, -3}, {0, 6}, {0, -6}} {
			b := contour.Box{At: ink.Point{X: at.X + d[0], Y: at.Y + d[1]}, W: w, H: h}
			if p.Free(b.Grown(0.6)) {
				look.SetInBox(s, b, e.word, look.Caption.In(look.Stone))
				p.Block(b.Grown(0.6))
				break
			}
		}
	}
}

// drawFrame draws each piece: its edges, which meet in the joints, and its edge band.
func drawFrame(s ink.Sheet, v view, m Map) {
	for _, p := range m.Pieces {
		if b := m.EdgeBand; b > 0 {
			s.Stroke(v.rect(p.MinX+b, -v.halfY+b, p.MaxX-b, v.halfY-b), look.BandPen)
		}
		s.Stroke(v.rect(p.MinX, -v.halfY, p.MaxX, v.halfY), ink.Pen{Colour: look.Stone, Width: 0.4})
	}
}

const (
	contactSize = 2.6 // mm of paper
	wedgeLong   = 6.0 // mm of paper for a step at the limit
	wedgeBase   = 1.3 // mm of paper along the joint
)

// wedges draws each step as a wedge that stands on the joint and points over the proud side.
func wedges(v view, m Map, j Joint) []contour.Line {
	full := m.StepLimit
	for _, st := range j.Steps {
		full = math.Max(full, math.Abs(st.Height))
	}
	var out []contour.Line
	for _, st := range j.Steps {
		at := v.xy(j.X, st.Y)
		if long := wedgeLong * st.Height / full; math.Abs(long) > 0.1 {
			out = append(out, ink.Ring(at.X, at.Y-wedgeBase/2, at.X, at.Y+wedgeBase/2, at.X+long, at.Y))
		}
	}
	return out
}

func drawMarks(s ink.Sheet, v view, m Map) {
	for _, j := range m.Joints {
		for _, w := range wedges(v, m, j) {
			s.Stroke(w, ink.Pen{Colour: look.Sheet, Width: 0.5, Round: true})
			s.Fill([]contour.Line{w}, look.Bad)
		}
	}
	for _, c := range m.Contacts {
		at := v.xy(c.X, c.Y)
		look.DrawContact(s, at.X, at.Y, contactSize, c.Upper)
	}
}

// drawNames writes what lies around the bed: pieces, sides, axes and a length to go by.
func drawNames(s ink.Sheet, v view, m Map) {
	quiet := look.Map.In(look.Soft)
	left, right := v.xy(-v.halfX, 0), v.xy(v.halfX, 0)
	top, bottom := v.xy(0, v.halfY), v.xy(0, -v.halfY)
	for _, p := range m.Pieces {
		a, b := v.xy(p.MinX, v.halfY), v.xy(p.MaxX, v.halfY)
		drawPieceName(s, m, p, a.X, b.X, a.Y-4.9)
	}
	s.Text(ink.Point{X: top.X, Y: top.Y - 1.5}, m.place("right"), quiet.To(ink.Middle))
	s.Text(ink.Point{X: bottom.X, Y: bottom.Y + 3.2}, m.place("left"), quiet.To(ink.Middle))
	up := quiet.To(ink.Middle)
	up.Angle = -math.Pi / 2
	s.Text(ink.Point{X: left.X - 1.8, Y: left.Y}, m.place("head"), up)
	up.Angle = math.Pi / 2
	s.Text(ink.Point{X: right.X + 1.8, Y: right.Y}, m.place("foot"), up)
	drawAxes(s, left.X-4.2, bottom.Y+4.4)
	drawLength(s, v, m, right.X, bottom.Y+3.6)
}

// pieceName returns how far the serial of a piece w wide stands from its edge, in which type, and its lines: smaller if it
// is long, on several lines if it is very long.
func pieceName(s ink.Sheet, m Map, p Piece, w float64) (from float64, t ink.Type, lines []string) {
	name := p.Serial
	if p.Turned {
		name = m.Words.Say("map.turned", "piece", name)
	}
	from = s.Width(m.place(p.Place), look.Place) + 1.8
	t = ink.Fit(s, name, look.Map, w-from-2, 4.2)
	return from, t, ink.Wrap(s, name, t, w-from-2)
}

// drawPieceName sets place and serial over a piece.
func drawPieceName(s ink.Sheet, m Map, p Piece, x0, x1, y float64) {
	from, t, lines := pieceName(s, m, p, x1-x0)
	s.Text(ink.Point{X: x0, Y: y}, m.place(p.Place), look.Place)
	for i, l := range lines {
		s.Text(ink.Point{X: x0 + from, Y: y - float64(len(lines)-1-i)*look.Leading(t)}, l, t)
	}
}

// drawAxes draws the arrows of x and y from their corner.
func drawAxes(s ink.Sheet, x, y float64) {
	pen := ink.Pen{Colour: look.Soft, Width: 0.22}
	t := look.Map.In(look.Soft)
	look.DrawArrow(s, x, y, x+9, y, pen)
	look.DrawArrow(s, x, y, x, y-9, pen)
	s.Text(ink.Point{X: x + 10.4, Y: y + 0.8}, "x", t)
	s.Text(ink.Point{X: x, Y: y - 10.4}, "y", t.To(ink.Middle))
}

// mmPerInch is exact (the international yard and pound agreement of 1959).
const mmPerInch = 25.4

// drawLength draws a length to go by, ending at x.
func drawLength(s ink.Sheet, v view, m Map, x, y float64) {
	const length = 500.0
	from := x - length*v.scale
	pen := ink.Pen{Colour: look.Soft, Width: 0.22}
	s.Stroke(ink.Path(from, y-2, from, y-0.9, x, y-0.9, x, y-2), pen)
	s.Text(ink.Point{X: (from + x) / 2, Y: y + 1.9}, m.Words.Number(length, 0)+" mm ("+m.Words.Number(length/mmPerInch, 1)+" in)", look.Map.In(look.Soft).To(ink.Middle))
}

// DrawOutline draws the bed small and plain, w wide: the pieces with their places' names. It returns where a point of the bed frame
// lies on it.
func DrawOutline(s ink.Sheet, m Map, x, y, w float64) func(x, y float64) ink.Point {
	v := view{left: x, top: y, scale: w / m.SizeX, halfX: m.SizeX / 2, halfY: m.SizeY / 2}
	for _, p := range m.Pieces {
		edge := v.rect(p.MinX, -v.halfY, p.MaxX, v.halfY)
		s.Fill([]contour.Line{edge}, look.MidTint)
		s.Stroke(edge, ink.Pen{Colour: look.Soft, Width: 0.2})
		at := v.xy((p.MinX+p.MaxX)/2, -v.halfY)
		s.Text(ink.Point{X: at.X, Y: at.Y - 1.2}, m.place(p.Place), look.Map.Sized(5.2).In(look.Soft).To(ink.Middle))
	}
	return v.xy
}
