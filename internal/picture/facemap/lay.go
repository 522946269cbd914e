package facemap

import (
	"math"
	"sort"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
)

// View puts a face on paper: x to the right, y up, so that the face is seen as it was read and nothing is mirrored.
type View struct {
	Left, Top, Scale float64 // of the piece's corner at −x and +y; mm of paper per mm of stone
	minX, maxY       float64
}

// View returns the view in which the face is w mm of paper wide.
func (m Map) View(left, top, w float64) View {
	return View{Left: left, Top: top, Scale: w / (m.MaxX - m.MinX), minX: m.MinX, maxY: m.MaxY}
}

// At is where a place of the face lies on paper, and Back where a place on paper lies on the face.
func (v View) At(p contour.Point) ink.Point {
	return ink.Point{X: v.Left + (p.X-v.minX)*v.Scale, Y: v.Top + (v.maxY-p.Y)*v.Scale}
}

// Back is the other way of At.
func (v View) Back(p ink.Point) contour.Point {
	return contour.Point{X: v.minX + (p.X-v.Left)/v.Scale, Y: v.maxY - (p.Y-v.Top)/v.Scale}
}

// rect returns a rectangle of the face on paper.
func (v View) rect(x0, y0, x1, y1 float64) contour.Line {
	a, b := v.At(contour.Point{X: x0, Y: y1}), v.At(contour.Point{X: x1, Y: y0})
	return ink.Rect(a.X, a.Y, b.X-a.X, b.Y-a.Y)
}

// Isoline is one contour line on paper, with its figures set into it.
type Isoline struct {
	Level  float64
	Figure string
	Line   contour.Line
	Labels []contour.Label
}

const (
	paperTolerance = 0.02 // how far a drawn line may stray from the computed one, mm of paper: less than half a hairline
	shortest       = 2.5  // mm of paper: a shorter line is a speck, whose tint says enough
)

// Lines lays the contour lines out with figures of a type, clear of each other, of the edge band and of the marks. The longest lines
// have the first choice of places.
func (m Map) Lines(v View, scale Scale, t ink.Type) []Isoline {
	list, _ := m.lines(v, scale, t)
	return list
}

func (m Map) lines(v View, scale Scale, t ink.Type) ([]Isoline, *contour.Placer) {
	var list []Isoline
	for _, level := range scale.Levels {
		for _, l := range m.Mesh.Lines(level) {
			if on := l.Map(v.At).Simplify(paperTolerance); on.Length() >= shortest {
				list = append(list, Isoline{Level: level, Figure: scale.Figure(level, m.Words), Line: on})
			}
		}
	}
	sort.SliceStable(list, func(a, b int) bool { return list[a].Line.Length() > list[b].Line.Length() })
	all := make([]contour.Line, len(list))
	for i := range list {
		all[i] = list[i].Line
	}
	placer := contour.NewPlacer(m.bounds(v), all)
	for _, c := range m.Contacts {
		placer.Block(contour.Box{At: v.At(contour.Point{X: c.X, Y: c.Y}), W: contactSize + 1.2, H: contactSize + 1.2})
	}
	s := ink.NewSVG()
	free := s.Width("0", t) // so that a minus sign is not taken for a piece of the line
	for i := range list[:min(len(list), mostLabelled)] {
		list[i].Labels = placer.Along(i, s.Width(list[i].Figure, t)+free, t.Height())
	}
	return list, placer
}

// mostLabelled is how many lines get a figure: the longest ones. A rough scan makes hundreds of rings.
const mostLabelled = 80

// bounds is where figures may stand: inside the edge band.
func (m Map) bounds(v View) contour.Box {
	a, b := v.At(contour.Point{X: m.MinX, Y: m.MaxY}), v.At(contour.Point{X: m.MaxX, Y: m.MinY})
	rim := 2*m.EdgeBand*v.Scale + 0.6
	return contour.Box{At: ink.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, W: math.Max(0, b.X-a.X-rim), H: math.Max(0, b.Y-a.Y-rim)}
}
