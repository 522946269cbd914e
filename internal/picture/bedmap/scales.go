package bedmap

import (
	"math"
	"strings"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// DrawScales draws the scale of heights in both units, the key of the marks and the method, and returns the height used.
func DrawScales(s ink.Sheet, m Map, r Relief, x, y, width float64) float64 {
	const gap = 8.0
	scale := width * 0.48
	drawHeights(s, m, r, x, y, scale)
	drawKey(s, m, x+scale+gap, y, width-scale-gap)
	return 13.5 + drawMethod(s, m, r, x, y+13.5, width)
}

// drawHeights draws one box for each band of height, with the levels between them in mm above and thousandths of an inch
// below.
func drawHeights(s ink.Sheet, m Map, r Relief, x, y, width float64) {
	const h = 3.2
	top := y + 4.3
	quiet, height := look.Map.In(look.Soft), m.Words.Say("map.height")
	s.Text(ink.Point{X: x, Y: top - 1.1}, height, quiet)
	s.Text(ink.Point{X: x, Y: top + h + 3.1}, "thou", quiet)
	left := x + s.Width(height, quiet) + 3
	box := (x + width - left) / float64(len(r.Levels)+1)
	for i := 0; i <= len(r.Levels); i++ {
		s.Fill([]contour.Line{ink.Rect(left+box*float64(i), top, box+0.02, h)}, r.band(i))
	}
	s.Stroke(ink.Rect(left, top, box*float64(len(r.Levels)+1), h), ink.Pen{Colour: look.Stone, Width: 0.2})
	digits, every := contour.Decimals(r.step), everyLevel(s, m, r, box)
	for i, level := range r.Levels {
		at := left + box*float64(i+1)
		s.Stroke(ink.Segment(at, top, at, top+h), look.LevelPen(level))
		if int(math.Round(level/r.step))%every == 0 {
			s.Text(ink.Point{X: at, Y: top - 1.1}, m.Words.Signed(level, digits), look.Map.To(ink.Middle))
			s.Text(ink.Point{X: at, Y: top + h + 3.1}, m.Words.Signed(look.Thou(level), 1), look.Map.To(ink.Middle))
		}
	}
}

// everyLevel is 1 when all levels can be written side by side, 2 when every second can, and so on.
func everyLevel(s ink.Sheet, m Map, r Relief, box float64) int {
	widest := 0.0
	for _, level := range r.Levels {
		widest = math.Max(widest, s.Width(m.Words.Signed(level, contour.Decimals(r.step)), look.Map)+0.8)
		widest = math.Max(widest, s.Width(m.Words.Signed(look.Thou(level), 1), look.Map)+0.8)
	}
	return max(1, int(math.Ceil(widest/box)))
}

// drawKey explains the marks in two columns.
func drawKey(s ink.Sheet, m Map, x, y, width float64) {
	right := x + width*0.52
	row := func(i int) float64 { return y + 2.2 + 4.1*float64(i) }
	words := func(x float64, i int, text string, w float64) {
		s.Text(ink.Point{X: x + 5.5, Y: row(i)}, text, ink.Fit(s, text, look.Map, w-5.5, 4.5))
	}
	mid := func(i int) float64 { return row(i) - look.Map.Height()/2 }
	half := m.Words.Say("map.upper")
	look.DrawContact(s, x+1.6, mid(0), 2.3, true)
	words(x, 0, half, width*0.5)
	look.DrawContact(s, x+1.6, mid(1), 2.3, false)
	words(x, 1, m.Words.Say("map.lower"), width*0.5)
	s.Fill([]contour.Line{ink.Ring(x, mid(2)-0.65, x, mid(2)+0.65, x+3.6, mid(2))}, look.Bad)
	words(x, 2, m.Words.Say("map.step"), width*0.5)
	s.Fill([]contour.Line{ink.Rect(right, mid(0)-1.1, 3.8, 2.2)}, look.Unread)
	s.Strokes(ink.Hatch(right, mid(0)-1.1, 3.8, 2.2, 0.9), ink.Pen{Colour: look.Unhatch, Width: 0.12})
	words(right, 0, m.Words.Say("map.not-read"), width*0.48)
	if m.EdgeBand > 0 {
		s.Stroke(ink.Segment(right, mid(1), right+3.8, mid(1)), look.BandPen)
		words(right, 1, m.Words.Say("map.edge-band", "wide", m.Words.Number(m.EdgeBand, 0)), width*0.48)
	}
	s.Stroke(ink.Segment(right, mid(2), right+3.8, mid(2)), look.LevelPen(-1))
	words(right, 2, m.Words.Say("map.below"), width*0.48)
}

// drawMethod says in one or two lines what is shown and how heights between the readings were found.
func drawMethod(s ink.Sheet, m Map, r Relief, x, y, width float64) float64 {
	var every string
	if r.step > 0 {
		every = m.Words.Say("map.every", "step", m.Words.Number(r.step, contour.Decimals(r.step)))
	}
	var methods []string
	for _, how := range r.methods {
		methods = append(methods, m.Words.Say(methodKeys[how]))
	}
	text := m.Words.Say("map.method", "long", m.Words.Number(m.SizeX, 0), "wide", m.Words.Number(m.SizeY, 0), "zone", m.both(m.Zone), "every", every,
		"methods", strings.Join(methods, "; "))
	start := y
	for _, l := range ink.Wrap(s, text, look.Caption, width) {
		y += look.Leading(look.Caption)
		s.Text(ink.Point{X: x, Y: y}, l, look.Caption)
	}
	return y - start
}

// methodKeys are the words for how heights between the readings are found.
var methodKeys = map[string]string{
	contour.MethodColumns: "map.by-columns", contour.MethodCells: "map.by-cells", contour.MethodPlanes: "map.by-planes",
}
