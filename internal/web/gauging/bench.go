package gauging

import (
	"fmt"
	"html/template"
	"math"

	"slatewright/face"
	"slatewright/gauge/answers"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
)

func answerBench(a shell.Asked) (shell.Reply, error) {
	readings, err := a.List("list")
	if err != nil {
		return shell.Reply{}, err
	}
	table, err := a.Sheet("map")
	if err != nil {
		return shell.Reply{}, err
	}
	u, _, err := a.LengthIn("u")
	if err != nil {
		return shell.Reply{}, err
	}
	f, err := face.Read(readings.Name, readings.Reader())
	if err != nil {
		return shell.Reply{}, err
	}
	s, err := answers.LessBench(f, table, u)
	if err != nil {
		return shell.Reply{}, err
	}
	raw := append([]float64(nil), f.Z...)
	w := say{a.Words}
	out := shell.Reply{JSON: s}
	out.Says = w.Say("gauging.bench-says", "u", w.fine(s.UMM), "low", w.fine(s.LowMM), "high", w.fine(s.HighMM))
	out.Next = w.Say("gauging.bench-next")
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawBench(w, s, f.Side == face.Bottom, width) })
	out.Caption = w.Say("gauging.bench-caption")
	out.Behind = heightsTable(w, s, raw)
	out.Figures = []shell.Figure{{Name: w.Say("gauging.readings"), Value: w.Number(float64(s.Points), 0)}, {Name: w.Say("gauging.u-height"), Value: w.fine(s.UMM), Small: w.Say("gauging.u-reading", "u", w.fine(s.ReadingUMM))},
		{Name: w.Say("gauging.map-goes"), Value: w.between(w.fine(s.LowMM), w.fine(s.HighMM))}}
	out.Notes = s.Warnings
	if out.CSV, err = s.CSV(f); err != nil {
		return shell.Reply{}, err
	}
	return out, nil
}

const (
	mostHeights = 400  // that a table lists
	spotSize    = 14.5 // of a mark with its number
	tints       = 7    // from the lowest to the highest
)

// spot is a height at its place in the picture.
type spot struct {
	x, y, z float64
	tint    int
	named   bool // there is room for its number
}

// heightsOf places the heights; one that would cover another's number goes without.
func heightsOf(s *answers.Bench, low, high float64, at func([4]float64) (x, y float64)) (list []spot) {
	taken := map[[2]int]bool{}
	for _, h := range s.Heights {
		x, y := at(h)
		n := spot{x: x, y: y, z: h[2], tint: tints / 2, named: true}
		if high > low {
			n.tint = min(int((h[2]-low)/(high-low)*tints), tints-1)
		}
		cell := [2]int{int(x / (2 * spotSize)), int(y / (2 * spotSize))}
		for _, near := range list[max(0, len(list)-400):] {
			n.named = n.named && !(near.named && math.Hypot(near.x-x, near.y-y) < 2*spotSize)
		}
		n.named = n.named && !taken[cell]
		taken[cell] = taken[cell] || n.named
		list = append(list, n)
	}
	return list
}

// drawBench draws the heights that are left, each at its place, tinted and with its number: x to the right, y up, as on every map.
func drawBench(w say, s *answers.Bench, turned bool, width float64) template.HTML {
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	low, high := math.Inf(1), math.Inf(-1)
	for _, h := range s.Heights {
		x0, x1, y0, y1 = min(x0, h[0]), max(x1, h[0]), min(y0, h[1]), max(y1, h[1])
		low, high = min(low, h[2]), max(high, h[2])
	}
	spanX, spanY := x1-x0, y1-y0
	side := 34.0
	by := (width - 2*side) / max(spanX, 1)
	height := min(max(spanY*by, 60), 620) + 2*side + 16
	by = min(by, (height-2*side-16)/max(spanY, 1))
	p := chart.New(width, height, w.Say("gauging.bench-picture", "low", w.fine(low), "high", w.fine(high)))
	unit := w.scaleOf("mm", max(math.Abs(low), math.Abs(high)))
	left := (width - spanX*by) / 2
	at := func(h [4]float64) (x, y float64) {
		return left + (h[0]-x0)*by, height - side - 16 - (h[1]-y0)*by
	}
	p.Rect("stone", left-16, side-16, spanX*by+32, height-2*side+16)
	edges(p, w, turned, left-16, side-16, spanX*by+32, height-2*side+16)
	spots := heightsOf(s, low, high, at)
	for _, h := range spots { // the small ones first, so that none covers a number
		if !h.named {
			p.Disc(fmt.Sprintf("height t%d", h.tint), h.x, h.y, 3.2)
		}
	}
	for _, h := range spots {
		if h.named {
			p.Disc(fmt.Sprintf("height t%d", h.tint), h.x, h.y, spotSize)
			p.Text("number", "middle", h.x, h.y+4, w.Number(h.z/unit.unit, map[bool]int{true: 0, false: 1}[unit.name == "µm"]))
		}
	}
	p.Text("tick", "middle", width/2, height-6, w.Say("gauging.heights-in", "unit", unit.name))
	return p.End()
}

// edges names the edges of the face in a rectangle of the picture. A bottom is read turned over about the y axis: its x runs to the head.
func edges(p *chart.Pen, w say, turned bool, x, y, wide, high float64) {
	first, last := w.Word("place", "head"), w.Word("place", "foot")
	if turned {
		first, last = last, first
	}
	p.Text("tick", "middle", x+wide/2, y-5, w.Word("place", "right"))
	p.Text("tick", "middle", x+wide/2, y+high+13, w.Word("place", "left"))
	p.Text("tick", "start", x, y+high+13, first)
	p.Text("tick", "end", x+wide, y+high+13, last)
}

func heightsTable(w say, s *answers.Bench, raw []float64) shell.Table {
	t := shell.Table{Caption: w.Say("gauging.bench-behind"), Heads: shell.Heads("x", "y", w.Say("gauging.as-read"), w.Say("gauging.without-bench"), "u")}
	for i, h := range s.Heights[:min(len(s.Heights), mostHeights)] {
		t.Rows = append(t.Rows, shell.RowOf(w.Size(h[0]), w.Size(h[1]), w.fine(raw[i]), w.fine(h[2]), w.fine(h[3])))
	}
	if left := len(s.Heights) - mostHeights; left > 0 {
		t.Caption += " " + w.Say("gauging.bench-left", "n", left)
	}
	return t
}
